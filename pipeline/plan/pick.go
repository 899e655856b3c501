package plan

import (
	"fmt"
	"slices"
)

// pick is the takes that the part may hold, in their order. They are planned one after the
// other, so that nothing is said of those that it has no room for.
func (b *builder) pick(takes []take) []take {
	s := b.part.Selection
	most := len(takes)
	if s.Limit > 0 {
		most = min(most, s.Limit)
	}
	counts := tally{}
	var chosen []int
	choose := func(i int, fits func() bool) bool {
		at, _ := slices.BinarySearch(chosen, i)
		chosen = slices.Insert(chosen, at, i)
		if s.InARow > 0 && !fits() {
			chosen = slices.Delete(chosen, at, at+1)
			return false
		}
		counts.add(takes[i])
		return true
	}
	left := make([]int, len(takes))
	for i := range left {
		left[i] = i
	}
	type refused struct {
		at    int
		notes []string
	}
	var later []refused
	for len(left) > 0 && len(chosen) < most {
		next := 0
		if s.Limit > 0 && len(s.Vary) > 0 {
			next = counts.rarest(s.Vary, takes, left)
		}
		i := left[next]
		if next == 0 {
			left = left[1:]
		} else {
			left = slices.Delete(left, next, next+1)
		}
		said := len(b.plan.LeftOut)
		if counts.full(s.Same, takes[i]) {
			b.decides(s.Same[TraitPoint] > 0)
			continue
		}
		if !b.show(&takes[i]) {
			continue
		}
		// The last place of a row is kept for one that has a model, which ends the row.
		if !choose(i, func() bool { _, bare := lossesInARow(takes, chosen); return bare < s.InARow }) {
			later = append(later, refused{i, slices.Clone(b.plan.LeftOut[said:])})
			b.plan.LeftOut = b.plan.LeftOut[:said]
		}
	}
	b.decides(len(left) > 0 && s.bestFirst())
	b.decides(slices.ContainsFunc(left, func(i int) bool { return b.wasModel(takes[i]) }))
	for _, r := range later {
		t := takes[r.at]
		switch {
		case len(chosen) >= most || counts.full(s.Same, t):
			b.decides(true)
		case choose(r.at, func() bool { all, _ := lossesInARow(takes, chosen); return all <= s.InARow }):
			b.plan.LeftOut = append(b.plan.LeftOut, r.notes...)
		default:
			b.decides(true)
			b.leaveOut(t.play.Name(), fmt.Sprintf("it would be more than %d in a row that were not won", s.InARow))
		}
	}
	list := make([]take, len(chosen))
	for at, i := range chosen {
		list[at] = takes[i]
	}
	return list
}

// decides notes whether plays were left out of the part by how reps ended.
func (b *builder) decides(byResult bool) { b.part.ByResult = b.part.ByResult || byResult }

// bestFirst reports whether the order goes by how reps ended or by what was said of them.
func (s Selection) bestFirst() bool {
	return slices.ContainsFunc(s.Order, func(o Order) bool {
		return slices.Contains([]Order{ByOutcome, ByTimeToBeat, ByPoint, ByWhy}, o)
	}) || slices.Contains(s.Vary, TraitPoint)
}

// tally is how many of the chosen takes have each value of each trait.
type tally map[Trait]map[string]int

func (c tally) add(t take) {
	for _, trait := range traits {
		if c[trait] == nil {
			c[trait] = map[string]int{}
		}
		c[trait][trait.of(t)]++
	}
}

// full reports whether a trait of t is already that of as many takes as it may be. A trait that t
// lacks never counts.
func (c tally) full(most map[Trait]int, t take) bool {
	for trait, n := range most {
		if value := trait.of(t); value != "" && c[trait][value] >= n {
			return true
		}
	}
	return false
}

// rarest returns the index in left of the first take whose value of the first trait is the rarest
// among the chosen; ties go by the next trait.
func (c tally) rarest(by []Trait, takes []take, left []int) int {
	best, fewest := 0, []int(nil)
	for place, i := range left {
		counts := make([]int, len(by))
		for k, trait := range by {
			counts[k] = c[trait][trait.of(takes[i])]
		}
		if place == 0 || slices.Compare(counts, fewest) < 0 {
			best, fewest = place, counts
		}
		if !slices.ContainsFunc(fewest, func(n int) bool { return n > 0 }) {
			break
		}
	}
	return best
}

// lossesInARow returns the longest run of losses among the chosen takes; a model ends a run. Bare
// is the same without the last take of a run that has a model.
func lossesInARow(takes []take, chosen []int) (all, bare int) {
	run := 0
	for _, i := range chosen {
		t := takes[i]
		if !t.lost() {
			run = 0
			continue
		}
		run++
		all = max(all, run)
		if t.model {
			run = 0
		}
		bare = max(bare, run)
	}
	return all, bare
}

// lost reports whether a take shows no rep that was won, but one that is known not to be.
func (t take) lost() bool {
	lost := false
	for _, r := range t.reps {
		won, known := r.Won()
		if won {
			return false
		}
		lost = lost || known
	}
	return lost
}
