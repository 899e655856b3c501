package stats

import (
	"cmp"
	"math"
	"slices"

	"trenchcut/tags"
)

// Agreement is how far two people who tagged the same reps say the same of them. Neither
// is right: it bounds what the numbers of one of them can mean.
type Agreement struct {
	First  string // who tagged; empty where the file says by nobody
	Second string
	Games  int
	Both   int // reps that both tagged
	// Reps that only one tagged, on plays on which the other has reps, and on other plays.
	OnlyFirst    int
	OnlySecond   int
	FirstPlays   int
	SecondPlays  int
	Words        []WordsAlike
	Times        []TimesAlike
	first, other []*tags.Rep // of each pair
}

// WordsAlike is how often two people used the same word for the same rep.
type WordsAlike struct {
	Key   string
	Alike Rate // of the reps of which both say something
	Kappa Kappa
	// Apart is what they said where they differ, the most frequent first.
	Apart []Differ
}

// Differ is two words for the same reps.
type Differ struct {
	First  string
	Second string
	Reps   int
}

// TimesAlike is how far two people mark the same thing apart, the second's time less the
// first's.
type TimesAlike struct {
	Mark    tags.Mark
	Seconds Apart
	Frames  *Apart // nil where some film's rate is not known
	One     int    // reps on which one marked it alone
}

// Apart is differences, with the limits between which the next lies 95 times in 100: the mean
// and Student's reach over standard deviations, wider by how sure the mean is, of fresh reps.
// With many reps they are the limits of Bland and Altman 1986, Lancet i:307–310, which hold
// too few where reps are few (88 in 100 of five): Vock 2016, Biom. J. 58:489–501.
type Apart struct {
	Spread
	LimitLow  *float64
	LimitHigh *float64
}

// AgreementWords says whom Agreements leaves in.
const AgreementWords = "every rep on every kind of play, penalties among them"

// agreedWords is the words that agreement is told of.
var agreedWords = []struct {
	key string
	of  func(*tags.Rep) string
}{
	{"battle", func(r *tags.Rep) string { return r.Battle }},
	{"outcome", func(r *tags.Rep) string { return r.Outcome }},
	{"set", func(r *tags.Rep) string { return r.Set }},
	{"first-move", func(r *tags.Rep) string {
		if len(r.Moves) == 0 {
			return ""
		}
		return firstMove(r)
	}},
}

// agreedTimes is the marks that agreement is told of.
var agreedTimes = []tags.Mark{tags.Beat, tags.Getoff}

// Agreements holds the second opinions of a season against its games' own files: each
// pair of people by itself, in order of their names. Reps are the same by game, play and
// the rusher's jersey (his id where he has none). Both say what they like of a rep that
// the first's file has among the chosen; a rep that the first has not must be chosen by
// what the second says. rate is how many frames a second the film of a rep has.
func Agreements(s *tags.Season, chosen func(*tags.Rep) bool, rate func(*tags.Rep) tags.Rate) []Agreement {
	own := make(map[string]*tags.Game, len(s.Games))
	for _, g := range s.Games {
		own[g.ID] = g
	}
	at := map[[2]string]*Agreement{}
	var list []*Agreement
	for _, theirs := range s.Second {
		ours, ok := own[theirs.ID]
		if !ok {
			continue
		}
		who := [2]string{ours.By, theirs.By}
		a, ok := at[who]
		if !ok {
			a = &Agreement{First: who[0], Second: who[1]}
			at[who] = a
			list = append(list, a)
		}
		a.Games++
		a.pair(ours, theirs, chosen)
	}
	slices.SortFunc(list, func(a, b *Agreement) int {
		return cmp.Or(cmp.Compare(a.First, b.First), cmp.Compare(a.Second, b.Second))
	})
	result := make([]Agreement, len(list))
	for i, a := range list {
		a.compare(rate)
		result[i] = *a
	}
	return result
}

