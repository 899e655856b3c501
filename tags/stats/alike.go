package stats

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
)

// alikeness is what makes two rushes alike, and how much each counts: what the blocker
// did counts most, then what the rusher did first, because that is the question a loss
// asks (common practice; the weights are a beginning).
var alikeness = []struct {
	name   string
	weight int
	of     func(*tags.Rep) string
}{
	{"set", 5, func(r *tags.Rep) string { return r.Set }},
	{"first move", 4, openingMove},
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

// enoughAlike is the least likeness of a rep that is shown beside another: the same set
// and the same first move come to it.
const enoughAlike = 9

func openingMove(r *tags.Rep) string {
	if len(r.Moves) == 0 {
		return ""
	}
	return r.Moves[0].Name
}

// Alike is how much two rushes are alike and in what, the weightiest first. What is not
// tagged of both makes them no more alike.
func Alike(a, b *tags.Rep) (likeness int, in []string) {
	for _, k := range alikeness {
		if x := k.of(a); x != "" && x == k.of(b) {
			likeness += k.weight
			in = append(in, "same "+k.name)
		}
	}
	return likeness, in
}

// Model is the win to show beside a rep, with the reasons: of the wins that are enough
// alike his own before a teammate's, then the one most alike, then the first by name; nil
// where none is enough alike.
func Model(of *tags.Rep, among []*tags.Rep) (*tags.Rep, []string) {
	type candidate struct {
		rep      *tags.Rep
		likeness int
		in       []string
	}
	var list []candidate
	for _, r := range among {
		won, _ := r.Won()
		if r == of || r.Play == of.Play || !won || r.Rushes() != of.Rushes() {
			continue
		}
		if likeness, in := Alike(of, r); likeness >= enoughAlike {
			list = append(list, candidate{r, likeness, in})
		}
	}
	if len(list) == 0 {
		return nil, nil
	}
	his := func(c candidate) int {
		if c.rep.Rusher == of.Rusher || c.rep.Rusher.ID == of.Rusher.ID {
			return 0
		}
		return 1
	}
	best := slices.MinFunc(list, func(x, y candidate) int {
		return cmp.Or(cmp.Compare(his(x), his(y)), cmp.Compare(y.likeness, x.likeness), strings.Compare(x.rep.Name(), y.rep.Name()))
	})
	return best.rep, append(best.in, sooner(of, best.rep)...)
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
