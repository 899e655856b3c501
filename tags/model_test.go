package tags

import (
	"strings"
	"testing"
)

// A model that names no rep is a fault, with what was probably meant; one that shows nobody how
// it is done, or that may be of a game that was not read, is warned of.
func TestCheckModels(t *testing.T) {
	const at = "wk1.game.yaml:8:55: "
	for model, want := range map[string]string{
		"wk1-p002-91":      "",
		"wk1-p003-91":      "", // a hold that he drew
		"wk1-p002-19":      at + `model "wk1-p002-19" names no rep; did you mean "wk1-p002-91"?`,
		"wkl-p002-91":      at + `warning: model "wkl-p002-91" is of the game wkl, which is not among those that were read`,
		"wk-1-p002-91":     at + `model "wk-1-p002-91" names no rep; did you mean "wk1-p002-91"?`,
		"p002-91":          at + `model "p002-91" names no rep; did you mean "wk1-p002-91"?`,
		"wk1-p009-91":      at + `model "wk1-p009-91" names no rep; wk1 has no rep of such a play`,
		"wk1-p004-91":      at + `model "wk1-p004-91" names no rep; want one of wk1-p004-a, wk1-p004-b`,
		"Marlow, week two": at + `model "Marlow, week two" names no rep; want the name of a rep as find prints it, with its game: wk1-p001-91`,
		"wk1-p001-91":      at + `warning: the model of wk1-p001-91 is that rep itself; a model is shown to be done alike`,
		"wk1-p004-b":       at + `warning: the model wk1-p004-b was not won: its battle is lost; a model is shown to be done alike`,
		"wk1-p005-91":      at + `warning: the model wk1-p005-91 is not said to be won: it has no battle; a model is shown to be done alike`,
		"wk9-p001-91":      at + `warning: model "wk9-p001-91" is of the game wk9, which is not among those that were read`,
	} {
		game, faults := ParseGame("wk1.game.yaml", []byte(strings.Replace(`trenchcut: 1
game: {id: wk1}
people:
  a: {team: us, jersey: 91}
  b: {team: us, jersey: 91}
plays:
  # the first is taught by another
  - {play: 1, reps: [{rusher: a, battle: lost, model: "MODEL"}]}
  - {play: 2, reps: [{rusher: a, battle: won}]}
  - {play: 3, reps: [{rusher: a, penalty: drew-hold, outcome: no-factor}]}
  - {play: 4, reps: [{rusher: a, battle: won}, {rusher: b, battle: lost}]}
  - {play: 5, reps: [{rusher: a, outcome: sack}]}
`, "MODEL", model, 1)), vocabulary(t))
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		data, err := pack(game)
		if err != nil {
			t.Fatal(err)
		}
		kept, ok := unpack(data, game.Pos.File, game.vocabulary)
		if !ok {
			t.Fatal("the game cannot be unpacked")
		}
		for _, g := range []*Game{game, kept} {
			season := &Season{Games: []*Game{g}}
			if got := season.checkModels().Error(); got != want {
				t.Errorf("model %s: %q, want %q", model, got, want)
			}
		}
	}
}
