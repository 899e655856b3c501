package stats

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"trenchcut/tags"
)

// LeastGames is the fewest games by which it can be told how much games differ. No model
// says anything of fewer: how alike the reps of one game are is not known then.
const LeastGames = 3

// gameCount is the count of one game's reps.
type gameCount struct {
	game game
	Count

	file *tags.Game // of the rep that was counted last
}

// game is one game, of which film may lie in several files: those of one date and opponent.
type game struct{ when, against string }

func compareGames(a, b game) int {
	return cmp.Or(cmp.Compare(a.when, b.when), cmp.Compare(a.against, b.against))
}

func gameOf(r *tags.Rep) game {
	if g := r.Play.Game; g.Date != "" {
		return game{g.Date, g.Opponent}
	}
	return game{when: r.Play.Game.ID}
}

// gamesOf is gameOf as [Split] asks for it.
func gamesOf(r *tags.Rep) []string {
	g := gameOf(r)
	return []string{strings.TrimSpace(g.when + " " + g.against)}
}

// Games is how many games reps are of.
func Games(reps []*tags.Rep) int {
	met, last := map[game]bool{}, (*tags.Game)(nil)
	for _, r := range reps {
		if r.Play.Game != last { // reps come game by game most often
			last = r.Play.Game
			met[gameOf(r)] = true
		}
	}
	return len(met)
}

// addOf counts one more rep, and whose game it is of.
func (r *Rate) addOf(rep *tags.Rep, yes, known bool) {
	r.add(yes, known)
	if known {
		r.games[r.inGame(rep)].add(yes)
	}
}

// inGame is which of games a rep is of, a new one where none of its game was counted before.
func (r *Rate) inGame(rep *tags.Rep) (at int) {
	// Reps come game by game, so it is the file of the last one most often.
	last, file := len(r.games)-1, rep.Play.Game
	if last >= 0 && r.games[last].file == file {
		return last
	}
	of := gameOf(rep)
	for i := last; i >= 0; i-- {
		if r.games[i].game == of {
			r.games[i].file = file
			return i
		}
	}
	r.games = append(r.games, gameCount{game: of, file: file})
	return len(r.games) - 1
}

// Games is how many games the reps are of that the rate is known of; 0 where that is not kept.
func (r Rate) Games() int { return len(r.games) }

// Equal reports whether two rates are the same counts.
func (r Rate) Equal(other Rate) bool {
	return r.Count == other.Count && r.Unknown == other.Unknown && r.Lopsided == other.Lopsided
}

// sample is how many reps of games that are alike would tell as much as n reps of these games
// do, and how far an interval reaches in standard errors for a tail of so much probability on
// each side. The game is the unit: reps of one game share its opponent, its day and its
// weather. The effective sample is Rao and Scott's (1992, Biometrics 48:577–585), never more
// than the reps there are, and the reach is Student's on one degree of freedom less than there
// are games (Korn and Graubard 1998, Survey Methodology 24:193–201).
func (r Rate) sample(tail float64) (n, reach float64) {
	n = float64(r.N)
	reach = distuv.StudentsT{Sigma: 1, Nu: float64(len(r.games) - 1)}.Quantile(1 - tail)
	p := float64(r.K) / n
	if r.K == 0 || r.K == r.N {
		return n, reach
	}
	// In whole numbers, so that sums do not hang on the order of games.
	kk, kn, nn := 0, 0, 0
	for _, g := range r.games {
		kk, kn, nn = kk+g.K*g.K, kn+g.K*g.N, nn+g.N*g.N
	}
	g := float64(len(r.games))
	between := g / (g - 1) * (float64(kk) - 2*p*float64(kn) + p*p*float64(nn))
	return n / max(between/(n*p*(1-p)), 1), reach
}

// designEffect is by how much reps of one game are alike beyond those of one man, for rates of
// several men: how many times the variance of fresh reps the counts of games have within
// each man's, pooled over men; 1 at least. Rao and Scott 1992, Biometrics 48:577–585, have it
// as the design effect that groups share.
func designEffect(of []Rate) float64 {
	between, fresh := 0.0, 0.0
	for _, r := range of {
		if len(r.games) < 2 || r.K == 0 || r.K == r.N {
			continue
		}
		p, g := float64(r.K)/float64(r.N), float64(len(r.games))
		square := 0.0
		for _, c := range r.sortedGames() {
			off := float64(c.K) - p*float64(c.N)
			square += off * off
		}
		between += g / (g - 1) * square
		fresh += float64(r.N) * p * (1 - p)
	}
	if fresh == 0 {
		return 1
	}
	return max(between/fresh, 1)
}

// sortedGames is the counts of games in an order, so that sums do not hang on that of reps.
func (r Rate) sortedGames() []gameCount {
	return slices.SortedFunc(slices.Values(r.games), func(a, b gameCount) int { return compareGames(a.game, b.game) })
}

// interval is the interval that leaves a tail of so much probability on each side: Wilson's,
// of the effective sample. Of fewer than three games it cannot be told how much games differ;
// every rep counts as a fresh try then, and the tail is that of 95 %.
func (r Rate) interval(tail float64) (low, high float64) {
	if r.N == 0 || len(r.games) < LeastGames {
		return r.Count.Interval()
	}
	n, z := r.sample(tail)
	k := float64(r.K) / float64(r.N) * n
	middle, spread := 2*k+z*z, z*math.Sqrt(max(z*z+4*k*(n-k)/n, 0))
	low, high = (middle-spread)/(2*(n+z*z)), (middle+spread)/(2*(n+z*z))
	if r.K == 0 {
		low = 0
	}
	if r.K == r.N {
		high = 1
	}
	return low, high
}

// compareRates is the difference of two rates. Where both are of three games at least it has
// Newcombe's interval over the intervals by game, and p is the tail at which that interval
// just reaches none, so that the two never disagree; else it is that of [Compare]. That sides
// share games makes the interval no shorter.
func compareRates(a, b Rate) Difference {
	if a.Games() < LeastGames || b.Games() < LeastGames {
		return Compare(a.Count, b.Count)
	}
	p, q := float64(a.K)/float64(a.N), float64(b.K)/float64(b.N)
	at := func(tail float64) Difference {
		lowP, highP := a.interval(tail)
		lowQ, highQ := b.interval(tail)
		return Difference{D: p - q, Low: p - q - math.Hypot(p-lowP, highQ-q), High: p - q + math.Hypot(highP-p, q-lowQ)}
	}
	d := at(tail)
	d.Told = percent(p) - percent(q)
	least, most := 1e-9, 0.5
	for range 40 {
		tail := (least + most) / 2
		if x := at(tail); x.Low > 0 || x.High < 0 {
			most = tail
		} else {
			least = tail
		}
	}
	if d.P = 2 * least; d.D == 0 {
		d.P = 1
	}
	return d
}
