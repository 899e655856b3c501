package draw

import (
	"fmt"
	"image"
	"image/color"

	"trenchcut/pipeline/plan"
)

// Label draws l as a strip at the left of the title-safe area, as large as it needs: at its
// foot, at its head, or at the head of the room that it has to itself. It keeps to the corner,
// so that what the play comes to is seen: text is folded before it is set smaller, and then
// cut. A broad one leaves no more than the clock's room beside it.
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
	if len(s.tab.rows) > 0 {
		s.tab.write(m, (s.rule-s.tab.width())/2, (s.size.Y-s.tab.height())/2)
	}
	at := s.text
	for _, t := range s.texts {
		at.Y = t.write(m, at.X, at.Y)
	}
	return Picture{straight(m), s.at}, nil
}

// How much of the safe area's width and height a label may take, in hundredths: one that
// keeps to its corner, and a broad one.
const (
	cornerWide, cornerHigh = 46, 32
	broadWide, broadHigh   = 75, 50
)

// tabSize is the size of a tab's number, in hundredths of a label's first line.
const tabSize = 130

// strip is a label, laid out.
type strip struct {
	at, size image.Point // in the house picture
	rule     int         // how wide the accent at its left is
	tab      text        // on the accent
	text     image.Point // where the first text starts, in the strip
	texts    []text      // one below the other
}

func layStrip(l plan.Label, look plan.Look, house plan.House, fs faces, colours palette) (strip, error) {
	lead, lines, number := cleanAll([]string{l.Lead}), cleanAll(l.Lines), cleanAll([]string{l.Tab})
	if len(lead)+len(lines)+len(number) == 0 {
		return strip{}, errNoText
	}
	s := newScale(house)
	if len(lead) == 0 && len(lines) > 0 && len(number) > 0 { // all there is to read, in a moment
		lead, lines = lines[:1], lines[1:]
	}
	safe, own := roomIn(l.Room, house)
	pad := s.size(look.Line) * 2 / 3 // left and right of the text
	rim := s.size(look.Line) / 2     // above and below it
	wide, high := cornerWide, cornerHigh
	switch {
	case own:
		wide, high = 100, 100
	case l.Broad:
		wide, high = broadWide, broadHigh
	}
	width := max(safe.Dx()*wide/100, min(safe.Dx(), 16*s.least())) // of a tiny picture more
	most := safe.Dy()*high/100 - 2*rim
	if !own {
		most = max(most, min(safe.Dy()/2-2*rim, 4*s.least()))
	}

	rule := max(s.side/90, 2)
	var tab text
	if len(number) > 0 {
		f := fs.get(true, s.size(look.Lead*tabSize/100))
		rows, _ := f.fold(number[0], width/3, 1)
		tab = text{f, rows, colours.on()}
		rule = tab.width() + pad
	}
	texts := setLabel(fs, s, look, colours, lead, lines, width-rule-2*pad, most, own)
	textWide, height := 0, 2*rim+max(total(texts), min(tab.height()-rim, most))
	for _, t := range texts {
		textWide = max(textWide, t.width())
	}
	if textWide > 0 {
		textWide += 2 * pad
	}
	size := image.Pt((min(rule+textWide, safe.Dx())+1)/2*2, (height+1)/2*2)
	at := image.Pt(safe.Min.X, safe.Max.Y-size.Y)
	if l.Top || own {
		at.Y = safe.Min.Y
	}
	return strip{at, size, rule, tab, image.Pt(rule+pad, (size.Y-total(texts))/2), texts}, nil
}

// setLabel sets a label's texts in room pixels and most high: folded, then smaller, then with
// the last of them left out and counted. In a room of its own, which is as wide as the
// picture, they are set smaller before they are folded.
func setLabel(fs faces, s scale, look plan.Look, colours palette, lead, lines []string, room, most int, own bool) []text {
	leadSize, lineSize := s.size(look.Lead), s.size(look.Line)
	set := func(fewest, folds int) []text {
		texts := setTexts(fs, s, true, leadSize, lead, colours.ink, room, fewest, folds)
		return append(texts, setTexts(fs, s, false, lineSize, lines, colours.quiet, room, fewest, folds)...)
	}
	fewest, folds := mostFolds, mostFolds
	if own {
		fewest = 1
	}
	texts := set(fewest, folds)
	if own && total(texts) > most {
		folds = 2
		texts = set(fewest, folds)
	}
	for down := 1; total(texts) > most && (leadSize-down >= s.floor(leadSize) || lineSize-down >= s.floor(lineSize)); down++ {
		heads, _ := foldAll(fs.get(true, max(leadSize-down, s.floor(leadSize))), lead, colours.ink, room, folds)
		rest, _ := foldAll(fs.get(false, max(lineSize-down, s.floor(lineSize))), lines, colours.quiet, room, folds)
		texts = append(heads, rest...)
	}
	if n := len(texts); total(texts) > most {
		more := text{face: fs.get(false, s.floor(s.size(look.Line))), colour: colours.quiet}
		for len(texts) > 1 && total(texts)+more.face.spacing() > most {
			texts = texts[:len(texts)-1]
		}
		if len(texts) < n {
			more.rows = []string{andMore(n - len(texts))}
			texts = append(texts, more)
		}
	}
	return texts
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
const mostFolds = 3

// setTexts sets each of ss, all in one size: as large as lets each stand in fewest rows of room
// pixels or less, else as lets each be folded whole into most, else the smallest, and cut.
func setTexts(fs faces, s scale, bold bool, px int, ss []string, c color.NRGBA, room, fewest, most int) []text {
	least := s.floor(px)
	for rows := fewest; ; rows++ {
		for try := px; try >= least; try-- {
			texts, whole := foldAll(fs.get(bold, try), ss, c, room, rows)
			if whole || rows == most && try == least {
				return texts
			}
		}
	}
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
