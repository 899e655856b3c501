package draw

import (
	"bytes"
	"fmt"
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"trenchcut/tags"
	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

func sceneFor(t *testing.T, c report.Chart, at string) Scene {
	t.Helper()
	s, err := Chart(c, chartSizes[at], chartLook(t, at))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func svg(t *testing.T, s Scene) string {
	t.Helper()
	var b bytes.Buffer
	if err := s.SVG(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

// TestBarsAreAsLongAsRates: bars start at one place and grow with the rate, from the
// highest down, and the intervals end where they say, all on the scale from 0 to 100.
func TestBarsAreAsLongAsRates(t *testing.T) {
	r := rand.New(rand.NewSource(8))
	for range 50 {
		c := report.Bars{Title: "t"}
		for i := range 1 + r.Intn(9) {
			n := r.Intn(60)
			c.Shares = append(c.Shares, share(fmt.Sprint("group ", i), r.Intn(n+1), n))
		}
		for at := range chartSizes {
			s := sceneFor(t, c, at)
			grid := strokes(s, guide)
			bars, intervals := rects(s, bar), rects(s, interval)
			want := barsChart(c).sorted()
			shown := slices.IndexFunc(want, func(s stats.Share) bool { return s.N < fewest })
			if shown >= 0 {
				want = want[:shown]
			}
			if len(bars) != len(want) || len(intervals) != len(want) {
				t.Fatalf("%d bars and %d intervals for %d rates", len(bars), len(intervals), len(want))
			}
			if len(grid) < 5 {
				t.Fatalf("%d lines of a grid", len(grid))
			}
			x0, x1 := grid[0].lines[0][0].x, grid[4].lines[0][0].x // 0 and 100
			last := 1.0
			for i, b := range bars {
				w := want[i]
				rate := float64(w.K) / float64(w.N)
				if rate > last {
					t.Errorf("%g comes after %g", rate, last)
				}
				last = rate
				if !near(b.x0, x0) || !near(b.x1-b.x0, rate*(x1-x0)) {
					t.Errorf("%s: bar from %g to %g for %g on %g to %g", at, b.x0, b.x1, rate, x0, x1)
				}
				if v := intervals[i]; !near(v.x0, x0+w.Low*(x1-x0)) || !near(v.x1, x0+w.High*(x1-x0)) || v.x0 < x0-1e-6 || v.x1 > x1+1e-6 {
					t.Errorf("%s: interval from %g to %g for %g to %g on %g to %g", at, v.x0, v.x1, w.Low, w.High, x0, x1)
				}
			}
		}
	}
}

func TestFewAreCountsAlone(t *testing.T) {
	c := report.Bars{Title: "t", Shares: append(moveRates.Shares[:0:0], share("spin", 3, 4), share("ghost", 0, 0))}
	c.Shares[0].Bar = true // whoever asks
	for at := range chartSizes {
		s := sceneFor(t, c, at)
		if n := len(rects(s, bar)) + len(rects(s, interval)); n != 0 {
			t.Errorf("%s: %d marks", at, n)
		}
		all := svg(t, s)
		for _, want := range []string{"3 of 4", tooFew, "0 of 0", noneSeen} {
			if !strings.Contains(all, ">"+want+"<") {
				t.Errorf("%s: %q is not said", at, want)
			}
		}
		if strings.Contains(s.Desc, "%") {
			t.Errorf("a rate in %q", s.Desc)
		}
	}
}

func TestOrderOfRepsChangesNothing(t *testing.T) {
	r := rand.New(rand.NewSource(9))
	rates, strip := moveRates, getoffs()
	wantRates, wantStrip := svg(t, sceneFor(t, rates, "wide")), svg(t, sceneFor(t, strip, "wide"))
	for range 20 {
		rates.Shares = slices.Clone(rates.Shares)
		r.Shuffle(len(rates.Shares), func(i, j int) { rates.Shares[i], rates.Shares[j] = rates.Shares[j], rates.Shares[i] })
		strip.Rows = slices.Clone(strip.Rows)
		r.Shuffle(len(strip.Rows), func(i, j int) { strip.Rows[i], strip.Rows[j] = strip.Rows[j], strip.Rows[i] })
		for i, row := range strip.Rows {
			row.Times = slices.Clone(row.Times)
			r.Shuffle(len(row.Times), func(i, j int) { row.Times[i], row.Times[j] = row.Times[j], row.Times[i] })
			strip.Rows[i] = row
		}
		if svg(t, sceneFor(t, rates, "wide")) != wantRates {
			t.Fatal("rates depend on the order of shares")
		}
		if svg(t, sceneFor(t, strip, "wide")) != wantStrip {
			t.Fatal("the strip depends on the order of reps")
		}
	}
}

// curvesOf is the curves of a scene, each with the thin part that goes on from it.
func curvesOf(s Scene) []stroke {
	var list []stroke
	for _, sh := range s.shapes {
		k, ok := sh.(stroke)
		if !ok || k.is != series && k.is != fading {
			continue
		}
		k.colour.A = 255
		if n := len(list); k.is == fading && n > 0 && list[n-1].colour == k.colour {
			list[n-1].lines = [][]point{slices.Compact(slices.Concat(list[n-1].lines[0], k.lines[0]))}
			continue
		}
		list = append(list, k)
	}
	return list
}

// A curve is thin from where fewer than ten rushes are still going.
func TestCurvesFade(t *testing.T) {
	k := curve("a", rand.New(rand.NewSource(2)), 60, 2)
	s := sceneFor(t, report.Curves{Title: "t", Until: 4, Curves: []report.Curve{k}}, "wide")
	full, thin := strokes(s, series), strokes(s, fading)
	if len(full) != 1 || len(thin) != 1 || thin[0].width >= full[0].width/2+1 || thin[0].colour.A == 255 {
		t.Fatalf("%d full and %d thin: %v", len(full), len(thin), thin)
	}
	grid := strokes(s, guide)[0].lines[0]
	line := full[0].lines[0]
	at := (line[len(line)-1].x - grid[0].x) / (grid[1].x - grid[0].x) * 4
	if before, after := watched(k, at-.001), watched(k, at+.001); before < 10 || after >= 10 {
		t.Errorf("it fades at %g s, where %d and then %d are still going", at, before, after)
	}
	if !strings.Contains(svg(t, s), "Thin: fewer than 10") {
		t.Error("what thin means is not said")
	}
	few := sceneFor(t, report.Curves{Title: "t", Until: 4, Curves: []report.Curve{curve("a", rand.New(rand.NewSource(2)), 7, 2)}}, "wide")
	if len(strokes(few, series)) != 0 || len(strokes(few, fading)) != 1 {
		t.Error("a curve of seven is drawn as one of many")
	}
}

// TestCurvesStepDown: each curve runs from all at the snap, to the right and down, and
// where it steps is where its steps are.
func TestCurvesStepDown(t *testing.T) {
	for at := range chartSizes {
		c := fourCurves()
		c.Until = 4
		s := sceneFor(t, c, at)
		grid := strokes(s, guide)
		y1, y0 := grid[0].lines[0][0].y, grid[4].lines[0][0].y // 0 and 100 %
		x0, x1 := grid[0].lines[0][0].x, grid[0].lines[0][1].x
		curves := curvesOf(s)
		if len(curves) != mostCurves {
			t.Fatalf("%d curves", len(curves))
		}
		for i, k := range curves {
			l := k.lines[0]
			for j := 1; j < len(l); j++ {
				if l[j].x < l[j-1].x || l[j].y < l[j-1].y || l[j].x != l[j-1].x && l[j].y != l[j-1].y {
					t.Fatalf("%s: from %v to %v", at, l[j-1], l[j])
				}
			}
			if !near(l[0].x, x0) || !near(l[0].y, y0) {
				t.Errorf("%s: starts at %v, want %g, %g", at, l[0], x0, y0)
			}
			for _, step := range c.Curves[i].Steps {
				if watched(c.Curves[i], step.At) < fewest {
					if x := x0 + (x1-x0)*step.At/4; l[len(l)-1].x > x {
						t.Errorf("%s: drawn past %g, where fewer than %d are still going", at, x, fewest)
					}
					continue
				}
				want := point{x0 + (x1-x0)*step.At/4, y1 - (y1-y0)*step.Holds}
				if !slices.ContainsFunc(l, func(p point) bool { return near(p.x, want.x) && near(p.y, want.y) }) {
					t.Errorf("%s: no step at %v", at, want)
				}
			}
			seen := map[string]bool{}
			for j, o := range curves {
				seen[fmt.Sprint(o.dash)] = true
				if i != j && o.colour == k.colour {
					t.Error("two curves have one colour")
				}
			}
			if len(seen) != len(curves) {
				t.Error("curves differ by colour alone")
			}
		}
		if l := strokes(s, limit); len(l) != 1 || !near(l[0].lines[0][0].x, x0+(x1-x0)*2.5/4) {
			t.Errorf("%s: limit at %v", at, l)
		}
		if len(strokes(s, censored)) != mostCurves {
			t.Errorf("%s: %d curves have ticks", at, len(strokes(s, censored)))
		}
	}
}

// TestWatched holds the numbers below the curves against those stats has at each step.
func TestWatched(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	var watches []stats.Watch
	k := report.Curve{Name: "a", N: 80}
	for range k.N {
		until := tags.Time(1+r.Intn(40)) * 100 * tags.Millisecond // many at one time
		beat := r.Intn(2) == 0
		watches = append(watches, stats.Watch{Until: until, Beat: beat})
		if !beat {
			k.Censored = append(k.Censored, until.Seconds())
		}
	}
	steps := stats.KaplanMeier(watches).Steps
	for _, s := range steps {
		k.Steps = append(k.Steps, report.Step{At: s.At.Seconds(), Beaten: s.Beaten, Holds: s.Holds, Low: s.Low, High: s.High})
	}
	if len(steps) < 10 {
		t.Fatalf("%d steps", len(steps))
	}
	for _, s := range steps {
		if got := watched(k, s.At.Seconds()); got != s.AtRisk {
			t.Errorf("at %v %d are watched, want %d", s.At, got, s.AtRisk)
		}
	}
	s := sceneFor(t, report.Curves{Title: "t", Until: 4, Curves: []report.Curve{k}}, "wide")
	for at := 0.0; at <= 4; at += .5 {
		want := 0
		for _, w := range watches {
			want += btoi(w.Until.Seconds() >= at-1e-9)
		}
		if !slices.ContainsFunc(texts(s), func(w words) bool { return w.text == fmt.Sprint(want) }) {
			t.Errorf("%d watched at %g s are not said", want, at)
		}
	}
}

// Of the share beaten the curve is that of those who hold upside down, and rushes with no end
// marked are never said to be still going.
func TestBeatenRises(t *testing.T) {
	k := curve("a", rand.New(rand.NewSource(2)), 60, 2)
	holds := report.Curves{Title: "t", Until: 4, Curves: []report.Curve{k}}
	beaten := holds
	beaten.Beaten = true
	down, up := curvesOf(sceneFor(t, holds, "wide"))[0].lines[0], curvesOf(sceneFor(t, beaten, "wide"))[0].lines[0]
	if len(down) != len(up) || len(down) < 20 {
		t.Fatalf("%d and %d points", len(down), len(up))
	}
	for i := range down {
		if !near(down[i].x, up[i].x) || !near(down[i].y-down[0].y, up[0].y-up[i].y) {
			t.Fatalf("point %d: %v holds, %v beaten", i, down[i], up[i])
		}
	}
	k.N, k.Untimed = k.N+7, 7
	if watched(k, 0) != 60 {
		t.Errorf("%d are still going at the snap, want 60", watched(k, 0))
	}
}

func TestFewRushesHaveNoCurve(t *testing.T) {
	few := curve("few", rand.New(rand.NewSource(1)), fewest-1, 2)
	for at := range chartSizes {
		s := sceneFor(t, report.Curves{Title: "t", Limit: 2.5, Bands: true, Curves: []report.Curve{few, {Name: "none"}}}, at)
		if n := len(curvesOf(s)) + len(strokes(s, censored)); n != 0 {
			t.Errorf("%d strokes", n)
		}
		if !strings.Contains(svg(t, s), "too few") || strings.Contains(s.Desc, "%") {
			t.Errorf("%s: few are not told from many: %s", at, s.Desc)
		}
	}
}

func TestBandEndsWhereItSaysNothing(t *testing.T) {
	// The last five of all are beaten at once: from there the interval is 0 to 1.
	k := report.Curve{Name: "a", N: 10}
	for i := range 6 {
		holds := float64(9-i) / 10
		s := report.Step{At: 1 + .2*float64(i), Beaten: 1, Holds: holds, Low: holds / 2, High: (1 + holds) / 2}
		if i == 5 {
			s.Beaten, s.Holds, s.Low, s.High = 5, 0, 0, 1
		}
		k.Steps = append(k.Steps, s)
	}
	s := sceneFor(t, report.Curves{Title: "t", Until: 4, Bands: true, Curves: []report.Curve{k}}, "wide")
	line := curvesOf(s)[0].bounds()
	found := false
	for _, sh := range s.shapes {
		if a, ok := sh.(area); ok {
			found = true
			if b := a.bounds(); b.y1 >= line.y1-2 || b.x1 > line.x1 {
				t.Errorf("the band covers %v, the curve %v", b, line)
			}
			for i, p := range a.points[1:] {
				if q := a.points[i]; p.x != q.x && p.y != q.y {
					t.Errorf("the band slants from %v to %v", q, p)
				}
			}
		}
	}
	if !found {
		t.Error("no band")
	}
}

// TestDotsAreWhereTheirTimesAre: one dot a rep, on one scale with the group's band.
func TestDotsAreWhereTheirTimesAre(t *testing.T) {
	c := getoffs()
	for at := range chartSizes {
		s := sceneFor(t, c, at)
		var want, got []float64
		for _, r := range c.Rows {
			want = append(want, r.Times...)
		}
		for _, sh := range s.shapes {
			if d, ok := sh.(dot); ok {
				got = append(got, d.at.x)
			}
		}
		if len(got) != len(want) {
			t.Fatalf("%s: %d dots for %d reps", at, len(got), len(want))
		}
		slices.Sort(want)
		slices.Sort(got)
		g := rects(s, band)[0]
		perSecond := (g.x1 - g.x0) / (c.Group.High - c.Group.Low)
		for i := range want {
			if x := g.x0 + (want[i]-c.Group.Low)*perSecond; math.Abs(x-got[i]) > 1e-6 {
				t.Errorf("%s: %g s at %g, want %g", at, want[i], got[i], x)
			}
		}
		if means := rects(s, mean); len(means) != 5 || !near((means[0].x0+means[0].x1)/2, g.x0+(stripChart(c).sorted()[0].Mean-c.Group.Low)*perSecond) {
			t.Errorf("%s: %d means, the first at %v", at, len(means), means)
		}
	}
}

// TestPartsAreAsLongAsCounts: parts share out each bar's whole length, none differs from
// its neighbours by colour alone, and each count is said.
func TestPartsAreAsLongAsCounts(t *testing.T) {
	for at := range chartSizes {
		s := sceneFor(t, families, at)
		parts := rects(s, portion)
		said := strings.Join(strings.Fields(strings.Map(func(r rune) rune {
			if r == '·' {
				return ' '
			}
			return r
		}, allText(s))), " ")
		length := 0.0
		i := 0
		for _, r := range families.Rows {
			if sum(r) < fewest {
				continue
			}
			x := parts[i].x0
			for j, c := range r.Counts {
				if c == 0 {
					continue
				}
				p := parts[i]
				i++
				if length == 0 {
					length = (p.x1 - p.x0) / float64(c) * float64(sum(r))
				}
				if !near(p.x0, x) || !near(p.x1-p.x0, length*float64(c)/float64(sum(r))) {
					t.Errorf("%s, %s: part from %g to %g for %d of %d", at, r.Name, p.x0, p.x1, c, sum(r))
				}
				x = p.x1
				if full := fmt.Sprintf("%s %d", families.Parts[j], c); !strings.Contains(said, full) && !slices.ContainsFunc(texts(s), func(w words) bool {
					return w.text == fmt.Sprint(c) && float64(w.x) > p.x0 && float64(w.x+w.width) < p.x1 && float64(w.base) > p.y0 && float64(w.base) < p.y1
				}) {
					t.Errorf("%s, %s: %s is not said", at, r.Name, full)
				}
			}
		}
		if i != len(parts) || i < 10 {
			t.Errorf("%s: %d parts, want %d", at, len(parts), i)
		}
	}
}

func allText(s Scene) string {
	var b strings.Builder
	for _, w := range texts(s) {
		b.WriteString(w.text + "\n")
	}
	return b.String()
}

func TestPatternsDiffer(t *testing.T) {
	fs := faces{}
	defer fs.done()
	p, err := newPalette(PaperLook(look(t)))
	if err != nil {
		t.Fatal(err)
	}
	b := &board{faces: fs, look: look(t), colours: p, size: Wide}
	seen := map[string]int{}
	for i := range mostParts {
		b.set(100)
		b.pattern(i, box{10, 10, 90, 40})
		for j, sh := range b.shapes { // without colour
			switch v := sh.(type) {
			case rect:
				v.fill.R, v.fill.G, v.fill.B = 0, 0, 0
				b.shapes[j] = v
			case stroke:
				v.colour = p.ink
				b.shapes[j] = v
			}
			if o := (box{10, 10, 90, 40}); len(boundsOf(sh).corners()) > 0 && !o.holds(boundsOf(sh)) && boundsOf(sh).x0 < 1e9 {
				t.Errorf("pattern %d leaves its box: %v", i, boundsOf(sh))
			}
		}
		key := fmt.Sprint(b.shapes)
		if other, ok := seen[key]; ok {
			t.Errorf("patterns %d and %d differ by colour alone", other, i)
		}
		seen[key] = i
	}
}

func TestManyPartsBecomeOther(t *testing.T) {
	c := report.Portions{Title: "t", Parts: strings.Split("abcdefghi", ""), Rows: []report.PortionsRow{{Name: "1st", Counts: []int{9, 8, 7, 6, 5, 4, 3, 2, 1}}}}
	s := sceneFor(t, c, "wide")
	if got := len(rects(s, portion)); got != mostParts {
		t.Errorf("%d parts", got)
	}
	if !strings.Contains(s.Desc, "other 10") || !strings.Contains(s.Desc, "45 in all") {
		t.Errorf("desc %q", s.Desc)
	}
	if c.Parts[5] != "f" || c.Rows[0].Counts[5] != 4 {
		t.Error("the description was changed")
	}
}

func TestDashes(t *testing.T) {
	s := stroke{lines: [][]point{{{0, 0}, {10, 0}, {10, 10}}}, width: 1, dash: []float64{4, 2}}
	var got []string
	for _, l := range s.broken() {
		got = append(got, fmt.Sprint(l))
	}
	want := "[{0 0} {4 0}] [{6 0} {10 0}] [{10 2} {10 6}] [{10 8} {10 10}]"
	if g := strings.Join(got, " "); g != want {
		t.Errorf("%s, want %s", g, want)
	}
}

func TestTwoChartsOnOnePage(t *testing.T) {
	a, b := svg(t, sceneFor(t, moveRates, "phone")), svg(t, sceneFor(t, families, "phone"))
	id := func(s string) string { return s[strings.Index(s, "aria-labelledby"):][:40] }
	if id(a) == id(b) {
		t.Error("two charts have one id")
	}
	if a != svg(t, sceneFor(t, moveRates, "phone")) {
		t.Error("the same chart gives other bytes")
	}
}

func TestSecondsAxis(t *testing.T) {
	fs := faces{}
	defer fs.done()
	f := fs.get(false, 16)
	for _, c := range []struct {
		start, end float64
		want       string
	}{
		{0, 4, "0.0 0.5 1.0 1.5 2.0 2.5 3.0 3.5 4.0"},
		{0, 3.3, "0.0 0.5 1.0 1.5 2.0 2.5 3.0 3.5"},
		{.16, .39, "0.15 0.20 0.25 0.30 0.35 0.40"},
		{.2, .2, "0.20 0.21 0.22 0.23 0.24 0.25 0.26 0.27 0.28 0.29 0.30"},
		{0, 60, "0 10 20 30 40 50 60"},
	} {
		a := secondsAxis(f, 100, 900, c.start, c.end)
		ticks, times := a.ticks()
		var got []string
		for i, k := range ticks {
			got = append(got, k.label)
			if !near(k.x, a.at(times[i])) || k.x < 100-1e-6 || k.x > 900+1e-6 {
				t.Errorf("tick %s at %g", k.label, k.x)
			}
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("from %g to %g: %s, want %s", c.start, c.end, g, c.want)
		}
	}
}

// Weeks stand where their dates are, at their rates, and one of too few reps has no point.
func TestWeeksToScale(t *testing.T) {
	for at := range chartSizes {
		s := sceneFor(t, weeks, at)
		grid := strokes(s, guide)
		y1, y0 := grid[0].lines[0][0].y, grid[4].lines[0][0].y // 0 and 100 %
		var dots []point
		for _, sh := range s.shapes {
			if d, ok := sh.(dot); ok {
				dots = append(dots, d.at)
			}
		}
		days := []float64{0, 7, 28, 35, 56, 63} // of the weeks with a point
		rates := []float64{3. / 9, 2. / 9, 5. / 14, 6. / 13, 9. / 12, 7. / 11}
		if len(dots) != len(days) {
			t.Fatalf("%s: %d points", at, len(dots))
		}
		for i, d := range dots {
			x := dots[0].x + (dots[5].x-dots[0].x)*days[i]/63
			if math.Abs(d.x-x) > 1 || math.Abs(d.y-(y1-(y1-y0)*rates[i])) > .01 {
				t.Errorf("%s: point %d is at %v, want %g and %g", at, i, d, x, y1-(y1-y0)*rates[i])
			}
		}
		lines := strokes(s, series)
		for i, l := range lines {
			if l.lines[0][0] != dots[i] || l.lines[0][1] != dots[i+1] {
				t.Errorf("%s: line %d goes from %v to %v", at, i, l.lines[0][0], l.lines[0][1])
			}
		}
		whiskers := strokes(s, interval)
		if len(lines) != 5 || len(whiskers) != 6 {
			t.Fatalf("%s: %d lines, %d intervals", at, len(lines), len(whiskers))
		}
		low, high := stats.Count{K: 3, N: 9}.Interval()
		if w := whiskers[0].lines[0]; math.Abs(w[0].y-(y1-(y1-y0)*high)) > .01 || math.Abs(w[1].y-(y1-(y1-y0)*low)) > .01 {
			t.Errorf("%s: the interval is %v", at, w)
		}
		if !strings.Contains(s.Desc, "2026-09-25 Mesa, 1 of 3;") {
			t.Errorf("%s: %s", at, s.Desc)
		}
	}
}
