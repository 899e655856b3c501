package fit

import (
	"errors"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
)

// cbpp is contagious bovine pleuropneumonia, by herd, period, incidence and size: R package
// lme4 1.1-31, data cbpp (Lesnoff et al. 2004).
var cbpp = [][4]int{
	{1, 0, 2, 14},
	{1, 1, 3, 12},
	{1, 2, 4, 9},
	{1, 3, 0, 5},
	{2, 0, 3, 22},
	{2, 1, 1, 18},
	{2, 2, 1, 21},
	{3, 0, 8, 22},
	{3, 1, 2, 16},
	{3, 2, 0, 16},
	{3, 3, 2, 20},
	{4, 0, 2, 10},
	{4, 1, 0, 10},
	{4, 2, 2, 9},
	{4, 3, 0, 6},
	{5, 0, 5, 18},
	{5, 1, 0, 25},
	{5, 2, 0, 24},
	{5, 3, 1, 4},
	{6, 0, 3, 17},
	{6, 1, 0, 17},
	{6, 2, 0, 18},
	{6, 3, 1, 20},
	{7, 0, 8, 16},
	{7, 1, 1, 10},
	{7, 2, 3, 9},
	{7, 3, 0, 5},
	{8, 0, 12, 34},
	{9, 0, 2, 9},
	{9, 1, 0, 6},
	{9, 2, 0, 8},
	{9, 3, 0, 6},
	{10, 0, 1, 22},
	{10, 1, 1, 22},
	{10, 2, 0, 18},
	{10, 3, 2, 22},
	{11, 0, 0, 25},
	{11, 1, 5, 27},
	{11, 2, 3, 22},
	{11, 3, 1, 22},
	{12, 0, 2, 10},
	{12, 1, 1, 8},
	{12, 2, 0, 6},
	{12, 3, 0, 5},
	{13, 0, 1, 21},
	{13, 1, 2, 24},
	{13, 2, 0, 19},
	{13, 3, 0, 23},
	{14, 0, 11, 19},
	{14, 1, 0, 2},
	{14, 2, 0, 3},
	{14, 3, 0, 2},
	{15, 0, 1, 19},
	{15, 1, 1, 15},
	{15, 2, 1, 15},
	{15, 3, 0, 15},
}

func TestHerds(t *testing.T) {
	var rows []Row
	for _, c := range cbpp {
		r := Row{Count{float64(c[2]), float64(c[3])}, []int{0}, c[0] - 1}
		if c[1] > 0 {
			r.Columns = append(r.Columns, c[1])
		}
		rows = append(rows, r)
	}
	m, err := LogisticMixed(rows, 4, 15)
	if err != nil {
		t.Fatal(err)
	}
	// R package glmmTMB 1.1.5: cbind(incidence, size - incidence) ~ period + (1 | herd), binomial.
	// glmer of lme4 1.1-31 stops a little short of the top, at -1.39834, -0.99192, -1.12822,
	// -1.57975, a deviation of 0.64207 and a deviance of 184.0531.
	near(t, "standard deviation", m.SD, 0.6422616722, 1e-5)
	near(t, "deviance", -2*m.LogLik, 184.0525637, 1e-6)
	for i, want := range [][2]float64{
		{-1.3985324664, 0.2324720507}, {-0.9923322929, 0.3066424950}, {-1.1286712975, 0.3266378085}, {-1.5803136871, 0.4274365967},
	} {
		near(t, "coefficient", m.Fixed[i].At, want[0], 1e-5)
		near(t, "standard error", (m.Fixed[i].High-m.Fixed[i].Low)/2/z, want[1], 1e-5)
	}
	near(t, "first herd", m.Groups[0], 0.5900202009, 1e-5)
	near(t, "first row", m.Expected([]int{0}, 0), 0.30820761347, 1e-5)
}

// The gradient is that of the likelihood, by differences.
func TestMixedGradient(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 4))
	var rows []Row
	for range 60 {
		rows = append(rows, Row{draws(r, 0.4, 1+r.IntN(9)), []int{0, 1 + r.IntN(2)}, r.IntN(7)})
	}
	m := newMixedModel(rows, 3, 7)
	for range 20 {
		x := []float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		got := make([]float64, len(x))
		m.logLikelihood(x, got)
		want := fd.Gradient(nil, func(x []float64) float64 { return m.logLikelihood(x, nil) }, x, &fd.Settings{Formula: fd.Central})
		for i := range got {
			near(t, "gradient", got[i], want[i], 1e-5)
		}
	}
}

func TestMixedRefuses(t *testing.T) {
	for name, rows := range map[string][]Row{
		"nobody won":       {{Count{0, 9}, []int{0}, 0}, {Count{0, 4}, []int{0}, 1}},
		"one side won":     {{Count{0, 40}, []int{0}, 0}, {Count{40, 40}, []int{0, 1}, 1}},
		"a useless column": {{Count{3, 9}, []int{0, 1}, 0}, {Count{2, 4}, []int{0, 1}, 1}},
	} {
		if m, err := LogisticMixed(rows, 2, 2); !errors.Is(err, ErrUnsettled) {
			t.Errorf("%s: got %+v, %v, want ErrUnsettled", name, m, err)
		}
	}
}
