package draw

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

// barsChart draws [report.Bars].
type barsChart report.Bars

func (r barsChart) check() error {
	for _, s := range r.Shares {
		if err := checkShare(planShare(s)); err != nil {
			return err
		}
	}
	return nil
}

// planShare is a share as a slate has it.
func planShare(s stats.Share) plan.Share {
	return plan.Share{Name: s.Name, K: s.K, N: s.N, Low: s.Low, High: s.High, Bar: s.Bar, Unknown: s.Unknown}
}

func (r barsChart) heading() (title string, lines, small []string) {
	key := "Bar: the rate. Line across it: its 95 % interval. Fewer than five: the count alone."
	return r.Title, r.Lines, append([]string{key}, r.Small...)
}

func (r barsChart) rows() (all, most int) { return len(r.Shares), mostChartRows }

// noneSeen stands where a bar would, for a count of none.
const noneSeen = "none seen"

func drawn(s stats.Share) bool { return s.Bar && s.N >= fewest }

func rate(s stats.Share) float64 { return float64(s.K) / float64(max(s.N, 1)) }

// sorted is r's shares as drawn: rates from the highest, then counts from the largest.
func (r barsChart) sorted() []stats.Share {
	if r.AsGiven {
		return r.Shares
	}
	return slices.SortedStableFunc(slices.Values(r.Shares), func(a, b stats.Share) int {
		switch da, db := drawn(a), drawn(b); {
		case da && db:
			return cmp.Or(cmp.Compare(rate(b), rate(a)), cmp.Compare(b.N, a.N), cmp.Compare(a.Name, b.Name))
		case da != db:
			return cmp.Compare(btoi(db), btoi(da))
		}
		return cmp.Or(cmp.Compare(b.N, a.N), cmp.Compare(a.Name, b.Name))
	})
}

func percent(share float64) string { return fmt.Sprintf("%.0f", math.Round(100*share)) }

// figures is a share's rate and interval in words.
func figures(s stats.Share) string {
	if !drawn(s) {
		return ""
	}
	return fmt.Sprintf("%s %% (%s–%s)", percent(rate(s)), percent(s.Low), percent(s.High))
}

func (r barsChart) desc() string {
	var b strings.Builder
	for _, s := range r.sorted() {
		fmt.Fprintf(&b, "%s: %s", s.Name, s.Words())
		if drawn(s) {
			fmt.Fprintf(&b, ", %s %%, 95 %% interval %s to %s %%", percent(rate(s)), percent(s.Low), percent(s.High))
		}
		b.WriteString(". ")
	}
	return "Rates as bars. " + b.String()
}

func (r barsChart) lay(b *board, n int) body {
	if len(r.Shares) == 0 {
		return b.none("Nothing to count.")
	}
	shares := r.sorted()[:n]
	entries := make([]entry, n)
	for i, s := range shares {
		entries[i] = entry{s.Name, fmt.Sprintf("%d of %d", s.K, s.N), figures(s)}
	}
	t := b.table(entries, n, spare{track: b.line, below: b.scaleHeight()})
	at := func(rate float64) float64 { return float64(t.x0) + rate*float64(t.x1-t.x0) }
	var ticks []tick
	for p := 0; p <= 100; p += 25 {
		ticks = append(ticks, tick{at(float64(p) / 100), fmt.Sprint(p)})
	}
	ticks[4].label = "100 %"
	return t.body(filling{
		above: func(int) {},
		rules: func(y0, y1 int) { b.rules(ticks, y0, y1) },
		scale: func(y int) { b.scale(ticks, y) },
		track: func(i int, row box) { b.rate(shares[i], row, at) },
	})
}

func (b *board) rate(s stats.Share, row box, at func(float64) float64) {
	if !drawn(s) {
		f := b.face(b.line)
		says := noBar(s.Unknown)
		if s.N == 0 && s.Unknown == 0 {
			says = noneSeen
		}
		says = shorten(f, []string{says}, int(row.x1-row.x0)-b.line)[0]
		b.plate(int(row.x0)+b.line*3/4, row.middle(), f, says, b.colours.quiet)
		return
	}
	h := row.y1 - row.y0
	b.add(rect{box{row.x0, row.y0 + h/8, at(rate(s)), row.y1 - h/8}, bar, b.marks()[0]})
	b.whisker(at(s.Low), at(s.High), row.middle(), h/5)
}

// plate sets text amid y on a patch of ground, so that no guide or hatch runs through it.
func (b *board) plate(x int, y float64, f *face, s string, c color.NRGBA) {
	top := int(y) - f.spacing()/2
	px, base := float64(f.style.px), float64(top+f.baseline())
	pad := px / 5
	b.add(rect{box{float64(x) - pad, base - .84*px, float64(x+f.width(s)) + pad, base + .28*px}, guide, b.colours.ground})
	b.write(x, top, f, s, c)
}

// whisker is an interval: a line with upright ends, seen on bar and ground alike by its halo.
func (b *board) whisker(x0, x1, y, half float64) {
	w := b.thick()
	for _, l := range []struct {
		is   role
		more float64
	}{{halo, w * .75}, {interval, 0}} {
		c := b.colours.ink
		if l.is == halo {
			c = b.colours.ground
		}
		m := l.more
		b.add(
			rect{box{x0 - m, y - w/2 - m, x1 + m, y + w/2 + m}, l.is, c},
			rect{box{x0 - w/2 - m, y - half - m, x0 + w/2 + m, y + half + m}, guide, c},
			rect{box{x1 - w/2 - m, y - half - m, x1 + w/2 + m, y + half + m}, guide, c},
		)
	}
}
