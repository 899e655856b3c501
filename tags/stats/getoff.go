package stats

import (
	"cmp"
	"slices"

	"trenchcut/tags"
)

// GetOff is how soon after the snap a rusher moves first.
type GetOff struct {
	Name string
	Spread
	Unmarked   int
	NoPosition int // marked reps of men whose position is not tagged; they are one kind
	// Frame is half a frame of the film with the fewest frames a second, in seconds: how far
	// from the truth a mark may be because film has frames. Nil where a film's rate is not known.
	Frame *float64
	// Gap is the mean less that of the others: of all other reps, each man against men of his
	// own position; nil where either has too few.
	Gap   *Gap
	Times []float64 // seconds, in order: the points of a strip plot

	marks    []measure // in order
	unmarked []*tags.Rep
}

// GetOffWords says whom GetOffs leaves in.
const GetOffWords = legalWords + "; he moves before he can know what the play is"

// GetOffs is the get-off of all reps that [legal] leaves in, then of each of the sets that
// of makes of them, the soonest first and those with too few marks behind. rate is how many
// frames a second the film of a rep has, and is not known where that is not.
func GetOffs(reps []*tags.Rep, of func(*tags.Rep) []string, rate func(*tags.Rep) tags.Rate) []GetOff {
	all := getOff(Set{All, legal(reps)}, rate)
	list := []GetOff{all}
	// In order of their marks, so that those of each set need not be sorted again.
	for _, s := range split(slices.Concat(repsOf(all.marks), all.unmarked), of) {
		g := getOff(s, rate)
		g.Gap = gap(g.marks, all.without(g))
		list = append(list, g)
	}
	slices.SortStableFunc(list[1:], func(a, b GetOff) int {
		if a.Mean == nil || b.Mean == nil {
			return cmp.Or(cmp.Compare(b.N, a.N), cmp.Compare(a.Name, b.Name))
		}
		return cmp.Or(cmp.Compare(*a.Mean, *b.Mean), cmp.Compare(a.Name, b.Name))
	})
	return list
}

// GetOffWeeks is the get-off of all reps that [legal] leaves in, by date, in order; dates with
// none marked, and reps of no date, are left out. They have no Gap.
func GetOffWeeks(reps []*tags.Rep, rate func(*tags.Rep) tags.Rate) []GetOff {
	var list []GetOff
	for _, s := range Split(legal(reps), func(r *tags.Rep) []string { return []string{r.Play.Game.Date} }) {
		if g := getOff(s, rate); g.N > 0 && g.Name != NotTagged {
			list = append(list, g)
		}
	}
	slices.SortFunc(list, func(a, b GetOff) int { return cmp.Compare(a.Name, b.Name) })
	return list
}

// getOffsAgainst is the get-off of two sides, each with its gap to the other.
func getOffsAgainst(one, other Half) [2]GetOff {
	unknown := func(*tags.Rep) tags.Rate { return tags.Rate{} }
	a, b := getOff(Set{one.Name, legal(one.Reps)}, unknown), getOff(Set{other.Name, legal(other.Reps)}, unknown)
	// Who is asked for on either side was chosen, whatever his position.
	a.Gap, b.Gap = gap(ofOneKind(a.marks), ofOneKind(b.marks)), gap(ofOneKind(b.marks), ofOneKind(a.marks))
	return [2]GetOff{a, b}
}

func getOff(s Set, rate func(*tags.Rep) tags.Rate) GetOff {
	g := GetOff{Name: s.Name, marks: make([]measure, 0, len(s.Reps))}
	frame, known := 0.0, true
	for _, r := range s.Reps {
		t, ok := r.Since(tags.Getoff)
		if !ok {
			g.unmarked = append(g.unmarked, r)
			continue
		}
		g.marks = append(g.marks, measure{gameOf(r), r.Rusher.Position, t.Seconds(), r})
		if r.Rusher.Position == "" {
			g.NoPosition++
		}
		if f := rate(r); f.Known() {
			frame = max(frame, 1/f.FPS()/2)
		} else {
			known = false
		}
	}
	g.marks = ordered(g.marks) // so that sums do not hang on the order of reps
	g.Times, g.Unmarked = numbers(g.marks), len(g.unmarked)
	g.Spread = spread(g.marks)
	if known && g.N > 0 {
		g.Frame = &frame
	}
	return g
}

// repsOf is whose reps measures are, in order.
func repsOf(list []measure) []*tags.Rep {
	reps := make([]*tags.Rep, len(list))
	for i, m := range list {
		reps[i] = m.rep
	}
	return reps
}

// without is the marks of all reps but those of part, which stand among them in the same order,
// of its kinds.
func (g GetOff) without(part GetOff) []measure {
	kinds := map[string]bool{}
	for _, m := range part.marks {
		kinds[m.kind] = true
	}
	rest, next := make([]measure, 0, len(g.marks)-len(part.marks)), part.marks
	for _, m := range g.marks {
		switch {
		case len(next) > 0 && next[0].rep == m.rep:
			next = next[1:]
		case kinds[m.kind]:
			rest = append(rest, m)
		}
	}
	return rest
}

// ofOneKind is measures that are all held against one another.
func ofOneKind(list []measure) []measure {
	kept := slices.Clone(list)
	for i := range kept {
		kept[i].kind = ""
	}
	return kept
}
