package draw

import (
	"fmt"
	"image"
	"image/color"
	"strings"

	"trenchcut/pipeline/plan"
)

// Card draws c over a whole picture of house size: title, lines and shares amid it, small
// text at the foot, all in the title-safe area. Still is a picture that stands beside the
// text, or above it where the house is no wider than tall; nil is none. The first share is
// the card's figure. What is too much is first set smaller, then the still and the large
// figure give way, and then things are left out from the end and counted in words. A card
// that has no room for its title and the whole of its caution is an error.
func Card(c plan.Card, still *Still, look plan.Look, house plan.House) (*image.NRGBA, error) {
	colours, err := coloursFor(look, house)
	if err == nil {
		err = checkShares(c.Shares)
	}
	if err != nil {
		return nil, fmt.Errorf("drawing a slate: %w", err)
	}
	c = plan.Card{Whose: clean(c.Whose), Title: clean(c.Title), Lines: cleanAll(c.Lines), Shares: c.Shares, Small: cleanAll(c.Small), Caution: clean(c.Caution)}
	if c.Whose+c.Title == "" && len(c.Lines)+len(c.Shares)+len(c.Small)+len(c.Caution) == 0 {
		return nil, fmt.Errorf("drawing a slate: %w", errNoText)
	}
	fs := faces{}
	defer fs.done()
	m := image.NewRGBA(image.Rect(0, 0, house.Width, house.Height))
	fill(m, m.Rect, colours.ground)
	s := newSetter(fs, colours, look, house)
	if still != nil {
		beside := s
		panel := beside.makeRoom(house)
		if l, ok := beside.inFull(c); ok {
			l.paint(m)
			still.paint(m, panel)
			s.seam(m, panel)
			return straight(m), nil
		}
	}
	l, err := s.fit(c)
	if err != nil {
		return nil, fmt.Errorf("drawing a slate: %w", err)
	}
	l.paint(m)
	return straight(m), nil
}

func checkShares(shares []plan.Share) error {
	for _, s := range shares {
		if err := checkShare(s); err != nil {
			return err
		}
	}
	return nil
}

func checkShare(s plan.Share) error {
	if s.K < 0 || s.K > s.N {
		return fmt.Errorf("share %q: %d of %d", s.Name, s.K, s.N)
	}
	if s.Bar && !(s.N > 0 && 0 <= s.Low && s.Low <= s.High && s.High <= 1) { // NaN fails too
		return fmt.Errorf("share %q: bar of %d in %d from %g to %g", s.Name, s.K, s.N, s.Low, s.High)
	}
	return nil
}

// slateFolds bounds setter.folds. So many rows hold the longest text that a vocabulary may have for
// a slate, on the narrowest slate.
const slateFolds = 6

// setter lays out one slate.
type setter struct {
	faces   faces
	scale   scale
	colours palette
	look    plan.Look
	safe    image.Rectangle
	percent int  // of full size
	folds   int  // how many times the usual rows a text of the head may take
	plain   bool // no figure stands out: the first share is a row like the others
	beside  bool // a still stands beside the text, and the seam between them is the only rule
}

func newSetter(fs faces, colours palette, look plan.Look, house plan.House) setter {
	s := setter{faces: fs, scale: newScale(house), colours: colours, look: look, safe: Safe(house), folds: 1}
	// Accents on capitals reach out of their row by a tenth of the type's size.
	reach := s.scale.size(look.Title)/10 + 1
	s.safe.Min.Y += reach
	s.safe.Max.Y -= reach
	return s
}

// part is one thing on a slate and the gap before it.
type part struct {
	says        string // its text, or the name of a share
	gap, height int
	paint       func(m *image.RGBA, x, y int)
}

// layout is a slate's parts: head and body amid the room above the foot.
type layout struct {
	setter
	head, body, foot []part
	whole            bool // no text was cut
	cautioned        bool // nor the caution
}

func (l layout) height() int {
	h := tall(l.head) + tall(l.body)
	if len(l.foot) > 0 {
		h += l.between() + tall(l.foot)
	}
	return h
}

func tall(parts []part) int {
	h := 0
	for i, p := range parts {
		if i > 0 {
			h += p.gap
		}
		h += p.height
	}
	return h
}

// inFull is the largest layout that shows all of c with its figure, where there is one.
func (s setter) inFull(c plan.Card) (l layout, ok bool) {
	for s.percent = 100; s.percent >= 75; s.percent -= 5 {
		if l = s.lay(c, c); l.height() <= s.safe.Dy() && l.whole {
			return l, true
		}
	}
	return l, false
}

// fit finds the largest layout that shows all of c, or at the floor of all sizes the
// most of it that has room.
func (s setter) fit(c plan.Card) (layout, error) {
	if l, ok := s.inFull(c); ok {
		return l, nil
	}
	s.plain = true
	for room := true; room && s.folds <= slateFolds; s.folds++ {
		for s.percent = 100; s.percent >= 75; s.percent -= 5 {
			l := s.lay(c, c)
			if room = l.height() <= s.safe.Dy(); room && l.whole {
				return l, nil
			}
		}
	}
	s.percent, s.folds = 75, 1
	shown := c
	for {
		l := s.lay(shown, c)
		if !l.cautioned {
			return l, errNoRoom(s)
		}
		if l.height() <= s.safe.Dy() {
			return l, nil
		}
		switch lines, shares, small := len(shown.Lines), len(shown.Shares), len(shown.Small); {
		case lines > 0 && lines >= shares:
			shown.Lines = shown.Lines[:lines-1]
		case shares > 0:
			shown.Shares = shown.Shares[:shares-1]
		case small > 0:
			shown.Small = shown.Small[:small-1]
		default:
			return l, errNoRoom(s)
		}
	}
}

