package stats

import (
	"trenchcut/tags"
)

// Hold is how long blockers would have held against some reps, were the ball never out. It
// takes a rush that ended for one that would have gone on as the others did, which a rush that
// hurries the ball out breaks (Gooley et al. 1999, Statist. Med. 18:695–706).
type Hold struct {
	Name        string
	Reps        int
	Unmarked    int // reps whose marks say too little; not in Curve
	Beaten      int
	Held        int // wins that are holds he drew; those with no beat marked are Unmarked
	WonUnmarked int // of Unmarked, wins: without them blockers may seem to hold longer than they do
	// Ended is the rushes that ended with the blocker not beaten: ball out, or finish.
	Ended  int
	Median Median
	Mean   Mean
	At     []Held
	Curve  Curve
}

// Hedge says in words how little the curve says: "too few" watches, or "small sample" where the
// interval of the share beaten by a time that is told is wide; empty where it says more.
func (h Hold) Hedge() string {
	if h.Curve.Watches == 0 {
		return "none"
	}
	if !h.Curve.Enough() {
		return "too few"
	}
	told := false
	for _, at := range h.At {
		if at.Share != nil {
			told = true
			if *at.High-*at.Low > wide {
				return "small sample"
			}
		}
	}
	if !told {
		return "small sample"
	}
	return ""
}

// Mean is how many seconds of the first four blockers hold, with its 95 % interval; nil
// where too few are still going then, or nobody is beaten before, which leaves no variance to
// tell by.
type Mean struct {
	At   *float64
	Low  *float64
	High *float64 // at most 4
}

func (c Curve) mean() Mean {
	if _, any := c.step(meanLimit - 1); c.AtRisk(meanLimit) < Enough || !any {
		return Mean{}
	}
	mean, reach := c.RestrictedMean(meanLimit), c.reach()*c.MeanSE(meanLimit)
	low, high := max(mean-reach, 0), min(mean+reach, meanLimit.Seconds())
	return Mean{&mean, &low, &high}
}

// Held is how many blockers would be beaten by a time. The share and its interval are nil
// where fewer than five were watched that long.
type Held struct {
	By     tags.Time
	AtRisk int // watched until then at least
	Share  *float64
	Low    *float64
	High   *float64
}

// meanLimit is how much of a rush the mean is of.
const meanLimit = 4 * tags.Second

// Holds is how long blockers would have held against all reps that [Scope.Rushes] leaves in
// and then, where of is not nil, against each of its sets.
func (in Scope) Holds(reps []*tags.Rep, of func(*tags.Rep) []string) []Hold {
	var list []Hold
	for _, s := range withAll(in.Rushes(reps), of) {
		list = append(list, hold(s))
	}
	return list
}

// TimesDiffer is the log-rank test between the sets that of makes of the reps that [Rushes]
// leaves in: those with watches enough, less those of which it is not known. Nil where
// there are not two, or nobody is beaten in them; overlap says that a rep is in several
// sets, of which no test can tell anything.
func (in Scope) TimesDiffer(reps []*tags.Rep, of func(*tags.Rep) []string) (test *LogRanks, overlap bool) {
	reps = in.Rushes(reps)
	all := 0
	var groups []Ranked
	for _, s := range Split(reps, of) {
		all += len(s.Reps)
		watches, _ := Watches(s.Reps)
		if s.Name != NotTagged && len(watches) >= Enough {
			groups = append(groups, Ranked{s.Name, watches})
		}
	}
	if all > len(reps) {
		return nil, true
	}
	if t := CompareGroups(groups); t.Degrees > 0 {
		return &t, false
	}
	return nil, false
}

func hold(s Set) Hold {
	watches, unmarked := Watches(s.Reps)
	full := KaplanMeier(watches)
	c := full.told()
	t := Hold{
		Name: s.Name, Reps: len(s.Reps), Unmarked: unmarked,
		Median: full.Median().told(full), Mean: c.mean(), Curve: c,
	}
	for _, w := range watches {
		if w.Beat {
			t.Beaten++
		} else {
			t.Ended++
		}
	}
	for _, r := range s.Reps {
		if r.DrewHold() {
			t.Held++
		}
		won, _ := r.Won()
		if _, _, known := r.Beaten(); won && !known {
			t.WonUnmarked++
		}
	}
	for _, by := range Reaches {
		t.At = append(t.At, c.reached(by))
	}
	return t
}

// told is the median without what rests on fewer than five still going.
func (m Median) told(c Curve) Median {
	for _, at := range []**tags.Time{&m.At, &m.Low, &m.High} {
		if *at != nil && c.AtRisk(**at) < Enough {
			*at = nil
		}
	}
	return m
}

// told is the curve as far as five are still going: what fewer come to says nothing.
func (c Curve) told() Curve {
	for i, s := range c.Steps {
		if s.AtRisk < Enough {
			c.Steps = c.Steps[:i]
			break
		}
	}
	return c
}

// Enough reports whether there are watches enough to speak of a rate.
func (c Curve) Enough() bool { return c.Watches >= Enough }

func (c Curve) reached(by tags.Time) Held {
	r := Held{By: by, AtRisk: c.AtRisk(by)}
	if r.AtRisk < Enough {
		return r
	}
	s, any := c.step(by)
	// Where none is beaten or all are, Greenwood's variance has nothing to say. Counts have,
	// and take those whose watch ended before for never having been there.
	share, low, high := 1-s.Holds, 1-s.High, 1-s.Low
	switch {
	case !any:
		share = 0
		low, high = Count{0, r.AtRisk}.Interval()
	case s.Holds == 0:
		low, high = Count{r.AtRisk, r.AtRisk}.Interval() // all who were left are beaten then
	}
	r.Share, r.Low, r.High = &share, &low, &high
	return r
}
