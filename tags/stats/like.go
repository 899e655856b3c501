package stats

import (
	"cmp"
	"maps"
	"slices"

	"trenchcut/tags"
)

// Like is what reps came to beside others like them: of the same rusher, with the same first
// move. It compares like with like, and no more: who goes on to a counter was stopped first,
// so that what followed a move is not what the move would bring.
type Like struct {
	Reps   int // reps that have their like among the others
	Others int // the others that are like any of them
	Won    int // of Reps
	// Expected is how many of Reps would be won, were they won as often as their like.
	Expected float64
}

// start is whose rush it was, and how he began it.
type start struct{ rusher, move string }

func startOf(r *tags.Rep) (s start, known bool) {
	if len(r.Moves) == 0 {
		return start{}, false
	}
	return start{Rusher(r)[0], firstMove(r)}, true
}

// starts is the battles of reps, won of those of which it is known, by how they began.
func starts(reps []*tags.Rep) map[start]*Count {
	counts := map[start]*Count{}
	for _, r := range reps {
		won, known := r.Won()
		s, ok := startOf(r)
		if !ok || !known {
			continue
		}
		if counts[s] == nil {
			counts[s] = &Count{}
		}
		counts[s].add(won)
	}
	return counts
}

// Likes is what each group of reps that of makes came to beside the others like it, by the
// group's name. A rep may be in several groups; it is never its own like.
func Likes(reps []*tags.Rep, of func(*tags.Rep) []string) map[string]Like {
	reps = once(reps)
	all := starts(reps)
	likes := map[string]Like{}
	for _, set := range Split(reps, of) {
		var like Like
		own := starts(set.Reps)
		// In an order, so that sums do not hang on that of a map.
		order := slices.SortedFunc(maps.Keys(own), func(a, b start) int {
			return cmp.Or(cmp.Compare(a.rusher, b.rusher), cmp.Compare(a.move, b.move))
		})
		for _, s := range order {
			c := own[s]
			others := Count{all[s].K - c.K, all[s].N - c.N}
			if others.N == 0 {
				continue
			}
			like.Reps += c.N
			like.Won += c.K
			like.Others += others.N
			like.Expected += float64(c.N) * float64(others.K) / float64(others.N)
		}
		likes[set.Name] = like
	}
	return likes
}

// Enough reports whether there are reps enough to speak of a rate.
func (l Like) Enough() bool { return l.Reps >= Enough && l.Others >= Enough }

// Rate is how often the others were won, weighted as the reps are.
func (l Like) Rate() float64 { return l.Expected / float64(max(l.Reps, 1)) }
