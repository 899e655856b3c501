package draw

import (
	"errors"
	"fmt"
	"image"
	"image/color"
	"sort"
	"strings"

	"trenchcut/pipeline/plan"
)

// Scene is a chart laid out: plain shapes, drawn in order. SVG and PNG draw the same ones.
type Scene struct {
	Width, Height int // pixels
	Title         string
	Desc          string // all that the chart shows, in words

	ground color.NRGBA
	shapes []shape
}

// Sizes that charts are made for. A height of 0 is as much as the chart needs.
var (
	Paper = image.Pt(1123, 794) // A4 lying, at 96 pixels an inch (ISO 216: 297 mm by 210 mm)
	Wide  = image.Pt(1280, 720) // a slate
	Phone = image.Pt(390, 0)
)

// Bounds of a chart's size: smaller, and type that can be read has no room.
const (
	leastChartWidth  = 320
	leastChartHeight = 240
	mostChartRows    = 200
)

// fewest is the number of reps under which no rate is drawn, whoever asks for it
// (stats.Enough).
const fewest = 5

// leastMark is the contrast that marks need (WCAG 2.1, success criterion 1.4.11).
const leastMark = 3

// PaperLook is look on white, for print: its type sizes, black ink, and a blue that
// stays dark when printed grey.
func PaperLook(look plan.Look) plan.Look {
	look.Ink, look.Quiet, look.Ground, look.Accent = "#000000", "#404040", "#ffffff", "#0072b2"
	return look
}

// okabeIto is the colour-blind-safe palette of Okabe and Ito 2008, "Color universal
// design", without its black, brightest first.
var okabeIto = []color.NRGBA{
	{0x56, 0xb4, 0xe9, 255},
	{0xe6, 0x9f, 0x00, 255},
	{0xf0, 0xe4, 0x42, 255},
	{0xd5, 0x5e, 0x00, 255},
	{0x00, 0x72, 0xb2, 255},
	{0x00, 0x9e, 0x73, 255},
	{0xcc, 0x79, 0xa7, 255},
}

// marks are colours that stand out from p's ground as marks must: its accent first, then
// what Okabe and Ito's palette has; its ink if there is none.
func (p palette) marks() []color.NRGBA {
	var list []color.NRGBA
	for _, c := range append([]color.NRGBA{p.accent}, okabeIto...) {
		if Contrast(c, p.ground) >= leastMark && (len(list) == 0 || c != list[0]) {
			list = append(list, c)
		}
	}
	if len(list) == 0 {
		list = append(list, p.ink)
	}
	return list
}

// chart is what sceneOf needs of each description.
type chart interface {
	check() error
	heading() (title string, lines, small []string)
	desc() string
	rows() (all, most int) // how many there are, and how many may be drawn
	// lay sets the chart's body with its first n rows across b's width.
	lay(b *board, n int) body
}

// body is a chart less its heading and foot: the height it can do with, the height it
// likes, and how to draw it.
type body struct {
	least, like int
	draw        func(y0, y1 int)
}

// sceneOf sets c at the largest type with which all of it has room; at the smallest, it
// leaves out rows from the end and says how many.
func sceneOf(c chart, size image.Point, look plan.Look) (Scene, error) {
	colours, err := newPalette(look)
	if err == nil {
		err = checkSizes(look)
	}
	if err == nil && (size.X < leastChartWidth || size.Y != 0 && size.Y < leastChartHeight || max(size.X, size.Y) > mostSide) {
		err = fmt.Errorf("size %dx%d: want %dx%d to %d pixels a side, or a height of 0", size.X, size.Y, leastChartWidth, leastChartHeight, mostSide)
	}
	if err == nil {
		err = c.check()
	}
	title, lines, small := c.heading()
	title = clean(title)
	if err == nil && title == "" {
		err = errors.New("it has no title")
	}
	if err != nil {
		return Scene{}, fmt.Errorf("drawing a chart: %w", err)
	}
	fs := faces{}
	defer fs.done()
	p := page{board{faces: fs, look: look, colours: colours, size: size}, c, title, cleanAll(lines), cleanAll(small)}
	all, most := c.rows()
	n := min(all, most)
	percent := 100
	for ; percent > leastPercent && !p.fits(percent, n); percent -= 5 {
	}
	if percent == leastPercent && !p.fits(percent, n) {
		if n = sort.Search(n, func(less int) bool { return !p.fits(percent, less+1) }); n == 0 {
			return Scene{}, fmt.Errorf("drawing a chart: it has no room in %dx%d", size.X, size.Y)
		}
	}
	height := p.draw(percent, n)
	return Scene{size.X, height, title, clean(c.desc()), colours.ground, p.shapes}, nil
}

// leastPercent is how far type shrinks before rows are left out, as on a slate.
const leastPercent = 75

// page is a chart with the words around it.
type page struct {
	board
	chart        chart
	title        string
	lines, small []string
}

// parts are p's with its first n rows, the height that those around its body take, and
// the whole page's.
func (p *page) parts(percent, n int) (head, middle, foot body, around, height int) {
	p.set(percent)
	head, foot = p.head(p.title, p.lines), p.foot(p.small)
	middle = p.chart.lay(&p.board, n)
	around = 2*p.margin + head.like + p.line + foot.like + p.line*3/4*btoi(foot.like > 0)
	if all, _ := p.chart.rows(); n < all {
		around += p.face(p.line).spacing()
	}
	if height = p.size.Y; height == 0 {
		height = around + middle.like
	}
	return head, middle, foot, around, height
}

