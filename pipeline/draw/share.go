package draw

import (
	"fmt"
	"image"
	"strings"

	"trenchcut/pipeline/plan"
)

// tooFew stands where a bar would, for counts too small to speak of a rate.
const tooFew = "too few for a rate"

// noBar is what stands where a bar would.
func noBar(unknown int) string {
	if unknown > 0 {
		return fmt.Sprintf("%d not known", unknown)
	}
	return tooFew
}

// figureRoom is how much of the text's width a figure may take, in hundredths, with its bar
// beside it; where it takes more, the bar stands below.
const figureRoom = 56

// addFigure adds the card's first share as what is read first: the count as large as has
// room, with its name and its bar beside it.
func (l *layout) addFigure(s plan.Share, room int) {
	count := fmt.Sprintf("%d of %d", s.K, s.N)
	size := l.px(l.look.Figure)
	f := l.faces.get(true, size)
	for f.width(count) > room && size > l.px(l.look.Title) {
		size = size * 9 / 10
		f = l.faces.get(true, size)
	}
	name := l.faces.get(true, l.px(l.look.Lead))
	words, cut := name.fold(clean(s.Name), room, 1)
	if cut || f.width(count) > room {
		l.whole = false
	}
	gap := name.style.px
	wide := f.width(count)
	if wide > room*figureRoom/100 {
		l.body = append(l.body, l.figureRow(f, count, 0), part{strings.Join(words, " "), 0, name.spacing(), func(m *image.RGBA, x, y int) {
			text{name, words, l.colours.ink}.write(m, x, y)
		}}, l.figureBar(s, name.spacing(), 0, room))
		return
	}
	row := l.figureRow(f, count, 0)
	digits, says := row.paint, clean(s.Name)
	bar := l.figureBar(s, name.spacing(), wide+gap, min(room-wide-gap, l.scale.side*9/10))
	row.says = says
	row.paint = func(m *image.RGBA, x, y int) {
		digits(m, x, y)
		y += (row.height - name.spacing()*2) / 2
		beside, _ := name.fold(says, room-wide-gap, 1)
		text{name, beside, l.colours.ink}.write(m, x+wide+gap, y)
		bar.paint(m, x, y+name.spacing())
	}
	l.body = append(l.body, row)
}

// figureRow is the count, in a row no taller than its digits need.
func (l *layout) figureRow(f *face, count string, gap int) part {
	high := f.style.px
	return part{count, gap, high, func(m *image.RGBA, x, y int) {
		f.write(m, x, y+high*17/20, count, l.colours.ink)
	}}
}

// figureBar is a share's bar, or that there are too few for one.
func (l *layout) figureBar(s plan.Share, height, at, width int) part {
	f := l.faces.get(false, l.px(l.look.Line))
	return part{"", 0, height, func(m *image.RGBA, x, y int) {
		if !s.Bar {
			rows, _ := f.fold(noBar(s.Unknown), width, 1)
			text{f, rows, l.colours.quiet}.write(m, x+at, y)
			return
		}
		l.bar(m, image.Rect(x+at, y, x+at+width, y+height), s)
	}}
}

// addShares adds a row for each share: name, count, and on one scale for all the interval
// as a bar with a tick at the rate itself; below them the scale.
func (l *layout) addShares(f *face, shares []plan.Share) {
	if len(shares) == 0 {
		return
	}
	room := l.safe.Dx() - l.indent()
	px := f.style.px
	names := make([]string, len(shares))
	counts := make([]string, len(shares))
	name, count, bars := 0, 0, false
	for i, s := range shares {
		rows, cut := f.fold(clean(s.Name), room*2/5, 1)
		if cut {
			l.whole = false
		}
		if len(rows) > 0 {
			names[i] = rows[0]
		}
		counts[i] = fmt.Sprintf("%d of %d", s.K, s.N)
		name = max(name, f.width(names[i]))
		count = max(count, f.width(counts[i]))
		bars = bars || s.Bar
	}
	atCount := name + px
	atTrack := atCount + count + px
	track := max(min(room-atTrack-px, l.scale.side*9/10), 0)
	for i, s := range shares {
		l.body = append(l.body, part{names[i], px / 2, f.spacing(), func(m *image.RGBA, x, y int) {
			text{f, []string{names[i]}, l.colours.ink}.write(m, x, y)
			text{f, []string{counts[i]}, l.colours.ink}.write(m, x+atCount, y)
			x += atTrack
			if !s.Bar {
				rows, _ := f.fold(noBar(s.Unknown), track, 1)
				text{f, rows, l.colours.quiet}.write(m, x, y)
				return
			}
			l.bar(m, image.Rect(x, y, x+track, y+f.spacing()), s)
		}})
	}
	if bars {
		l.addScale(atTrack, track)
	}
}

// bar draws s on a track across r, which stands for 0 to 100 %.
func (l *layout) bar(m *image.RGBA, r image.Rectangle, s plan.Share) {
	at := func(rate float64) int { return r.Min.X + int(rate*float64(r.Dx()-1)+.5) }
	middle := (r.Min.Y + r.Max.Y) / 2
	thick := func(n int) (int, int) { n = max(n, 1); return middle - n/2, middle - n/2 + n }

	top, bottom := thick(r.Dy() / 12)
	fill(m, image.Rect(r.Min.X, top, r.Max.X, bottom), l.colours.hair())
	top, bottom = thick(r.Dy() * 2 / 5)
	fill(m, image.Rect(at(s.Low), top, at(s.High)+1, bottom), l.colours.accent)
	// The tick is told from the bar by its height and its dark edges, not by colour alone.
	top, bottom = thick(r.Dy() * 4 / 5)
	half := max(r.Dy()/14, 1)
	x := min(max(at(float64(s.K)/float64(s.N)), r.Min.X+half), r.Max.X-half)
	tick := image.Rect(x-half, top, x+half, bottom)
	fill(m, tick.Inset(-half).Intersect(r), l.colours.ground)
	fill(m, tick, l.colours.ink)
}

// addScale writes the scale below tracks of width pixels that start at x0, and to its
// left, if it has room, what the bars are.
func (l *layout) addScale(x0, width int) {
	f := l.faces.get(false, l.px(l.look.Small))
	l.body = append(l.body, part{"", f.style.px / 2, f.spacing(), func(m *image.RGBA, x, y int) {
		for _, mark := range []struct {
			percent int
			text    string
		}{{0, "0"}, {50, "50"}, {100, "100 %"}} {
			centre := x + x0 + (width-1)*mark.percent/100
			w := f.width(mark.text)
			left := min(max(centre-w/2, x+x0), x+x0+width-w)
			text{f, []string{mark.text}, l.colours.quiet}.write(m, left, y)
		}
		const legend = "bar: 95 % interval"
		if f.width(legend) < x0-f.style.px {
			text{f, []string{legend}, l.colours.quiet}.write(m, x, y)
		}
	}})
}
