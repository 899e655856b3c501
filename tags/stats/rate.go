package stats

import (
	"fmt"

	"trenchcut/tags"
)

// Rate is how often something was so among the reps of which it is known.
type Rate struct {
	Count
	Unknown int // reps of which it is not known; in neither K nor N

	// Lopsided says that a no is known more often than a yes, so that the reps not known are unlike
	// the others: of a loss it is known that nobody was beaten in time, of a win only where the
	// beat is marked. Then only bounds of the rate can be told.
	Lopsided bool

	games []gameCount // of those it is known of, where it is kept
}

// tail is what an interval of 95 % leaves on each side.
const tail = 0.025

// addWon counts a battle. Where none is tagged, a hold that he drew tells that he won, and nothing
// tells that he did not: the reps of which it is not known are not like the others then.
func (r *Rate) addWon(rep *tags.Rep) {
	won, known := rep.Won()
	r.addOf(rep, won, known)
	r.Lopsided = r.Lopsided || known && rep.Battle == ""
}

func (r *Rate) add(yes, known bool) {
	if known {
		r.Count.add(yes)
	} else {
		r.Unknown++
	}
}

// Bounded reports whether only bounds of the rate can be told.
func (r Rate) Bounded() bool { return r.Lopsided && r.Unknown > 0 }

// Words is "6 of 8"; of a rate that is Bounded "6 of 8, 2 not known".
func (r Rate) Words() string {
	if r.Bounded() {
		return r.Count.Words() + unknownWords(r.Unknown)
	}
	return r.Count.Words()
}

// Bounds is the rate were it so of none of the reps not known, and of all of them: Manski
// 1990, Am. Econ. Rev. 80:319–323. No assumption is needed for it.
func (r Rate) Bounds() (low, high Count) {
	return Count{r.K, r.N + r.Unknown}, Count{r.K + r.Unknown, r.N + r.Unknown}
}

// Enough reports whether there are reps enough to speak of a rate.
func (r Rate) Enough() bool {
	if r.Bounded() {
		return r.N+r.Unknown >= Enough
	}
	return r.Count.Enough()
}

// Small reports whether the rate says little: its interval is wide, whether for want of reps or
// of games.
func (r Rate) Small() bool {
	low, high := r.Interval()
	return high-low > wide
}

// Hedge says in words why the rate says little; empty where it says more.
func (r Rate) Hedge() string {
	whole := r.Count
	if r.Bounded() {
		whole, _ = r.Bounds()
	}
	switch {
	case !r.Small():
		return ""
	case whole.Small() || r.Bounded():
		return "small sample"
	default:
		return "few games"
	}
}

// Meaning is what a rate lets one say, to follow "6 of 8": first the rate, or its bounds, and how
// little that may be, then its interval.
func (r Rate) Meaning() string {
	rate, low, high := r.Per100()
	switch {
	case !r.Enough():
		return ": too few for a rate"
	case r.Bounded():
		least, most := r.Bounds100()
		return fmt.Sprintf(": of these reps %d to %d in 100, and anything from %d to %d in 100 rushes fits", least, most, low, high)
	case r.Small():
		return fmt.Sprintf(", %d %%, %s: anything from %d to %d in 100 rushes fits", rate, r.Hedge(), low, high)
	default:
		return fmt.Sprintf(", %d %%: between %d and %d in 100 rushes", rate, low, high)
	}
}

// Interval is the interval of 95 % of the rate; of one that is Bounded, from the lower end of
// the lower bound's to the upper end of the upper bound's.
func (r Rate) Interval() (low, high float64) {
	if !r.Bounded() {
		return r.interval(tail)
	}
	least, most := r.Bounds()
	// Of the reps not known no game is known to be like the others: each counts as if in all.
	whole := Rate{Count: least, games: r.games}
	low, _ = whole.interval(tail)
	whole.Count = most
	_, high = whole.interval(tail)
	return low, high
}

// Per100 is the rate and its interval per 100, rounded; only meant where there are Enough. Of
// one that is Bounded it is of the reps that are known.
func (r Rate) Per100() (rate, low, high int) {
	l, h := r.Interval()
	return percent(float64(r.K) / float64(max(r.N, 1))), percent(l), percent(h)
}

// Bounds100 is the bounds per 100, rounded.
func (r Rate) Bounds100() (low, high int) {
	least, most := r.Bounds()
	return percent(float64(least.K) / float64(max(least.N, 1))), percent(float64(most.K) / float64(max(most.N, 1)))
}
