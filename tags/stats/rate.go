package stats

// Rate is how often something was so among the reps of which it is known.
type Rate struct {
	Count
	Unknown int // reps of which it is not known; in neither K nor N

	// Lopsided says that the reps not known are not like the others, because of what was not so
	// more is known: of a loss it is known that nobody was beaten, of a win only where the beat
	// is marked. Then only bounds can be told.
	Lopsided bool

	games []gameCount // of those it is known of, where it is kept
}

// tail is what an interval of 95 % leaves on each side.
const tail = 0.025

func (r *Rate) add(yes, known bool) {
	if known {
		r.Count.add(yes)
	} else {
		r.Unknown++
	}
}

// Bounded reports whether only bounds of the rate can be told.
func (r Rate) Bounded() bool { return r.Lopsided && r.Unknown > 0 }

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
