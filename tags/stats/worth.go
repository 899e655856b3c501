package stats

import (
	"trenchcut/tags/stats/fit"
)

// Worth is what a read is worth with each man held against himself: won where he took it less
// won where he did not, put together over men (Mantel and Haenszel).
type Worth struct {
	Read string
	Men  int // who both took it and did not
	// Of those men: battles won of the reps that took it, and of those that did not.
	Taken, Other Count
	More         *fit.Estimate // of 1 rush; nil where either is under Enough or the games under LeastGames
	Odds         *fit.Estimate // how many times the odds of a win are those without; likewise
}

// Worths is what each of names was worth over what was seen of each man. What is seen of
// reps that [Readers] leaves out must not be among it.
func Worths(byMan [][]Seen, names []string) []Worth {
	list := make([]Worth, len(names))
	strata := make([][]fit.Pair, len(names))
	games := map[game]bool{}
	for _, seen := range byMan {
		for _, s := range seen {
			games[gameOf(s.Rep)] = true
		}
		for i, r := range Reads(seen, names) {
			list[i].Read = r.Name
			if r.WonTaken.N == 0 || r.WonOther.N == 0 {
				continue
			}
			w := &list[i]
			w.Men++
			w.Taken.K, w.Taken.N = w.Taken.K+r.WonTaken.K, w.Taken.N+r.WonTaken.N
			w.Other.K, w.Other.N = w.Other.K+r.WonOther.K, w.Other.N+r.WonOther.N
			strata[i] = append(strata[i], fit.Pair{With: fit.Count(r.WonTaken.Count), Without: fit.Count(r.WonOther.Count)})
		}
	}
	for i := range list {
		w := &list[i]
		w.Read = names[i]
		if len(games) < LeastGames || !w.Taken.Enough() || !w.Other.Enough() {
			continue
		}
		// Where the strata settle neither, there is none.
		if more, err := fit.RiskDifference(strata[i]); err == nil {
			w.More = &more
		}
		if odds, err := fit.OddsRatio(strata[i]); err == nil {
			w.Odds = &odds
		}
	}
	return list
}
