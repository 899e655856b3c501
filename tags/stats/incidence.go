package stats

import (
	"cmp"
	"math"
	"slices"

	"trenchcut/tags"
)

// Fate is what a rush had come to when the watch of it ended.
type Fate int

// The fates.
const (
	Going  Fate = iota // it went on, unseen
	Beat               // the blocker was beaten
	WasOut             // the ball was out, or the rush finished, with the blocker not beaten
)

// Course is one rush until its blocker was beaten, or it was over without.
type Course struct {
	Until tags.Time // from the snap
	Fate  Fate
}

// never is when a rush ended whose end is not marked: later than all others.
const never = tags.Time(math.MaxInt64)

// IncidenceStep is an incidence at a time when rushes were over.
type IncidenceStep struct {
	At     tags.Time
	AtRisk int // going until At at least
	Beaten int // at At
	Over   int // at At, with the blocker not beaten
	// The share of all rushes on which the blocker was beaten by At, and of those that were
	// over by then without.
	BeatenBy float64
	OverBy   float64
}

// AalenJohansen is the cumulative incidence of a blocker beaten and of a rush that is over
// first, each of which leaves the other no chance: Aalen and Johansen 1978, Scand. J. Statist.
// 5:141–150. Where every rush is seen to its end, it is the plain share of them.
func AalenJohansen(courses []Course) []IncidenceStep {
	sorted := slices.SortedFunc(slices.Values(courses), func(a, b Course) int { return cmp.Compare(a.Until, b.Until) })
	var steps []IncidenceStep
	going, last := 1.0, IncidenceStep{}
	for from := 0; from < len(sorted); {
		s := IncidenceStep{At: sorted[from].Until, AtRisk: len(sorted) - from, BeatenBy: last.BeatenBy, OverBy: last.OverBy}
		to := from
		for ; to < len(sorted) && sorted[to].Until == s.At; to++ {
			switch sorted[to].Fate {
			case Beat:
				s.Beaten++
			case WasOut:
				s.Over++
			}
		}
		n := float64(s.AtRisk)
		s.BeatenBy += going * float64(s.Beaten) / n
		s.OverBy += going * float64(s.Over) / n
		going *= (n - float64(s.Beaten+s.Over)) / n
		if s.Beaten+s.Over > 0 {
			steps, last = append(steps, s), s
		}
		from = to
	}
	return steps
}

// Courses is the courses of rushes of which it is known whether the blocker was beaten, and
// how many of them were over at a time that is not marked; they end past every other.
func Courses(reps []*tags.Rep) (courses []Course, untimed int) {
	for _, r := range once(reps) {
		at, beaten, known := r.Beaten()
		over, ended := r.Over()
		switch {
		case beaten:
			courses = append(courses, Course{at, Beat})
		case known && ended:
			courses = append(courses, Course{over, WasOut})
		case known:
			courses = append(courses, Course{never, WasOut})
			untimed++
		}
	}
	return courses, untimed
}

// Timing is how often, and by when, blockers were beaten before the ball was out.
type Timing struct {
	Name    string
	Reps    int
	InTime  Rate // within the staff's limit
	Beaten  Rate // whenever
	Over    int  // over first, whenever that was
	Untimed int  // of Over, those of which it is not marked when
	Held    int  // wins that are holds he drew; of those with no beat marked nothing is known
	At      []Reached
	Courses []Course `json:"-"`
}

// Reached is how many blockers are beaten by a time.
type Reached struct {
	By     tags.Time
	Beaten Rate
	Going  int // rushes still going then
}

// Told reports whether so many rushes were still going that something can be said of then.
func (r Reached) Told() bool { return r.Going >= Enough }

// Reaches is the times by which Timing tells how many are beaten.
var Reaches = []tags.Time{2 * tags.Second, 5 * tags.Second / 2, 3 * tags.Second, 4 * tags.Second}

// TimesToBeat is the timing of all reps that [Scope.Counted] leaves in and then, where of is
// not nil, of each of its sets.
func (in Scope) TimesToBeat(reps []*tags.Rep, of func(*tags.Rep) []string) []Timing {
	var list []Timing
	for _, s := range withAll(in.Counted(reps), of) {
		list = append(list, timing(s))
	}
	return list
}

func timing(s Set) Timing {
	t := Timing{
		Name: s.Name, Reps: len(s.Reps), At: make([]Reached, len(Reaches)),
		InTime: Rate{Lopsided: true}, Beaten: Rate{Lopsided: true},
	}
	t.Courses, t.Untimed = Courses(s.Reps)
	for i, by := range Reaches {
		t.At[i].By, t.At[i].Beaten.Lopsided = by, true
		for _, c := range t.Courses {
			if c.Until >= by && c.Until != never {
				t.At[i].Going++
			}
		}
	}
	for _, r := range s.Reps {
		if r.DrewHold() {
			t.Held++
		}
		at, beaten, known := r.Beaten()
		inTime, _ := r.BeatInTime()
		t.InTime.addOf(r, inTime, known)
		t.Beaten.addOf(r, beaten, known)
		for i, by := range Reaches {
			t.At[i].Beaten.addOf(r, beaten && at <= by, known)
		}
	}
	t.Over = t.Beaten.N - t.Beaten.K
	return t
}
