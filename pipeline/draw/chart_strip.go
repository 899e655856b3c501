package draw

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/report"
)

// stripChart draws [report.Strip].
type stripChart report.Strip

// mostSeconds bounds what a scale of seconds shows.
const mostSeconds = 60

func seconds(v float64) bool { return v >= 0 && v <= mostSeconds } // NaN fails too

// A rusher who guesses the count is off before the snap, and not always flagged.
func (s stripChart) check() error {
	for _, r := range s.Rows {
		for _, t := range append([]float64{r.Mean}, r.Times...) {
			if !seconds(math.Abs(t)) {
				return fmt.Errorf("row %q: %g s, want -%d to %[3]d", r.Name, t, mostSeconds)
			}
		}
	}
	if g := s.Group; g.Name != "" && !(-mostSeconds <= g.Low && g.Low <= g.Mean && g.Mean <= g.High && g.High <= mostSeconds) {
		return errors.New("the group's band is out of order")
	}
	return nil
}

func (s stripChart) heading() (title string, lines, small []string) {
	key := "Dot: one rep; how high it stands in its row means nothing. Upright bar: his mean, from five reps on."
	if s.Group.Name != "" {
		key += " Band: " + s.Group.Name + "; dashed line: its mean."
	}
	return s.Title, s.Lines, append([]string{key}, s.Small...)
}

func (s stripChart) rows() (all, most int) { return len(s.Rows), mostChartRows }

func enoughTimes(r report.StripRow) bool { return len(r.Times) >= fewest }

func (s stripChart) sorted() []report.StripRow {
	return slices.SortedStableFunc(slices.Values(s.Rows), func(a, b report.StripRow) int {
		if ea, eb := enoughTimes(a), enoughTimes(b); ea != eb {
			return cmp.Compare(btoi(eb), btoi(ea))
		} else if ea {
			return cmp.Or(cmp.Compare(a.Mean, b.Mean), cmp.Compare(a.Name, b.Name))
		}
		return cmp.Or(cmp.Compare(len(b.Times), len(a.Times)), cmp.Compare(a.Name, b.Name))
	})
}

func (s stripChart) desc() string {
	var b strings.Builder
	b.WriteString("Times in seconds, a dot a rep. ")
	if g := s.Group; g.Name != "" {
		fmt.Fprintf(&b, "%s: %.2f to %.2f, mean %.2f. ", g.Name, g.Low, g.High, g.Mean)
	}
	for _, r := range s.sorted() {
		fmt.Fprintf(&b, "%s: %s", r.Name, tags.Count(len(r.Times), "rep"))
		if len(r.Times) > 0 {
			fmt.Fprintf(&b, ", %.2f to %.2f", slices.Min(r.Times), slices.Max(r.Times))
		}
		if enoughTimes(r) {
			fmt.Fprintf(&b, ", mean %.2f", r.Mean)
		}
		b.WriteString(". ")
	}
	return b.String()
}

// niceStep is the least of 1, 2 or 5 times a power of ten that is at least v.
func niceStep(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 2, 5} {
		if m*p >= v*(1-1e-9) {
			return m * p
		}
	}
	return 10 * p
}

// axis is a scale of seconds over pixels x0 to x1.
type axis struct {
	x0, x1           float64
	start, end, step float64 // seconds
}

// secondsAxis reaches at least from start to end, by whole steps; its numbers stand apart
// in f.
func secondsAxis(f *face, x0, x1 int, start, end float64) axis {
	end = max(end, start+.1)
	room := max(float64(x1-x0)/float64(f.width("0.00")*2), 1)
	step := niceStep((end - start) / min(room, 10))
	return axis{float64(x0), float64(x1), math.Floor(start/step+1e-9) * step, math.Ceil(end/step-1e-9) * step, step}
}

func (a axis) at(t float64) float64 {
	return a.x0 + (a.x1-a.x0)*min(max((t-a.start)/(a.end-a.start), 0), 1)
}

