package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"maps"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// scener is any chart's description.
type scener interface {
	Scene(size image.Point, look plan.Look) (Scene, error)
}

func share(name string, k, n int) plan.Share {
	low, high := stats.Count{K: k, N: n}.Interval()
	return plan.Share{Name: name, K: k, N: n, Low: low, High: high, Bar: n >= stats.Enough}
}

var moveRates = Rates{
	Title: "Pressure by move",
	Lines: []string{"Rushes on dropbacks, one on one"},
	Small: []string{"Cedar Hollow, 6 games, 214 rushes. Eight comparisons: one in twenty such lines lies outside by chance."},
	Shares: []plan.Share{
		share("bull", 9, 41), share("long-arm", 14, 38), share("up-and-under", 6, 8), share("cross-chop", 12, 29),
		share("spin", 2, 3), share("speed-rip", 11, 52), share("ghost", 0, 12), share("drop-step", 0, 0), share("club-rip", 31, 31),
	},
}

// curve is a group's curve of made-up rushes, its numbers from stats.
func curve(name string, r *rand.Rand, n int, median float64) Curve {
	var watches []stats.Watch
	c := Curve{Name: name, N: n}
	for range n {
		until := tags.Time((.8 + r.ExpFloat64()*(median-.8)/math.Ln2) * float64(tags.Second))
		out := tags.Time((2 + r.Float64()*1.6) * float64(tags.Second))
		watches = append(watches, stats.Watch{Until: min(until, out), Beat: until <= out})
		if until > out {
			c.Censored = append(c.Censored, out.Seconds())
		}
	}
	for _, s := range stats.KaplanMeier(watches).Steps {
		c.Steps = append(c.Steps, Step{s.At.Seconds(), s.Beaten, s.Holds, s.Low, s.High})
	}
	return c
}

func twoCurves() Curves {
	r := rand.New(rand.NewSource(4))
	return Curves{
		Title: "Time to beat, inside against outside", Lines: []string{"One on one on dropbacks"}, Limit: 2.5, Bands: true,
		Small:  []string{"Median 1.9 s inside, 2.8 s outside. Log-rank p = 0.03."},
		Curves: []Curve{curve("inside counter", r, 34, 1.9), curve("outside", r, 61, 2.9)},
	}
}

func fourCurves() Curves {
	r := rand.New(rand.NewSource(5))
	c := Curves{Title: "Time to beat by family", Limit: 2.5}
	for i, name := range []string{"power", "speed", "hands", "change", "none", "other"} {
		c.Curves = append(c.Curves, curve(name, r, 40-i*9%38, 1.8+.3*float64(i)))
	}
	return c
}

func getoffs() Strip {
	r := rand.New(rand.NewSource(6))
	s := Strip{Title: "Get-off", Lines: []string{"Seconds from the snap to his first movement"}, Group: Group{"group, middle half", .19, .236, .275}}
	for i, name := range []string{"Teo Marlow", "Keoni Kaʻahumanu-Hāʻōʻū", "Anders Vik", "Jo Okoro", "D. Lind", "Maximilian Featherstonehaugh-Cholmondeley"} {
		row := StripRow{Name: name}
		sum := 0.0
		for range 31 - i*6 + i/5*2 {
			t := math.Round((.16+.02*float64(i)+math.Abs(r.NormFloat64())*.06)*60) / 60
			row.Times = append(row.Times, t)
			sum += t
		}
		row.Mean = sum / float64(max(len(row.Times), 1))
		s.Rows = append(s.Rows, row)
	}
	return s
}

var families = Tendency{
	Title: "What he shows, by down and distance",
	Lines: []string{"#72, Harbor State, left tackle: sets on dropbacks"},
	Parts: []string{"vertical", "angle", "short", "jump", "overset"},
	Rows: []TendencyRow{
		{"1st and 10", []int{22, 11, 4, 1, 2}},
		{"2nd, 1 to 3", []int{3, 2, 6, 0, 0}},
		{"2nd, 4 to 7", []int{9, 14, 3, 0, 1}},
		{"2nd and long", []int{18, 4, 2, 1, 1}},
		{"3rd, 1 to 3", []int{1, 0, 2, 0, 1}},
		{"3rd, 4 to 7", []int{12, 3, 5, 4, 0}},
		{"3rd and long", []int{31, 6, 1, 0, 0}},
		{"4th", []int{0, 0, 0, 0, 0}},
	},
}

