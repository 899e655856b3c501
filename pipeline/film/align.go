package film

import (
	"math"
)

// Pair says that A of one sequence and B of another are of the same play; -1 is nothing.
type Pair struct {
	A, B int
	// Margin is how much dearer the best way is that says otherwise of A, or where A
	// is nothing of B.
	Margin float64
}

// Costs is what an alignment costs: the lower, the likelier.
type Costs struct {
	Pair  func(a, b int) float64
	LoneA func(a int) float64 // nothing in B goes with a
	LoneB func(b int) float64
}

// Align pairs two sequences of n and m things in order at least cost: a Needleman–Wunsch
// alignment (J. Mol. Biol. 48, 1970, 443–453), with costs for scores. Every thing of both is
// in just one of the pairs, which are in the order of both.
func Align(n, m int, c Costs) []Pair {
	// cheapest[i][j] is the least cost of what is left from a = i, b = j on, and before of
	// what comes before.
	cheapest, before := table(n+1, m+1), table(n+1, m+1)
	for i := n; i >= 0; i-- {
		for j := m; j >= 0; j-- {
			if i == n && j == m {
				continue
			}
			best := math.Inf(1)
			if i < n && j < m {
				best = c.Pair(i, j) + cheapest[i+1][j+1]
			}
			if i < n {
				best = min(best, c.LoneA(i)+cheapest[i+1][j])
			}
			if j < m {
				best = min(best, c.LoneB(j)+cheapest[i][j+1])
			}
			cheapest[i][j] = best
		}
	}
	for i := range n + 1 {
		for j := range m + 1 {
			if i+j == 0 {
				continue
			}
			best := math.Inf(1)
			if i > 0 && j > 0 {
				best = before[i-1][j-1] + c.Pair(i-1, j-1)
			}
			if i > 0 {
				best = min(best, before[i-1][j]+c.LoneA(i-1))
			}
			if j > 0 {
				best = min(best, before[i][j-1]+c.LoneB(j-1))
			}
			before[i][j] = best
		}
	}
	// through is the least cost of any way that pairs a with b, or leaves one alone.
	through := func(a, b int) float64 {
		best := math.Inf(1)
		switch {
		case a >= 0 && b >= 0:
			best = before[a][b] + c.Pair(a, b) + cheapest[a+1][b+1]
		case a >= 0:
			for j := range m + 1 {
				best = min(best, before[a][j]+c.LoneA(a)+cheapest[a+1][j])
			}
		default:
			for i := range n + 1 {
				best = min(best, before[i][b]+c.LoneB(b)+cheapest[i][b+1])
			}
		}
		return best
	}
	var pairs []Pair
	const same = 1e-9
	for i, j := 0, 0; i < n || j < m; {
		left := cheapest[i][j]
		p := Pair{A: -1, B: -1}
		switch {
		case i < n && j < m && c.Pair(i, j)+cheapest[i+1][j+1] <= left+same:
			p.A, p.B = i, j
			i, j = i+1, j+1
		case i < n && c.LoneA(i)+cheapest[i+1][j] <= left+same:
			p.A = i
			i++
		default:
			p.B = j
			j++
		}
		other := math.Inf(1)
		if p.A >= 0 {
			for b := -1; b < m; b++ {
				if b != p.B {
					other = min(other, through(p.A, b))
				}
			}
		} else {
			for a := range n {
				other = min(other, through(a, p.B))
			}
		}
		p.Margin = other - cheapest[0][0]
		pairs = append(pairs, p)
	}
	return pairs
}

func table(rows, columns int) [][]float64 {
	t := make([][]float64, rows)
	for i := range t {
		t[i] = make([]float64, columns)
	}
	return t
}

// SureMargin is the margin from which on a pair needs no second look: about half of what
// it costs to leave a shot out that looks like a play.
const SureMargin = 0.5

// Lone is what it costs to say that no play is in s.
func (s Shot) Lone() float64 {
	switch {
	case s.Off != "":
		return 0.05
	case !s.Snaps:
		return 0.6
	default:
		return 1
	}
}

// Unlike is what it costs to say that a play is in s.
func (s Shot) Unlike() float64 {
	switch {
	case s.Off != "":
		return 2.5
	case !s.Snaps:
		return 0.4
	default:
		return 0
	}
}

// Together is what it costs to say that two cameras took the same play in s and t: both
// ran about as long, all in all or from the snap on. The rates are those of their films.
func Together(s, t Shot, lengthS, lengthT, tailS, tailT float64) float64 {
	off := math.Abs(math.Log(lengthS / lengthT))
	if s.Snaps && t.Snaps && tailS > 0 && tailT > 0 {
		off = min(off, math.Abs(math.Log(tailS/tailT)))
	}
	return min(off, 0.9) + s.Unlike() + t.Unlike()
}
