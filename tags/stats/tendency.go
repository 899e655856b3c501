package stats

import (
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
		for _, set := range sets {
			list[i].Situations = append(list[i].Situations, situationOf(set, c.of))
		}
	}
	return list
}

func situationOf(set Set, of func(*tags.Rep) string) Situation {
	s := Situation{Name: set.Name, Reps: len(set.Reps)}
	counts := map[string]int{}
	for _, r := range set.Reps {
		if done := of(r); done != "" {
			counts[done]++
		} else {
			s.Untagged++
		}
	}
	at := map[string]int{}
	for _, part := range parts(counts, func(string) int { return 0 }) {
		at[part.Name] = len(s.Shares)
		s.Shares = append(s.Shares, NamedRate{part.Name, Rate{Count: Count{part.Reps, s.Reps - s.Untagged}, Unknown: s.Untagged}})
	}
	// Every share is of the same reps, so their games are counted once.
	var all Rate
	for _, r := range set.Reps {
		done := of(r)
		if done == "" {
			continue
		}
		here := all.inGame(gameOf(r), false)
		for share := &s.Shares[at[done]].Rate; ; {
			if n := len(share.games); n <= here {
				share.games = append(share.games, gameCount{game: all.games[n].game})
				continue
			}
			share.games[here].K++
			break
		}
	}
	for i := range s.Shares {
		share := &s.Shares[i].Rate
		for n := len(share.games); n < len(all.games); n++ {
			share.games = append(share.games, gameCount{game: all.games[n].game})
		}
		for j := range share.games {
			share.games[j].N = all.games[j].N
		}
	}
	return s
}
