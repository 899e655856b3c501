package stats

import (
	"math/rand/v2"
	"testing"
)

// Of wins some have no beat marked. The share of those that have reads too low, and the bounds
// hold what it would be were all marked, however many are not.
func TestBoundsHoldTheTruth(t *testing.T) {
	r := rand.New(rand.NewPCG(1990, 80))
	for range 300 {
		truth, marked := Count{}, Rate{Lopsided: true}
		unmarked := r.Float64() * 0.6
		for range 20 + r.IntN(80) {
			won := r.IntN(100) < 40
			inTime := won && r.IntN(100) < 60
			truth.add(inTime)
			marked.add(inTime, !won || r.Float64() > unmarked)
		}
		low, high := marked.Bounds()
		rate := float64(truth.K) / float64(truth.N)
		if low.N != truth.N || high.N != truth.N || low.K > truth.K || high.K < truth.K {
			t.Fatalf("%+v: %s to %s do not hold %s", marked, low, high, truth)
		}
		if l, h := marked.Interval(); l > rate || h < rate {
			t.Fatalf("%+v: %g to %g does not hold %g", marked, l, h, rate)
		}
	}
	// Thirty wins in a hundred have no beat marked: .24 reads .18 or so.
	marked := Rate{Count: Count{17, 93}, Unknown: 7, Lopsided: true}
	if low, high := marked.Bounds100(); low != 17 || high != 24 {
		t.Errorf("%d to %d, want 17 to 24", low, high)
	}
	if c := contrast("beat in time", marked, Rate{Count: Count{9, 30}}); c.Difference != nil {
		t.Errorf("what has only bounds is compared: %+v", c.Difference)
	}
}
