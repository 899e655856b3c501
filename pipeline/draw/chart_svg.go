package draw

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"hash/fnv"
	"html/template"
	"image/color"
	"io"
	"strconv"
	"strings"
)

// family is the font that text is measured with; where a reader lacks it, textLength
// fits another into the same room.
const family = "'Liberation Sans', Arimo, Helvetica, Arial, sans-serif"

// SVG writes s as SVG 1.1. Text stays text; title and desc say to a screen reader what
// the chart shows. The same scene always gives the same bytes.
func (s Scene) SVG(w io.Writer) error {
	out := &svgWriter{bufio.NewWriter(w)}
	// A page may hold many charts, so ids must differ between them.
	sum := fnv.New64a()
	fmt.Fprintf(sum, "%q %q %d %d %v", s.Title, s.Desc, s.Width, s.Height, s.ground)
	id := fmt.Sprintf("%012x", sum.Sum64()>>16)
	out.print(`<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d" role="img" aria-labelledby="t%s d%s" font-family="%s">`+"\n",
		s.Width, s.Height, s.Width, s.Height, id, id, family)
	out.print(`<title id="t%s">%s</title>`+"\n", id, escape(s.Title))
	out.print(`<desc id="d%s">%s</desc>`+"\n", id, escape(s.Desc))
	out.print("%s", svgMark)
	rect{box: box{0, 0, float64(s.Width), float64(s.Height)}, fill: s.ground}.svg(out)
	for _, sh := range s.shapes {
		sh.svg(out)
	}
	out.print("</svg>\n")
	if err := out.Flush(); err != nil {
		return fmt.Errorf("writing a chart: %w", err)
	}
	return nil
}

// Markup is a chart as SVG that may stand in a page of HTML as it is: shapes and words, and
// nothing that runs, links, fetches or has a style of its own. The zero Markup is no chart;
// [Scene.Markup] makes all others.
type Markup struct{ svg template.HTML }

// Markup is s for a page.
func (s Scene) Markup() (Markup, error) {
	var out strings.Builder
	if err := s.SVG(&out); err != nil {
		return Markup{}, err
	}
	return Markup{template.HTML(out.String())}, nil
}

// HTML is the chart for a template; empty where there is none.
func (m Markup) HTML() template.HTML { return m.svg }

// svgWriter keeps the first error until it is flushed.
type svgWriter struct{ *bufio.Writer }

func (w *svgWriter) print(format string, args ...any) { fmt.Fprintf(w, format, args...) }

func escape(s string) string {
	var b strings.Builder
	xml.EscapeText(&b, []byte(s)) //lint:ignore errcheck a Builder takes all
	return b.String()
}

// num is v to hundredths of a pixel, without zeros at its end.
func num(v float64) string {
	s := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 2, 64), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// paintAttr is a colour as the attributes of what ("fill" or "stroke").
func paintAttr(what string, c color.NRGBA) string {
	s := fmt.Sprintf(`%s="#%02x%02x%02x"`, what, c.R, c.G, c.B)
	if c.A < 255 {
		s += fmt.Sprintf(` %s-opacity="%s"`, what, num(float64(c.A)/255))
	}
	return s
}

func (r rect) svg(w *svgWriter) {
	w.print(`<rect x="%s" y="%s" width="%s" height="%s" %s/>`+"\n", num(r.x0), num(r.y0), num(r.x1-r.x0), num(r.y1-r.y0), paintAttr("fill", r.fill))
}

func path(lines [][]point, end string) string {
	var b strings.Builder
	for _, l := range lines {
		for i, p := range l {
			b.WriteByte("LM"[btoi(i == 0)])
			b.WriteString(num(p.x) + " " + num(p.y))
		}
		b.WriteString(end)
	}
	return b.String()
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func (s stroke) svg(w *svgWriter) {
	if len(s.lines) == 0 {
		return
	}
	dash := ""
	if len(s.dash) > 0 {
		var parts []string
		for _, d := range s.dash {
			parts = append(parts, num(d))
		}
		dash = fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(parts, " "))
	}
	w.print(`<path d="%s" fill="none" %s stroke-width="%s"%s/>`+"\n", path(s.lines, ""), paintAttr("stroke", s.colour), num(s.width), dash)
}

func (a area) svg(w *svgWriter) {
	w.print(`<path d="%s" %s/>`+"\n", path([][]point{a.points}, "Z"), paintAttr("fill", a.fill))
}

func (d dot) svg(w *svgWriter) {
	w.print(`<circle cx="%s" cy="%s" r="%s" %s %s stroke-width="%s"/>`+"\n",
		num(d.at.x), num(d.at.y), num(d.radius-d.ring/2), paintAttr("fill", d.fill), paintAttr("stroke", d.edge), num(d.ring))
}

func (t words) svg(w *svgWriter) {
	weight := ""
	if t.style.bold {
		weight = ` font-weight="bold"`
	}
	w.print(`<text x="%d" y="%d" font-size="%d"%s %s textLength="%d" lengthAdjust="spacingAndGlyphs">%s</text>`+"\n",
		t.x, t.base, t.style.px, weight, paintAttr("fill", t.colour), t.advance, escape(t.text))
}
