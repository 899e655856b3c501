package draw

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"trenchcut/tags/report"
)

// weeksChart draws [report.Weeks].
type weeksChart report.Weeks

func (c weeksChart) check() error {
	for _, g := range c.Groups {
		last := ""
		for _, w := range g.Weeks {
			if _, err := time.Parse(time.DateOnly, w.Date); err != nil {
				return fmt.Errorf("group %q: date %q, want year, month and day as 2026-09-12", g.Name, w.Date)
			}
			if w.Date <= last {
				return fmt.Errorf("group %q: date %s is out of order", g.Name, w.Date)
			}
			if err := checkShare(planShare(w.Share)); err != nil {
				return fmt.Errorf("group %q: %w", g.Name, err)
			}
			last = w.Date
		}
	}
	return nil
}

func (c weeksChart) heading() (title string, lines, small []string) {
	key := "Point: the rate of one date. Upright line: its 95 % interval. Fewer than five: the count alone. Dates are to scale."
	return c.Title, c.Lines, append([]string{key}, c.Small...)
}

func (c weeksChart) rows() (all, most int) { return len(c.Groups), mostCurves }

func (c weeksChart) desc() string {
	var b strings.Builder
	b.WriteString("A rate from date to date. ")
	for _, g := range c.Groups {
		fmt.Fprintf(&b, "%s: ", g.Name)
		for i, w := range g.Weeks {
			if i > 0 {
				b.WriteString("; ")
			}
			fmt.Fprintf(&b, "%s, %s", strings.TrimSpace(w.Date+" "+w.Name), w.Words())
			if drawn(w.Share) {
				fmt.Fprintf(&b, ", %s %%, 95 %% interval %s to %s %%", percent(rate(w.Share)), percent(w.Low), percent(w.High))
			}
		}
		b.WriteString(". ")
	}
	return b.String()
}

// weekDate is one date on the scale: where it stands and whom they played.
type weekDate struct {
	day     time.Time
	at      int
	against string
}

// dates are those of the groups, each once, on a scale from x0 to x1.
func (c weeksChart) dates(groups []report.WeeksOf, x0, x1 int) []weekDate {
	var list []weekDate
	for _, g := range groups {
		for _, w := range g.Weeks {
			day, err := time.Parse(time.DateOnly, w.Date)
			if err == nil && !slices.ContainsFunc(list, func(d weekDate) bool { return d.day.Equal(day) }) {
				list = append(list, weekDate{day: day, against: w.Name})
			}
		}
	}
	slices.SortFunc(list, func(a, b weekDate) int { return a.day.Compare(b.day) })
	for i := range list {
		first, all := list[0].day, list[len(list)-1].day.Sub(list[0].day)
		list[i].at = (x0 + x1) / 2
		if all > 0 {
			list[i].at = x0 + int(float64(x1-x0)*float64(list[i].day.Sub(first))/float64(all))
		}
	}
	return list
}

// dayWords is a date as short as a scale needs it; the year stands where it is a new one.
func dayWords(dates []weekDate, i int) string {
	d := dates[i].day
	if i > 0 && dates[i-1].day.Year() != d.Year() {
		return d.Format("Jan 2, 2006")
	}
	return d.Format("Jan 2")
}

