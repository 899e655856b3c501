package stats

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
)

// alikeness is what makes two rushes alike besides how he rushed, and how much each counts:
// what the blocker did counts most (common practice; the weights are a beginning).
var alikeness = []struct {
	name   string
	weight int
	of     func(*tags.Rep) string
}{
	{"set", 5, func(r *tags.Rep) string { return r.Set }},
	{"block", 5, func(r *tags.Rep) string { return r.Block }},
	{"alignment", 3, func(r *tags.Rep) string { return r.Align }},
	{"hands", 2, func(r *tags.Rep) string { return r.Hands }},
	{"help", 2, func(r *tags.Rep) string { return r.Help }},
	{"side", 1, (*tags.Rep).LeftRight},
	{"kind of play", 1, func(r *tags.Rep) string { return r.Play.Type }},
	{"down", 1, func(r *tags.Rep) string {
		if r.Play.Down == nil {
			return ""
		}
		return fmt.Sprint(*r.Play.Down)
	}},
}

// rushed is how alike two rushes are in how he rushed, and what that is called. The moves ask
// the question of a loss, so nothing else makes up for them.
type rushed int

const (
	sameStart rushed = iota + 1 // the first move, or the families of the first and the last
	sameWay                     // the first move, and the family of the last; of two without moves, the block
	sameMoves                   // first and last
)

func rushedAlike(a, b *tags.Rep) (rushed, []string) {
	x, y := a.Moves, b.Moves
	if len(x) == 0 || len(y) == 0 {
		if len(x) == len(y) && a.Block != "" && a.Block == b.Block {
			return sameWay, nil
		}
		return 0, nil
	}
	first, family := x[0].Name == y[0].Name, a.Family() != "" && a.Family() == b.Family()
	switch {
	case first && len(x) == 1 && len(y) == 1:
		return sameMoves, []string{"same move"}
	case first && len(x) > 1 && len(y) > 1 && x[len(x)-1].Name == y[len(y)-1].Name:
		return sameMoves, []string{"same moves"}
	case first && family && len(x) > 1 && len(y) > 1:
		return sameWay, []string{"same first move", "same kind of finish"}
	case first && family:
		return sameWay, []string{"same first move"}
	case first:
		return sameStart, []string{"same first move"}
	case family && a.FirstFamily() == b.FirstFamily():
		return sameStart, []string{"same kind of move"}
	default:
		return 0, nil
	}
}

// Alike is how much two rushes are alike and in what: how he rushed, then the weightiest
// first. What is not tagged of both makes them no more alike.
func Alike(a, b *tags.Rep) (likeness int, in []string) {
	const perRushed = 100 // more than all of alikeness
	same, said := rushedAlike(a, b)
	likeness = perRushed * int(same)
	in = append(in, said...)
	for _, k := range alikeness {
		if x := k.of(a); x != "" && x == k.of(b) {
			likeness += k.weight
			in = append(in, "same "+k.name)
		}
	}
	return likeness, in
}

// Model is a win to show beside a rep that was not won.
type Model struct {
	Rep *tags.Rep
	Why []string // it: what is alike in the two, and what he did sooner or later
}

// Models is the wins to show beside a rep, the best first: the most alike in how he rushed,
// then his own before a teammate's, then the most alike, then the first by name. Where takes
// is given, the rep missed a read, and only wins for which it holds are models: those took
// what he missed, whatever their moves. A win that has a fault itself is none, nor one of
// another job, of a stunt for a straight rush, or without help for a rush that was helped
// against.
func Models(of *tags.Rep, among []*tags.Rep, takes func(*tags.Rep) bool) []Model {
	type candidate struct {
		Model
		rushed   rushed
		likeness int
	}
	var list []candidate
	for _, r := range among {
		if r == of || r.Play == of.Play || !sound(r) || !sameTask(of, r) {
			continue
		}
		same, _ := rushedAlike(of, r)
		likeness, in := Alike(of, r)
		switch {
		case takes != nil && takes(r):
			in = append([]string{"takes what was there"}, in...)
			same = 0 // his moves were not the answer
		case takes != nil, same == 0, same == sameStart && (of.Set == "" || of.Set != r.Set):
			continue
		}
		list = append(list, candidate{Model{r, append(in, sooner(of, r)...)}, same, likeness})
	}
	his := func(c candidate) int {
		if c.Rep.Rusher.Key() == of.Rusher.Key() {
			return 0
		}
		return 1
	}
	slices.SortFunc(list, func(x, y candidate) int {
		return cmp.Or(cmp.Compare(y.rushed, x.rushed), cmp.Compare(his(x), his(y)),
			cmp.Compare(y.likeness, x.likeness), strings.Compare(x.Rep.Name(), y.Rep.Name()))
	})
	models := make([]Model, len(list))
	for i, c := range list {
		models[i] = c.Model
	}
	return models
}

// sound reports whether r is a win that a player may be shown as it should be: his own, and
// with no fault tagged of it.
func sound(r *tags.Rep) bool {
	minus := slices.Contains([]string{r.Assignment, r.Technique, r.Effort}, "minus")
	foul := r.Penalty != "" && r.Penalty != "drew-hold"
	given, _ := r.PressureGiven()
	won, _ := r.Won()
	return won && r.Unblocked != "yes" && !minus && !foul && !given &&
		r.Contain != "lost" && r.Loaf != "yes" && r.MissedAssignment != "yes" && r.Taken != "no"
}

// sameTask reports whether r had what of had to do, against no less than he had against him.
func sameTask(of, r *tags.Rep) bool {
	helped := func(r *tags.Rep) bool { return r.Block == "double" || r.Help != "" && r.Help != "none" }
	return r.Job == of.Job && (r.Stunt != "") == (of.Stunt != "") && r.Play.IsRun() == of.Play.IsRun() && (helped(r) || !helped(of))
}

// sooner is what the model did sooner or later than the rep, where both are marked.
func sooner(of, model *tags.Rep) []string {
	var said []string
	for _, m := range []struct {
		mark tags.Mark
		did  string
	}{{tags.Getoff, "moved"}, {tags.Contact, "met him"}, {tags.Turn, "turned"}} {
		his, ok := of.Since(m.mark)
		its, known := model.Since(m.mark)
		// Judging a mark varies by more than a twentieth of a second.
		switch d := (his - its).Seconds(); {
		case !ok || !known || max(d, -d) < .05:
		case d > 0:
			said = append(said, fmt.Sprintf("%s %.1f s sooner", m.did, max(d, .1)))
		default:
			said = append(said, fmt.Sprintf("%s %.1f s later", m.did, max(-d, .1)))
		}
	}
	return said
}
