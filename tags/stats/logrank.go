package stats

import (
	"cmp"
	"math"
	"slices"

	"trenchcut/tags"
)

// LogRanks compares the curves of several groups over their whole length.
type LogRanks struct {
	Groups    []RankedGroup `json:"groups"`
	ChiSquare float64       `json:"chi-square"`
	Degrees   int           `json:"degrees"` // of freedom: 0 where there is nothing to compare
	P         float64       `json:"p"`
}

// RankedGroup is one of the groups: how many were beaten, and how many would be were all
// groups alike.
type RankedGroup struct {
	Name     string  `json:"name"`
	Watches  int     `json:"watches"`
	Observed int     `json:"observed"`
	Expected float64 `json:"expected"`
}

// Ranked is the watches of one group under its name.
type Ranked struct {
	Name    string
	Watches []Watch
}

// CompareGroups is the log-rank test of k groups with k-1 degrees of freedom: Mantel 1966,
// Cancer Chemother. Rep. 50:163–170, as Kalbfleisch and Prentice 1980, section 1.4, have it
// for many. No rush may be in two groups. A group in which nobody could have been beaten
// says nothing and takes its degree of freedom with it.
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
	// All gaps add up to nothing, so one group follows from the others.
	open = open[1:]
	rows := make([][]float64, len(open))
	for r, i := range open {
		for _, j := range open {
			rows[r] = append(rows[r], variance[i][j])
		}
		rows[r] = append(rows[r], float64(t.Groups[i].Observed)-t.Groups[i].Expected)
	}
	gaps := make([]float64, len(rows))
	for r := range rows {
		gaps[r] = rows[r][len(rows)]
	}
	solution, ok := solve(rows)
	if !ok {
		return t
	}
	for i, x := range solution {
		t.ChiSquare += x * gaps[i]
	}
	t.Degrees = len(open)
	t.P = chiSquareOver(t.ChiSquare, t.Degrees)
	return t
}

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

// solve is the solution of linear equations, a row each with its right side last; false
// where there is not one. It writes into rows. Gauss, with the largest pivot.
func solve(rows [][]float64) ([]float64, bool) {
	n := len(rows)
	for i := range n {
		pivot := slices.MaxFunc(rows[i:], func(a, b []float64) int { return cmp.Compare(math.Abs(a[i]), math.Abs(b[i])) })
		at := i + slices.IndexFunc(rows[i:], func(row []float64) bool { return &row[0] == &pivot[0] })
		rows[i], rows[at] = rows[at], rows[i]
		const slack = 1e-12 // a pivot that is 0 but for rounding
		if math.Abs(rows[i][i]) < slack {
			return nil, false
		}
		for r := i + 1; r < n; r++ {
			factor := rows[r][i] / rows[i][i]
			for c := i; c <= n; c++ {
				rows[r][c] -= factor * rows[i][c]
			}
		}
	}
	x := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		x[i] = rows[i][n]
		for c := i + 1; c < n; c++ {
			x[i] -= rows[i][c] * x[c]
		}
		x[i] /= rows[i][i]
	}
	return x, true
}

// chiSquareOver is the chance that chi-square with df degrees of freedom is over x:
// Abramowitz and Stegun 1964, 26.4.4 and 26.4.5, finite sums for whole degrees.
func chiSquareOver(x float64, df int) float64 {
	if x <= 0 {
		return 1
	}
	half := x / 2
	// Each term is e^(-x/2) (x/2)^a / Γ(a+1), by logarithms because it may be far out.
	term := func(a float64) float64 {
		gamma, _ := math.Lgamma(a + 1)
		return math.Exp(a*math.Log(half) - half - gamma)
	}
	p, a := 0.0, 0.0
	if df%2 == 1 {
		p, a = math.Erfc(math.Sqrt(half)), 0.5
	}
	for ; a < float64(df)/2; a++ {
		p += term(a)
	}
	return min(p, 1)
}
