package draw

import (
	"fmt"

	"trenchcut/pipeline/plan"
)

// CheckLook says why nothing could be read that is drawn by look: a colour that is
// none, text that does not stand out from its ground, type of an absurd size.
func CheckLook(look plan.Look) error {
	if _, err := newPalette(look); err != nil {
		return err
	}
	return checkSizes(look)
}

// coloursFor is a look's colours, for drawing by it on a picture of house size.
func coloursFor(look plan.Look, house plan.House) (palette, error) {
	colours, err := newPalette(look)
	if err == nil {
		err = checkHouse(house)
	}
	if err == nil {
		err = checkSizes(look)
	}
	return colours, err
}

// leastSize and mostSize bound a look's type sizes, in thousandths.
const leastSize, mostSize = 10, 300

func checkSizes(look plan.Look) error {
	for _, s := range []struct {
		key   string
		value int
	}{{"lead", look.Lead}, {"line", look.Line}, {"title", look.Title}, {"figure", look.Figure}, {"small", look.Small}} {
		if s.value < leastSize || s.value > mostSize {
			return fmt.Errorf("look's %s is %d thousandths: want %d to %d", s.key, s.value, leastSize, mostSize)
		}
	}
	return nil
}

// scale turns a look's sizes into pixels of one house.
type scale struct {
	side int // the shorter side: upright film is watched no nearer than wide film
}

func newScale(house plan.House) scale { return scale{min(house.Width, house.Height)} }

// least is the size below which type is not readable on film, or as near to it as a
// tiny picture lets.
func (s scale) least() int { return min(11, s.side/20) }

// size is thousandths of the shorter side in pixels.
func (s scale) size(thousandths int) int {
	return max((thousandths*s.side+500)/1000, s.least())
}

// floor is how far type of size px may be shrunk before text is folded or cut instead.
func (s scale) floor(px int) int { return max(px*3/4, min(px, s.least())) }