// ticks are at a's whole steps, each with the time it is at.
func (a axis) ticks() (list []tick, times []float64) {
	places := max(0, int(math.Ceil(-math.Log10(a.step)-1e-9)))
	for i := int(math.Round(a.start / a.step)); float64(i)*a.step <= a.end*(1+1e-9); i++ {
		t := float64(i) * a.step
		list = append(list, tick{a.at(t), fmt.Sprintf("%.*f", places, t)})
		times = append(times, t)
	}
	return list, times
}

func (s stripChart) lay(b *board, n int) body {
	if len(s.Rows) == 0 {
		return b.none("No get-off is marked.")
	}
	rows := s.sorted()[:n]
	entries := make([]entry, n)
	g := s.Group
	start, end := math.Inf(1), 0.0
	reach := func(t float64) { start, end = min(start, t), max(end, t) }
	if g.Name != "" {
		reach(g.Low)
		reach(g.High)
	}
	for i, r := range rows {
		entries[i] = entry{r.Name, tags.Count(len(r.Times), "rep"), ""}
		if enoughTimes(r) {
			entries[i].figure = fmt.Sprintf("mean %.2f s", r.Mean)
			reach(r.Mean)
		}
		for _, t := range r.Times {
			reach(t)
		}
	}
	f := b.face(b.small)
	above := 0
	if s.Group.Name != "" {
		above = f.spacing() + b.small/2
	}
	t := b.table(entries, n, spare{track: b.line * 9 / 5, above: above, below: b.scaleHeight()})
	// A little room at both ends, so that no dot stands on the edge.
	margin := max((end-start)/20, .01)
	from := min(start, end) - margin
	if start >= 0 {
		from = max(from, 0)
	}
	a := secondsAxis(f, t.x0, t.x1, from, end+margin)
	ticks, _ := a.ticks()
	ticks[len(ticks)-1].label += " s"
	return t.body(filling{
		above: func(y int) {
			if g.Name != "" {
				says := shorten(f, []string{fmt.Sprintf("%s: %.2f–%.2f s, mean %.2f s", g.Name, g.Low, g.High, g.Mean)}, b.right-b.left)[0]
				w := f.width(says)
				b.write(min(max(int(a.at(g.Mean))-w/2, b.left), b.right-w), y, f, says, b.colours.ink)
			}
		},
		rules: func(y0, y1 int) {
			b.rules(ticks, y0, y1)
			if g.Name != "" {
				b.group(box{a.at(g.Low), float64(y0), a.at(g.High), float64(y1)}, a.at(g.Mean))
			}
		},
		scale: func(y int) { b.scale(ticks, y) },
		track: func(i int, row box) { b.dots(rows[i], row, a) },
	})
}

// group draws the band that rows are held against, its mean at x.
func (b *board) group(in box, x float64) {
	tint := b.colours.quiet
	tint.A = 0x24
	b.add(
		rect{in, band, tint},
		line(guide, in.x0, in.y0, in.x0, in.y1, b.thin(), b.colours.quiet),
		line(guide, in.x1, in.y0, in.x1, in.y1, b.thin(), b.colours.quiet),
		line(guide, x, in.y0, x, in.y1, b.thick()*.75, b.colours.quiet, float64(b.line)/3, float64(b.line)/4),
	)
}

// dots draws a row's reps and its mean.
func (b *board) dots(r report.StripRow, row box, a axis) {
	h := row.y1 - row.y0
	radius := min(float64(b.line)*.3, h/4)
	for i, v := range slices.Sorted(slices.Values(r.Times)) {
		// Steps of the golden ratio never bunch; by rank, so order does not matter.
		_, lift := math.Modf(float64(i+1) * math.Phi)
		y := row.y0 + radius + (h-2*radius)*lift
		b.add(dot{rep, point{a.at(v), y}, radius, radius * .3, b.marks()[0], b.colours.ground})
	}
	if enoughTimes(r) {
		x, w := a.at(r.Mean), b.thick()
		b.add(rect{box{x - w, row.y0, x + w, row.y1}, halo, b.colours.ground})
		b.add(rect{box{x - w/2, row.y0, x + w/2, row.y1}, mean, b.colours.ink})
	}
}
