package draw

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

func share(name string, k, n int) stats.Share {
	low, high := stats.Count{K: k, N: n}.Interval()
	return stats.Share{Name: name, Count: stats.Count{K: k, N: n}, Low: low, High: high, Bar: n >= stats.Enough}
}

var moveRates = report.Bars{
	Title: "Pressure by move",
	Lines: []string{"Rushes on dropbacks, one on one"},
	Small: []string{"Cedar Hollow, 6 games, 214 rushes. Eight comparisons: one in twenty such lines lies outside by chance."},
	Shares: []stats.Share{
		share("bull", 9, 41), share("long-arm", 14, 38), share("up-and-under", 6, 8), share("cross-chop", 12, 29),
		share("spin", 2, 3), share("speed-rip", 11, 52), share("ghost", 0, 12), share("drop-step", 0, 0), share("club-rip", 31, 31),
	},
}

// curve is a group's curve of made-up rushes, its numbers from stats.
func curve(name string, r *rand.Rand, n int, median float64) report.Curve {
	var watches []stats.Watch
	c := report.Curve{Name: name, N: n}
	for range n {
		until := tags.Time((.8 + r.ExpFloat64()*(median-.8)/math.Ln2) * float64(tags.Second))
		out := tags.Time((2 + r.Float64()*1.6) * float64(tags.Second))
		watches = append(watches, stats.Watch{Until: min(until, out), Beat: until <= out})
		if until > out {
			c.Censored = append(c.Censored, out.Seconds())
		}
	}
	for _, s := range stats.KaplanMeier(watches).Steps {
		c.Steps = append(c.Steps, report.Step{At: s.At.Seconds(), Beaten: s.Beaten, Holds: s.Holds, Low: s.Low, High: s.High})
	}
	return c
}

func twoCurves() report.Curves {
	r := rand.New(rand.NewSource(4))
	return report.Curves{
		Title: "Time to beat, inside against outside", Lines: []string{"One on one on dropbacks"}, Limit: 2.5, Bands: true,
		Small:  []string{"Median 1.9 s inside, 2.8 s outside. Log-rank p = 0.03."},
		Curves: []report.Curve{curve("inside counter", r, 34, 1.9), curve("outside", r, 61, 2.9)},
	}
}

func fourCurves() report.Curves {
	r := rand.New(rand.NewSource(5))
	c := report.Curves{Title: "Time to beat by family", Limit: 2.5}
	for i, name := range []string{"power", "speed", "hands", "change", "none", "other"} {
		c.Curves = append(c.Curves, curve(name, r, 40-i*9%38, 1.8+.3*float64(i)))
	}
	return c
}