// examples are charts that were looked at.
func examples() map[string]scener {
	return map[string]scener{"rates": moveRates, "curves": twoCurves(), "curves-four": fourCurves(), "strip": getoffs(), "tendency": families}
}

var chartSizes = map[string]image.Point{"paper": Paper, "wide": Wide, "phone": Phone}

func chartLook(t testing.TB, size string) plan.Look {
	if size == "wide" {
		return look(t)
	}
	return PaperLook(look(t))
}

// TestChartGolden compares with charts that were looked at.
func TestChartGolden(t *testing.T) {
	for name, chart := range examples() {
		for at, size := range chartSizes {
			t.Run(name+"-"+at, func(t *testing.T) {
				s, err := chart.Scene(size, chartLook(t, at))
				if err != nil {
					t.Fatal(err)
				}
				var got bytes.Buffer
				if err := s.SVG(&got); err != nil {
					t.Fatal(err)
				}
				file := filepath.Join("testdata", "chart-"+name+"-"+at+".svg")
				if *update {
					if err := os.WriteFile(file, got.Bytes(), 0o644); err != nil {
						t.Fatal(err)
					}
					return
				}
				want, err := os.ReadFile(file)
				if err != nil {
					t.Fatal(err)
				}
				if !bytes.Equal(got.Bytes(), want) {
					t.Errorf("%s differs; if it should, look at it after -update", file)
				}
			})
		}
	}
}

// texts are a scene's lines of text.
func texts(s Scene) []words {
	var list []words
	for _, sh := range s.shapes {
		if w, ok := sh.(words); ok {
			list = append(list, w)
		}
	}
	return list
}

func rects(s Scene, is role) []rect {
	var list []rect
	for _, sh := range s.shapes {
		if r, ok := sh.(rect); ok && r.is == is {
			list = append(list, r)
		}
	}
	return list
}

func strokes(s Scene, is role) []stroke {
	var list []stroke
	for _, sh := range s.shapes {
		if r, ok := sh.(stroke); ok && r.is == is {
			list = append(list, r)
		}
	}
	return list
}

func (b box) meets(c box) bool { return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1 }

func (b box) holds(c box) bool { return b.x0 <= c.x0 && c.x1 <= b.x1 && b.y0 <= c.y0 && c.y1 <= b.y1 }

// checkScene tells what no chart may do: reach out of the page, set text on text, or text
// or a mark in a colour that does not stand out from what it lies on.
func checkScene(s Scene) error {
	page := box{0, 0, float64(s.Width), float64(s.Height)}
	said := texts(s)
	if len(said) == 0 {
		return fmt.Errorf("no text at all")
	}
	for i, w := range said {
		for _, v := range said[:i] {
			if w.bounds().meets(v.bounds()) {
				return fmt.Errorf("%q %v lies on %q %v", w.text, w.bounds(), v.text, v.bounds())
			}
		}
	}
	for i, sh := range s.shapes {
		b := sh.bounds()
		if st, ok := sh.(stroke); ok && len(st.lines) == 0 {
			continue
		}
		if !page.holds(b) {
			return fmt.Errorf("%#v %v is out of the page %v", sh, b, page)
		}
		switch v := sh.(type) {
		case words:
			if got := worstUnder(s, i, b, v.colour); got < leastContrast {
				return fmt.Errorf("%q has a contrast of %.1f", v.text, got)
			}
		case rect:
			if (v.is == bar || v.is == interval || v.is == mean) && Contrast(v.fill, s.ground) < leastMark {
				return fmt.Errorf("%s has a contrast of %.1f", v.is, Contrast(v.fill, s.ground))
			}
		case stroke:
			if v.is != guide && Contrast(v.colour, s.ground) < leastMark {
				return fmt.Errorf("%s has a contrast of %.1f", v.is, Contrast(v.colour, s.ground))
			}
		case dot:
			if Contrast(v.fill, s.ground) < leastMark {
				return fmt.Errorf("dot has a contrast of %.1f", Contrast(v.fill, s.ground))
			}
		}
	}
	return nil
}

