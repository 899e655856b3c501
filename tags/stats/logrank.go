package stats

import (
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"trenchcut/tags"
)

// LogRanks compares the curves of several groups over their whole length.
type LogRanks struct {
	Groups    []RankedGroup
	ChiSquare float64 // of fresh rushes
	Degrees   int     // of freedom: 0 where there is nothing to compare
	P         float64 // by game, where that is more
}

// RankedGroup is one of the groups: how many were beaten, and how many would be were all
// groups alike.
type RankedGroup struct {
	Name     string
	Watches  int
	Observed int
	Expected float64
}

// Ranked is the watches of one group under its name.
type Ranked struct {
	Name    string
	Watches []Watch
}

// CompareGroups is the log-rank test of k groups with k-1 degrees of freedom: Mantel 1966,
// Cancer Chemother. Rep. 50:163–170, as Kalbfleisch and Prentice 1980, section 1.4, have it
// for many. No rush may be in two groups. A group in which nobody could have been beaten
// says nothing and takes its degree of freedom with it. Of three games at least, p is by how
// much games differ, and never less than that of fresh rushes.
func CompareGroups(groups []Ranked) LogRanks {
	t := LogRanks{P: 1}
	var all []Watch
	of := make([][]moment, len(groups))
	at := make([]int, len(groups)) // how far into each
	for i, g := range groups {
		t.Groups = append(t.Groups, RankedGroup{Name: g.Name, Watches: len(g.Watches)})
		all = append(all, g.Watches...)
		of[i] = moments(g.Watches)
	}
	variance := make([][]float64, len(groups))
	for i := range variance {
		variance[i] = make([]float64, len(groups))
	}
	shares := make([]float64, len(groups))
	for _, m := range moments(all) {
		if m.beaten == 0 {
			continue
		}
		n, d := float64(m.atRisk), float64(m.beaten)
		for i := range groups {
			atRisk, beaten := riskAt(of[i], &at[i], m.at)
			shares[i] = float64(atRisk) / n
			t.Groups[i].Observed += beaten
			t.Groups[i].Expected += d * shares[i]
		}
		if m.atRisk == 1 {
			continue
		}
		weight := d * (n - d) / (n - 1)
		for i, p := range shares {
			if p == 0 {
				continue
			}
			variance[i][i] += weight * p
			for j, q := range shares {
				variance[i][j] -= weight * p * q
			}
		}
	}
	var open []int // the groups that somebody could have been beaten in
	for i, g := range t.Groups {
		if g.Expected > 0 {
			open = append(open, i)
		}
	}
	if len(open) < 2 {
		return t
	}
	told := make([]Ranked, len(open))
	for i, of := range open {
		told[i] = groups[of]
	}
	// All gaps add up to nothing, so one group follows from the others.
	open = open[1:]
	covariance, gaps := mat.NewSymDense(len(open), nil), mat.NewVecDense(len(open), nil)
	for r, i := range open {
		for c, j := range open {
			covariance.SetSym(r, c, variance[i][j])
		}
		gaps.SetVec(r, float64(t.Groups[i].Observed)-t.Groups[i].Expected)
	}
	var factors mat.Cholesky
	var solution mat.VecDense
	// What is singular but for rounding has no solution that means anything.
	if !factors.Factorize(covariance) || factors.Cond() > mostCondition || factors.SolveVecTo(&solution, gaps) != nil {
		return t
	}
	t.ChiSquare = mat.Dot(&solution, gaps)
	t.Degrees = len(open)
	t.P = distuv.ChiSquared{K: float64(t.Degrees)}.Survival(t.ChiSquare)
	if p, by := compareByGame(told); by {
		t.P = max(t.P, p)
	}
	return t
}

// mostCondition is how near to singular a covariance may be.
const mostCondition = 1e12

// riskAt is how many of a group are watched until a time at least, and how many of them
// are beaten at it. from is where to look; times must come in order.
func riskAt(group []moment, from *int, at tags.Time) (atRisk, beaten int) {
	for *from < len(group) && group[*from].at < at {
		*from++
	}
	if *from == len(group) {
		return 0, 0
	}
	if m := group[*from]; m.at == at {
		beaten = m.beaten
	}
	return group[*from].atRisk, beaten
}
