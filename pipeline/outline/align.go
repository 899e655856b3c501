package outline

import "math"

// pair says that the a-th thing of one sequence and the b-th of another belong together;
// -1 stands for none.
type pair struct {
	a, b int
	// margin is how much more the cheapest other alignment costs: one that pairs a with
	// something else, or where a is none, b.
	margin float64
}

// sureMargin is the margin from which on a pair needs no second look: about half of what
// it costs to leave out a shot that looks like a play.
const sureMargin = 0.5

// costs is what an alignment costs: the likelier, the less.
type costs struct {
	pair   func(a, b int) float64
	aloneA func(a int) float64 // nothing in the second sequence belongs with a
	aloneB func(b int) float64
}

// align pairs two sequences of n and m things in order at least cost: a Needleman–Wunsch
// alignment (J. Mol. Biol. 48, 1970, 443–453), with costs for scores. Every thing of both
// is in exactly one of the pairs, which are in the order of both.
func align(n, m int, c costs) []pair {
	// cheapest[i][j] is the least cost of what is left from a = i and b = j on, before[i][j]
	// that of all before these.
	cheapest, before := table(n+1, m+1), table(n+1, m+1)
	for i := n; i >= 0; i-- {
		for j := m; j >= 0; j-- {
			if i == n && j == m {
				continue
			}
			best := math.Inf(1)
			if i < n && j < m {
				best = c.pair(i, j) + cheapest[i+1][j+1]
			}
			if i < n {
				best = min(best, c.aloneA(i)+cheapest[i+1][j])
			}
			if j < m {
				best = min(best, c.aloneB(j)+cheapest[i][j+1])
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
				best = before[i-1][j-1] + c.pair(i-1, j-1)
			}
			if i > 0 {
				best = min(best, before[i-1][j]+c.aloneA(i-1))
			}
			if j > 0 {
				best = min(best, before[i][j-1]+c.aloneB(j-1))
			}
			before[i][j] = best
		}
	}
	// through is the least cost of an alignment that pairs a with b, or leaves one alone.
	through := func(a, b int) float64 {
		best := math.Inf(1)
		switch {
		case a >= 0 && b >= 0:
			best = before[a][b] + c.pair(a, b) + cheapest[a+1][b+1]
		case a >= 0:
			for j := range m + 1 {
				best = min(best, before[a][j]+c.aloneA(a)+cheapest[a+1][j])
			}
		default:
			for i := range n + 1 {
				best = min(best, before[i][b]+c.aloneB(b)+cheapest[i][b+1])
			}
		}
		return best
	}
	var pairs []pair
	const same = 1e-9
	for i, j := 0, 0; i < n || j < m; {
		left := cheapest[i][j]
		p := pair{a: -1, b: -1}
		switch {
		case i < n && j < m && c.pair(i, j)+cheapest[i+1][j+1] <= left+same:
			p.a, p.b = i, j
			i, j = i+1, j+1
		case i < n && c.aloneA(i)+cheapest[i+1][j] <= left+same:
			p.a = i
			i++
		default:
			p.b = j
			j++
		}
		other := math.Inf(1)
		if p.a >= 0 {
			for b := -1; b < m; b++ {
				if b != p.b {
					other = min(other, through(p.a, b))
				}
			}
		} else {
			for a := range n {
				other = min(other, through(a, p.b))
			}
		}
		p.margin = other - cheapest[0][0]
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
