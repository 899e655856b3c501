package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"maps"
	"math/rand"
	"slices"
	"testing"
	"time"

	"trenchcut/pipeline/plan"
	"trenchcut/tags/report"
)

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

func randomChart(r *rand.Rand) report.Chart {
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
	switch r.Intn(6) {
	case 0:
		c := report.Bars{Title: title, Lines: lines, Small: small}
		for range rows {
			n := count()
			c.Shares = append(c.Shares, share(randomName(r), r.Intn(n+1), n))
		}
		return c
	case 1:
		c := report.Curves{Title: title, Lines: lines, Small: small, Limit: []float64{0, 2.5, 3.7}[r.Intn(3)], Bands: r.Intn(2) == 0, Beaten: r.Intn(2) == 0, Until: []float64{0, 0, 3.3, 4}[r.Intn(4)]}
		for range rows {
			k := curve(randomName(r), r, min(count(), 200), 1+2*r.Float64())
			if r.Intn(3) == 0 {
				k.Untimed = r.Intn(30)
				k.N += k.Untimed
			}
			c.Curves = append(c.Curves, k)
		}
		return c
	case 2:
		c := report.Strip{Title: title, Lines: lines, Small: small}
		if r.Intn(2) == 0 {
			c.Group = report.Group{Name: "group " + randomName(r), Low: .1 * r.Float64(), Mean: .1 + .1*r.Float64(), High: .2 + r.Float64()}
		}
		for range rows {
			row := report.StripRow{Name: randomName(r), Mean: r.Float64()}
			for range min(count(), 60) {
				row.Times = append(row.Times, r.Float64()*[]float64{.1, .5, 3}[r.Intn(3)])
			}
			c.Rows = append(c.Rows, row)
		}
		return c
	case 3:
		c := report.Points{Title: title, Lines: lines, Small: small, Signed: r.Intn(2) == 0}
		for range rows {
			p := report.Point{Name: randomName(r), Count: fmt.Sprintf("%d of %d", r.Intn(40), 40)}
			if r.Intn(4) > 0 {
				x := []float64{r.Float64(), r.Float64(), r.Float64()}
				slices.Sort(x)
				for i := range x {
					if c.Signed {
						x[i] = (2*x[i] - 1) * .3
					}
				}
				p.Estimate = report.Estimate{Low: &x[0], At: &x[1], High: &x[2]}
			}
			c.Rows = append(c.Rows, p)
		}
		return c
	case 4:
		c := report.Weeks{Title: title, Lines: lines, Small: small}
		for range r.Intn(6) {
			g := report.WeeksOf{Name: randomName(r)}
			day := time.Date(2026, time.August, 1+r.Intn(40), 0, 0, 0, 0, time.UTC)
			for range r.Intn(25) {
				day = day.AddDate(0, 0, 1+r.Intn(1+r.Intn(30)))
				if n := count(); n > 0 {
					g.Weeks = append(g.Weeks, dated(day.Format(time.DateOnly), randomName(r), r.Intn(n+1), n))
				}
			}
			c.Groups = append(c.Groups, g)
		}
		return c
	default:
		c := report.Portions{Title: title, Lines: lines, Small: small, Parts: make([]string, r.Intn(9))}
		for i := range c.Parts {
			c.Parts[i] = randomName(r)
		}
		for range rows {
			row := report.PortionsRow{Name: randomName(r), Counts: make([]int, len(c.Parts))}
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
		s, err := Chart(c, size, l)
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
			s, err := Chart(chart, size, chartLook(t, at))
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
					} else if boundsOf(sh).meets(box{x - 1, y - 1, x + 1, y + 1}) && is == bar {
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
				if !ok || slices.ContainsFunc(s.shapes[i+1:], func(o shape) bool { return boundsOf(o).meets(d.bounds()) }) {
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
