package draw

import (
	"fmt"
	"image"
	"image/color"

	"trenchcut/pipeline/plan"
)

// Label draws l as a strip at the left of the title-safe area, as large as it needs. At the
// top it leaves room for the clock.
// Text too long is first set smaller, then folded, then cut.
func Label(l plan.Label, look plan.Look, house plan.House) (Picture, error) {
	colours, err := coloursFor(look, house)
	if err != nil {
		return Picture{}, fmt.Errorf("drawing a label: %w", err)
	}
	lead, lines := cleanAll([]string{l.Lead}), cleanAll(l.Lines)
	if len(lead)+len(lines) == 0 {
		return Picture{}, fmt.Errorf("drawing a label: %w", errNoText)
	}

	fs := faces{}
	defer fs.done()
	s := newScale(house)
	safe := even(Safe(house))
	rule := max(s.side/180, 2)
	pad := s.size(look.Line) * 2 / 3 // left and right of the text
	rim := s.size(look.Line) / 2     // above and below it
	room := safe.Dx() - rule - 2*pad
	if l.Top {
		room = room * 3 / 4
	}

	texts := setTexts(fs, s, true, s.size(look.Lead), lead, colours.ink, room)
	texts = append(texts, setTexts(fs, s, false, s.size(look.Line), lines, colours.quiet, room)...)
	most := safe.Dy()/2 - 2*rim // more would hide the rush
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

	m := image.NewRGBA(image.Rectangle{Max: size})
	fill(m, m.Rect, colours.scrim())
	fill(m, image.Rect(0, 0, rule, size.Y), colours.accent)
	y := (size.Y-height)/2 + rim
	for _, t := range texts {
		y = t.write(m, rule+pad, y)
	}
	at := image.Pt(safe.Min.X, safe.Max.Y-size.Y)
	if l.Top {
		at.Y = safe.Min.Y
	}
	return Picture{straight(m), at}, nil
}

// even is the largest rectangle in r with even corners.
func even(r image.Rectangle) image.Rectangle {
	return image.Rect((r.Min.X+1)/2*2, (r.Min.Y+1)/2*2, r.Max.X/2*2, r.Max.Y/2*2)
}

// mostFolds is into how many rows one text of a label may be folded.
const mostFolds = 2

// setTexts sets each of ss, all in one size: as large as lets each stand in a row of room
// pixels, else as lets each be folded whole, else the smallest, and cut.
func setTexts(fs faces, s scale, bold bool, px int, ss []string, c color.NRGBA, room int) []text {
	least := s.floor(px)
	for most := 1; most <= mostFolds; most++ {
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