func errNoRoom(s setter) error {
	return fmt.Errorf("the text has no room in %dx%d", s.safe.Dx(), s.safe.Dy())
}

// px is a look's size at the setter's percentage.
func (s setter) px(thousandths int) int {
	full := s.scale.size(thousandths)
	return max(full*s.percent/100, s.scale.floor(full))
}

// lay lays out shown, which is the card all or what is left of it after some things were left out.
func (s setter) lay(shown, all plan.Card) layout {
	l := layout{setter: s, whole: true}
	line, whose := s.px(s.look.Line*6/5), s.px(s.look.Lead)
	if s.plain {
		line, whose = s.px(s.look.Line), s.px(s.look.Line)
	}
	room := s.safe.Dx() - l.indent()

	figure := !s.plain && len(shown.Shares) > 0
	if shown.Whose != "" {
		l.head = append(l.head, l.text(s.faces.get(true, whose), shown.Whose, room, 2*s.folds, 0, s.colours.whose()))
	}
	if shown.Title != "" {
		size := s.px(s.look.Title)
		switch {
		case figure: // which is what is read first
			size = s.px(s.look.Title * 7 / 10)
		case s.plain: // there is much to say
			size = s.px(s.look.Title * 4 / 5)
		}
		l.head = append(l.head, l.text(s.faces.get(true, size), shown.Title, room, 3*s.folds, line/4, s.colours.ink))
	}
	regular := s.faces.get(false, line)
	after := shown.Lines // what is said behind a figure
	if before := min(len(after), 1); figure {
		for _, t := range after[:before] {
			l.head = append(l.head, l.text(regular, t, room, 2*s.folds, line/3, s.colours.quiet))
		}
		after = after[before:]
	} else {
		for i, t := range after {
			gap := line / 3
			if i == 0 {
				gap = line * 2 / 3
			}
			l.head = append(l.head, l.text(regular, t, room, 2*s.folds, gap, s.colours.ink))
		}
		after = nil
	}
	if n := len(all.Lines) - len(shown.Lines); n > 0 {
		l.head = append(l.head, l.text(regular, andMore(n), room, 1, line/3, s.colours.quiet))
	}

	rows := shown.Shares
	if figure {
		l.addFigure(rows[0], room)
		rows = rows[1:]
	}
	if n := len(l.body); figure && len(rows) > 0 {
		l.body[n-1].height += line / 2
	}
	l.addShares(regular, rows)
	for i, t := range after {
		gap := line / 3
		if i == 0 {
			gap = line
		}
		l.body = append(l.body, l.text(regular, t, room, 3, gap, s.colours.ink))
	}
	if n := len(all.Shares) - len(shown.Shares); n > 0 {
		l.body = append(l.body, l.text(regular, andMore(n), room, 1, line/2, s.colours.quiet))
	}
	if len(l.head) > 0 && len(l.body) > 0 {
		l.head[len(l.head)-1].height += line * 3 / 2
	}

	small := s.faces.get(false, s.px(s.look.Small))
	gap := small.style.px / 3
	for _, t := range shown.Small {
		l.foot = append(l.foot, l.text(small, t, room, 6, gap, s.colours.quiet))
	}
	if n := len(all.Small) - len(shown.Small); n > 0 {
		l.foot = append(l.foot, l.text(small, andMore(n), room, 1, gap, s.colours.quiet))
	}
	rest := l.whole
	l.whole = true
	if all.Caution != "" {
		l.foot = append(l.foot, l.text(small, all.Caution, room, 12, gap, s.colours.quiet))
	}
	l.cautioned, l.whole = l.whole, l.whole && rest
	return l
}

// text is t as a part, folded into at most most rows.
func (l *layout) text(f *face, t string, room, most, gap int, c color.NRGBA) part {
	rows, cut := f.fold(t, room, most)
	if cut {
		l.whole = false
	}
	set := text{f, rows, c}
	return part{strings.Join(rows, " "), gap, set.height(), func(m *image.RGBA, x, y int) { set.write(m, x, y) }}
}

// rule is the width of the accent at the left of the head, indent that of rule and gap.
func (s setter) rule() int { return max(s.scale.side/90, 2) }

func (s setter) indent() int {
	if s.beside {
		return 0
	}
	return s.rule() + s.px(s.look.Line)*4/5
}

func (s setter) between() int { return s.px(s.look.Line) * 3 / 2 }

func (l layout) paint(m *image.RGBA) {
	foot := l.safe.Max.Y - tall(l.foot)
	x, y := l.safe.Min.X, l.safe.Min.Y
	if len(l.foot) > 0 {
		paint(m, l.foot, x+l.indent(), foot)
		line := image.Rect(x+l.indent(), foot-l.between()/2, l.safe.Max.X, foot-l.between()/2+max(l.scale.side/720, 1))
		fill(m, line, l.colours.hair())
		foot -= l.between()
	}
	// A little above the middle looks like the middle.
	y += (foot - y - tall(l.head) - tall(l.body)) * 9 / 20
	if len(l.head) > 0 {
		end := paint(m, l.head, x+l.indent(), y)
		bar := end
		if len(l.body) > 0 {
			bar -= l.px(l.look.Line) * 3 / 2
		}
		if !l.beside {
			l.hashed(m, image.Rect(x, y, x+l.rule(), bar), true)
		}
		y = end
	}
	paint(m, l.body, x+l.indent(), y)
}

func paint(m *image.RGBA, parts []part, x, y int) int {
	for i, p := range parts {
		if i > 0 {
			y += p.gap
		}
		p.paint(m, x, y)
		y += p.height
	}
	return y
}