// worstUnder is the least contrast of colour c over whatever the shapes below the n-th
// show within b.
func worstUnder(s Scene, n int, b box, c color.NRGBA) float64 {
	under := []color.NRGBA{s.ground}
	for _, sh := range s.shapes[:n] {
		switch v := sh.(type) {
		case rect:
			switch {
			case !v.meets(b):
			case v.holds(b) && v.fill.A == 255:
				under = []color.NRGBA{v.fill}
			default:
				for _, u := range under {
					under = append(under, over(v.fill, u))
				}
			}
		case stroke:
			for _, l := range v.lines {
				if (stroke{lines: [][]point{l}, width: v.width}).bounds().meets(b) {
					under = append(under, v.colour)
					break
				}
			}
		case area:
			if v.bounds().meets(b) {
				under = append(under, over(v.fill, s.ground))
			}
		case dot:
			if v.bounds().meets(b) {
				under = append(under, v.fill)
			}
		}
	}
	least := math.Inf(1)
	for _, u := range under {
		least = min(least, Contrast(c, u))
	}
	return least
}

func TestChartsKeepTheirText(t *testing.T) {
	for name, chart := range examples() {
		for at, size := range chartSizes {
			s, err := chart.Scene(size, chartLook(t, at))
			if err == nil {
				err = checkScene(s)
			}
			if err != nil {
				t.Errorf("%s, %s: %v", name, at, err)
			}
		}
	}
}

