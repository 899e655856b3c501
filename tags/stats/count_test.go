package stats

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// Newcombe 1998, Statist. Med. 17:857–872, Table I, method 3 (Wilson score).
func TestInterval(t *testing.T) {
	for _, test := range []struct {
		Count
		low, high float64
	}{
		{Count{81, 263}, .2553, .3662},
		{Count{15, 148}, .0624, .1605},
		{Count{0, 20}, 0, .1611},
		{Count{1, 29}, .0061, .1718},
	} {
		low, high := test.Interval()
		if math.Abs(low-test.low) > .00005 || math.Abs(high-test.high) > .00005 {
			t.Errorf("%v: got %.4f to %.4f, want %.4f to %.4f", test.Count, low, high, test.low, test.high)
		}
	}
}

func TestIntervalHoldsTheRate(t *testing.T) {
	for n := 1; n <= 60; n++ {
		for k := 0; k <= n; k++ {
			c := Count{k, n}
			low, high := c.Interval()
			rate := float64(k) / float64(n)
			if low < 0 || low > rate || rate > high || high > 1 {
				t.Fatalf("%v: %g is not within %g to %g", c, rate, low, high)
			}
			// Losses are wins seen from the other side.
			otherLow, otherHigh := Count{n - k, n}.Interval()
			if math.Abs(low-(1-otherHigh)) > 1e-12 || math.Abs(high-(1-otherLow)) > 1e-12 {
				t.Fatalf("%v: the interval is not the mirror of that of the losses", c)
			}
			if more, moreHigh := (Count{k, n + 1}).Interval(); more > low || moreHigh > high {
				t.Fatalf("%v: one more loss raised the interval", c)
			}
			if wideLow, wideHigh := (Count{10 * k, 10 * n}).Interval(); wideHigh-wideLow >= high-low {
				t.Fatalf("%v: ten times the reps did not narrow the interval", c)
			}
		}
	}
}

func TestIntervalOfNothing(t *testing.T) {
	if low, high := (Count{}).Interval(); low != 0 || high != 1 {
		t.Errorf("of nothing anything may be so: got %g to %g", low, high)
	}
}

func TestMeaning(t *testing.T) {
	games := func(counts ...Count) Rate {
		var r Rate
		for i, c := range counts {
			r.K, r.N = r.K+c.K, r.N+c.N
			r.games = append(r.games, gameCount{game: game{when: fmt.Sprint(i)}, Count: c})
		}
		return r
	}
	for _, test := range []struct {
		Rate
		want string
	}{
		{Rate{Count: Count{2, 3}}, ": too few for a rate"},
		{Rate{Count: Count{4, 4}}, ": too few for a rate"},
		// 6 of 8: .4093 to .9285, recomputed from the formula in Python.
		{Rate{Count: Count{6, 8}}, ", 75 %, small sample: anything from 41 to 93 in 100 rushes fits"},
		{Rate{Count: Count{6, 11}}, ", 55 %, small sample: anything from 28 to 79 in 100 rushes fits"},
		{Rate{Count: Count{15, 35}}, ", 43 %, small sample: anything from 28 to 59 in 100 rushes fits"},
		{Rate{Count: Count{81, 263}}, ", 31 %: between 26 and 37 in 100 rushes"},
		// Thirty reps of which next to none are won say more than thirty of which half are.
		{Rate{Count: Count{1, 35}}, ", 3 %: between 1 and 15 in 100 rushes"},
		// Many reps of few games that differ say little.
		{games(Count{20, 90}, Count{40, 90}, Count{30, 90}), ", 33 %, few games: anything from 13 to 62 in 100 rushes fits"},
	} {
		if got := test.Meaning(); got != test.want {
			t.Errorf("%v: got %q, want %q", test.Count, got, test.want)
		}
		if test.Enough() && strings.Contains(test.want, " fits") != test.Small() {
			t.Errorf("%v: small is %v", test.Count, test.Small())
		}
	}
}
