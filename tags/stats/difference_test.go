package stats

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Newcombe 1998, Statist. Med. 17:873–890, Table II, method 10.
func TestCompare(t *testing.T) {
	for _, c := range []struct {
		a, b      Count
		low, high float64
	}{
		{Count{56, 70}, Count{48, 80}, 0.0524, 0.3339},
		{Count{9, 10}, Count{3, 10}, 0.1705, 0.8090},
		{Count{6, 7}, Count{2, 7}, 0.0582, 0.8062},
		{Count{5, 56}, Count{0, 29}, -0.0381, 0.1926},
		{Count{0, 10}, Count{0, 20}, -0.1611, 0.2775},
		{Count{0, 10}, Count{0, 10}, -0.2775, 0.2775},
		{Count{10, 10}, Count{0, 20}, 0.6791, 1},
		{Count{10, 10}, Count{0, 10}, 0.6075, 1},
	} {
		d := Compare(c.a, c.b)
		if math.Abs(d.Low-c.low) > 0.00005 || math.Abs(d.High-c.high) > 0.00005 {
			t.Errorf("%s less %s: %.4f to %.4f, want %.4f to %.4f", c.a, c.b, d.Low, d.High, c.low, c.high)
		}
		// The other way round is the same with its sign changed.
		o := Compare(c.b, c.a)
		if math.Abs(o.Low+d.High) > 1e-12 || math.Abs(o.D+d.D) > 1e-12 || math.Abs(o.P-d.P) > 1e-9 {
			t.Errorf("%s less %s is %+v, the other way round %+v", c.a, c.b, d, o)
		}
	}
}

// Values of R's fisher.test; the first is Fisher's own example of the lady tasting tea.
func TestFisher(t *testing.T) {
	for _, c := range []struct {
		a, b Count
		p    float64
	}{
		{Count{3, 4}, Count{1, 4}, 0.485714},
		{Count{1, 10}, Count{11, 14}, 0.00275946},
		{Count{10, 12}, Count{3, 18}, 0.000536724},
	} {
		if p := Fisher(c.a, c.b); math.Abs(p-c.p) > c.p*2e-6 {
			t.Errorf("%s against %s: p %.9g, want %.6g", c.a, c.b, p, c.p)
		}
	}
	if p := Fisher(Count{0, 5}, Count{0, 7}); p != 1 {
		t.Errorf("nothing won by either: p %g, want 1", p)
	}
}

// Over tables drawn by chance alone the interval holds the true difference about 95
// times in 100, and p is under 0.05 at most 5 times in 100.
func TestCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1998))
	const trials = 4000
	draw := func(n int, p float64) Count {
		c := Count{N: n}
		for range n {
			if r.Float64() < p {
				c.K++
			}
		}
		return c
	}
	for _, c := range []struct {
		n, m int
		p, q float64
	}{{20, 20, 0.3, 0.3}, {12, 30, 0.5, 0.2}, {8, 21, 0.6, 0.4}} {
		held, low := 0, 0
		for range trials {
			d := Compare(draw(c.n, c.p), draw(c.m, c.q))
			if d.Low <= c.p-c.q && c.p-c.q <= d.High {
				held++
			}
			if d.P < 0.05 {
				low++
			}
		}
		if share := float64(held) / trials; share < 0.93 || share > 0.985 {
			t.Errorf("%+v: the interval holds the truth %.3f of the time", c, share)
		}
		if share := float64(low) / trials; c.p == c.q && share > 0.05 {
			t.Errorf("%+v: p is under 0.05 %.3f of the time", c, share)
		}
	}
}

// The gap is that of the rates as they are told: 63 and 0 are 63 apart, though 5 of 8 is 62.5.
func TestGapsAsTold(t *testing.T) {
	for _, c := range []struct {
		a, b    Count
		at, gap [2]int
	}{
		{Count{5, 8}, Count{0, 8}, [2]int{63, 0}, [2]int{63, -63}},
		{Count{1, 200}, Count{0, 200}, [2]int{1, 0}, [2]int{1, -1}},
		{Count{10, 22}, Count{17, 44}, [2]int{45, 39}, [2]int{6, -6}}, // 6.8 apart
		{Count{1, 8}, Count{1, 8}, [2]int{13, 13}, [2]int{0, 0}},
		{Count{3, 8}, Count{1, 8}, [2]int{38, 13}, [2]int{25, -25}},
	} {
		a, _, _ := c.a.Per100()
		b, _, _ := c.b.Per100()
		gap, low, high := Compare(c.a, c.b).Per100()
		back, _, _ := Compare(c.b, c.a).Per100()
		same(t, c.at, [2]int{a, b})
		same(t, c.gap, [2]int{gap, back})
		if gap < low || gap > high {
			t.Errorf("%v less %v: %d is outside %d to %d", c.a, c.b, gap, low, high)
		}
	}
	// Never out of its interval, whose ends are those of what was not rounded.
	gap, low, high := Compare(Count{454_999, 1_000_000}, Count{385_001, 1_000_000}).Per100()
	same(t, [3]int{7, 7, 7}, [3]int{gap, low, high})
}
