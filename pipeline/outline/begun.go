package outline

import (
	"strings"

	"trenchcut/pipeline/mark"
	"trenchcut/tags"
)

// begunOn fails where a play whose film moves has something begun on the marking page. That is kept
// by the number of the play, so it would stay with the number and not with the film.
func begunOn(file string, g *tags.Game, moves func(number int) bool) error {
	begun, err := mark.Begun(file, g)
	if err != nil {
		return err
	}
	var where []string
	for _, d := range begun {
		if moves(d.Play) {
			where = append(where, d.Where())
		}
	}
	if len(where) == 0 {
		return nil
	}
	return wrong("%s: begun on the marking page and not in %s yet, so it would stay with the number while the film goes: finish or clear it there first, with trenchcut mark", strings.Join(where, ", "), file)
}
