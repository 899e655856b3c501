package stats

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"trenchcut/tags"
)

// The remission times, in weeks, of Freireich et al. 1963, Blood 21:699–716, as R's
// MASS::gehan has them: 6-MP with censoring (negative here), and placebo.
var (
	sixMP   = []int{-6, 6, 6, 6, 7, -9, -10, 10, -11, 13, 16, -17, -19, -20, 22, 23, -25, -32, -32, -34, -35}
	placebo = []int{1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23}
)

func watches(weeks []int) []Watch {
	list := make([]Watch, len(weeks))
	for i, w := range weeks {
		list[i] = Watch{Until: tags.Time(max(w, -w)) * tags.Second, Beat: w > 0}
	}
	return list
}

// R, survival::survfit over MASS::gehan, with conf.type "log-log".
func TestKaplanMeier(t *testing.T) {
	c := KaplanMeier(watches(sixMP))
	want := []struct {
		at     tags.Time
		atRisk int
		holds  float64
		se     float64
	}{
		{6, 21, 0.8571, 0.0764},
		{7, 17, 0.8067, 0.0869},
		{10, 15, 0.7529, 0.0963},
		{13, 12, 0.6902, 0.1068},
		{16, 11, 0.6275, 0.1141},
		{22, 7, 0.5378, 0.1282},
		{23, 6, 0.4482, 0.1346},
	}
	if len(c.Steps) != len(want) {
		t.Fatalf("%d steps, want %d: %+v", len(c.Steps), len(want), c.Steps)
	}
	for i, w := range want {
		s := c.Steps[i]
		if s.At != w.at*tags.Second || s.AtRisk != w.atRisk || math.Abs(s.Holds-w.holds) > 0.00005 || math.Abs(s.SE-w.se) > 0.00005 {
			t.Errorf("step %d: %+v, want %+v", i, s, w)
		}
	}
	for i, w := range map[int][2]float64{0: {0.620, 0.952}, 6: {0.188, 0.680}} {
		if s := c.Steps[i]; math.Abs(s.Low-w[0]) > 0.0005 || math.Abs(s.High-w[1]) > 0.0005 {
			t.Errorf("interval at %s: %.3f–%.3f, want %.3f–%.3f", s.At, s.Low, s.High, w[0], w[1])
		}
	}
	for name, w := range map[string]struct {
		curve  Curve
		median tags.Time
		mean22 float64
	}{
		"6-MP":    {c, 23, 17.3714},
		"placebo": {KaplanMeier(watches(placebo)), 8, 8.6190},
	} {
		if m := w.curve.Median(); m.At == nil || *m.At != w.median*tags.Second {
			t.Errorf("%s: median %v, want %d", name, m.At, w.median)
		}
		if m := w.curve.RestrictedMean(22 * tags.Second); math.Abs(m-w.mean22) > 0.00005 {
			t.Errorf("%s: mean to 22 is %.4f, want %.4f", name, m, w.mean22)
		}
	}
}

// R, survival::survdiff over MASS::gehan.
func TestLogRank(t *testing.T) {
	r := compareTwo(watches(sixMP), watches(placebo))
	if of := r.Groups[0]; r.Degrees != 1 || of.Observed != 9 || math.Abs(of.Expected-19.2505) > 0.00005 ||
		math.Abs(r.ChiSquare-16.7929) > 0.00005 || math.Abs(r.P-4.169e-5) > 5e-9 {
		t.Errorf("%+v, want O 9, E 19.2505, χ² 16.7929 of 1 degree, p 4.169e-5", r)
	}
}

func compareTwo(a, b []Watch) LogRanks { return CompareGroups([]Ranked{{"a", a}, {"b", b}}) }

func randomWatches(r *rand.Rand) []Watch {
	list := make([]Watch, 1+r.IntN(40))
	for i := range list {
		list[i] = Watch{Until: tags.Time(1+r.IntN(30)) * tags.Second / 10, Beat: r.IntN(3) > 0}
	}
	return list
}

func TestCurveProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		a, b := randomWatches(r), randomWatches(r)
		c := KaplanMeier(a)
		var censored []tags.Time
		for _, w := range a {
			if !w.Beat {
				censored = append(censored, w.Until)
			}
		}
		slices.Sort(censored)
		if got := c.Censored(); !slices.Equal(got, censored) {
			t.Fatalf("censored at %v, want %v", got, censored)
		}
		last := 1.0
		for _, s := range c.Steps {
			if s.Holds > last || s.Holds < 0 || s.Low > s.Holds+1e-12 || s.High < s.Holds-1e-12 {
				t.Fatalf("step %+v after %g", s, last)
			}
			last = s.Holds
		}
		shuffled := append([]Watch(nil), a...)
		r.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		if m, n := c.RestrictedMean(4*tags.Second), KaplanMeier(shuffled).RestrictedMean(4*tags.Second); m != n {
			t.Fatalf("another order of the same watches: mean %g and %g", m, n)
		}
		x, y := compareTwo(a, b), compareTwo(b, a)
		if math.Abs(x.ChiSquare-y.ChiSquare) > 1e-6*(1+x.ChiSquare) {
			t.Fatalf("χ² %g one way, %g the other", x.ChiSquare, y.ChiSquare)
		}
		if alike := compareTwo(a, a); alike.ChiSquare > 1e-9 {
			t.Fatalf("a group differs from itself: %+v", alike)
		}
	}
	// Without an ended watch, the share that holds is the share not beaten.
	if c := KaplanMeier([]Watch{{Until: 1, Beat: true}, {Until: 2, Beat: true}, {Until: 3, Beat: true}, {Until: 4, Beat: true}}); c.Steps[1].Holds != 0.5 {
		t.Errorf("half are beaten by 2, yet %g hold", c.Steps[1].Holds)
	} else if m := c.Median(); m.At == nil || *m.At != 2 {
		t.Errorf("median %v, want the middle of 2 and 3 in whole flicks, 2", m.At)
	}
}