func TestCheckSceneCanFail(t *testing.T) {
	whole := func() Scene {
		s, err := moveRates.Scene(Wide, look(t))
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	for name, spoil := range map[string]func(s *Scene){
		"text on text": func(s *Scene) { s.shapes = append(s.shapes, texts(*s)[0]) },
		"out of page":  func(s *Scene) { s.Height /= 2 },
		"grey text": func(s *Scene) {
			s.shapes = append(s.shapes, words{style: style{px: 10}, x: 2, base: 10, width: 9, text: "x", colour: rgb(0x666666)})
		},
		"text on a bar": func(s *Scene) {
			w := words{style: style{px: 10}, x: 2, base: 10, width: 9, text: "x", colour: rgb(0xffffff)}
			s.shapes = append(s.shapes, rect{box: w.bounds(), fill: rgb(0x56b4e9)}, w)
		},
		"dim bar": func(s *Scene) { s.shapes = append(s.shapes, rect{box{1, 1, 2, 2}, bar, rgb(0x222222)}) },
	} {
		s := whole()
		spoil(&s)
		if checkScene(s) == nil {
			t.Errorf("%s goes unseen", name)
		}
	}
}

// randomName is a name such as rooms have, or one no room has.
func randomName(r *rand.Rand) string {
	names := []string{
		"", "bull", "Teo Marlow", "Keoni Kaʻahumanu-Hāʻōʻū", "Žďárský d’Été-Ñúñez", "<b>&\"'", "3rd, 4 to 7", "ÅÉŽ",
		"short set both ways against a tight end's chip", "\x00\t\xff", "Wolfeschlegelsteinhausenbergerdorff",
	}
	if r.Intn(3) == 0 {
		return randomText(r, 40)
	}
	return names[r.Intn(len(names))]
}

func randomChart(r *rand.Rand) scener {
	rows := []int{0, 1, 2, 5, 12, 40}[r.Intn(6)]
	lines := make([]string, r.Intn(3))
	small := make([]string, r.Intn(3))
	for _, list := range [][]string{lines, small} {
		for i := range list {
			list[i] = randomText(r, 200)
		}
	}
	title := "Title " + randomText(r, 60)
	count := func() int { return []int{0, 1, 3, 5, 40, 1000, 123456}[r.Intn(7)] }
	switch r.Intn(4) {
	case 0:
		c := Rates{Title: title, Lines: lines, Small: small}
		for range rows {
			n := count()
			c.Shares = append(c.Shares, share(randomName(r), r.Intn(n+1), n))
		}
		return c
	case 1:
		c := Curves{Title: title, Lines: lines, Small: small, Limit: []float64{0, 2.5, 3.7}[r.Intn(3)], Bands: r.Intn(2) == 0, Until: []float64{0, 0, 3.3, 4}[r.Intn(4)]}
		for range rows {
			c.Curves = append(c.Curves, curve(randomName(r), r, min(count(), 200), 1+2*r.Float64()))
		}
		return c
	case 2:
		c := Strip{Title: title, Lines: lines, Small: small}
		if r.Intn(2) == 0 {
			c.Group = Group{"group " + randomName(r), .1 * r.Float64(), .1 + .1*r.Float64(), .2 + r.Float64()}
		}
		for range rows {
			row := StripRow{Name: randomName(r), Mean: r.Float64()}
			for range min(count(), 60) {
				row.Times = append(row.Times, r.Float64()*[]float64{.1, .5, 3}[r.Intn(3)])
			}
			c.Rows = append(c.Rows, row)
		}
		return c
	default:
		c := Tendency{Title: title, Lines: lines, Small: small, Parts: make([]string, r.Intn(9))}
		for i := range c.Parts {
			c.Parts[i] = randomName(r)
		}
		for range rows {
			row := TendencyRow{Name: randomName(r), Counts: make([]int, len(c.Parts))}
			for i := range row.Counts {
				row.Counts[i] = count() * r.Intn(2)
			}
			c.Rows = append(c.Rows, row)
		}
		return c
	}
}

func TestRandomChartsKeepTheirText(t *testing.T) {
	r := rand.New(rand.NewSource(17))
	sizes := []image.Point{Paper, Wide, Phone, {480, 360}, {640, 0}, {1920, 1080}, {3508, 2480}, {720, 1280}, {320, 240}}
	ls := []plan.Look{PaperLook(look(t))}
	for _, name := range slices.Sorted(maps.Keys(looks(t))) {
		ls = append(ls, looks(t)[name])
	}
	drawn := 0
	for i := range fewer(800) {
		c, size := randomChart(r), sizes[r.Intn(len(sizes))]
		l := ls[r.Intn(len(ls))]
		s, err := c.Scene(size, l)
		if err != nil {
			// The smallest page may be filled by the words around a chart.
			if size.Y > 0 && size.Y <= 360 {
				continue
			}
			t.Fatalf("%d, %v: %v", i, size, err)
		}
		drawn++
		if err := checkScene(s); err != nil {
			t.Fatalf("%d, %T at %v: %v", i, c, size, err)
		}
		checkSVG(t, s)
	}
	if drawn < fewer(800)*3/4 {
		t.Errorf("only %d charts were drawn", drawn)
	}
}

// checkSVG holds what is written against the scene: it parses, says what the scene says,
// and has a shape for each.
func checkSVG(t *testing.T, s Scene) {
	t.Helper()
	var out bytes.Buffer
	if err := s.SVG(&out); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		XMLName xml.Name `xml:"http://www.w3.org/2000/svg svg"`
		Label   string   `xml:"aria-labelledby,attr"`
		Title   struct {
			ID   string `xml:"id,attr"`
			Text string `xml:",chardata"`
		} `xml:"title"`
		Desc struct {
			ID   string `xml:"id,attr"`
			Text string `xml:",chardata"`
		} `xml:"desc"`
		Texts []struct {
			X    int    `xml:"x,attr"`
			Y    int    `xml:"y,attr"`
			Size int    `xml:"font-size,attr"`
			Text string `xml:",chardata"`
		} `xml:"text"`
		Rects   []struct{} `xml:"rect"`
		Circles []struct{} `xml:"circle"`
		Paths   []struct{} `xml:"path"`
	}
	d := xml.NewDecoder(&out)
	if err := d.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	if doc.Title.Text != s.Title || doc.Desc.Text != s.Desc || s.Title == "" || s.Desc == "" {
		t.Errorf("title %q and desc %q, want %q and %q", doc.Title.Text, doc.Desc.Text, s.Title, s.Desc)
	}
	if want := doc.Title.ID + " " + doc.Desc.ID; doc.Label != want {
		t.Errorf("labelled by %q, want %q", doc.Label, want)
	}
	said := texts(s)
	if len(doc.Texts) != len(said) {
		t.Fatalf("%d texts, want %d", len(doc.Texts), len(said))
	}
	for i, w := range said {
		if g := doc.Texts[i]; g.X != w.x || g.Y != w.base || g.Size != w.style.px || g.Text != w.text {
			t.Fatalf("text %+v, want %+v", g, w)
		}
	}
	kinds := map[string]int{"rect": 1} // the ground
	for _, sh := range s.shapes {
		switch v := sh.(type) {
		case rect:
			kinds["rect"]++
		case dot:
			kinds["dot"]++
		case area:
			kinds["path"]++
		case stroke:
			kinds["path"] += btoi(len(v.lines) > 0)
		}
	}
	if len(doc.Rects) != kinds["rect"] || len(doc.Circles) != kinds["dot"] || len(doc.Paths) != kinds["path"] {
		t.Errorf("%d rects, %d circles, %d paths, want %v", len(doc.Rects), len(doc.Circles), len(doc.Paths), kinds)
	}
}

