package stats

import (
	"slices"

	"trenchcut/tags"
)

// Stunts is what stunts came to.
type Stunts struct {
	Kinds   []Stunt
	Callers []Group // by who called it
}

// Stunt is what one kind of stunt came to.
type Stunt struct {
	Name         string
	Plays        int
	PlayPressure Rate    // by any of its rushers
	FreedLooper  int     // reps credited with freeing the looper
	Roles        []Group // by job: penetrator, looper
}

// StuntsOf is the stunts of reps, all of them first where there is more than one kind; v
// ranks the kinds and the jobs.
func (in Scope) StuntsOf(reps []*tags.Rep, v *tags.Vocabulary) Stunts {
	reps = filter(in.Counted(reps), func(r *tags.Rep) bool { return r.Stunt != "" })
	sets := Split(reps, func(r *tags.Rep) []string { return []string{r.Stunt} })
	if len(sets) != 1 {
		sets = append([]Set{{All, reps}}, sets...)
	}
	var s Stunts
	for _, set := range sets {
		kind := Stunt{Name: set.Name, PlayPressure: perPlay(set.Reps, nil, (*tags.Rep).Pressure)}
		kind.Plays = kind.PlayPressure.N + kind.PlayPressure.Unknown
		for _, r := range set.Reps {
			if r.Credit == "freed-looper" {
				kind.FreedLooper++
			}
		}
		kind.Roles = By(set.Reps, func(r *tags.Rep) []string { return []string{r.Job} })
		slices.SortStableFunc(kind.Roles, func(a, b Group) int {
			jobs := v.List("job")
			return jobs.Rank(a.Name) - jobs.Rank(b.Name)
		})
		s.Kinds = append(s.Kinds, kind)
	}
	s.Callers = By(reps, func(r *tags.Rep) []string { return []string{r.Called} })
	return s
}
