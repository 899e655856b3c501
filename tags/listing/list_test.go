package listing

import (
	"slices"
	"testing"

	"trenchcut/tags"
	"trenchcut/tags/query"
)

// A word tells of a win by what it says itself, not because a rep that has it won by another.
func TestWins(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	game, faults := tags.ParseGame("wk1.game.yaml", []byte(`trenchcut: 1
game: {id: wk1}
people: {a: {team: us, jersey: 91}}
plays:
  - {play: 1, type: dropback, reps: [{rusher: a, battle: won, outcome: no-factor, did: [half-sack]}]}
  - {play: 2, type: dropback, reps: [{rusher: a, outcome: hurry}]}
`), v)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	season := &tags.Season{Games: []*tags.Game{game}, Vocabulary: v}
	q, err := query.Parse(nil, "", v, season)
	if err != nil {
		t.Fatal(err)
	}
	columns := Reps(q, season).Blocks()[0].Headings
	wins := columns[len(columns)-1].Wins
	for word, want := range map[string]bool{"won": true, "hurry": true, "sack": true, "no-factor": false, "lost": false} {
		if slices.Contains(wins, word) != want {
			t.Errorf("%s tells of a win: %v, want %v", word, !want, want)
		}
	}
}
