package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Trend is how a rate goes up or down with time.
type Trend struct {
	// Rise is by how much, from the first day to the last, along a straight line: by the week
	// it would be told of time that there is no film of. The line may leave 0 to 1.
	Rise float64
	Low  float64 // 95 % interval, by the variance of the test
	High float64

	ChiSquare float64 // one degree of freedom
	P         float64
}

// Dated is a count and the day it is of, from any first day on.
type Dated struct {
	Day int
	Count
}

// trendOf is the test for a linear trend in proportions: Cochran 1954, Biometrics
// 10:417–451, and Armitage 1955, Biometrics 11:375–386, days being the scores. False where
// all days are one, or all is so, or nothing.
func trendOf(counts []Dated) (Trend, bool) {
	n, k, days := 0.0, 0.0, 0.0
	first, last := math.MaxInt, math.MinInt
	for _, c := range counts {
		first, last = min(first, c.Day), max(last, c.Day)
		n += float64(c.N)
		k += float64(c.K)
		days += float64(c.N) * float64(c.Day)
	}
	if k == 0 || k == n {
		return Trend{}, false
	}
	rate, middle := k/n, days/n
	with, spread := 0.0, 0.0
	for _, c := range counts {
		d := float64(c.Day) - middle
		with += d * (float64(c.K) - float64(c.N)*rate)
		spread += float64(c.N) * d * d
	}
	if spread == 0 {
		return Trend{}, false
	}
	whole := float64(last - first)
	se := whole * math.Sqrt(rate*(1-rate)/spread)
	t := Trend{Rise: whole * with / spread, ChiSquare: with * with / (rate * (1 - rate) * spread)}
	t.Low, t.High = t.Rise-z*se, t.Rise+z*se
	t.P = math.Erfc(math.Sqrt(t.ChiSquare / 2))
	return t, true
}

// trendBetween is the trend by how much dates differ from its line: its variance is that of
// the test, times by how much dates scatter more than reps by chance (never less), and its
// interval Student's on two degrees of freedom less than there are dates. Reps of one date are
// not independent, and taken for so, every fifth flat season shows a trend. It is R's
// lm(k/n ~ day, weights = n) where the dates scatter more. False as trendOf, and of fewer than
// three dates.
func trendBetween(counts []Dated) (Trend, bool) {
	t, ok := trendOf(counts)
	if !ok || len(counts) < leastDates {
		return t, false
	}
	n, k, days := 0.0, 0.0, 0.0
	first, last := math.MaxInt, math.MinInt
	for _, c := range counts {
		first, last = min(first, c.Day), max(last, c.Day)
		n, k, days = n+float64(c.N), k+float64(c.K), days+float64(c.N)*float64(c.Day)
	}
	rate, middle, slope := k/n, days/n, t.Rise/float64(last-first)
	scatter := 0.0
	for _, c := range counts {
		off := float64(c.K)/float64(c.N) - rate - slope*(float64(c.Day)-middle)
		scatter += float64(c.N) * off * off
	}
	free := len(counts) - 2
	scatter = max(scatter/(rate*(1-rate))/float64(free), 1)
	reach := (t.High - t.Rise) / z * math.Sqrt(scatter) * student(free)
	t.ChiSquare /= scatter
	t.Low, t.High = t.Rise-reach, t.Rise+reach
	t.P = 2 * distuv.StudentsT{Sigma: 1, Nu: float64(free)}.CDF(-math.Sqrt(t.ChiSquare))
	return t, true
}

// leastDates is the fewest dates of which a trend is told: through two there is always a
// line.
const leastDates = 3

// Growth is whether a rate grew from date to date.
type Growth struct {
	Rate  string
	Dates int   // on which it is known
	Count Count // over all of them
	// Bounded says that only bounds of the rate can be told on some date.
	Bounded bool
	// Trend is nil where there are too few dates, or too few reps of one kind, to see any.
	Trend *Trend
}

func growth(name string, weeks []Week, of func(Week) Rate) Growth {
	g := Growth{Rate: name}
	var counts []Dated
	bounded := false
	for _, w := range weeks {
		day, dated := w.day()
		bounded = bounded || of(w).Bounded()
		if c := of(w).Count; dated && c.N > 0 {
			counts = append(counts, Dated{day, c})
			g.Dates++
			g.Count.K += c.K
			g.Count.N += c.N
		}
	}
	// The test's chi-square is near only with five of each kind (common practice).
	g.Bounded = bounded
	if bounded || g.Dates < leastDates || min(g.Count.K, g.Count.N-g.Count.K) < Enough {
		return g
	}
	if t, ok := trendBetween(counts); ok {
		g.Trend = &t
	}
	return g
}

// Sentence is what g lets one say: "30 of 60 on 3 dates: a rise of 60 in 100 rushes from the
// first to the last, more than chance alone would often make; anything from a rise of 29 to
// a rise of 91 fits this film."
func (g Growth) Sentence() string {
	over := fmt.Sprintf("%d of %d on %d dates", g.Count.K, g.Count.N, g.Dates)
	switch {
	case g.Dates == 0:
		return "nothing is known on any date."
	case g.Dates == 1:
		return fmt.Sprintf("one date says nothing of a trend; it takes %d.", leastDates)
	case g.Dates < leastDates:
		return fmt.Sprintf("%d dates say nothing of a trend; it takes %d.", g.Dates, leastDates)
	case g.Bounded:
		return over + ": of some reps it is not known, so nothing can be said of a trend."
	case g.Trend == nil:
		return fmt.Sprintf("%s: nothing can be said of a trend; it takes %d reps of each kind at least.", over, Enough)
	}
	t := *g.Trend
	if t.High-t.Low > wide {
		over += ", small sample"
	}
	line := tilt(t.Rise) + " in 100 rushes from the first to the last"
	fits := fmt.Sprintf("anything from %s to %s fits this film", tilt(t.Low), tilt(t.High))
	if t.Low > 0 || t.High < 0 {
		return fmt.Sprintf("%s: %s, more than chance alone would often make; %s.", over, line, fits)
	}
	return fmt.Sprintf("%s: no trend that can be told from chance; the line through them is %s, but %s.", over, line, fits)
}

// tilt is "a fall of 5": no rate changes by more than 100 in 100, whatever the line does.
func tilt(change float64) string {
	if change < 0 {
		return fmt.Sprintf("a fall of %d", percent(min(-change, 1)))
	}
	return fmt.Sprintf("a rise of %d", percent(min(change, 1)))
}
