package page

import (
	"testing"

	"trenchcut/tags/stats"
)

// A rate of which only bounds can be told has no rate on a card either.
func TestCardRateOfBounds(t *testing.T) {
	bounded := stats.Rate{Count: stats.Count{K: 6, N: 6}, Unknown: 4, Lopsided: true}
	if got := cardRate(bounded); got != "6 of 6, 4 not known, 60 to 100 in 100 (31-100)" {
		t.Errorf("%q", got)
	}
	if got := cardRate(stats.Rate{Count: stats.Count{K: 6, N: 6}, Unknown: 4}); got != "6 of 6, 100 in 100 (61-100)" {
		t.Errorf("%q", got)
	}
}
