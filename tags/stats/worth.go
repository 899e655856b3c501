package stats

import (
	"maps"
	"math"
	"slices"

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
	strata := make([][]stratum, len(names))
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
			strata[i] = append(strata[i], stratum{r.WonTaken, r.WonOther})
		}
	}
	for i := range list {
		w := &list[i]
		w.Read = names[i]
		if len(games) < LeastGames || !w.Taken.Enough() || !w.Other.Enough() {
			continue
		}
		// Where the strata settle neither, there is none.
		w.More = byGameAtLeast(strata[i], fit.RiskDifference, func(x float64) float64 { return x }, func(x float64) float64 { return min(max(x, -1), 1) })
		w.Odds = byGameAtLeast(strata[i], fit.OddsRatio, math.Log, math.Exp)
	}
	return list
}

// stratum is what one man won where he took a read, and where he did not.
type stratum struct{ taken, other Rate }

// pairsWithout is strata as the models want them, without one game where leave says so.
func pairsWithout(strata []stratum, leave bool, of game) []fit.Pair {
	list := make([]fit.Pair, len(strata))
	for i, s := range strata {
		list[i] = fit.Pair{With: s.taken.without(leave, of), Without: s.other.without(leave, of)}
	}
	return list
}

func (r Rate) without(leave bool, of game) fit.Count {
	c := fit.Count{K: float64(r.K), N: float64(r.N)}
	if !leave {
		return c
	}
	for _, g := range r.games {
		if g.game == of {
			c.K, c.N = c.K-float64(g.K), c.N-float64(g.N)
		}
	}
	return c
}

// byGameAtLeast is a model's figure of strata, its interval no shorter than that by game: the
// jackknife that leaves out one game after the other (Wolter 2007, Introduction to Variance
// Estimation, section 4.2), with Student's reach on one degree less than there are games. Nil
// where the model comes to no answer, with all games or without one.
func byGameAtLeast(strata []stratum, model func([]fit.Pair) (fit.Estimate, error), to, back func(float64) float64) *fit.Estimate {
	all, err := model(pairsWithout(strata, false, game{}))
	if err != nil {
		return nil
	}
	met := map[game]bool{}
	for _, s := range strata {
		for _, g := range slices.Concat(s.taken.games, s.other.games) {
			met[g.game] = true
		}
	}
	if len(met) < LeastGames {
		return nil
	}
	games := slices.SortedFunc(maps.Keys(met), compareGames)
	at := make([]float64, len(games))
	mean := 0.0
	for i, g := range games {
		left, err := model(pairsWithout(strata, true, g))
		if err != nil {
			return nil // it hangs on one game
		}
		at[i] = to(left.At)
		mean += at[i] / float64(len(games))
	}
	square := 0.0
	for _, x := range at {
		square += (x - mean) * (x - mean)
	}
	n := float64(len(games))
	reach := student(len(games)-1) * math.Sqrt((n-1)/n*square)
	all.Low, all.High = min(all.Low, back(to(all.At)-reach)), max(all.High, back(to(all.At)+reach))
	return &all
}
