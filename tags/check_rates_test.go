package tags

import (
	"fmt"
	"strings"
	"testing"
)

// What no rate counts is said where it is tagged.
func TestWhatNoRateCountsIsSaid(t *testing.T) {
	for play, want := range map[string]string{
		"unit: offense, reps: [91 9 won]":                   "of the unit offense, so no rate counts its reps",
		"unit: defense, reps: [91 9 won]":                   "",
		"unit: offense":                                     "",
		"reps: [{rusher: oke, job: coverage, battle: won}]": "no rate counts the job coverage",
		"reps: [{rusher: oke, job: spy, battle: won}]":      "",

		"unit: special-teams, type: punt, reps: [{rusher: oke, job: rush, battle: won}]": "of the unit special teams, so no rate counts its reps",
	} {
		v := vocabulary(t)
		list := v.List("job")
		list.Words = append(list.Words, Word{Name: "coverage"})
		list.reindex()
		_, faults := ParseGame("x.game.yaml", []byte(`trenchcut: 1
game: {id: x}
film: {endzone: {file: /f/ez.mp4}}
people: {oke: {name: Sol Oke, team: us, jersey: 91}}
plays: [{play: 1, in: 1s, out: 9s, `+play+"}]\n"), v)
		said := fmt.Sprint(faults)
		if faults.Grave() > 0 || want == "" && len(faults) > 0 || !strings.Contains(said, want) {
			t.Errorf("%s: %s, want %q", play, said, want)
		}
	}
}
