package stats

import (
	"cmp"
	"slices"

	"trenchcut/tags"
	"trenchcut/tags/stats/fit"
)

// Pairs is who wins against whom, one-on-one.
type Pairs struct {
	Why      string // why nothing is said; empty where it is
	Rushers  []Met
	Blockers []Met
	Pairs    []Met // the pairs that met often enough
	Seldom   int   // pairs that did not
	// Left out: reps of which battle or blocker is not known, and those of which the tags do
	// not say that they were one-on-one, or say that they were not.
	Untagged, NotAlone int
}

// Met is how one-on-one reps ended for the rusher.
type Met struct {
	Rusher, Blocker string // the one that it is not of is empty
	Won, Even, Lost int
	Likely          *fit.Estimate // wins, of 1, against the average or of this pair; nil under Enough
}

// Reps is how many there are.
func (m Met) Reps() int { return m.Won + m.Even + m.Lost }

func (m *Met) add(battle string, won bool) {
	switch {
	case won:
		m.Won++
	case battle == "lost":
		m.Lost++
	default:
		m.Even++
	}
}

// PairsOf is who wins against whom in the reps that the headline counts, by Davidson's
// model: everybody's ability is fitted at once, so that who met the better blockers is not
// held to be the worse for it. Few reps leave a man near the average.
func (in Scope) PairsOf(reps []*tags.Rep) Pairs {
	var p Pairs
	type key struct{ rusher, blocker string }
	met, rushers, blockers := map[key]*Met{}, map[string]*Met{}, map[string]*Met{}
	var counted []*tags.Rep
	for _, r := range in.Counted(reps) {
		won, _ := r.Won()
		alone, _ := r.OneOnOne()
		switch {
		case r.Battle == "" || r.Blocker == nil: // a hold that he drew tells of wins alone
			p.Untagged++
			continue
		case !alone:
			p.NotAlone++
			continue
		}
		counted = append(counted, r)
		k := key{r.Rusher.Called(), r.Blocker.Called()}
		for _, m := range []*Met{
			kept(met, k, Met{Rusher: k.rusher, Blocker: k.blocker}), kept(rushers, k.rusher, Met{Rusher: k.rusher}), kept(blockers, k.blocker, Met{Blocker: k.blocker}),
		} {
			m.add(r.Battle, won)
		}
	}
	p.Rushers, p.Blockers = metList(rushers), metList(blockers)
	all := metList(met)
	if p.Why = tooFewGames(counted); p.Why == "" {
		p.fit(all)
	}
	for _, m := range all {
		if m.Reps() >= Enough {
			p.Pairs = append(p.Pairs, m)
		} else {
			p.Seldom++
		}
	}
	return p
}

// kept is the entry of a key, which starts as new.
func kept[K comparable](in map[K]*Met, key K, fresh Met) *Met {
	m, ok := in[key]
	if !ok {
		m = &fresh
		in[key] = m
	}
	return m
}

// metList is in order of reps, the most first, then by name.
func metList[K comparable](in map[K]*Met) []Met {
	list := make([]Met, 0, len(in))
	for _, m := range in {
		list = append(list, *m)
	}
	slices.SortFunc(list, func(a, b Met) int {
		return cmp.Or(cmp.Compare(b.Reps(), a.Reps()), cmp.Compare(a.Rusher, b.Rusher), cmp.Compare(a.Blocker, b.Blocker))
	})
	return list
}

func (p *Pairs) fit(pairs []Met) {
	at := map[string]int{}
	for _, m := range p.Rushers {
		at[m.Rusher] = len(at)
	}
	first := len(at)
	theirs := map[string]int{}
	for _, m := range p.Blockers {
		theirs[m.Blocker] = first + len(theirs)
	}
	if len(at) < 2 || len(theirs) < 2 {
		p.Why = "it takes two rushers and two blockers"
		return
	}
	meetings := make([]fit.Meeting, len(pairs))
	for i, m := range pairs {
		meetings[i] = fit.Meeting{First: at[m.Rusher], Second: theirs[m.Blocker], Won: m.Won, Lost: m.Lost, Even: m.Even}
	}
	abilities, err := fit.Davidson(first+len(theirs), meetings)
	if err != nil {
		p.Why = "it takes wins and losses, and one of them is not there"
		return
	}
	say := func(list []Met, of func(Met) fit.Estimate) {
		for i := range list {
			if list[i].Reps() >= Enough {
				e := of(list[i])
				list[i].Likely = &e
			}
		}
	}
	say(pairs, func(m Met) fit.Estimate { return abilities.Wins(at[m.Rusher], theirs[m.Blocker]) })
	say(p.Rushers, func(m Met) fit.Estimate { return abilities.AsFirst(at[m.Rusher]) })
	say(p.Blockers, func(m Met) fit.Estimate { return abilities.AsSecond(theirs[m.Blocker]) })
}
