package tags

import (
	"iter"
	"math/bits"

	"gopkg.in/yaml.v3"
)

// readAssume reads "assume: {help: none, loaf: no}": what stands of a rep where nothing is
// tagged. Only that there was none of something can be assumed.
func (r *gameReader) readAssume(n *yaml.Node) {
	keys := Keys{}
	for _, f := range RepFields {
		if f.Absent == "" {
			continue
		}
		keys[f.Name] = func(n *yaml.Node) {
			switch text := r.fieldText(n, f.Name, f.Kind, f.WordList()); text {
			case "":
			case f.Absent:
				if r.game.Assume == nil {
					r.game.Assume = map[string]string{}
				}
				r.game.Assume[f.Name] = text
			default:
				r.Faults.Add(r.Pos(n), "assume %s: %s: only %s can be assumed; tag %s on the reps that had it", f.Name, text, f.Absent, text)
			}
		}
	}
	r.Mapping(n, "assume", keys)
}

// assume fills what the game's file lets stand where r says nothing.
func (r *Rep) assume() {
	if r.Play.Game.Assume == nil {
		return
	}
	for i, f := range RepFields {
		value := r.Play.Game.Assume[f.Name]
		if value == "" || f.Name == "help" && r.doubled() {
			continue
		}
		if at := f.At(r).(*string); *at == "" {
			*at = value
			r.assumed |= 1 << i
		}
	}
}

// Assumed is the fields whose values were not tagged but stand by the game's assume.
func (r *Rep) Assumed() iter.Seq[*Field[Rep]] {
	return func(yield func(*Field[Rep]) bool) {
		for left := r.assumed; left != 0; left &= left - 1 {
			if !yield(RepFields[bits.TrailingZeros64(left)]) {
				return
			}
		}
	}
}
