package outline

import (
	"strings"

	"trenchcut/pipeline/mark"
	"trenchcut/tags"
)

// begunOn fails where something is begun on the marking page of plays whose film moves: that
// stands beside the tag file by the play's number, so it would stay with the number.
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
