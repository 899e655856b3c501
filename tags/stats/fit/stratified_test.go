package fit

import (
	"errors"
	"math/rand/v2"
	"testing"
)

// admissions is R's UCBAdmissions, men against women by department: Bickel, Hammel and
// O'Connell 1975, Science 187:398–404.
var admissions = []Pair{
	{Count{512, 825}, Count{89, 108}},
	{Count{353, 560}, Count{17, 25}},
	{Count{120, 325}, Count{202, 593}},
	{Count{138, 417}, Count{131, 375}},
	{Count{53, 191}, Count{94, 393}},
	{Count{22, 373}, Count{24, 341}},
}

func TestOddsRatio(t *testing.T) {
	// R 4.2.2: mantelhaen.test(UCBAdmissions).
	e, err := OddsRatio(admissions)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "odds ratio", e.At, 0.904696828259, 1e-9)
	near(t, "low", e.Low, 0.771907361759, 1e-9)
	near(t, "high", e.High, 1.060329764437, 1e-9)
}

func TestRiskDifference(t *testing.T) {
	// R package metafor 3.8-1: rma.mh(measure = "RD") on UCBAdmissions.
	e, err := RiskDifference(admissions)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "difference", e.At, -0.0184251961909, 1e-12)
	near(t, "standard error", (e.High-e.Low)/2/z, 0.0148253944383, 1e-12)

	for _, strata := range [][]Pair{nil, {{Count{3, 8}, Count{}}}, {{Count{8, 8}, Count{4, 4}}}} {
		if e, err := RiskDifference(strata); !errors.Is(err, ErrUnsettled) {
			t.Errorf("%v: got %v, want ErrUnsettled", strata, e)
		}
		if e, err := OddsRatio(strata); !errors.Is(err, ErrUnsettled) {
			t.Errorf("%v: got %v, want ErrUnsettled", strata, e)
		}
	}
}

// In strata as small as a rusher's reps with a read and without, the interval holds the truth
// nearly as often as it says. Greenland and Robins' own variance held it 89 times in 100 for
// strata of up to 6, and 72 times for strata of up to 2.
func TestRiskDifferenceHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 14))
	for _, most := range []int{3, 6, 20, 60} {
		held, all := 0, 0
		for range 1500 {
			var strata []Pair
			for range 8 {
				p := .15 + .5*r.Float64()
				strata = append(strata, Pair{draws(r, p+.15, 1+r.IntN(most)), draws(r, p, 1+r.IntN(2*most))})
			}
			e, err := RiskDifference(strata)
			if err != nil {
				continue
			}
			all++
			if e.Low <= .15 && .15 <= e.High {
				held++
			}
		}
		near(t, "share of intervals that hold", float64(held)/float64(all), 0.95, 0.03)
	}
}

func TestTries(t *testing.T) {
	// R 4.2.2: power.prop.test(p1 = .25, p2 = .40, power = .8)$n and (.50, .75, .9).
	near(t, "25 from 40", Tries(.25, .40, .8), 151.868862474, 1e-4)
	near(t, "50 from 75", Tries(.50, .75, .9), 76.7069301141, 1e-4)
}
