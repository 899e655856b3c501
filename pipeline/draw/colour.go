package draw

import (
	"fmt"
	"image/color"
	"math"
	"strconv"

	"trenchcut/pipeline/plan"
)

// leastContrast is WCAG 2's level AAA for text of any size.
const leastContrast = 7

// Contrast is how far apart a and b are in lightness, 1 to 21, whichever is lighter
// (W3C WCAG 2.x, contrast ratio; with the corrected threshold .04045). Both are taken as
// opaque.
func Contrast(a, b color.Color) float64 {
	l, m := luminance(a), luminance(b)
	return (max(l, m) + .05) / (min(l, m) + .05)
}

// luminance is WCAG 2.x's relative luminance.
func luminance(c color.Color) float64 {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	return .2126*linear(n.R) + .7152*linear(n.G) + .0722*linear(n.B)
}

// linear is how much light a value of a channel stands for, 0 to 1 (IEC 61966-2-1, sRGB).
func linear(v uint8) float64 { return lights[v] }

var lights = func() (table [256]float64) {
	for v := range table {
		s := float64(v) / 255
		if s <= .04045 {
			table[v] = s / 12.92
		} else {
			table[v] = math.Pow((s+.055)/1.055, 2.4)
		}
	}
	return table
}()

// parseColour reads #rrggbb.
func parseColour(text string) (color.NRGBA, error) {
	if len(text) == 7 && text[0] == '#' {
		if v, err := strconv.ParseUint(text[1:], 16, 24); err == nil {
			return color.NRGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255}, nil
		}
	}
	return color.NRGBA{}, fmt.Errorf("colour %q: want #rrggbb, such as #56b4e9", text)
}

// palette is a look's colours, read.
type palette struct {
	ink, quiet, ground, accent color.NRGBA
}

func newPalette(look plan.Look) (palette, error) {
	look = inked(look)
	var p palette
	for _, c := range []struct {
		key, text string
		into      *color.NRGBA
	}{{"ink", look.Ink, &p.ink}, {"quiet", look.Quiet, &p.quiet}, {"ground", look.Ground, &p.ground}, {"accent", look.Accent, &p.accent}} {
		v, err := parseColour(c.text)
		if err != nil {
			return p, fmt.Errorf("look's %s: %w", c.key, err)
		}
		*c.into = v
	}
	for _, c := range []struct {
		key   string
		value color.NRGBA
	}{{"ink", p.ink}, {"quiet", p.quiet}} {
		if got := Contrast(c.value, p.ground); got < leastContrast {
			return p, fmt.Errorf("look's %s on its ground has a contrast of %.1f:1, want %d:1; the nearest that has it: %s; nearest: yes takes the nearest of both", c.key, got, leastContrast, readable(c.value, p.ground))
		}
	}
	return p, nil
}

// inked is look with white or black in the place of ink that is to be readable.
func inked(look plan.Look) plan.Look {
	ground, err := parseColour(look.Ground)
	if err != nil {
		return look
	}
	ink := "#ffffff"
	if Contrast(color.Black, ground) > Contrast(color.White, ground) {
		ink = "#000000"
	}
	for _, c := range []*string{&look.Ink, &look.Quiet} {
		if *c == plan.Readable {
			*c = ink
		}
	}
	return look
}

// scrim is the ground as clear as it may be with all text on it standing out by
// leastContrast from whatever lies behind, and no clearer than mostClear.
func (p palette) scrim() color.NRGBA {
	const mostClear = 0xd8
	for alpha := mostClear; alpha < 255; alpha++ {
		s := p.ground
		s.A = uint8(alpha)
		if p.worst(s) >= leastContrast*1.04 { // the margin is for 8-bit and YUV rounding
			return s
		}
	}
	return p.ground
}

// worst is the least contrast of text on scrim s over any picture. Luminance rises with
// each channel, so black and white behind bound it.
func (p palette) worst(s color.NRGBA) float64 {
	least := math.Inf(1)
	for _, behind := range []color.NRGBA{{0, 0, 0, 255}, {255, 255, 255, 255}} {
		seen := over(s, behind)
		least = min(least, Contrast(p.ink, seen), Contrast(p.quiet, seen))
	}
	return least
}

// over is straight-alpha c laid on opaque behind, channel by channel as overlay does it.
func over(c, behind color.NRGBA) color.NRGBA {
	mix := func(a, b uint8) uint8 {
		return uint8((int(a)*int(c.A) + int(b)*(255-int(c.A)) + 127) / 255)
	}
	return color.NRGBA{mix(c.R, behind.R), mix(c.G, behind.G), mix(c.B, behind.B), 255}
}

// leastLarge is WCAG 2's level AAA for large or bold text.
const leastLarge = 4.5

// whose is the colour of whose reel it is, in bold type: the accent where that can be read.
func (p palette) whose() color.NRGBA {
	if Contrast(p.accent, p.ground) >= leastLarge {
		return p.accent
	}
	return p.ink
}

// on is the colour of bold text on the accent: the ground or the ink, or where neither can be
// read there white or black, one of which always can.
func (p palette) on() color.NRGBA {
	best := p.ground
	for _, c := range []color.NRGBA{p.ink, {255, 255, 255, 255}, {0, 0, 0, 255}} {
		if Contrast(best, p.accent) < leastLarge && Contrast(c, p.accent) > Contrast(best, p.accent) {
			best = c
		}
	}
	return best
}

// hair is for lines that only guide the eye: a third of the way from ground to quiet.
func (p palette) hair() color.NRGBA {
	c := p.quiet
	c.A = 255 / 3
	return over(c, p.ground)
}

// pale is c as clear as it may be with a mark of it still standing out from the ground.
func (p palette) pale(c color.NRGBA) color.NRGBA {
	const mostClear = 0x90
	for alpha := mostClear; alpha < 255; alpha += 5 {
		c.A = uint8(alpha)
		if Contrast(over(c, p.ground), p.ground) >= leastMark {
			return c
		}
	}
	c.A = 255
	return c
}
