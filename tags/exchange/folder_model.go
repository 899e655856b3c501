package exchange

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// repName is the name of a rep: its game, its play, and its rusher's number or id.
var repName = regexp.MustCompile(`^(.+)(-p\d{3,4}-)(.+)$`)

// renameModels chooses the names that models go by, so that each is the rep of theirs that it was
// and none becomes one of ours.
func (t *Taking) renameModels(theirs []*theirGame, r renames) {
	reps, games := map[string]string{}, map[string]bool{}
	for _, g := range theirs {
		games[g.game.ID] = true
		for _, rep := range repsOf(g.game) {
			who := cmp.Or(rep.Rusher.Jersey, r.people[rep.Rusher.ID], rep.Rusher.ID)
			play := strings.TrimPrefix(rep.Play.Name(), g.game.ID)
			reps[rep.Name()] = cmp.Or(r.games[g.game.ID], g.game.ID) + play + "-" + who
		}
	}
	for _, g := range theirs {
		for _, rep := range repsOf(g.game) {
			to, known := reps[rep.Model]
			if m := repName.FindStringSubmatch(rep.Model); !known && m != nil {
				game := r.games[m[1]]
				if !games[m[1]] && slices.ContainsFunc(t.folder.Ours, func(o *tags.Game) bool { return o.ID == m[1] }) {
					game = idOf(g.team) + "-" + m[1]
				}
				to = cmp.Or(game, m[1]) + m[2] + cmp.Or(r.people[m[3]], m[3])
			}
			if to != "" && to != rep.Model {
				r.models[rep.Model] = to
			}
		}
	}
}

func repsOf(g *tags.Game) []*tags.Rep {
	var reps []*tags.Rep
	for _, p := range g.Plays {
		reps = append(reps, p.Reps...)
	}
	return reps
}

// remodelled is a tag file with other names of models, and nothing else of it changed.
func remodelled(data []byte, names map[string]string) ([]byte, error) {
	return replaceIn(data, names, func(top *yaml.Node) (found []*yaml.Node) {
		for _, play := range items(top, "plays") {
			for _, rep := range items(play, "reps") {
				if model := tags.Child(rep, "model"); model != nil {
					found = append(found, model)
				}
			}
		}
		return found
	})
}