func getoffs() report.Strip {
	r := rand.New(rand.NewSource(6))
	s := report.Strip{Title: "Get-off", Lines: []string{"Seconds from the snap to his first movement"}, Group: report.Group{Name: "group, middle half", Low: .19, Mean: .236, High: .275}}
	for i, name := range []string{"Teo Marlow", "Keoni Kaʻahumanu-Hāʻōʻū", "Anders Vik", "Jo Okoro", "D. Lind", "Maximilian Featherstonehaugh-Cholmondeley"} {
		row := report.StripRow{Name: name}
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

var families = report.Portions{
	Title: "What he shows, by down and distance",
	Lines: []string{"#72, Harbor State, left tackle: sets on dropbacks"},
	Parts: []string{"vertical", "angle", "short", "jump", "overset"},
	Rows: []report.PortionsRow{
		{Name: "1st and 10", Counts: []int{22, 11, 4, 1, 2}},
		{Name: "2nd, 1 to 3", Counts: []int{3, 2, 6, 0, 0}},
		{Name: "2nd, 4 to 7", Counts: []int{9, 14, 3, 0, 1}},
		{Name: "2nd and long", Counts: []int{18, 4, 2, 1, 1}},
		{Name: "3rd, 1 to 3", Counts: []int{1, 0, 2, 0, 1}},
		{Name: "3rd, 4 to 7", Counts: []int{12, 3, 5, 4, 0}},
		{Name: "3rd and long", Counts: []int{31, 6, 1, 0, 0}},
		{Name: "4th", Counts: []int{0, 0, 0, 0, 0}},
	},
}

func pointOf(name, count string, at, low, high float64) report.Point {
	return report.Point{Name: name, Count: count, Estimate: report.Estimate{At: &at, Low: &low, High: &high}}
}

var room = report.Points{
	Title: "Won, with the room's film behind each man",
	Lines: []string{"Rushes on dropbacks, one on one"},
	Small: []string{"Cedar Hollow, 6 games."},
	Rows: []report.Point{
		pointOf("Teo Marlow", "14 of 38", .35, .24, .48),
		{Name: "Jo Okoro", Count: "1 of 3"},
		pointOf("Anders Vik", "6 of 8", .41, .27, .56),
		pointOf("Keoni Kaʻahumanu-Hāʻōʻū", "0 of 12", .21, .08, .35),
	},
}

var worth = report.Points{
	Title: "What followed a read that was taken: more battles won, of 100", Signed: true,
	Rows: []report.Point{
		pointOf("short set", "9 of 20 taken, 6 of 31 not", .26, -.01, .49), pointOf("overset", "3 of 9 taken, 7 of 12 not", -.25, -.57, .16),
		{Name: "leaning", Count: "1 of 2 taken, 0 of 1 not"},
	},
}

func dated(date, against string, k, n int) report.DatedShare {
	return report.DatedShare{Date: date, Share: share(against, k, n)}
}

var weeks = report.Weeks{
	Title: "Won, week by week",
	Lines: []string{"#91 Teo Marlow: 71 reps"},
	Small: []string{"Won: rose by 20 in 100 from the first date to the last; chance alone makes as steep a line 1 time in 9."},
	Groups: []report.WeeksOf{{Name: "won", Weeks: []report.DatedShare{
		dated("2026-09-04", "Harbor Point", 3, 9), dated("2026-09-11", "Granite Valley", 2, 9), dated("2026-09-25", "Mesa", 1, 3),
		dated("2026-10-02", "Alder Ridge", 5, 14), dated("2026-10-09", "Quarry Lake, Stillwater North", 6, 13), dated("2026-10-30", "Bay", 9, 12), dated("2026-11-06", "Highfield", 7, 11),
	}}},
}

// weeksOfTwo is two men over a season that ends in the next year.
func weeksOfTwo() report.Weeks {
	c := report.Weeks{Title: "Pressure, week by week, by rusher", Groups: []report.WeeksOf{{Name: "#91 Teo Marlow"}, {Name: "#55 Ruben Achterberg"}}}
	r := rand.New(rand.NewSource(7))
	day := time.Date(2026, time.September, 4, 0, 0, 0, 0, time.UTC)
	for range 19 {
		for i := range c.Groups {
			if n := r.Intn(18); n > 0 {
				c.Groups[i].Weeks = append(c.Groups[i].Weeks, dated(day.Format(time.DateOnly), "Harbor Point", r.Intn(n+1), n))
			}
		}
		day = day.AddDate(0, 0, 7)
	}
	return c
}

// examples are charts that were looked at.
func examples() map[string]report.Chart {
	return map[string]report.Chart{"rates": moveRates, "curves": twoCurves(), "curves-four": fourCurves(), "strip": getoffs(), "tendency": families, "points": room, "weeks": weeks, "weeks-two": weeksOfTwo(), "points-signed": worth}
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
				s, err := Chart(chart, size, chartLook(t, at))
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
		b := boundsOf(sh)
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
			s, err := Chart(chart, size, chartLook(t, at))
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
		s, err := Chart(moveRates, Wide, look(t))
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
		chart report.Chart
		size  image.Point
		look  plan.Look
		want  string
	}{
		"look":        {moveRates, Wide, dim, "contrast"},
		"narrow":      {moveRates, image.Pt(100, 0), l, "size 100x0"},
		"flat":        {moveRates, image.Pt(1280, 100), l, "size 1280x100"},
		"huge":        {moveRates, image.Pt(100_000, 0), l, "size 100000x0"},
		"no title":    {report.Bars{}, Wide, l, "no title"},
		"share":       {report.Bars{Title: "t", Shares: []stats.Share{{Name: "bull", Count: stats.Count{K: 3, N: 2}}}}, Wide, l, "bull"},
		"part":        {report.Portions{Title: "t", Parts: []string{"a"}, Rows: []report.PortionsRow{{Name: "1st", Counts: []int{1, 2}}}}, Wide, l, "2 counts for 1"},
		"less":        {report.Portions{Title: "t", Parts: []string{"a"}, Rows: []report.PortionsRow{{Name: "1st", Counts: []int{-1}}}}, Wide, l, "counts -1"},
		"time":        {report.Strip{Title: "t", Rows: []report.StripRow{{Name: "a", Times: []float64{nan}, Mean: 0}}}, Wide, l, "NaN"},
		"band":        {report.Strip{Title: "t", Group: report.Group{Name: "g", Low: .3, Mean: .2, High: .4}}, Wide, l, "out of order"},
		"date":        {report.Weeks{Title: "t", Groups: []report.WeeksOf{{Name: "won", Weeks: []report.DatedShare{dated("week 2", "", 3, 9)}}}}, Wide, l, "date \"week 2\""},
		"days":        {report.Weeks{Title: "t", Groups: []report.WeeksOf{{Name: "won", Weeks: []report.DatedShare{dated("2026-09-11", "", 3, 9), dated("2026-09-04", "", 3, 9)}}}}, Wide, l, "out of order"},
		"limit":       {report.Curves{Title: "t", Limit: -1}, Wide, l, "limit"},
		"rising":      {report.Curves{Title: "t", Curves: []report.Curve{{Name: "a", N: 2, Steps: []report.Step{{At: 1, Beaten: 1, Holds: .5, Low: .1, High: .9}, {At: 2, Beaten: 1, Holds: .6, Low: .1, High: .9}}}}}, Wide, l, "out of order"},
		"lost a rush": {report.Curves{Title: "t", Curves: []report.Curve{{Name: "a", N: 3, Steps: []report.Step{{At: 1, Beaten: 1, Holds: .5, Low: .1, High: .9}}}}}, Wide, l, "1 rushes end of 3"},
	} {
		if _, err := Chart(c.chart, c.size, c.look); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

func TestEmptyCharts(t *testing.T) {
	for _, c := range []report.Chart{report.Bars{Title: "t"}, report.Curves{Title: "t"}, report.Strip{Title: "t"}, report.Portions{Title: "t"}, report.Portions{Title: "t", Parts: []string{"a"}}, report.Weeks{Title: "t"}, report.Weeks{Title: "t", Groups: []report.WeeksOf{{Name: "won"}}}} {
		for at, size := range chartSizes {
			s, err := Chart(c, size, chartLook(t, at))
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
	var r report.Bars
	r.Title = "Many"
	for i := range 40 {
		r.Shares = append(r.Shares, share(fmt.Sprintf("group %d", i), i, 60))
	}
	for _, size := range []image.Point{Wide, Paper, Phone, {640, 360}} {
		s, err := Chart(r, size, look(t))
		if err != nil {
			t.Fatal(err)
		}
		bars, more := len(rects(s, bar)), 0
		for _, w := range texts(s) {
			fmt.Sscanf(w.text, "… and %d more", &more) //lint:ignore errcheck most texts are not this one
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
