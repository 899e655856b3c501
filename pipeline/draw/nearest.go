package draw

import (
	"fmt"
	"image/color"
	"math"

	"trenchcut/pipeline/plan"
)

// Nearest returns the look that can be read and differs least from look, and says what was changed;
// said is empty where nothing was. A colour is only made lighter or darker. Ink and ground change
// together, so that the sum of both changes, by the CIE 1976 colour difference, is least; quiet
// then follows the new ground. An accent equal to the ink stays equal to it. Where a colour cannot
// be parsed, the look is returned unchanged, for [CheckLook] to refuse.
func Nearest(look plan.Look) (nearest plan.Look, said []string) {
	look = inked(look)
	ink, errInk := parseColour(look.Ink)
	quiet, errQuiet := parseColour(look.Quiet)
	ground, errGround := parseColour(look.Ground)
	accent, errAccent := parseColour(look.Accent)
	if errInk != nil || errQuiet != nil || errGround != nil || errAccent != nil {
		return look, nil
	}
	newInk, newGround := nearestPair(ink, ground)
	newQuiet, _ := nearestOn(quiet, newGround)
	newAccent := accent
	if accent == ink { // or a team's bars and rings would be lost on its ground
		newAccent = newInk
	}
	nearest = look
	for _, c := range []struct {
		key      string
		was, now color.NRGBA
		into     *string
	}{{"ground", ground, newGround, &nearest.Ground}, {"ink", ink, newInk, &nearest.Ink}, {"quiet", quiet, newQuiet, &nearest.Quiet}, {"accent", accent, newAccent, &nearest.Accent}} {
		if c.was != c.now {
			*c.into = hex(c.now)
			said = append(said, fmt.Sprintf("%s %s is taken as %s", c.key, hex(c.was), *c.into))
		}
	}
	return nearest, said
}

func hex(c color.NRGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// nearestPair is text and ground that can be read, least far from those given in all.
func nearestPair(ink, ground color.NRGBA) (nearInk, nearGround color.NRGBA) {
	best := math.Inf(1)
	for step := -mostSteps; step <= mostSteps; step++ {
		g := toward(ground, step)
		far := difference(ground, g)
		if far >= best {
			continue
		}
		t, ok := nearestOn(ink, g)
		if !ok {
			continue
		}
		if far += difference(ink, t); far < best {
			best, nearInk, nearGround = far, t, g
		}
	}
	return nearInk, nearGround
}

// nearestOn is text that can be read on ground, least far from c; a ground of middling
// lightness has none.
func nearestOn(c, ground color.NRGBA) (nearest color.NRGBA, ok bool) {
	if Contrast(c, ground) >= leastContrast {
		return c, true
	}
	best := math.Inf(1)
	for _, way := range []int{-1, 1} {
		// On its way it may become as light as the ground, but beyond it stands out the more
		// the farther it goes.
		beyond := func(step int) bool {
			t := toward(c, way*step)
			return Contrast(t, ground) >= leastContrast && (luminance(t) > luminance(ground)) == (way > 0)
		}
		if !beyond(mostSteps) {
			continue
		}
		low, high := 0, mostSteps // not beyond, beyond
		for high-low > 1 {
			if middle := (low + high) / 2; beyond(middle) {
				high = middle
			} else {
				low = middle
			}
		}
		if t := toward(c, way*high); difference(c, t) < best {
			best, nearest, ok = difference(c, t), t, true
		}
	}
	return nearest, ok
}

// readable is nearestOn in words.
func readable(c, ground color.NRGBA) string {
	t, ok := nearestOn(c, ground)
	if !ok {
		return "none, so choose another ground"
	}
	return hex(t)
}

// mostSteps is how many steps lead to white and to black.
const mostSteps = 255

// toward is c so many steps on its way to white, or to black where they are negative.
func toward(c color.NRGBA, steps int) color.NRGBA {
	end := 255
	if steps < 0 {
		end, steps = 0, -steps
	}
	to := func(v uint8) uint8 { return uint8((int(v)*(mostSteps-steps) + end*steps + mostSteps/2) / mostSteps) }
	return color.NRGBA{to(c.R), to(c.G), to(c.B), 255}
}

// difference is how far apart two colours look: the CIE 1976 colour difference, the distance
// in L*a*b* (CIE 15:2004, 8.2.1), from sRGB under D65 (IEC 61966-2-1).
func difference(c, d color.NRGBA) float64 {
	x, y := lab(c), lab(d)
	return math.Sqrt((x[0]-y[0])*(x[0]-y[0]) + (x[1]-y[1])*(x[1]-y[1]) + (x[2]-y[2])*(x[2]-y[2]))
}

func lab(c color.NRGBA) [3]float64 {
	r, g, b := linear(c.R), linear(c.G), linear(c.B)
	f := func(t float64) float64 {
		if t > 216./24389 {
			return math.Cbrt(t)
		}
		return 841./108*t + 4./29
	}
	x := f((.4124*r + .3576*g + .1805*b) / .9505)
	y := f(.2126*r + .7152*g + .0722*b)
	z := f((.0193*r + .1192*g + .9505*b) / 1.089)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}
