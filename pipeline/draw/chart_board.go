package draw

import (
	"image"
	"image/color"
	"strings"

	"trenchcut/pipeline/plan"
)

// board is a chart under way.
type board struct {
	faces   faces
	look    plan.Look
	colours palette
	size    image.Point
	shapes  []shape

	title, line, small int // type sizes, pixels
	margin             int
	left, right        int
	wide               bool // names have room beside what they name
}

// set chooses the sizes at percent of full type. Type follows the shorter side, as on
// film, but on a small page stays as large as a page in the hand needs.
func (b *board) set(percent int) {
	side := b.size.X * 9 / 16
	if b.size.Y > 0 {
		side = min(b.size.X, b.size.Y)
	}
	// A look may ask for slates with few large words; a chart needs room for its marks.
	px := func(thousandths, floor, share int) int {
		full := min(max((thousandths*side+500)/1000, floor), max(side/share, floor))
		return max(full*percent/100, min(full, 11))
	}
	b.title, b.line, b.small = px(b.look.Lead, 18, 14), px(b.look.Line, 14, 22), px(b.look.Small, 12, 28)
	b.margin = max(side/20, 12)
	b.left = max(b.size.X/20, 12)
	if b.size.Y == 0 {
		b.left = b.margin
	}
	b.right = b.size.X - b.left
	b.wide = b.right-b.left >= 34*b.line
	b.shapes = nil
}

func (b *board) face(px int) *face { return b.faces.get(false, px) }
func (b *board) bold(px int) *face { return b.faces.get(true, px) }
func (b *board) add(s ...shape)    { b.shapes = append(b.shapes, s...) }

// thin is the width of lines that guide, thick of those that say something.
func (b *board) thin() float64  { return max(float64(b.line)/14, 1) }
func (b *board) thick() float64 { return max(float64(b.line)/7, 2) }

// write sets one line of text with its top left corner at x, y, and returns where it ends.
func (b *board) write(x, y int, f *face, s string, c color.NRGBA) int {
	if s == "" {
		return x
	}
	w := words{f.style, x, y + f.baseline(), 0, f.width(s), s, c}
	for g := range f.glyphs([]rune(s)) {
		w.advance = max(w.advance, g.end.Round())
	}
	b.add(w)
	return x + w.width
}

// writeEnd sets text that ends at x, writeMiddle text amid x.
func (b *board) writeEnd(x, y int, f *face, s string, c color.NRGBA) {
	b.write(x-f.width(s), y, f, s, c)
}

func (b *board) writeMiddle(x, y int, f *face, s string, c color.NRGBA) {
	b.write(x-f.width(s)/2, y, f, s, c)
}

// head is the title and its lines beside a rule, as a slate's.
func (b *board) head(title string, lines []string) body {
	rule := max(b.line/5, 2)
	indent := rule + b.line*3/4
	room := b.right - b.left - indent
	var set []text
	add := func(f *face, s string, most int, c color.NRGBA) {
		rows, _ := f.fold(s, room, most)
		set = append(set, text{f, rows, c})
	}
	add(b.bold(b.title), title, 2, b.colours.ink)
	for _, l := range lines {
		add(b.face(b.line), l, 2, b.colours.ink)
	}
	height := 0
	for _, t := range set {
		height += t.height()
	}
	return body{height, height, func(y0, y1 int) {
		b.add(rect{box{float64(b.left), float64(y0), float64(b.left + rule), float64(y1)}, guide, b.marks()[0]})
		b.texts(set, b.left+indent, y0)
	}}
}

// foot is the small print, under a thin line.
func (b *board) foot(small []string) body {
	var set []text
	height := 0
	for _, s := range small {
		f := b.face(b.small)
		rows, _ := f.fold(s, b.right-b.left, 4)
		set = append(set, text{f, rows, b.colours.quiet})
		height += len(rows) * f.spacing()
	}
	if height > 0 {
		height += b.small / 2
	}
	return body{height, height, func(y0, y1 int) {
		if len(set) > 0 {
			b.add(rect{box{float64(b.left), float64(y0), float64(b.right), float64(y0) + b.thin()}, guide, b.colours.hair()})
			b.texts(set, b.left, y0+b.small/2)
		}
	}}
}

func (b *board) texts(set []text, x, y int) {
	for _, t := range set {
		for _, r := range t.rows {
			b.write(x, y, t.face, r, t.colour)
			y += t.face.spacing()
		}
	}
}

func (b *board) marks() []color.NRGBA { return b.colours.marks() }

// none is the body of a chart that has nothing to show.
func (b *board) none(s string) body {
	f := b.face(b.line)
	return body{f.spacing(), 3 * f.spacing(), func(y0, _ int) { b.write(b.left, y0, f, s, b.colours.quiet) }}
}

// shorten makes each name fit width: cut at the end with an ellipsis, or in the middle
// where different names would become the same.
func shorten(f *face, names []string, width int) []string {
	return shortenEach(f, names, func(int) int { return width })
}

func shortenEach(f *face, names []string, width func(i int) int) []string {
	out := make([]string, len(names))
	first := map[string]string{} // of names cut to the same
	alike := map[string]bool{}
	for i, name := range names {
		name = clean(name)
		if rows, _ := f.fold(name, width(i), 1); len(rows) > 0 {
			out[i] = rows[0]
		}
		if other, ok := first[out[i]]; ok && other != name {
			alike[out[i]] = true
		}
		first[out[i]] = name
	}
	for i, name := range names {
		if alike[out[i]] && out[i] != clean(name) {
			out[i] = cutMiddle(f, clean(name), width(i))
		}
	}
	return out
}

// cutMiddle keeps the start and the end of s.
func cutMiddle(f *face, s string, width int) string {
	runes := []rune(s)
	for keep := len(runes) - 1; keep > 0; keep-- {
		end := keep / 2
		t := strings.TrimRight(string(runes[:keep-end]), " ") + ellipsis + strings.TrimLeft(string(runes[len(runes)-end:]), " ")
		if f.width(t) <= width {
			return t
		}
	}
	return ellipsis
}

// widest is the room that the widest of texts needs.
func widest(f *face, texts []string) int {
	w := 0
	for _, t := range texts {
		w = max(w, f.width(t))
	}
	return w
}