// pair finds the reps of one game that both tagged, and counts those that one did.
func (a *Agreement) pair(first, second *tags.Game, chosen func(*tags.Rep) bool) {
	theirs := map[string]*tags.Rep{}
	for _, p := range second.Plays {
		for _, r := range p.Reps {
			if name := r.Name(); theirs[name] == nil { // of two with one number, the first
				theirs[name] = r
			}
		}
	}
	met := map[*tags.Rep]bool{}
	plays := tagged(second)
	for _, p := range first.Plays {
		for _, r := range p.Reps {
			other := theirs[r.Name()]
			if met[other] {
				other = nil
			}
			switch {
			case other != nil:
				met[other] = true
				if chosen(r) {
					a.first, a.other = append(a.first, r), append(a.other, other)
				}
			case !chosen(r):
			case plays[p.Number]:
				a.OnlyFirst++
			default:
				a.FirstPlays++
			}
		}
	}
	a.Both = len(a.first)
	plays = tagged(first)
	for _, p := range second.Plays {
		for _, r := range p.Reps {
			switch {
			case met[r] || !chosen(r):
			case plays[p.Number]:
				a.OnlySecond++
			default:
				a.SecondPlays++
			}
		}
	}
}

// tagged is the numbers of a game's plays that have a rep.
func tagged(g *tags.Game) map[int]bool {
	numbers := make(map[int]bool, len(g.Plays))
	for _, p := range g.Plays {
		if len(p.Reps) > 0 {
			numbers[p.Number] = true
		}
	}
	return numbers
}

// compare fills in what the pairs say.
func (a *Agreement) compare(rate func(*tags.Rep) tags.Rate) {
	for _, w := range agreedWords {
		alike := WordsAlike{Key: w.key, Apart: []Differ{}}
		counts := map[[2]string]int{}
		pairs := make([]paired, 0, len(a.first))
		for i, r := range a.first {
			x, y := w.of(r), w.of(a.other[i])
			if x == "" && y == "" {
				continue
			}
			known := x != "" && y != ""
			alike.Alike.addOf(r, x == y, known)
			if known {
				counts[[2]string{x, y}]++
				pairs = append(pairs, paired{gameOf(r), [2]string{x, y}})
			}
		}
		alike.Kappa = kappa(pairs)
		for words, n := range counts {
			if words[0] != words[1] {
				alike.Apart = append(alike.Apart, Differ{words[0], words[1], n})
			}
		}
		slices.SortFunc(alike.Apart, func(a, b Differ) int {
			return cmp.Or(cmp.Compare(b.Reps, a.Reps), cmp.Compare(a.First, b.First), cmp.Compare(a.Second, b.Second))
		})
		a.Words = append(a.Words, alike)
	}
	for _, m := range agreedTimes {
		times := TimesAlike{Mark: m}
		seconds, frames := make([]measure, 0, len(a.first)), make([]measure, 0, len(a.first))
		known := true
		for i, r := range a.first {
			x, markedX := r.TimeTo(m)
			y, markedY := a.other[i].TimeTo(m)
			switch {
			case markedX && markedY:
				gap := (y - x).Seconds()
				seconds = append(seconds, measure{of: gameOf(r), at: gap})
				if f := rate(r); f.Known() {
					frames = append(frames, measure{of: gameOf(r), at: gap * f.FPS()})
				} else {
					known = false
				}
			case markedX != markedY:
				times.One++
			}
		}
		times.Seconds = apart(seconds)
		if known && len(frames) > 0 {
			in := apart(frames)
			times.Frames = &in
		}
		a.Times = append(a.Times, times)
	}
}

func apart(gaps []measure) Apart {
	gaps = ordered(gaps) // so that sums do not hang on the order of reps
	a := Apart{Spread: spread(gaps)}
	if a.Low != nil {
		reach := student(a.N-1) * *a.SD * math.Sqrt(1+1/float64(a.N))
		low, high := *a.Mean-reach, *a.Mean+reach
		a.LimitLow, a.LimitHigh = &low, &high
	}
	return a
}
