package draw

import (
	"errors"
	"fmt"
	"image"
	"image/color"
	"sort"

	"trenchcut/pipeline/plan"
	"trenchcut/tags/report"
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

// Chart lays c out in size pixels, as tall as it needs to be where that has no height.
func Chart(c report.Chart, size image.Point, look plan.Look) (Scene, error) {
	switch c := c.(type) {
	case report.Bars:
		return sceneOf(barsChart(c), size, look)
	case report.Points:
		return sceneOf(pointsChart(c), size, look)
	case report.Weeks:
		return sceneOf(weeksChart(c), size, look)
	case report.Curves:
		return sceneOf(curvesChart(c), size, look)
	case report.Strip:
		return sceneOf(stripChart(c), size, look)
	case report.Portions:
		return sceneOf(portionsChart(c).few(), size, look)
	default:
		return Scene{}, fmt.Errorf("drawing a chart: there is none of %T", c)
	}
}

// laid is what sceneOf needs of each kind of chart.
type laid interface {
	check() error
	heading() (title string, lines, small []string)
	desc() string
	rows() (all, most int) // how many there are, and how many may be drawn
	// lay sets the chart's body with its first n rows across b's width.
	lay(b *board, n int) body
}

// body is a chart without its heading and foot: its least height, its preferred height, and how to
// draw it.
type body struct {
	least, like int
	draw        func(y0, y1 int)
}

// sceneOf sets c at the largest type with which all of it has room; at the smallest, it
// leaves out rows from the end and says how many.
func sceneOf(c laid, size image.Point, look plan.Look) (Scene, error) {
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
	chart        laid
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
