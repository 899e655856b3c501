package plan

import (
	"slices"

	"trenchcut/tags"
)

// take is one play of a reel: its chosen reps, and an entry for each angle.
type take struct {
	play    *tags.Play
	reps    []*tags.Rep
	entries []Entry
	still   *Still // for a slate ahead of it; nil is none
	model   bool   // there is a model for it
}

// takes is the plays that are shown, in the recipe's order: as many of those that can be
// shown as the part may hold.
func (b *builder) takes(choice Choice) []take {
	byPlay := map[*tags.Play][]*tags.Rep{}
	for _, r := range choice.Reps {
		byPlay[r.Play] = append(byPlay[r.Play], r)
	}
	takes := make([]take, len(choice.Plays))
	for i, p := range choice.Plays {
		takes[i] = take{play: p, reps: byPlay[p]}
	}
	for _, order := range slices.Backward(b.part.Order) {
		if compare := b.compare(order); compare != nil {
			slices.SortStableFunc(takes, compare)
		}
	}
	if b.part.Limit > 0 { // what was seen as a model gives way to what was not
		slices.SortStableFunc(takes, by(func(t take) int {
			if b.wasModel(t) {
				return 1
			}
			return 0
		}))
	}
	takes = b.pick(takes)
	if b.part.Model {
		picked := len(takes)
		takes = b.models(takes)
		b.decides(len(takes) < picked) // no more in a row than may be
	}
	return takes
}

// wasModel reports whether a rep of a take was shown as a model.
func (b *builder) wasModel(t take) bool {
	return slices.ContainsFunc(t.reps, func(r *tags.Rep) bool { return b.modelled[r] })
}

// show plans the entries of a take, and reports whether there are any.
func (b *builder) show(t *take) bool {
	if len(b.angles(t.play)) == 0 {
		b.leaveOut(t.play.Name(), "it is not on the angles asked for")
	}
	t.entries = b.onAngles(*t)
	if len(t.entries) == 0 {
		return false
	}
	t.still = b.stillOf(*t)
	t.model = b.part.Model && slices.ContainsFunc(t.reps, func(r *tags.Rep) bool {
		return wantsModel(r) && len(b.modelsFor(r)) > 0
	})
	return true
}

func (b *builder) leaveOut(what, why string) {
	if said := what + ": " + why; !slices.Contains(b.plan.LeftOut, said) { // on every angle it is the same
		b.plan.LeftOut = append(b.plan.LeftOut, said)
	}
}

// firstAngles go before all others where the recipe names no angles: the end zone shows
// the rush, the sideline its depth (common practice).
var firstAngles = []string{"endzone", "sideline"}

func (b *builder) angles(p *tags.Play) []string {
	all := p.Angles()
	want := b.recipe.Angles
	if len(want) == 0 {
		want = append(slices.Clone(firstAngles), all...)
	}
	var angles []string
	for _, a := range want {
		if slices.Contains(all, a) && !slices.Contains(angles, a) {
			angles = append(angles, a)
		}
	}
	return angles
}
