package stats

import (
	"cmp"
	"slices"

	"trenchcut/tags"
)

// Tendency is what was done how often, situation by situation.
type Tendency struct {
	By         string // what tells situations apart: down-class
	What       string // what was chosen: first-move, path, set or help
	Theirs     bool   // the other side chose it
	Situations []Situation
}

// Situation is what was done in one: the most frequent first.
type Situation struct {
	Name     string
	Reps     int
	Untagged int // reps of which it is not known; in no share
	Shares   []NamedRate
}

// choosings is what tendencies are told of.
var choosings = []struct {
	what   string
	theirs bool
	of     func(*tags.Rep) string
}{
	{"first-move", false, func(r *tags.Rep) string {
		if len(r.Moves) == 0 {
			return ""
		}
		return firstMove(r)
	}},
	{"path", false, (*tags.Rep).Path},
	{"set", true, func(r *tags.Rep) string { return r.Set }},
	{"help", true, func(r *tags.Rep) string { return r.Help }},
}

// Tendencies is the tendencies of reps, which are such as [Scope.Rushes] leaves in, one a
// choosing, all by the same situations in the same order, which compare says.
func Tendencies(rushes []*tags.Rep, by string, situation func(*tags.Rep) []string, compare func(a, b string) int) []Tendency {
	sets := Split(rushes, situation)
	slices.SortStableFunc(sets, func(a, b Set) int {
		if a.Name == NotTagged || b.Name == NotTagged {
			return lastly(a.Name, b.Name)
		}
		return compare(a.Name, b.Name)
	})
	list := make([]Tendency, len(choosings))
	for i, c := range choosings {
		list[i] = Tendency{By: by, What: c.what, Theirs: c.theirs}
	}
	for _, set := range sets {
		of := make([]tally, len(choosings))
		for _, r := range set.Reps {
			for i, c := range choosings {
				of[i].add(r, c.of(r))
			}
		}
		for i := range of {
			list[i].Situations = append(list[i].Situations, of[i].situation(set))
		}
	}
	return list
}

// tally counts what was chosen in one situation.
type tally struct {
	untagged int
	shares   []NamedRate
	at       map[string]int // in shares, by name
	all      Rate           // every share is of the same reps, so their games are counted once
}

func (t *tally) add(r *tags.Rep, done string) {
	if done == "" {
		t.untagged++
		return
	}
	here := t.all.inGame(r)
	t.all.games[here].N++
	i, met := t.at[done]
	if !met {
		if t.at == nil {
			t.at = map[string]int{}
		}
		i = len(t.shares)
		t.at[done] = i
		t.shares = append(t.shares, NamedRate{Name: done})
	}
	t.to(i, here+1)
	share := &t.shares[i].Rate
	share.games[here].K++
	share.K++
}

// to gives a share the first n of the games.
func (t *tally) to(share, n int) {
	of := &t.shares[share].Rate
	for len(of.games) < n {
		of.games = append(of.games, gameCount{game: t.all.games[len(of.games)].game})
	}
}

func (t *tally) situation(set Set) Situation {
	reps := len(set.Reps)
	for i := range t.shares {
		t.to(i, len(t.all.games))
		share := &t.shares[i].Rate
		share.N, share.Unknown = reps-t.untagged, t.untagged
		for n := range share.games {
			share.games[n].N = t.all.games[n].N
		}
	}
	slices.SortFunc(t.shares, func(a, b NamedRate) int {
		return cmp.Or(lastly(a.Name, b.Name), cmp.Compare(b.K, a.K), cmp.Compare(a.Name, b.Name))
	})
	return Situation{Name: set.Name, Reps: reps, Untagged: t.untagged, Shares: t.shares}
}
