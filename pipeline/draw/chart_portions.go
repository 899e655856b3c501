package draw

import (
	"fmt"
	"image/color"
	"strings"

	"trenchcut/tags/report"
)

// portionsChart draws [report.Portions]. Parts differ by pattern and carry their counts.
type portionsChart report.Portions

// mostParts is how many patterns can be told apart.
const mostParts = 6

func (t portionsChart) check() error {
	for _, r := range t.Rows {
		if len(r.Counts) != len(t.Parts) {
			return fmt.Errorf("row %q has %d counts for %d parts", r.Name, len(r.Counts), len(t.Parts))
		}
		for _, c := range r.Counts {
			if c < 0 {
				return fmt.Errorf("row %q counts %d", r.Name, c)
			}
		}
	}
	return nil
}

// few is t with its last parts added up, so that there are no more than patterns.
func (t portionsChart) few() portionsChart {
	if len(t.Parts) <= mostParts || t.check() != nil {
		return t
	}
	last := mostParts - 1
	t.Parts = append(t.Parts[:last:last], "other")
	rows := t.Rows
	t.Rows = nil
	for _, r := range rows {
		counts := append(r.Counts[:last:last], 0)
		for _, c := range r.Counts[last:] {
			counts[last] += c
		}
		t.Rows = append(t.Rows, report.PortionsRow{Name: r.Name, Counts: counts})
	}
	return t
}

func (t portionsChart) heading() (title string, lines, small []string) {
	key := "Bars show shares of each row’s count; the numbers in them are counts. Fewer than five: counts alone."
	return t.Title, t.Lines, append([]string{key}, t.Small...)
}

func (t portionsChart) rows() (all, most int) { return len(t.Rows), mostChartRows }

func sum(r report.PortionsRow) int {
	n := 0
	for _, c := range r.Counts {
		n += c
	}
	return n
}

// list is r's counts in words, those that keep says.
func (t portionsChart) list(r report.PortionsRow, keep func(i int) bool) string {
	var parts []string
	for i, c := range r.Counts {
		if c > 0 && keep(i) {
			parts = append(parts, fmt.Sprintf("%s %d", clean(t.Parts[i]), c))
		}
	}
	return strings.Join(parts, " · ")
}

func (t portionsChart) desc() string {
	var b strings.Builder
	b.WriteString("Counts by situation. ")
	for _, r := range t.Rows {
		fmt.Fprintf(&b, "%s, %d in all: %s. ", r.Name, sum(r), t.list(r, func(int) bool { return true }))
	}
	return b.String()
}

// pattern fills a part's box: solid, hatched in one of four ways, or left empty.
func (b *board) pattern(i int, in box) {
	marks := b.marks()
	c := marks[i%len(marks)]
	w, gap := b.thick()*.8, float64(b.line)*.4
	b.add(rect{in, guide, b.colours.ground})
	switch i {
	case 0:
		b.add(rect{in, sample, c})
	case 1:
		b.add(hatch(sample, in, rising, gap, w, c))
	case 2: // empty
	case 3:
		b.add(hatch(sample, in, level|upright, gap*1.3, w, c))
	case 4:
		b.add(hatch(sample, in, falling, gap*1.8, w, c))
	case 5:
		b.add(hatch(sample, in, level, gap, w, c))
	}
	b.add(outline(guide, in, b.thin(), b.colours.ink))
}

func (t portionsChart) lay(b *board, n int) body {
	if len(t.Rows) == 0 || len(t.Parts) == 0 {
		return b.none("Nothing to count.")
	}
	entries := make([]entry, n)
	for i, r := range t.Rows[:n] {
		entries[i] = entry{r.Name, fmt.Sprintf("of %d", sum(r)), ""}
	}
	f, small := b.face(b.line), b.face(b.small)
	key, above := b.key(t.Parts)
	tab := b.table(entries, n, spare{track: f.spacing() * 9 / 8, under: small.spacing(), above: above})
	long := float64(tab.x1 - tab.x0)
	return tab.body(filling{
		above: key,
		rules: func(int, int) {},
		scale: func(int) {},
		track: func(i int, row box) {
			r := t.Rows[i]
			all := sum(r)
			if all < fewest {
				says := t.list(r, func(int) bool { return true })
				if all == 0 {
					says = noneSeen
				}
				b.write(tab.x0, int(row.middle())-f.spacing()/2, f, shorten(f, []string{says}, tab.x1-tab.x0)[0], b.colours.quiet)
				return
			}
			x := row.x0
			unsaid := map[int]bool{}
			for part, c := range r.Counts {
				if c > 0 {
					in := box{x, row.y0, x + long*float64(c)/float64(all), row.y1}
					x = in.x1
					unsaid[part] = !b.portion(part, in, clean(t.Parts[part]), c)
				}
			}
			if says := t.list(r, func(i int) bool { return unsaid[i] }); says != "" {
				says = shorten(small, []string{says}, tab.x1-tab.x0)[0]
				b.writeEnd(tab.x1, int(row.y1)+1, small, says, b.colours.quiet)
			}
		},
	})
}

// portion draws one part of a bar with its name and count, or its count, or neither,
// whichever has room, and reports whether its count is told.
func (b *board) portion(part int, in box, name string, count int) bool {
	b.pattern(part, in)
	b.add(rect{in, portion, color.NRGBA{}})
	f := b.face(b.line)
	for _, says := range []string{fmt.Sprintf("%s %d", name, count), fmt.Sprint(count)} {
		if w := f.width(says); float64(w+b.line) <= in.x1-in.x0 {
			b.plate(int((in.x0+in.x1-float64(w))/2), in.middle(), f, says, b.colours.ink)
			return true
		}
	}
	return false
}

// key is a swatch and a name for each part, in as many lines as they take.
func (b *board) key(parts []string) (draw func(y int), height int) {
	f := b.face(b.small)
	swatch := b.small * 2
	type place struct{ x, line int }
	places := make([]place, len(parts))
	names := shorten(f, parts, (b.right-b.left)/2)
	x, row := b.left, 0
	for i, n := range names {
		w := swatch + b.small/2 + f.width(n)
		if x > b.left && x+w > b.right {
			x, row = b.left, row+1
		}
		places[i] = place{x, row}
		x += w + b.small*3/2
	}
	spacing := f.spacing() + b.small/3
	return func(y0 int) {
		for i, n := range names {
			y := y0 + places[i].line*spacing
			b.pattern(i, box{float64(places[i].x), float64(y), float64(places[i].x + swatch), float64(y + f.spacing())})
			b.write(places[i].x+swatch+b.small/2, y, f, n, b.colours.ink)
		}
	}, (row+1)*spacing + b.small/2
}
