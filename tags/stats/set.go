package stats

import (
	"cmp"
	"slices"

	"trenchcut/tags"
)

// Set is reps under one name.
type Set struct {
	Name string
	Reps []*tags.Rep
}

// All names the set of every rep that counts.
const All = "all"

// NotTagged names the set of reps of which a fact is not known.
const NotTagged = tags.NotTagged

// Split is reps by what of names for each: a rep of several names is in several sets, one
// of none under NotTagged. The largest set comes first.
func Split(reps []*tags.Rep, of func(*tags.Rep) []string) []Set { return split(once(reps), of) }

// split is Split of reps of which none stands there twice.
func split(reps []*tags.Rep, of func(*tags.Rep) []string) []Set {
	at := map[string]int{}
	var sets []Set
	add := func(name string, r *tags.Rep) {
		i, ok := at[name]
		if !ok {
			i = len(sets)
			at[name] = i
			sets = append(sets, Set{Name: name})
		}
		sets[i].Reps = append(sets[i].Reps, r)
	}
	for _, r := range reps {
		names := of(r)
		none := true
		for i, name := range names {
			if name == "" || slices.Contains(names[:i], name) {
				continue
			}
			none = false
			add(name, r)
		}
		if none {
			add(NotTagged, r)
		}
	}
	slices.SortFunc(sets, func(a, b Set) int {
		return cmp.Or(lastly(a.Name, b.Name), cmp.Compare(len(b.Reps), len(a.Reps)), cmp.Compare(a.Name, b.Name))
	})
	return sets
}

// Rusher names a rep's set by who rushed, as he is called.
func Rusher(r *tags.Rep) []string { return []string{r.Rusher.Called()} }

// withAll is every rep as the first set, then, where of is not nil, the sets of a split.
func withAll(reps []*tags.Rep, of func(*tags.Rep) []string) []Set {
	sets := []Set{{All, once(reps)}}
	if of == nil {
		return sets
	}
	return append(sets, Split(reps, of)...)
}

// lastly puts what is not tagged behind everything else.
func lastly(a, b string) int {
	switch {
	case a == b:
		return 0
	case a == NotTagged:
		return 1
	case b == NotTagged:
		return -1
	default:
		return 0
	}
}

// once is reps without repeats, in a slice of its own.
func once(reps []*tags.Rep) []*tags.Rep {
	list := make([]*tags.Rep, 0, len(reps))
	if inFilmOrder(reps) {
		return append(list, reps...)
	}
	seen := make(map[*tags.Rep]bool, len(reps))
	for _, r := range reps {
		if !seen[r] {
			seen[r] = true
			list = append(list, r)
		}
	}
	return list
}

// filter is the reps of a list, each once, of which keep holds.
func filter(reps []*tags.Rep, keep func(*tags.Rep) bool) []*tags.Rep {
	kept := make([]*tags.Rep, 0, len(reps))
	for _, r := range reps {
		if keep(r) {
			kept = append(kept, r)
		}
	}
	if inFilmOrder(kept) {
		return kept
	}
	return once(kept)
}

// inFilmOrder reports whether reps come as a season lists them, each later in its file
// than the one before: then none stands there twice, and no map is needed to tell.
func inFilmOrder(reps []*tags.Rep) bool {
	for i := 1; i < len(reps); i++ {
		a, b := reps[i-1], reps[i]
		switch x, y := a.Play, b.Play; {
		case x == y:
			if cmp.Or(cmp.Compare(a.Pos.Line, b.Pos.Line), cmp.Compare(a.Pos.Column, b.Pos.Column)) >= 0 {
				return false
			}
		case x.Game == y.Game:
			if x.Number >= y.Number {
				return false
			}
		case cmp.Or(cmp.Compare(x.Game.Date, y.Game.Date), cmp.Compare(x.Game.ID, y.Game.ID)) >= 0:
			return false
		}
	}
	return true
}
