package stats

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"trenchcut/tags"
)

// momentsByGame is the moments of the watches of each game, in the order of games.
func momentsByGame(watches []Watch) [][]moment {
	of := map[game][]Watch{}
	var games []game
	for _, w := range watches {
		if of[w.of] == nil {
			games = append(games, w.of)
		}
		of[w.of] = append(of[w.of], w)
	}
	slices.SortFunc(games, compareGames)
	list := make([][]moment, len(games))
	for i, g := range games {
		list[i] = moments(of[g])
	}
	return list
}

// gameParts adds up what the watches of each game add to how far a sum over the times of
// beats is from the truth.
type gameParts struct {
	games [][]moment
	at    []int // how far into each
	parts []float64
}

func newGameParts(games [][]moment) *gameParts {
	return &gameParts{games: games, at: make([]int, len(games)), parts: make([]float64, len(games))}
}

// add is for a time at which beaten of atRisk are, in order of times: what is told of it is
// times weight.
func (p *gameParts) add(at tags.Time, atRisk, beaten int, weight float64) {
	n, d := float64(atRisk), float64(beaten)
	for g, list := range p.games {
		ours, own := riskAt(list, &p.at[g], at)
		p.parts[g] += weight * (float64(own) - float64(ours)*d/n) / (n - d)
	}
}

// compareByGame is how often chance alone makes groups that are alike differ as much in
// any game, by the log-rank test's sums of each game: Hotelling's T² of them over games (Lee,
// Wei and Amato 1992, in Survival Analysis: State of the Art, 237–247, have the variance by
// cluster; R's coxph with cluster() has it uncentred, as its robust score test). The game is
// the unit, so that it does not matter how alike the rushes of one are. False where there are
// fewer than three games; games that do not outnumber the groups tell nothing, which is
// told as 1.
func compareByGame(groups []Ranked) (p float64, told bool) {
	square, games := scoresByGame(groups)
	free := len(groups) - 1
	if games < LeastGames {
		return 1, false
	}
	if games <= free || math.IsNaN(square) {
		return 1, true
	}
	g, k := float64(games), float64(free)
	return distuv.F{D1: k, D2: g - k}.Survival((g - k) / (k * (g - 1)) * square), true
}

// scoresByGame is Hotelling's T² of the log-rank test's sums of each game, and how many games
// there are; NaN where games differ too little in kind to tell.
func scoresByGame(groups []Ranked) (square float64, games int) {
	var all []Watch
	for _, g := range groups {
		all = append(all, g.Watches...)
	}
	free := len(groups) - 1
	sums := map[game][]float64{}
	for _, w := range all {
		if sums[w.of] == nil {
			sums[w.of] = make([]float64, free)
		}
	}
	games = len(sums)
	if games < LeastGames {
		return math.NaN(), games
	}
	// How many are beaten by each time were all alike, of one rush and of those that are in the
	// group; all sums of all groups come to nothing, so the last follows from the others.
	times := slices.DeleteFunc(moments(all), func(m moment) bool { return m.beaten == 0 })
	for k := range free {
		own := moments(groups[k].Watches)
		at, each, ofGroup := 0, make([]float64, len(times)+1), make([]float64, len(times)+1)
		shares := make([]float64, len(times))
		for i, m := range times {
			ours, _ := riskAt(own, &at, m.at)
			shares[i] = float64(ours) / float64(m.atRisk)
			rate := float64(m.beaten) / float64(m.atRisk)
			each[i+1], ofGroup[i+1] = each[i]+rate, ofGroup[i]+shares[i]*rate
		}
		for j, g := range groups {
			in := 0.0
			if j == k {
				in = 1
			}
			for _, w := range ordinally(g.Watches) {
				i, found := slices.BinarySearchFunc(times, w.Until, func(m moment, at tags.Time) int { return cmp.Compare(m.at, at) })
				part := 0.0
				if w.Beat {
					part = in - shares[i]
				}
				if found {
					i++
				}
				sums[w.of][k] += part - in*each[i] + ofGroup[i]
			}
		}
	}
	return hotelling(sums, free), games
}

// ordinally is watches in an order, so that sums do not hang on that of reps.
func ordinally(list []Watch) []Watch {
	return slices.SortedFunc(slices.Values(list), func(a, b Watch) int {
		return cmp.Or(cmp.Compare(a.Until, b.Until), cmp.Compare(yes(a.Beat), yes(b.Beat)))
	})
}

func yes(is bool) int {
	if is {
		return 1
	}
	return 0
}

// hotelling is T² of the mean of vectors of a length, NaN where their covariance has no
// inverse that means anything: Hotelling 1931, Ann. Math. Stat. 2:360–378.
func hotelling(sums map[game][]float64, length int) float64 {
	var games []game
	for g := range sums {
		games = append(games, g)
	}
	slices.SortFunc(games, compareGames)
	n := float64(len(games))
	mean := mat.NewVecDense(length, nil)
	for _, g := range games {
		mean.AddScaledVec(mean, 1/n, mat.NewVecDense(length, sums[g]))
	}
	covariance := mat.NewSymDense(length, nil)
	for _, g := range games {
		off := mat.NewVecDense(length, nil)
		off.SubVec(mat.NewVecDense(length, sums[g]), mean)
		covariance.SymRankOne(covariance, 1/(n-1), off)
	}
	var factors mat.Cholesky
	var solution mat.VecDense
	if !factors.Factorize(covariance) || factors.Cond() > mostCondition || factors.SolveVecTo(&solution, mean) != nil {
		return math.NaN()
	}
	return n * mat.Dot(mean, &solution)
}