func (p *page) fits(percent, n int) bool {
	_, middle, _, around, height := p.parts(percent, n)
	return around+middle.least <= height && height <= mostSide
}

// draw draws p and returns its height.
func (p *page) draw(percent, n int) int {
	head, middle, foot, around, height := p.parts(percent, n)
	y := p.margin
	head.draw(y, y+head.like)
	y += head.like + p.line
	end := y + height - around
	middle.draw(y, end)
	if all, _ := p.chart.rows(); n < all {
		p.write(p.left, end, p.face(p.line), andMore(all-n), p.colours.quiet)
	}
	foot.draw(height-p.margin-foot.like, height-p.margin)
	return height
}

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

// entry is one row of a chart made of rows, in words.
type entry struct {
	name, count, figure string // figure is what the marks say, or why there are none
}

// table lays out rows: name and count, a track for marks and the figure, all in one row;
// on a narrow page the words stand above the track.
type table struct {
	b           *board
	entries     []entry
	name, count int // widths
	x0, x1      int // of the tracks
	lead, gap   int // heights in a row: above the track, and below all
	spare
}

// spare is the heights a table leaves for what is not its own: a track and a line under
// it, in each row, a key above all and a scale below.
type spare struct{ track, under, above, below int }

func (b *board) table(entries []entry, n int, heights spare) *table {
	t := &table{b: b, spare: heights}
	f := b.face(b.line)
	room := b.right - b.left
	names, counts, figures := make([]string, n), make([]string, n), make([]string, n)
	for i, e := range entries[:n] {
		names[i], counts[i], figures[i] = e.name, e.count, e.figure
	}
	t.count = widest(f, counts)
	figure := widest(f, figures)
	// Half the room of the last tick's number may reach past the track.
	past := 0
	if t.below > 0 {
		past = b.face(b.small).width("100 %")/2 + 1
	}
	if b.wide {
		names = shorten(f, names, room*3/10)
		t.name = widest(f, names)
		t.x0 = b.left + t.name + b.line + t.count + b.line
		t.x1 = b.right - max(figure+b.line, past)
		t.track = max(t.track, f.spacing())
		t.gap = b.line / 4
	} else {
		t.x0, t.x1 = b.left+past, b.right-past
		for i := range names {
			if figures[i] != "" {
				counts[i] += " · " + figures[i]
			}
		}
		names = shortenEach(f, names, func(i int) int { return max(room-f.width(counts[i])-b.line, room/4) })
		t.lead = f.spacing()
		t.gap = b.line * 2 / 3
	}
	for i := range n {
		t.entries = append(t.entries, entry{names[i], counts[i], figures[i]})
	}
	return t
}

func (t *table) row() int { return t.lead + t.track + t.under + t.gap }

// filling draws a table's parts. rules are what runs through all tracks, behind the marks; on
// a narrow page it stops at each row's words.
type filling struct {
	above func(y int)
	rules func(y0, y1 int)
	scale func(y int)
	track func(i int, at box)
}

// body is the table, filled.
func (t *table) body(fill filling) body {
	n := len(t.entries)
	least := t.above + t.below + n*t.row()
	b := t.b
	return body{least, least + n*b.line/3, func(y0, y1 int) {
		// What is left over goes into the rows, to a point: too far apart they do not compare.
		row := t.row() + min((y1-y0-least)/max(n, 1), t.row())
		fat := min(t.track+(row-t.row())/2, t.track*7/4)
		top := y0 + t.above
		bottom := top + n*row
		fill.above(y0)
		fill.scale(bottom)
		tracks := make([]box, n)
		for i := range n {
			y := top + i*row + (row-t.row()-fat+t.track+t.gap)/2 + t.lead
			tracks[i] = box{float64(t.x0), float64(y), float64(t.x1), float64(y + fat)}
			if !b.wide {
				fill.rules(y, y+fat+t.gap/4)
			}
		}
		if b.wide {
			fill.rules(top, bottom)
		}
		f := b.face(b.line)
		for i, e := range t.entries {
			if y := int(tracks[i].middle()) - f.spacing()/2; b.wide {
				b.write(b.left, y, f, e.name, b.colours.ink)
				b.writeEnd(b.left+t.name+b.line+t.count, y, f, e.count, b.colours.ink)
				b.writeEnd(b.right, y, f, e.figure, b.colours.ink)
			} else {
				y = int(tracks[i].y0) - t.lead
				b.write(b.left, y, f, e.name, b.colours.ink)
				b.writeEnd(b.right, y, f, e.count, b.colours.ink)
			}
			fill.track(i, tracks[i])
		}
	}}
}

// tick is a place on a scale and its number.
type tick struct {
	x     float64
	label string
}

// rules draws a thin upright line at each tick.
func (b *board) rules(ticks []tick, y0, y1 int) {
	for _, t := range ticks {
		b.add(line(guide, t.x, float64(y0), t.x, float64(y1), b.thin(), b.colours.hair()))
	}
}

// scale writes the ticks' numbers below y.
func (b *board) scale(ticks []tick, y int) {
	f := b.face(b.small)
	for _, t := range ticks {
		b.writeMiddle(int(t.x+.5), y+b.small/4, f, t.label, b.colours.quiet)
	}
}

// scaleHeight is the room that scale needs.
func (b *board) scaleHeight() int { return b.small/4 + b.face(b.small).spacing() }
