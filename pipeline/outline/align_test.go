package outline

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"trenchcut/pipeline/watch"
)

func flat(lone float64, pair func(a, b int) float64) costs {
	alone := func(int) float64 { return lone }
	return costs{pair, alone, alone}
}

func TestAlign(t *testing.T) {
	letters := func(a, b string) []pair {
		return align(len(a), len(b), flat(1, func(i, j int) float64 {
			if a[i] == b[j] {
				return 0
			}
			return 5
		}))
	}
	for _, c := range []struct {
		a, b string
		want [][2]int
	}{
		{"", "", nil},
		{"ab", "", [][2]int{{0, -1}, {1, -1}}},
		{"abcd", "abcd", [][2]int{{0, 0}, {1, 1}, {2, 2}, {3, 3}}},
		{"abcd", "abd", [][2]int{{0, 0}, {1, 1}, {2, -1}, {3, 2}}},
		{"abd", "abxd", [][2]int{{0, 0}, {1, 1}, {-1, 2}, {2, 3}}},
	} {
		var got [][2]int
		for _, p := range letters(c.a, c.b) {
			got = append(got, [2]int{p.a, p.b})
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%q over %q is %v, want %v", c.a, c.b, got, c.want)
		}
	}
}

// The alignment and its margins are those that trying every way gives.
func TestAlignIsCheapest(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		n, m := r.IntN(5), r.IntN(5)
		cost := make([][]float64, n)
		for i := range cost {
			cost[i] = make([]float64, m)
			for j := range cost[i] {
				cost[i][j] = 2 * r.Float64()
			}
		}
		c := flat(0.8, func(a, b int) float64 { return cost[a][b] })
		pairs := align(n, m, c)
		least := cheapestWay(0, 0, n, m, c, func(int, int) bool { return true })
		sum := 0.0
		for _, p := range pairs {
			sum += priceOf(p, c)
		}
		if math.Abs(sum-least) > 1e-9 {
			t.Fatalf("the alignment costs %v, the cheapest %v", sum, least)
		}
		for _, p := range pairs {
			if p.a < 0 {
				continue
			}
			other := cheapestWay(0, 0, n, m, c, func(a, b int) bool { return a != p.a || b != p.b })
			if d := math.Abs(other - least - p.margin); d > 1e-9 && !math.IsInf(other, 1) {
				t.Fatalf("margin of %v is %v, want %v", p, p.margin, other-least)
			}
		}
	}
}

func priceOf(p pair, c costs) float64 {
	switch {
	case p.a < 0:
		return c.aloneB(p.b)
	case p.b < 0:
		return c.aloneA(p.a)
	default:
		return c.pair(p.a, p.b)
	}
}

// cheapestWay tries every way that may be gone; -1 stands for nothing.
func cheapestWay(i, j, n, m int, c costs, may func(a, b int) bool) float64 {
	if i == n && j == m {
		return 0
	}
	best := math.Inf(1)
	if i < n && j < m && may(i, j) {
		best = c.pair(i, j) + cheapestWay(i+1, j+1, n, m, c, may)
	}
	if i < n && may(i, -1) {
		best = min(best, c.aloneA(i)+cheapestWay(i+1, j, n, m, c, may))
	}
	if j < m {
		best = min(best, c.aloneB(j)+cheapestWay(i, j+1, n, m, c, may))
	}
	return best
}

func TestTurns(t *testing.T) {
	// Uprights of 0.7 are the sideline's, of 0.3 the end zone's.
	shots := func(marks string) []watch.Shot {
		var list []watch.Shot
		for i, m := range marks {
			s := watch.Shot{Snaps: true, Upright: 0.3 + 0.01*float64(i%3)}
			switch m {
			case 's':
				s.Upright += 0.4
			case 'x':
				s.Off = watch.NoField
			}
			list = append(list, s)
		}
		return list
	}
	for _, c := range []struct {
		marks string
		want  [][]int
		sure  []bool
	}{
		{"seseseee", [][]int{{0, 1}, {2, 3}, {4, 5}, {6, 7}}, []bool{true, true, true, false}},
		{"sexsese", [][]int{{0, 1}, {3, 4}, {5, 6}}, []bool{true, true, true}},
		{"sesesse", [][]int{{0, 1}, {2, 3}, {4, -1}, {5, 6}}, []bool{true, true, false, true}},
		{"sesxeese", [][]int{{0, 1}, {2, 4}, {-1, 5}, {6, 7}}, []bool{true, true, false, true}},
		{"", nil, nil},
	} {
		takes := byTurns(shots(c.marks), 2)
		if len(takes) != len(c.want) {
			t.Errorf("%s: takes %v, want %v", c.marks, takes, c.want)
			continue
		}
		for i, k := range takes {
			if !slices.Equal(k.shots, c.want[i]) || k.sure != c.sure[i] {
				t.Errorf("%s: take %d is %v, want %v, sure %v", c.marks, i, k, c.want[i], c.sure[i])
			}
		}
	}
}
