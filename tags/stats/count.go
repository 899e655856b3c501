// Package stats holds the numbers: how often reps were won, with how sure one may be.
package stats

import (
	"fmt"
	"math"
)

// Enough is the fewest reps of which a rate is given; under it there is only k of n.
const Enough = 5

// wide is how wide an interval may be whose rate is not called one of a small sample: ten in
// 100 either way (common practice). How many reps that takes hangs on the rate, and on the games.
const wide = 0.2

// z is the 97.5 % quantile of the normal distribution, for intervals of 95 %.
const z = 1.959963984540054

// Count is K of N.
type Count struct {
	K int
	N int
}

// Interval is the Wilson score interval of 95 % for the rate K/N, from 0 to 1; all of it
// where N is 0. Wilson 1927, J. Am. Stat. Assoc. 22:209–212.
func (c Count) Interval() (low, high float64) {
	if c.N == 0 {
		return 0, 1
	}
	k, n := float64(c.K), float64(c.N)
	middle := 2*k + z*z
	spread := z * math.Sqrt(z*z+4*k*(n-k)/n)
	low, high = (middle-spread)/(2*(n+z*z)), (middle+spread)/(2*(n+z*z))
	// The formula is exactly 0 and 1 at the ends; rounding is not.
	if c.K == 0 {
		low = 0
	}
	if c.K == c.N {
		high = 1
	}
	return low, high
}

// Enough reports whether there are reps enough to speak of a rate.
func (c Count) Enough() bool { return c.N >= Enough }

// Small reports whether there are so few reps that the rate says little: its interval is wide.
func (c Count) Small() bool {
	low, high := c.Interval()
	return high-low > wide
}

// Per100 is the rate and its interval per 100, rounded; only meant where there are Enough.
func (c Count) Per100() (rate, low, high int) {
	l, h := c.Interval()
	return percent(float64(c.K) / float64(max(c.N, 1))), percent(l), percent(h)
}

func percent(share float64) int { return Rounded(100 * share) }

// Rounded is a number rounded half away from nothing, as every figure in words is, so that the
// same share never stands as 62 in one place and 63 in another.
func Rounded(x float64) int { return int(math.Round(x)) }

func (c Count) String() string { return fmt.Sprintf("%d/%d", c.K, c.N) }

// Words is "6 of 8".
func (c Count) Words() string { return fmt.Sprintf("%d of %d", c.K, c.N) }

// add counts one more rep.
func (c *Count) add(yes bool) {
	c.N++
	if yes {
		c.K++
	}
}
