package draw

import (
	"fmt"
	"image"
	"image/color"

	"trenchcut/pipeline/plan"
)

// Label draws l as a strip at the left of the title-safe area, as large as it needs: at its
// foot, or at the top, where it leaves room for the clock, or at the top of the room that
// it has to itself. Text too long is first set smaller, then folded, then cut.
func Label(l plan.Label, look plan.Look, house plan.House) (Picture, error) {
	colours, err := coloursFor(look, house)
	if err != nil {
		return Picture{}, fmt.Errorf("drawing a label: %w", err)
	}
	fs := faces{}
	defer fs.done()
	s, err := layStrip(l, look, house, fs, colours)
	if err != nil {
		return Picture{}, fmt.Errorf("drawing a label: %w", err)
	}
	m := image.NewRGBA(image.Rectangle{Max: s.size})
	fill(m, m.Rect, colours.scrim())
	fill(m, image.Rect(0, 0, s.rule, s.size.Y), colours.accent)
	at := s.text
	for _, t := range s.texts {
		at.Y = t.write(m, at.X, at.Y)
	}
	return Picture{straight(m), s.at}, nil
}

// strip is a label, laid out.
type strip struct {
	at, size image.Point // in the house picture
	rule     int         // how wide the accent at its left is
	text     image.Point // where the first text starts, in the strip
	texts    []text      // one below the other
}

func layStrip(l plan.Label, look plan.Look, house plan.House, fs faces, colours palette) (strip, error) {
	lead, lines := cleanAll([]string{l.Lead}), cleanAll(l.Lines)
	if len(lead)+len(lines) == 0 {
		return strip{}, errNoText
	}
	s := newScale(house)
	safe, own := roomIn(l.Room, house)
	rule := max(s.side/180, 2)
	pad := s.size(look.Line) * 2 / 3 // left and right of the text
	rim := s.size(look.Line) / 2     // above and below it
	room := safe.Dx() - rule - 2*pad
	if l.Top {
		room = room * 3 / 4
	}
	most := safe.Dy()/2 - 2*rim // more would hide the rush
	if own {
		most = safe.Dy() - 2*rim
	}

	leadSize, lineSize := s.size(look.Lead), s.size(look.Line)
	fewest := 1 // rows of a text that does not fit in one
	if l.Top {  // it stands to be read, so that it is folded before it is set smaller
		fewest = mostFolds
	}
	texts := setTexts(fs, s, true, leadSize, lead, colours.ink, room, fewest)
	texts = append(texts, setTexts(fs, s, false, lineSize, lines, colours.quiet, room, fewest)...)
	for down := 1; own && total(texts) > most && (leadSize-down >= s.floor(leadSize) || lineSize-down >= s.floor(lineSize)); down++ {
		heads, _ := foldAll(fs.get(true, max(leadSize-down, s.floor(leadSize))), lead, colours.ink, room, mostFolds)
		rest, _ := foldAll(fs.get(false, max(lineSize-down, s.floor(lineSize))), lines, colours.quiet, room, mostFolds)
		texts = append(heads, rest...)
	}
	if n := len(texts); total(texts) > most {
		more := text{face: fs.get(false, s.floor(s.size(look.Line))), colour: colours.quiet}
		for len(texts) > 1 && total(texts)+more.face.spacing() > most {
			texts = texts[:len(texts)-1]
		}
		more.rows = []string{andMore(n - len(texts))}
		texts = append(texts, more)
	}

	width, height := 0, 2*rim+total(texts)
	for _, t := range texts {
		width = max(width, t.width())
	}
	width = min(rule+pad+width+pad, safe.Dx())
	size := image.Pt((width+1)/2*2, (height+1)/2*2)
	at := image.Pt(safe.Min.X, safe.Max.Y-size.Y)
	if l.Top || own {
		at.Y = safe.Min.Y
	}
	return strip{at, size, rule, image.Pt(rule+pad, (size.Y-height)/2+rim), texts}, nil
}

// roomIn is the part of the title-safe area that lies in r: all of it where r is zero, and
// else own is true.
func roomIn(r plan.Fit, house plan.House) (safe image.Rectangle, own bool) {
	safe = Safe(house)
	if own = r != (plan.Fit{}); own {
		safe = safe.Intersect(image.Rect(r.X, r.Y, r.X+r.Width, r.Y+r.Height))
	}
	return even(safe), own
}

// even is the largest rectangle in r with even corners.
func even(r image.Rectangle) image.Rectangle {
	return image.Rect((r.Min.X+1)/2*2, (r.Min.Y+1)/2*2, r.Max.X/2*2, r.Max.Y/2*2)
}

// mostFolds is into how many rows one text of a label may be folded.
const mostFolds = 2

// setTexts sets each of ss, all in one size: as large as lets each stand in fewest rows of room
// pixels or less, else as lets each be folded whole, else the smallest, and cut.
func setTexts(fs faces, s scale, bold bool, px int, ss []string, c color.NRGBA, room, fewest int) []text {
	least := s.floor(px)
	for most := fewest; most <= mostFolds; most++ {
		for try := px; try >= least; try-- {
			texts, whole := foldAll(fs.get(bold, try), ss, c, room, most)
			if whole || most == mostFolds && try == least {
				return texts
			}
		}
	}
	return nil
}

func foldAll(f *face, ss []string, c color.NRGBA, room, most int) (texts []text, whole bool) {
	whole = true
	for _, t := range ss {
		rows, cut := f.fold(t, room, most)
		texts = append(texts, text{f, rows, c})
		whole = whole && !cut
	}
	return texts, whole
}

// total is the height of texts one below the other.
func total(texts []text) int {
	h := 0
	for _, t := range texts {
		h += t.height()
	}
	return h
}

// andMore says that n things were left out.
func andMore(n int) string { return fmt.Sprintf("… and %d more", n) }
