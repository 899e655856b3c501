package stats

import (
	"cmp"
	"math"
	"slices"

	"trenchcut/tags"
)

// Watch is one rush watched until its blocker was beaten or until something else ended
// the watch: the ball was out, the whistle blew.
type Watch struct {
	Until tags.Time // from the snap
	Beat  bool

	of game
}

// Step is a Kaplan–Meier curve at a time when somebody was beaten.
type Step struct {
	At     tags.Time
	AtRisk int     // watched until At at least
	Beaten int     // at At
	Holds  float64 // the share of blockers not beaten by At
	SE     float64 // Greenwood's, or by game where that is more
	Low    float64 // 95 % interval on the scale of log(-log)
	High   float64
}

// Curve is how long blockers hold, as Kaplan and Meier estimate it from watches of which
// some end before the blocker is beaten: J. Am. Stat. Assoc. 53 (1958) 457–481.
type Curve struct {
	Watches int
	Steps   []Step
	ends    []tags.Time // of every watch, in order
	games   [][]moment
}

// reach is how many standard errors an interval of 95 % reaches: Student's on one degree of
// freedom less than there are games, where there are three at least.
func (c Curve) reach() float64 {
	if len(c.games) < LeastGames {
		return z
	}
	return student(len(c.games) - 1)
}

// AtRisk is how many were watched until a time at least.
func (c Curve) AtRisk(at tags.Time) int {
	i, _ := slices.BinarySearch(c.ends, at)
	return len(c.ends) - i
}

// Censored is when watches ended with nobody beaten, in order.
func (c Curve) Censored() []tags.Time {
	var times []tags.Time
	rest := c.ends
	for _, s := range c.Steps {
		// Who is beaten at a time comes before who leaves at it.
		at, _ := slices.BinarySearch(rest, s.At)
		times = append(times, rest[:at]...)
		rest = rest[at+s.Beaten:]
	}
	return append(times, rest...)
}

// last is when the longest watch ended.
func (c Curve) last() tags.Time {
	if len(c.ends) == 0 {
		return 0
	}
	return c.ends[len(c.ends)-1]
}

// step is the last step up to a time; false where nobody is beaten by then.
func (c Curve) step(at tags.Time) (Step, bool) {
	i, found := slices.BinarySearchFunc(c.Steps, at, func(s Step, at tags.Time) int { return cmp.Compare(s.At, at) })
	if found {
		i++
	}
	if i == 0 {
		return Step{}, false
	}
	return c.Steps[i-1], true
}

// KaplanMeier is the curve of watches. Of three games at least its errors are by how much
// games differ (Ying and Wei 1994, J. Multivar. Anal. 50:17–29; R's survfit with cluster), and
// never less than Greenwood's, of so many fresh rushes.
func KaplanMeier(watches []Watch) Curve {
	c := Curve{Watches: len(watches), ends: make([]tags.Time, len(watches)), games: momentsByGame(watches)}
	for i, w := range watches {
		c.ends[i] = w.Until
	}
	slices.Sort(c.ends)
	holds, fresh := 1.0, 0.0
	between := newGameParts(c.games)
	for _, m := range moments(watches) {
		if m.beaten == 0 {
			continue
		}
		n, d := float64(m.atRisk), float64(m.beaten)
		holds *= (n - d) / n
		fresh += d / (n * (n - d)) // Greenwood 1926
		variance := fresh
		if len(c.games) >= LeastGames && n > d {
			between.add(m.at, m.atRisk, m.beaten, 1)
			se := clustered(between.parts)
			variance = max(variance, se*se)
		}
		s := Step{At: m.at, AtRisk: m.atRisk, Beaten: m.beaten, Holds: holds, SE: holds * math.Sqrt(variance)}
		s.Low, s.High = logLog(holds, variance, c.reach())
		if holds == 0 {
			s.SE = 0
		}
		c.Steps = append(c.Steps, s)
	}
	return c
}

// logLog is the interval of a share whose logarithm has the variance, on the scale of
// log(-log), which keeps it within 0 and 1. Kalbfleisch and Prentice 1980, section 1.3.
// At 0 and 1 it says nothing.
func logLog(share, variance, reach float64) (low, high float64) {
	if share <= 0 || share >= 1 {
		return 0, 1
	}
	spread := reach * math.Sqrt(variance) / math.Log(share)
	return math.Pow(share, math.Exp(-spread)), math.Pow(share, math.Exp(spread))
}

