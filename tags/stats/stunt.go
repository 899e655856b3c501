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
	PlayPressure Rate    // by any of its rushers, chosen or not
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
		kind := Stunt{Name: set.Name, PlayPressure: perPlay(in.stunters(set.Reps), nil, (*tags.Rep).Pressure)}
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

// stunters is the reps of the stunts that reps are of, chosen or not, and that count.
func (in Scope) stunters(reps []*tags.Rep) []*tags.Rep {
	type stunt struct {
		play *tags.Play
		name string
	}
	met := map[stunt]bool{}
	var all []*tags.Rep
	for _, r := range reps {
		of := stunt{r.Play, r.Stunt}
		if met[of] {
			continue
		}
		met[of] = true
		for _, other := range r.Play.Reps {
			if other.Stunt == r.Stunt && in.counts(other) {
				all = append(all, other)
			}
		}
	}
	return all
}
