package query

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/tags"
)

// roomSeason is games as they are loaded, which settles who is who over them.
func roomSeason(t *testing.T, games ...string) *tags.Season {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	var files []string
	for _, game := range games {
		id, _, _ := strings.Cut(game, ",")
		path := filepath.Join(folder, id+tags.Suffix)
		if err := os.WriteFile(path, []byte("trenchcut: 1\ngame: {id: "+game), 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, path)
	}
	s, faults, err := tags.Cache{}.Load(files, v)
	if err != nil || faults.Grave() > 0 {
		t.Fatal(faults, err)
	}
	return s
}

// A number that a man of theirs wears too means ours, in the words as in the choice.
func TestWordsOfOneNumber(t *testing.T) {
	const plays = "\nplays: [{play: 1, reps: [{rusher: %, battle: won}]}]\n"
	s := roomSeason(t,
		"wk1, us: Cedar Hollow, opponent: Harbor State}\npeople: {marlow: {name: Teo Marlow, team: us, jersey: 91}}"+strings.Replace(plays, "%", "marlow", 1),
		"sc1, kind: scout, us: Mesa, opponent: Harbor State}\npeople: {abel: {name: Abe Abel, team: us, jersey: 91}}"+strings.Replace(plays, "%", "abel", 1))
	for term, want := range map[string]string{"rusher=91": "#91 Teo Marlow", "91": "#91 Teo Marlow", "rusher=abel": "#91 Abe Abel"} {
		q, err := Parse([]string{term}, "", s.Vocabulary, s)
		if err != nil {
			t.Fatal(err)
		}
		reps := q.Reps(s).Reps
		if got := q.Words(); got != want || len(reps) != 1 || reps[0].Rusher.Shown() != want {
			t.Errorf("%s is said to be %q, and chooses %d reps of %s; want %q", term, got, len(reps), reps[0].Rusher.Shown(), want)
		}
	}
}

// Two choices have two titles: reels are named by them.
func TestWordsTellChoicesApart(t *testing.T) {
	const of = "\npeople: {a: {team: us, jersey: 91}, b: {team: us, jersey: 55}}\nplays: [{play: 1, reps: [{rusher: a, battle: won}, {rusher: b, battle: lost}]}]\n"
	s := roomSeason(t, "am, kind: practice, date: 2026-08-03}"+of, "pm, kind: practice, date: 2026-08-03}"+of, "tue, kind: practice, date: 2026-08-04}"+of,
		"wk1, us: Cedar Hollow, opponent: Harbor State}"+of, "sc1, kind: scout, us: Mesa, opponent: Harbor State}"+of)
	said := map[string]string{}
	for _, term := range []string{"game=am", "game=pm", "game=tue", "game=wk1", "game=sc1", "rep=tue-p001-91", "rep=tue-p001-55", "sequence=rip", "sequence=rip/inside", "move=rip", "sack", "outcome=sack", "third-down", "down-class=third-down"} {
		q, err := Parse([]string{term}, "", s.Vocabulary, s)
		if err != nil {
			t.Fatal(err)
		}
		words := q.Words()
		if other, ok := said[words]; ok {
			t.Errorf("%s and %s are both %q", other, term, words)
		}
		said[words] = term
	}
	for _, want := range []string{"Practice 2026-08-04", "Against Harbor State", "Mesa against Harbor State", "#91 on play 1, practice 2026-08-04"} {
		if said[want] == "" {
			t.Errorf("nothing is called %q: %v", want, said)
		}
	}
}
