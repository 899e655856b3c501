package stats

import (
	"fmt"
	"math"

	"trenchcut/tags"
	"trenchcut/tags/stats/fit"
)

// tooFewGames says that reps are of too few games for a model; empty where they are of enough.
func tooFewGames(reps []*tags.Rep) string {
	switch n := len(Split(reps, gamesOf)); {
	case len(reps) == 0:
		return "no rep counts"
	case n < LeastGames:
		return fmt.Sprintf("%s of film, and it takes %d at least", tags.Count(n, "game"), LeastGames)
	default:
		return ""
	}
}

// power is how often a gap that is there is to be found (common practice).
const power = 0.8

// HowMany says how many rushes it takes, each a fresh try, to tell a rate from another, per 100;
// empty where the two are next to the same.
func HowMany(p, q float64) string {
	if math.Abs(p-q) < 0.01 {
		return ""
	}
	tries := math.Ceil(fit.Tries(p, q, power))
	if tries > 1000 {
		tries = math.Ceil(tries/100) * 100
	}
	return fmt.Sprintf("to tell %d from %d in 100 takes about %.0f rushes on each side, more where games differ", percent(p), percent(q), tries)
}

// HowManyMore is [HowMany] of a rate and one that is 15 in 100 better or, where that cannot
// be, worse; empty where there are too few reps for a rate.
func HowManyMore(c Count) string {
	const gap = 0.15
	if !c.Enough() {
		return ""
	}
	p := float64(c.K) / float64(c.N)
	if p+gap > 1 {
		return HowMany(p-gap, p)
	}
	return HowMany(p, p+gap)
}
