package stats

import (
	"fmt"
	"math"
)

// Trend is how a rate goes up or down with time.
type Trend struct {
	Slope float64 `json:"a-week"` // change of the rate in seven days
	Low   float64 `json:"low"`    // 95 % interval, by the variance of the test
	High  float64 `json:"high"`

	ChiSquare float64 `json:"chi-square"` // one degree of freedom
	P         float64 `json:"p"`
}

// Dated is a count and the day it is of, from any first day on.
type Dated struct {
	Day int
	Count
}

// TrendOf is the test for a linear trend in proportions: Cochran 1954, Biometrics
// 10:417–451, and Armitage 1955, Biometrics 11:375–386, days being the scores. False where
// all days are one, or all is so, or nothing.
func TrendOf(counts []Dated) (Trend, bool) {
	n, k, days := 0.0, 0.0, 0.0
	for _, c := range counts {
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
	const week = 7
	se := week * math.Sqrt(rate*(1-rate)/spread)
	t := Trend{Slope: week * with / spread, ChiSquare: with * with / (rate * (1 - rate) * spread)}
	t.Low, t.High = t.Slope-z*se, t.Slope+z*se
	t.P = math.Erfc(math.Sqrt(t.ChiSquare / 2))
	return t, true
}

// leastWeeks is the fewest dates of which a trend is told: through two there is always a
// line.
const leastWeeks = 3

// Growth is whether a rate grew, week by week.
type Growth struct {
	Rate  string `json:"rate"`
	Weeks int    `json:"weeks"` // on whose dates it is known
	Count Count  `json:"-"`     // over all of them
	// Trend is nil where there are too few weeks, or too few reps of one kind, to see any.
	Trend *Trend `json:"trend"`
}

func growth(name string, weeks []Week, of func(Week) Rate) Growth {
	g := Growth{Rate: name}
	var counts []Dated
	for _, w := range weeks {
		day, dated := w.day()
		if c := of(w).Count; dated && c.N > 0 {
			counts = append(counts, Dated{day, c})
			g.Weeks++
			g.Count.K += c.K
			g.Count.N += c.N
		}
	}
	// The test's chi-square is near only with five of each kind (common practice).
	if g.Weeks < leastWeeks || min(g.Count.K, g.Count.N-g.Count.K) < Enough {
		return g
	}
	if t, ok := TrendOf(counts); ok {
		g.Trend = &t
	}
	return g
}

// Sentence is what g lets one say: "30 of 60 in 3 weeks: it rises by 30 in 100 rushes a
// week, more than chance alone would make; anything from a rise of 15 to a rise of 45 fits
// this film."
func (g Growth) Sentence() string {
	over := fmt.Sprintf("%d of %d in %d weeks", g.Count.K, g.Count.N, g.Weeks)
	switch {
	case g.Weeks == 0:
		return "nothing is known on any date."
	case g.Weeks == 1:
		return fmt.Sprintf("one week says nothing of a trend; it takes %d.", leastWeeks)
	case g.Weeks < leastWeeks:
		return fmt.Sprintf("%d weeks say nothing of a trend; it takes %d.", g.Weeks, leastWeeks)
	case g.Trend == nil:
		return fmt.Sprintf("%s: nothing can be said of a trend; it takes %d reps of each kind at least.", over, Enough)
	}
	t, small := *g.Trend, ""
	if g.Count.Small() {
		small = ", a small sample"
	}
	fits := fmt.Sprintf("%s to %s", tilt(t.Low), tilt(t.High))
	if t.Low > 0 || t.High < 0 {
		return fmt.Sprintf("%s%s: it %s by %d in 100 rushes a week, more than chance alone would make; anything from %s fits this film.",
			over, small, rises(t.Slope), percent(math.Abs(t.Slope)), fits)
	}
	return fmt.Sprintf("%s%s: no trend that can be told from chance; the line through them %s by %d in 100 rushes a week, but anything from %s fits this film.",
		over, small, rises(t.Slope), percent(math.Abs(t.Slope)), fits)
}

func rises(slope float64) string {
	if slope < 0 {
		return "falls"
	}
	return "rises"
}

// tilt is "a fall of 5".
func tilt(slope float64) string {
	if slope < 0 {
		return fmt.Sprintf("a fall of %d", percent(-slope))
	}
	return fmt.Sprintf("a rise of %d", percent(slope))
}
