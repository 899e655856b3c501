package draw

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"trenchcut/tags/report"
)

// pointsChart draws [report.Points].
type pointsChart report.Points

func (c pointsChart) check() error {
	for _, p := range c.Rows {
		if p.At == nil {
			continue
		}
		if p.Low == nil || p.High == nil || !(-1 <= *p.Low && *p.Low <= *p.At && *p.At <= *p.High && *p.High <= 1) || !c.Signed && *p.Low < 0 {
			return errors.New("a figure does not lie within its interval, or the interval outside the scale")
		}
	}
	return nil
}

func (c pointsChart) heading() (title string, lines, small []string) {
	key := "Point: the figure, of 100. Line across it: its 95 % interval. Where the film says too little: the count alone."
	return c.Title, c.Lines, append([]string{key}, c.Small...)
}

func (c pointsChart) rows() (all, most int) { return len(c.Rows), mostChartRows }

// sorted is the rows as drawn: figures from the highest, then counts alone as given.
func (c pointsChart) sorted() []report.Point {
	return slices.SortedStableFunc(slices.Values(c.Rows), func(a, b report.Point) int {
		if a.At == nil || b.At == nil {
			return cmp.Compare(btoi(a.At == nil), btoi(b.At == nil))
		}
		return cmp.Compare(*b.At, *a.At)
	})
}

// of100 is a figure of 1 as of 100, with its sign where c is signed.
func (c pointsChart) of100(x float64) string {
	if r := math.Round(100 * x); c.Signed && r != 0 {
		return fmt.Sprintf("%+.0f", r)
	}
	return percent(math.Abs(x))
}

func (c pointsChart) figure(p report.Point) string {
	if p.At == nil {
		return ""
	}
	between := "–"
	if c.Signed {
		between = " to "
	}
	return fmt.Sprintf("%s (%s%s%s)", c.of100(*p.At), c.of100(*p.Low), between, c.of100(*p.High))
}

func (c pointsChart) desc() string {
	var b strings.Builder
	b.WriteString("Figures of 100 as points. ")
	for _, p := range c.sorted() {
		fmt.Fprintf(&b, "%s: %s", p.Name, p.Count)
		if p.At != nil {
			fmt.Fprintf(&b, ", %s, 95 %% interval %s to %s", c.of100(*p.At), c.of100(*p.Low), c.of100(*p.High))
		}
		b.WriteString(". ")
	}
	return b.String()
}

// reach is how far the scale goes, of 1: from 0 where c is not signed, to both sides where it is.
func (c pointsChart) reach() float64 {
	if !c.Signed {
		return 1
	}
	most := 0.0
	for _, p := range c.Rows {
		if p.At != nil {
			most = max(most, -*p.Low, *p.High)
		}
	}
	for _, reach := range []float64{.1, .2, .4, .6, .8} {
		if most <= reach {
			return reach
		}
	}
	return 1
}

func (c pointsChart) lay(b *board, n int) body {
	if len(c.Rows) == 0 {
		return b.none("Nothing to count.")
	}
	rows := c.sorted()[:n]
	entries := make([]entry, n)
	for i, p := range rows {
		entries[i] = entry{p.Name, p.Count, c.figure(p)}
	}
	t := b.table(entries, n, spare{track: b.line, below: b.scaleHeight()})
	reach, from := c.reach(), 0.0
	if c.Signed {
		from = -reach
	}
	at := func(x float64) float64 { return float64(t.x0) + (x-from)/(reach-from)*float64(t.x1-t.x0) }
	const steps = 4
	var ticks []tick
	for i := range steps + 1 {
		x := from + (reach-from)*float64(i)/steps
		ticks = append(ticks, tick{at(x), c.of100(x)})
	}
	return t.body(filling{
		above: func(int) {},
		rules: func(y0, y1 int) {
			b.rules(ticks, y0, y1)
			if c.Signed {
				b.add(line(guide, at(0), float64(y0), at(0), float64(y1), b.thin(), b.colours.ink))
			}
		},
		scale: func(y int) { b.scale(ticks, y) },
		track: func(i int, row box) { b.point(rows[i], row, at) },
	})
}

// tooLittle stands where a figure would, where there is none.
const tooLittle = "too little to say"

// point draws one figure on its row.
func (b *board) point(p report.Point, row box, at func(float64) float64) {
	if p.At == nil {
		f := b.face(b.line)
		b.plate(int(row.x0)+b.line*3/4, row.middle(), f, shorten(f, []string{tooLittle}, int(row.x1-row.x0)-b.line)[0], b.colours.quiet)
		return
	}
	h := row.y1 - row.y0
	b.add(dot{rep, point{at(*p.At), row.middle()}, h / 3, b.thick(), b.marks()[0], b.colours.ground})
	b.whisker(at(*p.Low), at(*p.High), row.middle(), h/5) // last: it may be narrower than the point
}
