package stats

import (
	"cmp"
	"fmt"
	"slices"

	"trenchcut/tags"
	"trenchcut/tags/stats/fit"
)

// Room is a rate of every man of a room, each with the room's film behind it.
type Room struct {
	Rate string // won, or pressure
	Why  string // why there is none; empty where there is
	Men  []Behind
	// Weight is how many rushes the room counts for beside a man's own, where it is likeliest;
	// 0 where the men differ by no more than chance.
	Weight float64
	// Alike is how many rushes count for one, since those of one game are alike; 1 at least.
	Alike float64
}

// Behind is one man's rate, and what it is likely to be with the room's film behind it.
type Behind struct {
	Name string
	Rate
	Likely *fit.Estimate // nil under Enough
}

// Sentence is what a coach can repeat.
func (b Behind) Sentence(rate string) string {
	switch {
	case !b.Enough():
		return fmt.Sprintf("%s %s %d of %d: too few to say more.", b.Name, didWords(rate), b.K, b.N)
	case b.Likely == nil:
		return fmt.Sprintf("%s %s %s.", b.Name, didWords(rate), b.Words())
	}
	return fmt.Sprintf("%s %s %d of %d; with the room's film behind it, about %d in 100 (%d-%d).",
		b.Name, didWords(rate), b.K, b.N, percent(b.Likely.At), percent(b.Likely.Low), percent(b.Likely.High))
}

func didWords(rate string) string {
	if rate == "pressure" {
		return "brought pressure on"
	}
	return rate
}

// Rooms is the rooms of the reps that the headline counts, one a rate, the best man first.
func (in Scope) Rooms(reps []*tags.Rep) []Room {
	counted := in.Counted(reps)
	why := tooFewGames(counted)
	sets := Split(counted, Rusher)
	room := func(rate string, of func([]*tags.Rep) Rate) Room {
		r := Room{Rate: rate, Why: why}
		for _, s := range sets {
			man := Behind{Name: s.Name, Rate: of(s.Reps)}
			if r.Men = append(r.Men, man); r.Why == "" && man.Bounded() {
				r.Why = "of some reps no battle is tagged, and a hold that he drew tells of wins alone"
			}
		}
		if r.Why == "" {
			r.shrink()
		}
		return r
	}
	return []Room{
		room("won", wonOf),
		room("pressure", func(reps []*tags.Rep) Rate { return rateOf(reps, (*tags.Rep).Pressure) }),
	}
}

func manyMen(n int) string {
	if n == 1 {
		return "one man"
	}
	return fmt.Sprintf("%d men", n)
}

func (r *Room) shrink() {
	rates := make([]Rate, len(r.Men))
	tried := 0
	for i, m := range r.Men {
		rates[i] = m.Rate
		tried += min(m.N, 1)
	}
	// Reps of one game are alike, so that they count for fewer.
	r.Alike = designEffect(rates)
	counts := make([]fit.Count, len(r.Men))
	for i, m := range r.Men {
		counts[i] = fit.Count{K: float64(m.K) / r.Alike, N: float64(m.N) / r.Alike}
	}
	likely, err := fit.Shrink(counts)
	if err != nil {
		r.Why = fmt.Sprintf("of %s it is known, and a room is two at least", manyMen(tried))
		return
	}
	for i := range r.Men {
		if r.Men[i].Enough() {
			r.Men[i].Likely = &likely[i]
		}
	}
	if b, err := fit.BetaBinomial(counts); err == nil {
		r.Weight = b.Weight() * r.Alike
	}
	slices.SortStableFunc(r.Men, func(a, b Behind) int {
		switch {
		case a.Likely == nil || b.Likely == nil:
			return cmp.Compare(b.N, a.N)
		default:
			return cmp.Compare(b.Likely.At, a.Likely.At)
		}
	})
}
