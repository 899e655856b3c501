package plan

import (
	"cmp"
	"slices"

	"trenchcut/tags"
)

// take is one play of a reel: its chosen reps, and an entry for each angle.
type take struct {
	play    *tags.Play
	reps    []*tags.Rep
	entries []Entry
}

// takes is every play that can be shown, in the recipe's order.
func (b *builder) takes(choice Choice) []take {
	byPlay := map[*tags.Play][]*tags.Rep{}
	for _, r := range choice.Reps {
		byPlay[r.Play] = append(byPlay[r.Play], r)
	}
	var takes []take
	for _, p := range choice.Plays {
		t := take{play: p, reps: byPlay[p]}
		angles := b.angles(p)
		if len(angles) == 0 {
			b.leaveOut(p, "it is not on the angles asked for")
		}
		for _, angle := range angles {
			entries, err := b.entries(t, angle)
			if err != nil {
				b.leaveOut(p, err.Error())
				continue
			}
			t.entries = append(t.entries, entries...)
		}
		if len(t.entries) > 0 {
			takes = append(takes, t)
		}
	}
	for _, order := range slices.Backward(b.part.Order) {
		if compare := b.compare(order); compare != nil {
			slices.SortStableFunc(takes, compare)
		}
	}
	takes = b.limit(takes)
	if b.part.Model {
		for i := range takes {
			takes[i].entries = append(takes[i].entries, b.models(takes[i])...)
		}
	}
	return takes
}

// limit is the first takes, as many as the part may hold; varied, those that bring a move
// once more are left out before those that bring it first.
func (b *builder) limit(takes []take) []take {
	most := b.part.Limit
	if most == 0 || len(takes) <= most {
		return takes
	}
	if !b.part.Vary {
		return takes[:most]
	}
	turns := make([]int, len(takes)) // how often the take's move came before
	seen := map[string]int{}
	order := make([]int, len(takes))
	for i, t := range takes {
		move := ""
		if len(t.reps) > 0 && len(t.reps[0].Moves) > 0 {
			move = t.reps[0].Moves[len(t.reps[0].Moves)-1].Name
		}
		turns[i], order[i] = seen[move], i
		seen[move]++
	}
	slices.SortStableFunc(order, func(x, y int) int { return cmp.Compare(turns[x], turns[y]) })
	chosen := order[:most]
	slices.Sort(chosen)
	var list []take
	for _, i := range chosen {
		list = append(list, takes[i])
	}
	return list
}

func (b *builder) leaveOut(p *tags.Play, why string) {
	b.plan.LeftOut = append(b.plan.LeftOut, p.Name()+": "+why)
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
