package stats

import (
	"cmp"
	"slices"

	"trenchcut/tags"
)

// Sequences is what followed what was shown last: the same rusher against the same
// blocker, one rep after the other, by date, game and play.
type Sequences struct {
	Reps      int     // that count, and came after another against the same blocker
	Firsts    int     // that count, but were the first against their blocker
	Untagged  int     // that count, but have no blocker or no move tagged
	Unseen    int     // that count, and came after one whose move is not tagged
	Followers []After // the most often shown first
}

// After is the reps that came after a move was shown.
type After struct {
	Shown string  // the last move of the rep before
	Twice bool    // and of the rep before that; these reps stand under the once shown too
	Next  []Group // by their own first move, which is chosen before the blocker has his say
	All   Group
}

// Sequence is the sequences of reps: each after what its blocker was shown last on any of all, of
// which reps are part.
func (in Scope) Sequence(reps, all []*tags.Rep) Sequences {
	type pair struct{ rusher, blocker string }
	type before struct {
		reps  int
		moves [2]string // the last of the rep before, and of that before it; empty where it is not tagged
	}
	type shown struct {
		move  string
		twice bool
	}
	var s Sequences
	met := map[pair]*before{}
	after := map[shown][]*tags.Rep{}
	chosen := make(map[*tags.Rep]bool, len(reps))
	for _, r := range reps {
		chosen[r] = true
	}
	for _, r := range inOrder(all) {
		counts := chosen[r] && in.counts(r)
		if counts && (r.Blocker == nil || len(r.Moves) == 0) {
			s.Untagged++
		}
		// Who fits a run or drops shows no move; of who rushes, it is not known which.
		if r.Blocker == nil || len(r.Moves) == 0 && (r.Play.IsRun() || !r.Rushes()) {
			continue
		}
		p := pair{r.Rusher.Key(), r.Blocker.Key()}
		was := met[p]
		if was == nil {
			was = &before{}
			met[p] = was
		}
		switch {
		case !counts || len(r.Moves) == 0:
		case was.reps == 0:
			s.Firsts++
		case was.moves[0] == "":
			s.Unseen++
		default:
			s.Reps++
			once := shown{was.moves[0], false}
			after[once] = append(after[once], r)
			if was.reps > 1 && was.moves[0] == was.moves[1] {
				twice := shown{was.moves[0], true}
				after[twice] = append(after[twice], r)
			}
		}
		was.reps++
		was.moves = [2]string{lastMove(r), was.moves[0]}
	}
	for shown, reps := range after {
		s.Followers = append(s.Followers, After{
			Shown: shown.move, Twice: shown.twice, All: group(All, reps),
			Next: By(reps, func(r *tags.Rep) []string { return []string{firstMove(r)} }),
		})
	}
	slices.SortFunc(s.Followers, func(a, b After) int {
		once := func(of string) int { return len(after[shown{of, false}]) }
		return cmp.Or(cmp.Compare(once(b.Shown), once(a.Shown)), cmp.Compare(a.Shown, b.Shown), onceFirst(a, b))
	})
	return s
}

func onceFirst(a, b After) int {
	switch {
	case a.Twice == b.Twice:
		return 0
	case a.Twice:
		return 1
	default:
		return -1
	}
}

func lastMove(r *tags.Rep) string {
	if len(r.Moves) == 0 {
		return ""
	}
	return r.Moves[len(r.Moves)-1].Name
}

func firstMove(r *tags.Rep) string { return r.Moves[0].Name }

// inOrder is reps by date, game and play, each once.
func inOrder(reps []*tags.Rep) []*tags.Rep {
	if inFilmOrder(reps) {
		return reps
	}
	return slices.SortedStableFunc(slices.Values(once(reps)), func(a, b *tags.Rep) int {
		x, y := a.Play, b.Play
		if x == y {
			return 0
		}
		if x.Game != y.Game {
			return cmp.Or(cmp.Compare(x.Game.Date, y.Game.Date), cmp.Compare(x.Game.ID, y.Game.ID))
		}
		return cmp.Compare(x.Number, y.Number)
	})
}