// TestChartPNG holds the picture against the scene it is of, where single shapes show.
func TestChartPNG(t *testing.T) {
	checked := map[role]int{}
	for name, chart := range examples() {
		for at, size := range chartSizes {
			s, err := chart.Scene(size, chartLook(t, at))
			if err != nil {
				t.Fatal(err)
			}
			var out bytes.Buffer
			if err := s.PNG(&out); err != nil {
				t.Fatal(err)
			}
			m, err := png.Decode(&out)
			if err != nil {
				t.Fatal(err)
			}
			if m.Bounds() != image.Rect(0, 0, s.Width, s.Height) {
				t.Fatalf("%s: %v", name, m.Bounds())
			}
			pixel := func(is role, x, y float64, want color.NRGBA) {
				t.Helper()
				// What is drawn on top hides it.
				for _, sh := range slices.Backward(s.shapes) {
					if r, ok := sh.(rect); ok && r.is == is && r.holds(box{x, y, x, y}) {
						break
					} else if sh.bounds().meets(box{x - 1, y - 1, x + 1, y + 1}) && is == bar {
						return
					}
				}
				checked[is]++
				if got := color.NRGBAModel.Convert(m.At(int(x), int(y))); got != want {
					t.Errorf("%s, %s: %s at %.0f, %.0f is %v, want %v", name, at, is, x, y, got, want)
				}
			}
			pixel(guide, 1, 1, s.ground)
			for _, r := range rects(s, bar) {
				if r.x1-r.x0 > 4 {
					pixel(bar, r.x0+2, r.y0+2, r.fill)
					pixel(bar, r.x1-2, r.y1-2, r.fill)
					pixel(bar, r.x0+2, r.y0-2, s.ground)
				}
			}
			for _, r := range rects(s, interval) {
				pixel(interval, (r.x0+r.x1)/2, r.middle(), r.fill)
			}
			for i, sh := range s.shapes {
				d, ok := sh.(dot)
				if !ok || slices.ContainsFunc(s.shapes[i+1:], func(o shape) bool { return o.bounds().meets(d.bounds()) }) {
					continue
				}
				pixel(rep, d.at.x, d.at.y, d.fill)
			}
			for _, l := range strokes(s, sample) {
				if len(l.lines) == 1 && len(l.dash) == 0 && l.lines[0][0].y == l.lines[0][1].y {
					pixel(sample, l.lines[0][0].x+3, l.lines[0][0].y, l.colour)
				}
			}
		}
	}
	for _, is := range []role{guide, bar, interval, rep, sample} {
		if checked[is] == 0 {
			t.Errorf("no %s was looked at", is)
		}
	}
}

func TestFewestIsStatsEnough(t *testing.T) {
	if fewest != stats.Enough {
		t.Errorf("charts draw rates from %d reps, stats from %d", fewest, stats.Enough)
	}
}

func TestOkabeIto(t *testing.T) {
	// Okabe and Ito 2008, in 8-bit red, green and blue (from memory).
	want := []color.NRGBA{{230, 159, 0, 255}, {86, 180, 233, 255}, {0, 158, 115, 255}, {240, 228, 66, 255}, {0, 114, 178, 255}, {213, 94, 0, 255}, {204, 121, 167, 255}}
	for _, c := range want {
		if !slices.Contains(okabeIto, c) {
			t.Errorf("%v is missing", c)
		}
	}
	if len(okabeIto) != len(want) {
		t.Errorf("%d colours, want %d", len(okabeIto), len(want))
	}
	// Four curves need four colours on either ground.
	for _, l := range []plan.Look{look(t), PaperLook(look(t))} {
		p, err := newPalette(l)
		if err != nil {
			t.Fatal(err)
		}
		if n := len(p.marks()); n < mostCurves {
			t.Errorf("on %s %d colours stand out, want %d", l.Ground, n, mostCurves)
		}
	}
}

