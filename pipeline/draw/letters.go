package draw

import (
	"maps"
	"slices"

	"trenchcut/tags"
)

// CheckLetters warns of what a label would say with letters that the font lacks.
func CheckLetters(season *tags.Season) tags.Faults {
	var faults tags.Faults
	look := func(pos tags.Pos, text string) {
		if missing := Missing(text); len(missing) > 0 {
			faults.Warn(pos, "a label cannot show %q: the font has no such letter", string(missing))
		}
	}
	for _, g := range season.Games {
		look(g.Pos, g.Us+g.Opponent)
		for _, id := range slices.Sorted(maps.Keys(g.People)) {
			look(g.People[id].Pos, g.People[id].Name)
		}
		for _, p := range g.Plays {
			look(p.Pos, p.Call)
			for _, r := range p.Reps {
				look(r.Pos, r.Point)
			}
		}
	}
	return faults
}