func (c weeksChart) lay(b *board, n int) body {
	groups := c.Groups[:n]
	if !slices.ContainsFunc(groups, func(g report.WeeksOf) bool { return len(g.Weeks) > 0 }) {
		return b.none("No rep that counts has a date.")
	}
	f := b.face(b.small)
	swatch := b.small * 2
	names := make([]string, n)
	for i, g := range groups {
		names[i] = g.Name
	}
	room := b.right - b.left
	names = shorten(f, names, room-swatch-b.small/2)
	gutter := f.width("100 %") + b.small/2
	if b.wide {
		names = shorten(f, names, room/5)
		gutter = max(gutter, swatch+b.small/2+widest(f, names)+b.small*2)
	}
	x0, x1 := b.left+gutter, b.right
	pad := max(f.width("Sep 30"), b.small*4)
	dates := c.dates(groups, x0+pad/2+b.small, x1-pad/2-b.small/2)
	spacing := f.spacing()
	against := c.againstRow(f, dates, x0, x1)
	perRow := spacing * 5 / 4
	if !b.wide {
		perRow = spacing * 9 / 4
	}
	above := spacing / 2
	below := b.small/4 + spacing*(1+btoi(against != nil)) + b.small/2 + n*perRow
	least := above + below + 8*b.line
	return body{least, max(least, above+below+room*3/10+room/5*btoi(!b.wide)), func(y0, y1 int) {
		top, bottom := y0+above, y1-below
		y := func(share float64) float64 { return float64(bottom) - share*float64(bottom-top) }
		b.shareScale(x0, x1, y)
		b.add(line(guide, float64(x0), float64(bottom), float64(x1), float64(bottom), b.thin()*1.5, b.colours.quiet))
		at := bottom + b.small/4
		end := 0
		for i, d := range dates {
			says := dayWords(dates, i)
			if from := d.at - f.width(says)/2; from >= end && from+f.width(says) <= b.right {
				b.add(line(guide, float64(d.at), float64(bottom), float64(d.at), float64(bottom)+b.thick(), b.thin(), b.colours.quiet))
				b.write(from, at, f, says, b.colours.ink)
				end = from + f.width(says) + b.small/2
			}
		}
		at += spacing
		for i, name := range against {
			b.writeMiddle(dates[i].at, at, f, name, b.colours.quiet)
		}
		at += spacing*btoi(against != nil) + b.small/2
		for i, g := range groups {
			b.weeks(g, dates, y, i, n)
			b.weekCounts(g, dates, names[i], swatch, at+i*perRow, i)
		}
	}}
}

// againstRow is whom they played, as much of each as has room below its date; nil where that is too
// little to tell.
func (c weeksChart) againstRow(f *face, dates []weekDate, x0, x1 int) []string {
	gap := 2 * min(dates[0].at-x0, x1-dates[len(dates)-1].at)
	for i := 1; i < len(dates); i++ {
		gap = min(gap, dates[i].at-dates[i-1].at)
	}
	gap -= f.style.px
	if gap < 5*f.style.px {
		return nil
	}
	names := make([]string, len(dates))
	for i, d := range dates {
		names[i] = d.against
	}
	return shorten(f, names, gap)
}

// weeks draws the i-th of n groups; several stand a little apart on each date.
func (b *board) weeks(g report.WeeksOf, dates []weekDate, y func(float64) float64, i, n int) {
	colour, w := b.series(i), b.thick()
	radius := w * 2.2
	apart := (float64(i) - float64(n-1)/2) * 2.2 * radius
	at := func(w report.DatedShare) point {
		k := slices.IndexFunc(dates, func(d weekDate) bool { return d.day.Format(time.DateOnly) == w.Date })
		return point{float64(dates[k].at) + apart, y(rate(w.Share))}
	}
	var rated []report.DatedShare
	for _, w := range g.Weeks {
		if drawn(w.Share) {
			rated = append(rated, w)
		}
	}
	half := radius * .8
	for _, r := range rated {
		x, low, high := at(r).x, y(r.Low), y(r.High)
		b.add(
			line(interval, x, high, x, low, w*.75, colour),
			line(guide, x-half, high, x+half, high, w*.75, colour),
			line(guide, x-half, low, x+half, low, w*.75, colour),
		)
	}
	for j := 1; j < len(rated); j++ {
		p, q := at(rated[j-1]), at(rated[j])
		b.add(stroke{series, [][]point{{p, q}}, w, b.dash(i), colour})
	}
	for _, r := range rated {
		b.add(dot{rep, at(r), radius, radius * .3, colour, b.colours.ground})
	}
}

// weekCounts names a group below the scale, with the count of each date where it has room.
func (b *board) weekCounts(g report.WeeksOf, dates []weekDate, name string, swatch, at, i int) {
	f := b.face(b.small)
	mid := float64(at) + float64(f.spacing())/2
	b.add(stroke{sample, [][]point{{{float64(b.left), mid}, {float64(b.left + swatch), mid}}}, b.thick(), b.dash(i), b.series(i)})
	b.write(b.left+swatch+b.small/2, at, f, name, b.colours.ink)
	if !b.wide {
		at += f.spacing() + b.small/8
	}
	end := 0
	for _, d := range dates {
		k := slices.IndexFunc(g.Weeks, func(w report.DatedShare) bool { return w.Date == d.day.Format(time.DateOnly) })
		if k < 0 {
			continue
		}
		says := g.Weeks[k].Count.String()
		if from := d.at - f.width(says)/2; from >= end && from+f.width(says) <= b.right {
			b.write(from, at, f, says, b.colours.ink)
			end = from + f.width(says) + b.small/2
		}
	}
}