func TestChartErrors(t *testing.T) {
	l := look(t)
	dim := l
	dim.Ink = "#555555"
	nan := math.NaN()
	for name, c := range map[string]struct {
		chart scener
		size  image.Point
		look  plan.Look
		want  string
	}{
		"look":        {moveRates, Wide, dim, "contrast"},
		"narrow":      {moveRates, image.Pt(100, 0), l, "size 100x0"},
		"flat":        {moveRates, image.Pt(1280, 100), l, "size 1280x100"},
		"huge":        {moveRates, image.Pt(100_000, 0), l, "size 100000x0"},
		"no title":    {Rates{}, Wide, l, "no title"},
		"share":       {Rates{Title: "t", Shares: []plan.Share{{Name: "bull", K: 3, N: 2}}}, Wide, l, "bull"},
		"part":        {Tendency{Title: "t", Parts: []string{"a"}, Rows: []TendencyRow{{"1st", []int{1, 2}}}}, Wide, l, "2 counts for 1"},
		"less":        {Tendency{Title: "t", Parts: []string{"a"}, Rows: []TendencyRow{{"1st", []int{-1}}}}, Wide, l, "counts -1"},
		"time":        {Strip{Title: "t", Rows: []StripRow{{"a", []float64{nan}, 0}}}, Wide, l, "NaN"},
		"band":        {Strip{Title: "t", Group: Group{"g", .3, .2, .4}}, Wide, l, "out of order"},
		"limit":       {Curves{Title: "t", Limit: -1}, Wide, l, "limit"},
		"rising":      {Curves{Title: "t", Curves: []Curve{{"a", 2, []Step{{1, 1, .5, .1, .9}, {2, 1, .6, .1, .9}}, nil}}}, Wide, l, "out of order"},
		"lost a rush": {Curves{Title: "t", Curves: []Curve{{"a", 3, []Step{{1, 1, .5, .1, .9}}, nil}}}, Wide, l, "1 rushes end of 3"},
	} {
		if _, err := c.chart.Scene(c.size, c.look); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

func TestEmptyCharts(t *testing.T) {
	for _, c := range []scener{Rates{Title: "t"}, Curves{Title: "t"}, Strip{Title: "t"}, Tendency{Title: "t"}, Tendency{Title: "t", Parts: []string{"a"}}} {
		for at, size := range chartSizes {
			s, err := c.Scene(size, chartLook(t, at))
			if err != nil {
				t.Fatal(err)
			}
			if len(texts(s)) < 3 {
				t.Errorf("%T says only %d lines", c, len(texts(s)))
			}
		}
	}
}

func TestNothingIsLeftOutUnsaid(t *testing.T) {
	var r Rates
	r.Title = "Many"
	for i := range 40 {
		r.Shares = append(r.Shares, share(fmt.Sprintf("group %d", i), i, 60))
	}
	for _, size := range []image.Point{Wide, Paper, Phone, {640, 360}} {
		s, err := r.Scene(size, look(t))
		if err != nil {
			t.Fatal(err)
		}
		bars, more := len(rects(s, bar)), 0
		for _, w := range texts(s) {
			fmt.Sscanf(w.text, "… and %d more", &more) //nolint:errcheck // most texts are not this one
		}
		if bars+more != 40 || bars == 0 {
			t.Errorf("%v: %d bars and %d more of 40", size, bars, more)
		}
		if size.Y == 0 && bars != 40 {
			t.Errorf("a page that grows shows %d of 40", bars)
		}
	}
}

func TestShorten(t *testing.T) {
	fs := faces{}
	defer fs.done()
	f := fs.get(false, 20)
	names := []string{"bull", "Featherstonehaugh, Maximilian", "Featherstonehaugh, Montgomery", "Featherstonehaugh, Maximilian"}
	got := shorten(f, names, 180)
	if got[0] != "bull" {
		t.Errorf("a short name became %q", got[0])
	}
	for i, g := range got {
		if f.width(g) > 180 || g == "" {
			t.Errorf("%q became %q, %d wide", names[i], g, f.width(g))
		}
	}
	if got[1] == got[2] || got[1] != got[3] {
		t.Errorf("names are mixed up: %q", got)
	}
}
