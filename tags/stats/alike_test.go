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

func TestModels(t *testing.T) {
	for name, c := range map[string]struct {
		reps []string // the first is the loss
		want int      // -1 is none
	}{
		"his own before a teammate's":        {[]string{"91 9 spin short lost", "55 9 spin short won", "91 5 spin short won"}, 2},
		"a teammate's where he has none":     {[]string{"91 9 spin short lost", "55 9 spin short won", "91 9 bull vertical won"}, 1},
		"the most alike of his":              {[]string{"91 9 spin short lost", "91 5 spin short won", "91 9 spin short won"}, 2},
		"of two alike the first by name":     {[]string{"91 9 spin short lost", "91 9 spin short won", "91 9 spin short won"}, 1},
		"never a loss":                       {[]string{"91 9 spin short lost", "91 9 spin short lost"}, -1},
		"none where none is alike enough":    {[]string{"91 9 spin short lost", "91 9 bull vertical won"}, -1},
		"what is not tagged makes no pair":   {[]string{"91 lost", "91 won"}, -1},
		"his move before the same set":       {[]string{"91 9 dip>spin short lost", "91 9 ghost>spin short won", "91 9 dip>spin vertical won"}, 2},
		"and before whose it is":             {[]string{"91 9 dip>spin short lost", "91 9 ghost>spin short won", "55 5 dip>spin vertical won"}, 2},
		"the same set alone is not enough":   {[]string{"91 9 bull short lost", "91 9 swipe short won"}, -1},
		"the same kind of move and set":      {[]string{"91 9 dip vertical lost", "91 9 ghost vertical won"}, 1},
		"the same kind of move alone":        {[]string{"91 9 dip vertical lost", "91 9 ghost angle won"}, -1},
		"the first move with another finish": {[]string{"91 5 bull angle lost", "55 9 bull>arm-over short won"}, -1},
		"no stunt for a straight rush":       {[]string{"91 9 spin short lost", "{rusher: marlow, align: 9, move: spin, blocker: {set: short}, battle: won, stunt: tackle-end}"}, -1},
		"nor another part of it":             {[]string{"{rusher: marlow, job: looper, move: spin, stunt: pirate, battle: lost}", "{rusher: marlow, job: penetrator, move: spin, stunt: pirate, battle: won}"}, -1},
		"a stunt for a stunt":                {[]string{"{rusher: marlow, job: looper, move: spin, stunt: pirate, battle: lost}", "{rusher: marlow, job: looper, move: spin, stunt: pirate, battle: won}"}, 1},
		"no help for one who was doubled":    {[]string{"91 1 bull short double lost", "91 1 bull short won"}, -1},
		"but a win against two for one":      {[]string{"91 1 bull short lost", "91 1 bull short double won"}, 1},
		"no win with a fault: contain":       {[]string{"91 9 spin short lost", "{rusher: marlow, move: spin, blocker: {set: short}, battle: won, contain: lost}"}, -1},
		"no win with a fault: technique":     {[]string{"91 9 spin short lost", "{rusher: marlow, move: spin, blocker: {set: short}, battle: won, grade: {technique: minus}}"}, -1},
		"no win with a fault: offside":       {[]string{"91 9 spin short lost", "{rusher: marlow, move: spin, blocker: {set: short}, battle: won, penalty: offside}"}, -1},
		"no win with a fault: loaf":          {[]string{"91 9 spin short lost", "{rusher: marlow, move: spin, blocker: {set: short}, battle: won, loaf: yes}"}, -1},
		"no win that was given":              {[]string{"91 9 spin short lost", "{rusher: marlow, move: spin, blocker: {set: short}, battle: won, outcome: sack, credit: coverage}"}, -1},
		"a drawn hold is a win":              {[]string{"91 9 spin short lost", "{rusher: marlow, move: spin, blocker: {set: short}, battle: lost, penalty: drew-hold}"}, 1},
	} {
		reps := rushes(t, c.reps...)
		for range 2 { // whatever the order they come in
			models := stats.Models(reps[0], reps, nil)
			switch {
			case c.want < 0 && len(models) > 0:
				t.Errorf("%s: %s (%v)", name, models[0].Rep.Name(), models[0].Why)
			case c.want >= 0 && (len(models) == 0 || models[0].Rep.Name() != rushes(t, c.reps...)[c.want].Name() || len(models[0].Why) == 0):
				t.Errorf("%s: %v, want rep %d", name, models, c.want)
			}
			slices.Reverse(reps[1:])
		}
	}
}

// Where the rep missed something, a model is a win that took it, whatever his own moves were.
func TestModelsThatTakeTheRead(t *testing.T) {
	reps := rushes(t, "91 9 bull short lost", "91 9 bull short won", "55 3 swipe short won", "55 9 swipe short won")
	models := stats.Models(reps[0], reps, func(r *tags.Rep) bool { return r.FirstFamily() == "hands" })
	var got []string
	for _, m := range models {
		got = append(got, m.Rep.Name())
	}
	if want := []string{"wk1-p004-55", "wk1-p003-55"}; !slices.Equal(got, want) || !slices.Contains(models[0].Why, "takes what was there") {
		t.Errorf("%v %v, want %v", got, models, want)
	}
}
