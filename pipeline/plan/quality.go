package plan

import "slices"

// Quality names how much is kept of the film's picture, for how much space.
type Quality string

// The qualities.
const (
	Small    Quality = "small"    // for mail and phones
	Standard Quality = "standard" // for the meeting room
	Fine     Quality = "fine"     // where the reel is film for others to cut
)

var qualities = []Quality{Small, Standard, Fine}

// Encoder is what makes a picture of that quality.
func (q Quality) Encoder() Encoder {
	switch q {
	case Small:
		return Encoder{Codec: X264, Preset: "fast", CRF: 28}
	case Fine:
		return Encoder{Codec: X264, Preset: "veryfast", CRF: 16}
	default:
		return Encoder{Codec: X264, Preset: "veryfast", CRF: 20}
	}
}

// Smaller is the recipe for a reel of less space, rung by rung: first in quality, then in
// size. It is false on the last rung.
func (r Recipe) Smaller(house House) (Recipe, bool) {
	if small := Small.Encoder().With(r.Encoder.Codec); r.Encoder != small {
		r.Encoder = small
		return r, true
	}
	for _, rung := range slices.Backward(sizeLadder) {
		if short := min(house.Width, house.Height); rung.height < short {
			scale := func(side int) int { return even((side*rung.height + short/2) / short) }
			r.Width, r.Height = scale(house.Width), scale(house.Height)
			return r, true
		}
	}
	return r, false
}

// QualityOf is the name of the quality that e makes.
func QualityOf(e Encoder) string {
	for _, q := range []Quality{Small, Standard, Fine} {
		if q.Encoder().With(e.Codec) == e {
			return string(q)
		}
	}
	return "its own"
}