// moment is a time at which watches end.
type moment struct {
	at             tags.Time
	atRisk, beaten int
}

// moments is the times at which watches end, in order. Who leaves at the time when
// another is beaten was still there to be beaten.
func moments(watches []Watch) []moment {
	sorted := slices.SortedFunc(slices.Values(watches), func(a, b Watch) int { return cmp.Compare(a.Until, b.Until) })
	var list []moment
	for i, w := range sorted {
		if len(list) == 0 || list[len(list)-1].at != w.Until {
			list = append(list, moment{at: w.Until, atRisk: len(sorted) - i})
		}
		if w.Beat {
			list[len(list)-1].beaten++
		}
	}
	return list
}

// Median is the time by which half of the blockers are beaten, with its 95 % interval;
// nil is what the curve never comes down to.
type Median struct {
	At   *tags.Time
	Low  *tags.Time
	High *tags.Time
}

// Median is c's median, its interval after Brookmeyer and Crowley, Biometrics 38 (1982)
// 29–41. A curve that runs along one half has its median in the middle of the run.
func (c Curve) Median() Median {
	limit := func(of func(Step) float64) *tags.Time {
		return c.crosses(func(s Step) float64 {
			if s.Holds == 0 {
				return 1 // where none holds any more the interval says nothing
			}
			return of(s)
		})
	}
	return Median{
		At:   c.crosses(func(s Step) float64 { return s.Holds }),
		Low:  limit(func(s Step) float64 { return s.Low }),
		High: limit(func(s Step) float64 { return s.High }),
	}
}

// crosses is when what of tells comes down to one half.
func (c Curve) crosses(of func(Step) float64) *tags.Time {
	const slack = 1e-9 // floats that should be one half are it
	for i, s := range c.Steps {
		share := of(s)
		if share > 0.5+slack {
			continue
		}
		at := s.At
		if share >= 0.5-slack {
			next := c.last()
			if i+1 < len(c.Steps) {
				next = c.Steps[i+1].At
			}
			at = (at + next) / 2
		}
		return &at
	}
	return nil
}

// RestrictedMean is how many seconds of the first limit a blocker holds on average: the
// area under the curve. Past the last watch the curve is taken to run on level.
func (c Curve) RestrictedMean(limit tags.Time) float64 {
	area, holds, from := 0.0, 1.0, tags.Time(0)
	for _, s := range c.Steps {
		if s.At >= limit {
			break
		}
		area += holds * (s.At - from).Seconds()
		holds, from = s.Holds, s.At
	}
	return area + holds*(limit-from).Seconds()
}

// MeanSE is the standard error of RestrictedMean: Klein and Moeschberger 2003, section
// 4.5, or by game, as [KaplanMeier] has it. It is 0 where nobody is beaten before the limit.
func (c Curve) MeanSE(limit tags.Time) float64 {
	// From the last step to the first, so that the area past each is at hand.
	area, to, variance := 0.0, limit, 0.0
	areas := make([]float64, len(c.Steps))
	for i, s := range slices.Backward(c.Steps) {
		if s.At >= limit {
			continue
		}
		area += s.Holds * (to - s.At).Seconds()
		to, areas[i] = s.At, area
		if n, d := float64(s.AtRisk), float64(s.Beaten); n > d {
			variance += area * area * d / (n * (n - d))
		}
	}
	if len(c.games) < LeastGames {
		return math.Sqrt(variance)
	}
	between := newGameParts(c.games)
	for i, s := range c.Steps {
		if s.At < limit && s.AtRisk > s.Beaten {
			between.add(s.At, s.AtRisk, s.Beaten, areas[i])
		}
	}
	return max(math.Sqrt(variance), clustered(between.parts))
}

// Watches is the watches of rushes, and how many reps say too little to be watched: whether
// the blocker was beaten is not known, or not when the rush was over without.
func Watches(reps []*tags.Rep) (watches []Watch, unmarked int) {
	for _, r := range once(reps) {
		at, beaten, known := r.Beaten()
		over, ended := r.Over()
		switch {
		case beaten:
			watches = append(watches, Watch{at, true, gameOf(r)})
		case known && ended:
			watches = append(watches, Watch{over, false, gameOf(r)})
		default:
			unmarked++
		}
	}
	return watches, unmarked
}
