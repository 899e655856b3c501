package fit

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.7g, want %.7g within %.0e", what, got, want, tolerance)
	}
}

// rats is tumours among groups of rats: Tarone 1982, Biometrics 38:215–220, as Gelman et
// al., Bayesian Data Analysis, 3rd ed., table 5.1 has it; the last is the group of interest.
var rats = func() []Count {
	var list []Count
	for _, c := range []struct{ k, n, times int }{
		{0, 20, 7},
		{0, 19, 4},
		{0, 18, 2},
		{0, 17, 1},
		{1, 20, 4},
		{1, 19, 2},
		{1, 18, 2},
		{2, 25, 1},
		{2, 24, 1},
		{2, 23, 1},
		{2, 20, 6},
		{1, 10, 1},
		{5, 49, 1},
		{2, 19, 1},
		{5, 46, 1},
		{3, 27, 1},
		{2, 17, 1},
		{7, 49, 1},
		{7, 47, 1},
		{3, 20, 2},
		{2, 13, 1},
		{9, 48, 1},
		{10, 50, 1},
		{4, 20, 7},
		{10, 48, 1},
		{4, 19, 3},
		{5, 22, 1},
		{11, 46, 1},
		{12, 49, 1},
		{5, 20, 2},
		{6, 23, 1},
		{5, 19, 1},
		{6, 22, 1},
		{6, 20, 3},
		{16, 52, 1},
		{15, 47, 1},
		{15, 46, 1},
		{9, 24, 1},
		{4, 14, 1},
	} {
		for range c.times {
			list = append(list, Count{float64(c.k), float64(c.n)})
		}
	}
	return list
}()

func TestRats(t *testing.T) {
	// Maximum likelihood of the seventy earlier groups, and what they say of the last: the
	// worked example of empirical Bayes on these data.
	b, err := BetaBinomial(rats[:70])
	if err != nil {
		t.Fatal(err)
	}
	near(t, "A", b.A, 2.304768, 1e-4)
	near(t, "B", b.B, 14.079707, 2e-4)
	near(t, "4 of 14", b.After(rats[70]), 0.2075, 5e-5)
	list, err := Shrink(rats)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "4 of 14, averaged over spreads", list[70].At, 0.21, 0.005)
}

// batting is hits in 45 times at bat, and what the same eighteen men hit in the rest of the
// season: Efron and Morris 1975, J. Am. Stat. Assoc. 70:311–319, table 1.
var batting = []struct {
	hits int
	rest float64
}{
	{18, .346},
	{17, .298},
	{16, .276},
	{15, .222},
	{14, .273},
	{14, .270},
	{13, .263},
	{12, .210},
	{11, .269},
	{11, .230},
	{10, .264},
	{10, .256},
	{10, .303},
	{10, .264},
	{10, .226},
	{9, .285},
	{8, .316},
	{7, .200},
}

func TestBatting(t *testing.T) {
	var counts []Count
	for _, b := range batting {
		counts = append(counts, Count{float64(b.hits), 45})
	}
	list, err := Shrink(counts)
	if err != nil {
		t.Fatal(err)
	}
	// Stein's estimate of the first is .294, and its squared errors are 3.5 times less than
	// those of the raw rates: Efron and Morris 1977, Sci. Am. 236(5):119–127.
	near(t, "18 of 45", list[0].At, 0.294, 0.005)
	raw, ours := 0.0, 0.0
	for i, b := range batting {
		raw += square(float64(b.hits)/45 - b.rest)
		ours += square(list[i].At - b.rest)
	}
	near(t, "raw errors by ours", raw/ours, 3.5, 0.05)
}

// Over rooms whose truth is known, shrunken rates err less than raw ones, less than the
// pooled rate where men differ, and their intervals hold the truth 95 times in 100.
func TestShrinkErrors(t *testing.T) {
	src := rand.NewPCG(5, 9)
	r := rand.New(src)
	for _, room := range []struct {
		weight  float64
		men     int
		differs bool // by more than the room's mean hides
	}{{8, 4, true}, {25, 8, true}, {100, 8, false}} {
		spread := distuv.Beta{Alpha: .35 * room.weight, Beta: .65 * room.weight, Src: src}
		var raw, pooled, ours float64
		held, all := 0, 0
		for range 60 {
			truth, counts := make([]float64, room.men), make([]Count, room.men)
			var whole Count
			for i := range truth {
				truth[i] = spread.Rand()
				counts[i] = draws(r, truth[i], 5+r.IntN(60))
				whole.K, whole.N = whole.K+counts[i].K, whole.N+counts[i].N
			}
			list, err := Shrink(counts)
			if err != nil {
				t.Fatal(err)
			}
			for i, c := range counts {
				raw += square(c.rate() - truth[i])
				pooled += square(whole.rate() - truth[i])
				ours += square(list[i].At - truth[i])
				all++
				if list[i].Low <= truth[i] && truth[i] <= list[i].High {
					held++
				}
			}
		}
		t.Logf("weight %v, %d men: errors raw %.4f, pooled %.4f, ours %.4f, held %.3f", room.weight, room.men,
			math.Sqrt(raw/float64(all)), math.Sqrt(pooled/float64(all)), math.Sqrt(ours/float64(all)), float64(held)/float64(all))
		if ours >= raw || room.differs && ours >= pooled {
			t.Errorf("%+v: squared errors raw %.3f, pooled %.3f, ours %.3f", room, raw, pooled, ours)
		}
		if share := float64(held) / float64(all); share < 0.92 {
			t.Errorf("%+v: %.3f of intervals hold, want about 0.95", room, share)
		}
	}
}

func draws(r *rand.Rand, p float64, n int) Count {
	c := Count{N: float64(n)}
	for range n {
		if r.Float64() < p {
			c.K++
		}
	}
	return c
}

func TestShrinkEdges(t *testing.T) {
	for _, counts := range [][]Count{nil, {{3, 8}}, {{3, 8}, {0, 0}}} {
		if _, err := Shrink(counts); !errors.Is(err, ErrUnsettled) {
			t.Errorf("%v: got %v, want ErrUnsettled", counts, err)
		}
	}
	for _, counts := range [][]Count{
		{{0, 8}, {0, 12}, {0, 0}},
		{{8, 8}, {12, 12}},
		{{3000, 9000}, {3300, 9100}, {1, 2}},
		{{1, 1}, {0, 1}},
	} {
		list, err := Shrink(counts)
		if err != nil {
			t.Fatal(err)
		}
		for i, e := range list {
			if !(0 <= e.Low && e.Low <= e.At && e.At <= e.High && e.High <= 1) {
				t.Errorf("%v: %v of %v is out of order", counts, e, counts[i])
			}
		}
	}
	// Men who differ by no more than chance: the likeliest spread is none.
	if b, err := BetaBinomial([]Count{{10, 30}, {10, 30}, {10, 30}}); !errors.Is(err, ErrUnsettled) {
		t.Errorf("got %v, %v, want ErrUnsettled", b, err)
	}
}

func square(x float64) float64 { return x * x }

// rate is K/N; half where N is 0.
func (c Count) rate() float64 {
	if c.N == 0 {
		return 0.5
	}
	return c.K / c.N
}
