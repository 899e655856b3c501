package plan

import (
	"cmp"
	"fmt"

	"trenchcut/tags"
)

// Order names a way to put the plays of a reel in order.
type Order string

// The orders. Plays that lack what an order goes by come last, in film order.
const (
	ByFilm       Order = "film"         // game by game, as played
	ByOutcome    Order = "outcome"      // best first, as the vocabulary ranks them
	ByTimeToBeat Order = "time-to-beat" // quickest first
	ByDown       Order = "down"         // down, then distance
	ByStakes     Order = "stakes"       // the last down first, then the later in its game
	ByPoint      Order = "point"        // by the point to teach, which praise is not, so that what is alike stands together
	ByWhy        Order = "why"          // those with a point, then those with a note or a read missed, then the rest
)

var orders = []Order{ByFilm, ByOutcome, ByTimeToBeat, ByDown, ByStakes, ByPoint, ByWhy}

// compare is an order as a comparison; nil keeps film order.
func (b *builder) compare(order Order) func(x, y take) int {
	switch order {
	case ByPoint:
		return by(func(t take) string {
			return cmp.Or(TraitPoint.of(t), "\U0010ffff") // behind every point
		})
	case ByWhy:
		return by(func(t take) int {
			rank := 2
			for _, r := range t.reps {
				switch {
				case r.Praised():
				case r.Point != "":
					rank = 0
				case r.Coached(), len(b.judged(r).missed) > 0:
					rank = min(rank, 1)
				}
			}
			return rank
		})
	case ByOutcome:
		list := b.season.Vocabulary.List("outcome")
		return by(func(t take) int {
			best := len(list.Words)
			for _, r := range t.reps {
				best = min(best, list.Rank(r.Outcome))
			}
			return best
		})
	case ByTimeToBeat:
		return by(func(t take) tags.Time {
			best := tags.Time(1 << 62)
			for _, r := range t.reps {
				if at, ok := r.TimeToBeat(); ok {
					best = min(best, at)
				}
			}
			return best
		})
	case ByStakes:
		return by(func(t take) int {
			const quarter, down = 1000, 100_000 // no quarter has 1000 seconds, nor a game 100 quarters
			rank := quarter - 1
			var minutes, seconds int
			if n, _ := fmt.Sscanf(t.play.Clock, "%d:%d", &minutes, &seconds); n == 2 {
				rank = 60*minutes + seconds
			}
			if t.play.Quarter != nil {
				rank -= quarter * *t.play.Quarter
			}
			if t.play.Down != nil {
				rank -= down * *t.play.Down
			}
			return rank
		})
	case ByDown:
		return by(func(t take) int {
			const last = 1 << 20
			if t.play.Down == nil {
				return last
			}
			rank := *t.play.Down * 200
			if t.play.Distance == nil {
				return rank + 199
			}
			return rank + *t.play.Distance
		})
	default:
		return nil
	}
}

func by[K cmp.Ordered](key func(take) K) func(x, y take) int {
	return func(x, y take) int { return cmp.Compare(key(x), key(y)) }
}
