package stats

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"trenchcut/tags"
)

var seasons = flag.Int("seasons", 400, "how many seasons are invented to see how often intervals hold the truth")

// invented is a rate of so many games of so many reps, each game with a rate of its own, from a
// beta distribution of a mean and a correlation of reps within a game.
func invented(r *rand.Rand, games, reps int, mean, within float64) Rate {
	var rate Rate
	weight := 1/within - 1
	for g := range games {
		p := beta(r, mean*weight, (1-mean)*weight)
		for range reps {
			yes := r.Float64() < p
			rate.addGame(game{when: fmt.Sprint(g)}, yes)
		}
	}
	return rate
}

func (r *Rate) addGame(of game, yes bool) {
	r.addOf(&tags.Rep{Play: &tags.Play{Game: &tags.Game{ID: of.when}}}, yes, true)
}

// beta draws from the beta distribution, as the place of one gamma in the sum of two.
func beta(r *rand.Rand, a, b float64) float64 {
	x := gamma(r, a)
	return x / (x + gamma(r, b))
}

// gamma draws from the gamma distribution of a shape of 1 at least: Marsaglia and Tsang 2000,
// ACM Trans. Math. Softw. 26:363–372.
func gamma(r *rand.Rand, shape float64) float64 {
	d := shape - 1./3
	for {
		x := r.NormFloat64()
		v := 1 + x/math.Sqrt(9*d)
		if v = v * v * v; v > 0 && math.Log(1-r.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

// Where reps of a game are alike, intervals that take each for a fresh try hold the truth far
// too seldom. Those by game hold it about 95 times in 100, and so do differences.
func TestIntervalsByGameHoldTheTruth(t *testing.T) {
	r := rand.New(rand.NewPCG(1992, 577))
	for _, c := range []struct {
		games, reps int
		naive       float64 // the most that Wilson's interval holds of these
	}{{3, 20, 1}, {5, 20, 1}, {10, 25, 0.88}, {12, 150, 0.6}} {
		held, plain, apart := 0, 0, 0
		for range *seasons {
			a, b := invented(r, c.games, c.reps, 0.3, 0.05), invented(r, c.games, c.reps, 0.3, 0.05)
			if low, high := a.Interval(); low <= 0.3 && 0.3 <= high {
				held++
			}
			if low, high := a.Count.Interval(); low <= 0.3 && 0.3 <= high {
				plain++
			}
			d := compareRates(a, b)
			if d.Low <= 0 && 0 <= d.High {
				apart++
			}
			if (d.Low > 0 || d.High < 0) != (d.P < 0.05) {
				t.Errorf("%+v: interval and p say two things", d)
			}
		}
		n := float64(*seasons)
		t.Logf("%d games of %d: by game %.3f, differences %.3f, each rep a fresh try %.3f", c.games, c.reps, float64(held)/n, float64(apart)/n, float64(plain)/n)
		if float64(held)/n < 0.92 || float64(apart)/n < 0.92 {
			t.Errorf("%d games of %d reps: the interval holds the truth %.3f of the time, the difference %.3f", c.games, c.reps, float64(held)/n, float64(apart)/n)
		}
		if float64(plain)/n > c.naive {
			t.Errorf("%d games of %d reps: this invention no longer shows why games count", c.games, c.reps)
		}
	}
}

// A flat season shows a trend about one time in twenty, not one in five.
func TestFlatSeasonsShowNoTrend(t *testing.T) {
	r := rand.New(rand.NewPCG(1954, 10))
	found, plain := 0, 0
	for range *seasons {
		var counts []Dated
		for i, g := range invented(r, 10, 25, 0.3, 0.05).games {
			counts = append(counts, Dated{7 * i, g.Count})
		}
		if t, ok := trendBetween(counts); ok && (t.Low > 0 || t.High < 0) {
			found++
		}
		if t, ok := trendOf(counts); ok && (t.Low > 0 || t.High < 0) {
			plain++
		}
	}
	n := float64(*seasons)
	t.Logf("trends found: by date %.3f, each rep a fresh try %.3f", float64(found)/n, float64(plain)/n)
	if float64(found)/n > 0.08 || float64(plain)/n < 0.1 {
		t.Errorf("of flat seasons %.3f show a trend, and %.3f where each rep is a fresh try", float64(found)/n, float64(plain)/n)
	}
}

// R's lm, weighted by reps, has the same slope and interval where dates scatter more than reps.
func TestTrendBetweenAgainstR(t *testing.T) {
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		t.Skip("R is not installed: apt-get install r-base-core")
	}
	out, err := exec.Command(rscript, "-e", `k <- c(2,9,4,12,5); n <- c(20,22,18,25,21); d <- c(0,7,14,28,35)
f <- lm(k / n ~ d, weights = n); cat(format(c(coef(f)[2], confint(f)[2, ], summary(f)$coefficients[2, 4]), digits = 12))`).Output()
	if err != nil {
		t.Fatal(err)
	}
	got, ok := trendBetween([]Dated{{0, Count{2, 20}}, {7, Count{9, 22}}, {14, Count{4, 18}}, {28, Count{12, 25}}, {35, Count{5, 21}}})
	ours := []float64{got.Rise / 35, got.Low / 35, got.High / 35, got.P}
	for i, word := range strings.Fields(string(out)) {
		want, err := strconv.ParseFloat(word, 64)
		if err != nil || !ok || math.Abs(ours[i]-want) > 1e-9 {
			t.Errorf("%d: %g, R has %g", i, ours[i], want)
		}
	}
}
