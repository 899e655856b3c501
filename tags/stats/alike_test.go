package stats_test

import (
	"slices"
	"testing"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// rushes reads one-line reps of one game, a play each.
func rushes(t *testing.T, lines ...string) []*tags.Rep {
	t.Helper()
	text := "trenchcut: 1\ngame: {id: wk1}\nfilm: {endzone: {file: a.mp4}}\npeople:\n  marlow: {team: us, jersey: 91}\n  okafor: {team: us, jersey: 55}\nplays:\n"
	for i, line := range lines {
		text += "  - {play: " + string(rune('1'+i)) + ", type: dropback, in: " + string(rune('1'+i)) + "0s, out: " + string(rune('1'+i)) + "5s, reps: [" + line + "]}\n"
	}
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	game, faults := tags.ParseGame("wk1.game.yaml", []byte(text), vocabulary)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	season := &tags.Season{Games: []*tags.Game{game}, Vocabulary: vocabulary}
	return season.Reps()
}

func TestAlikeIsSymmetrical(t *testing.T) {
	reps := rushes(t, "91 9 spin short won", "91 9 spin short lost", "55 5 bull vertical lost", "91 9 bull short lost", "55 won")
	for _, a := range reps {
		for _, b := range reps {
			x, inX := stats.Alike(a, b)
			y, inY := stats.Alike(b, a)
			if x != y || !slices.Equal(inX, inY) {
				t.Errorf("%s is like %s by %d %v, the other way by %d %v", a.Name(), b.Name(), x, inX, y, inY)
			}
		}
	}
	same, _ := stats.Alike(reps[0], reps[1])
	less, _ := stats.Alike(reps[0], reps[3])
	none, _ := stats.Alike(reps[0], reps[4])
	if !(same > less && less > none) {
		t.Errorf("likeness %d, %d, %d: want it to fall", same, less, none)
	}
}

func TestModel(t *testing.T) {
	for name, c := range map[string]struct {
		reps []string // the first is the loss
		want int      // -1 is none
	}{
		"his own before a teammate's":      {[]string{"91 9 spin short lost", "55 9 spin short won", "91 5 spin short won"}, 2},
		"a teammate's where he has none":   {[]string{"91 9 spin short lost", "55 9 spin short won", "91 9 bull vertical won"}, 1},
		"the most alike of his":            {[]string{"91 9 spin short lost", "91 5 spin short won", "91 9 spin short won"}, 2},
		"of two alike the first by name":   {[]string{"91 9 spin short lost", "91 9 spin short won", "91 9 spin short won"}, 1},
		"never a loss":                     {[]string{"91 9 spin short lost", "91 9 spin short lost"}, -1},
		"none where none is alike enough":  {[]string{"91 9 spin short lost", "91 9 bull vertical won"}, -1},
		"what is not tagged makes no pair": {[]string{"91 lost", "91 won"}, -1},
	} {
		reps := rushes(t, c.reps...)
		for range 2 { // whatever the order they come in
			model, why := stats.Model(reps[0], reps)
			switch {
			case c.want < 0 && model != nil:
				t.Errorf("%s: %s (%v)", name, model.Name(), why)
			case c.want >= 0 && (model == nil || model.Name() != rushes(t, c.reps...)[c.want].Name() || len(why) < 2):
				t.Errorf("%s: %v (%v), want rep %d", name, model, why, c.want)
			}
			slices.Reverse(reps[1:])
		}
	}
}
