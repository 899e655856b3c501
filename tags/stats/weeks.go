package stats

import (
	"cmp"
	"slices"
	"time"

	"trenchcut/tags"
)

// Season is what some reps came to, date by date.
type Season struct {
	Name   string
	Weeks  []Week
	Growth []Growth
}

// Week is the reps of all games of one date: film of one game may lie in several files.
type Week struct {
	Date      string // 2026-09-12, or NotTagged
	Opponents []string
	Reps      int
	Won       Rate
	Pressure  Rate
	// BeatInTime is blockers beaten within the staff's limit and before the ball was out.
	BeatInTime Rate
}

// Seasons is the weeks of all reps that [Scope.Counted] leaves in, in order of date and those of
// no date last, and then, where of is not nil, those of each of its sets.
func (in Scope) Seasons(reps []*tags.Rep, of func(*tags.Rep) []string) []Season {
	var list []Season
	for _, s := range withAll(in.Counted(reps), of) {
		list = append(list, in.seasonOf(s))
	}
	return list
}

func (in Scope) seasonOf(set Set) Season {
	s := Season{Name: set.Name}
	for _, day := range Split(set.Reps, func(r *tags.Rep) []string { return []string{r.Play.Game.Date} }) {
		w := Week{Date: day.Name, Reps: len(day.Reps)}
		for _, r := range day.Reps {
			if name := r.Play.Game.Opponent; name != "" && !slices.Contains(w.Opponents, name) {
				w.Opponents = append(w.Opponents, name)
			}
		}
		slices.Sort(w.Opponents)
		g := group("", day.Reps)
		w.Won, w.Pressure, w.BeatInTime = g.Won, g.Pressure, g.BeatInTime
		s.Weeks = append(s.Weeks, w)
	}
	slices.SortFunc(s.Weeks, func(a, b Week) int {
		return cmp.Or(lastly(a.Date, b.Date), cmp.Compare(a.Date, b.Date))
	})
	s.Growth = []Growth{
		growth("won", s.Weeks, func(w Week) Rate { return w.Won }),
		growth("pressure", s.Weeks, func(w Week) Rate { return w.Pressure }),
		growth(BeatInTime, s.Weeks, func(w Week) Rate { return w.BeatInTime }),
	}
	return s
}

// day is w's date as a count of days.
func (w Week) day() (int, bool) {
	at, err := time.Parse(time.DateOnly, w.Date)
	return int(at.Unix() / (24 * 60 * 60)), err == nil
}
