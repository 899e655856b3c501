package draw

import (
	"image"
	"image/color"
	"image/draw"
	"iter"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

const ellipsis = "…"

// style is a font and its size: pixels from one line to the next, set solid.
type style struct {
	bold bool
	px   int
}

// face measures and draws text in one style. It has buffers of its own, so only one
// goroutine may hold it.
type face struct {
	font.Face
	style style
	font  *sfnt.Font
	buf   sfnt.Buffer

	measured map[rune]measure // letters the font has
	kerned   map[[2]rune]fixed.Int26_6
}

// fonts parses the embedded fonts, once.
var fonts = sync.OnceValue(func() (f struct{ regular, bold *sfnt.Font }) {
	parse := func(data []byte) *sfnt.Font {
		f, err := opentype.Parse(data)
		if err != nil {
			panic("draw: the embedded font is broken: " + err.Error())
		}
		return f
	}
	f.regular, f.bold = parse(liberationsansregular.TTF), parse(liberationsansbold.TTF)
	return f
})

func newFace(s style) *face {
	f := fonts().regular
	if s.bold {
		f = fonts().bold
	}
	// At 72 dots an inch a point is a pixel. No hinting: the rasteriser has none but
	// rounding, which spoils the spacing.
	of, err := opentype.NewFace(f, &opentype.FaceOptions{Size: float64(s.px), DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("draw: " + err.Error()) // NewFace has no way to fail
	}
	return &face{Face: of, style: s, font: f, measured: map[rune]measure{}, kerned: map[[2]rune]fixed.Int26_6{}}
}

// Kern replaces opentype's, which in x/image v0.47 gives the same pixels at every size. It
// remembers what it was told, since texts are measured many times over.
func (f *face) Kern(a, b rune) fixed.Int26_6 {
	k, ok := f.kerned[[2]rune{a, b}]
	if !ok {
		k = f.kern(a, b)
		f.kerned[[2]rune{a, b}] = k
	}
	return k
}

func (f *face) kern(a, b rune) fixed.Int26_6 {
	x, err := f.font.GlyphIndex(&f.buf, a)
	if err != nil {
		return 0
	}
	y, err := f.font.GlyphIndex(&f.buf, b)
	if err != nil {
		return 0
	}
	k, err := f.font.Kern(&f.buf, x, y, fixed.I(f.style.px), font.HintingNone)
	if err != nil {
		return 0 // the pair is not kerned
	}
	return k
}

// pools holds, by style, faces that nobody is using.
var pools sync.Map // of style to *sync.Pool of *face

// faces lends faces to the drawing of one picture.
type faces map[style]*face

func (fs faces) get(bold bool, px int) *face {
	s := style{bold, px}
	if f, ok := fs[s]; ok {
		return f
	}
	pool, _ := pools.LoadOrStore(s, &sync.Pool{New: func() any { return newFace(s) }})
	f := pool.(*sync.Pool).Get().(*face)
	fs[s] = f
	return f
}

// done gives all faces back.
func (fs faces) done() {
	for s, f := range fs {
		pool, _ := pools.Load(s)
		pool.(*sync.Pool).Put(f)
	}
	clear(fs)
}

// spacing is from one baseline to the next, in pixels.
func (f *face) spacing() int { return (f.style.px*5 + 2) / 4 }

// baseline is from a line's top to its baseline, with the letters amid its spacing.
func (f *face) baseline() int {
	m := f.Metrics()
	return (fixed.I(f.spacing()) + m.Ascent - m.Descent).Round() / 2
}

// glyph is where a letter of a text goes.
type glyph struct {
	letter  rune
	at, end fixed.Int26_6 // of its origin, and of the next letter's, from the text's start
	right   fixed.Int26_6 // how far its ink or its advance reaches
}

// glyphs sets runes in a row. An accent that has no letter made for it is centred on the
// letter before, as the font's own tables would do, which x/image does not read.
func (f *face) glyphs(runes []rune) iter.Seq[glyph] {
	return func(yield func(glyph) bool) {
		var end fixed.Int26_6
		var middle fixed.Int26_6 // of the ink of the last letter
		last := rune(-1)
		for _, r := range runes {
			bounds, advance, known := f.GlyphBounds(r)
			own := (bounds.Min.X + bounds.Max.X) / 2
			g := glyph{letter: r}
			accent := known && unicode.In(r, unicode.Mn, unicode.Me)
			switch {
			case accent && last >= 0:
				g.at, g.end = middle-own, end
			case accent: // with no letter before it would hang out to the left
				g.at, g.end = -bounds.Min.X, bounds.Max.X-bounds.Min.X
				end = g.end
			default:
				if last >= 0 {
					end += f.Kern(last, r)
				}
				g.at, g.end = end, end+advance
				end, middle, last = g.end, g.at+own, r
			}
			g.right = max(g.end, g.at+bounds.Max.X)
			if !yield(g) {
				return
			}
		}
	}
}

// width is how much room s takes, in pixels, ink that hangs over its end included.
func (f *face) width(s string) int {
	var w fixed.Int26_6
	for g := range f.glyphs([]rune(s)) {
		w = max(w, g.right)
	}
	return w.Ceil()
}

// fits is how many of the first runes go into width pixels.
func (f *face) fits(runes []rune, width int) int {
	n := 0
	for g := range f.glyphs(runes) {
		if g.right > fixed.I(width) {
			break
		}
		n++
	}
	return n
}

// GlyphBounds remembers what it was told: every letter is measured many times over.
func (f *face) GlyphBounds(r rune) (fixed.Rectangle26_6, fixed.Int26_6, bool) {
	if m, ok := f.measured[r]; ok {
		return m.bounds, m.advance, true
	}
	var m measure
	var ok bool
	if m.bounds, m.advance, ok = f.Face.GlyphBounds(r); ok {
		f.measured[r] = m
	}
	return m.bounds, m.advance, ok
}

type measure struct {
	bounds  fixed.Rectangle26_6
	advance fixed.Int26_6
}

// write sets s with its baseline's left end at x, y.
func (f *face) write(dst draw.Image, x, y int, s string, c color.NRGBA) {
	ink := image.NewUniform(c)
	for g := range f.glyphs([]rune(s)) {
		r, mask, at, _, _ := f.Glyph(fixed.P(x, y).Add(fixed.Point26_6{X: g.at}), g.letter)
		draw.DrawMask(dst, r, ink, image.Point{}, mask, at, draw.Over)
	}
}

// fold breaks s at spaces into at most most lines of width pixels, and within a word only
// where one is wider than a line. What is left over is cut, with an ellipsis.
func (f *face) fold(s string, width, most int) (lines []string, cut bool) {
	rest := []rune(s)
	for len(rest) > 0 {
		n := f.fits(rest, width)
		if n == len(rest) {
			return append(lines, string(rest)), false
		}
		if len(lines) == most-1 {
			n = cutAt(rest, f.fits(rest, width-f.width(ellipsis)))
			return append(lines, string(rest[:n])+ellipsis), true
		}
		at := n
		for at > 0 && rest[at] != ' ' {
			at--
		}
		if at == 0 {
			at = max(n, 1)
		}
		lines = append(lines, string(rest[:at]))
		if rest[at] == ' ' {
			at++
		}
		if separated := string(rest[at:]); strings.HasPrefix(separated, between) { // the line's end parts as well
			at += utf8.RuneCountInString(between)
		}
		rest = rest[at:]
	}
	return lines, false
}

// between stands between the parts of a text.
const between = "· "

// text is one text, set: folded into rows.
type text struct {
	face   *face
	rows   []string
	colour color.NRGBA
}

func (t text) height() int {
	if len(t.rows) == 0 {
		return 0
	}
	return len(t.rows) * t.face.spacing()
}

func (t text) width() int {
	w := 0
	for _, r := range t.rows {
		w = max(w, t.face.width(r))
	}
	return w
}

// write sets t with its top left corner at x, y and returns where it ends below.
func (t text) write(dst draw.Image, x, y int) int {
	for _, r := range t.rows {
		t.face.write(dst, x, y+t.face.baseline(), r, t.colour)
		y += t.face.spacing()
	}
	return y
}

// cutAt is where to cut runes that may be n long: after a word, if that loses little.
func cutAt(runes []rune, n int) int {
	for at := n; at > n*3/4; at-- {
		if runes[at] == ' ' {
			return at
		}
	}
	return n
}

// clean makes s one line of what can be drawn: letters with their accents in one piece,
// white space as single spaces, and nothing that only steers.
func clean(s string) string {
	var b strings.Builder
	space := false
	for _, r := range norm.NFC.String(strings.ToValidUTF8(s, "\uFFFD")) {
		switch {
		case r == '\u00a0' || r == '\u202f': // these must not fold
			space = false
			b.WriteRune('\u00a0')
		case unicode.IsSpace(r):
			space = b.Len() > 0
		case unicode.In(r, unicode.Cc, unicode.Cf, unicode.Variation_Selector):
		default:
			if space {
				b.WriteByte(' ')
				space = false
			}
			b.WriteRune(r)
		}
	}
	return b.String()
}

// cleanAll cleans each of texts and leaves out those that say nothing.
func cleanAll(texts []string) []string {
	var out []string
	for _, t := range texts {
		if t = clean(t); t != "" {
			out = append(out, t)
		}
	}
	return out
}

// rightToLeft are the scripts whose letters would come out in the wrong order.
var rightToLeft = []*unicode.RangeTable{unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko}

// Missing is the letters of text that cannot be drawn right, each once, in order: the
// font lacks them, they are written from right to left, or they were lost before and
// U+FFFD stands for them.
func Missing(text string) []rune {
	var missing []rune
	var buf sfnt.Buffer
	seen := map[rune]bool{}
	for _, r := range clean(text) {
		if seen[r] {
			continue
		}
		seen[r] = true
		if r == '\uFFFD' || unicode.In(r, rightToLeft...) || lacks(fonts().regular, &buf, r) || lacks(fonts().bold, &buf, r) {
			missing = append(missing, r)
		}
	}
	return missing
}

func lacks(f *sfnt.Font, buf *sfnt.Buffer, r rune) bool {
	x, err := f.GlyphIndex(buf, r)
	return err != nil || x == 0
}
