package stats

import (
	"cmp"
	"maps"
	"math"
	"slices"
)

// Kappa is Cohen's kappa: agreement past what chance would give people who use each word
// as often as these do; 1 is all, 0 no more than chance. All is nil under Enough, and
// where both use one word only, which leaves chance nothing to miss; SE too where they agree
// in all, of which the formula has nothing to say.
type Kappa struct {
	At   *float64
	SE   *float64 // of so many fresh reps
	Low  *float64 // 95 % interval
	High *float64
}

// paired is the words of two people for one rep, and the game it is of.
type paired struct {
	of    game
	words [2]string
}

// kappa is Cohen's kappa of pairs of words: Cohen 1960, Educ. Psychol. Meas. 20:37–46, with
// the large-sample standard error of Fleiss, Cohen and Everitt 1969, Psychol. Bull.
// 72:323–327. That alone holds the truth too seldom of few reps and says nothing where all
// agree. So the interval is that of two pairs more, as chance would pair these people's words,
// after the way of Agresti and Coull 1998, Am. Stat. 52:119–126, with Student's reach; of
// three games at least, by how much games differ (R's svykappa). It always holds kappa itself.
func kappa(pairs []paired) Kappa {
	alike := map[paired]int{} // how many pairs of one game say the same
	for _, p := range pairs {
		alike[p]++
	}
	counts, games := map[[2]string]float64{}, map[game]int{}
	for p, n := range alike {
		counts[p.words] += float64(n)
		games[p.of] += n
	}
	if len(pairs) < Enough {
		return Kappa{}
	}
	plain := kappaTable(counts)
	if len(plain.row) == 1 && len(plain.column) == 1 && plain.observed == 1 {
		return Kappa{}
	}
	k, variance := plain.kappa(), plain.variance()
	result := Kappa{At: &k}
	const slack = 1e-12 // of a variance that is 0 but for rounding
	if plain.observed < 1 && variance > slack {
		se := math.Sqrt(variance)
		result.SE = &se
	}
	const more = 2
	wider := maps.Clone(counts)
	for _, x := range slices.Sorted(maps.Keys(plain.row)) {
		for _, y := range slices.Sorted(maps.Keys(plain.column)) {
			wider[[2]string{x, y}] += more * plain.row[x] * plain.column[y]
		}
	}
	table := kappaTable(wider)
	if len(counts) == 1 { // each uses one word alone, and not the same
		return result
	}
	middle, se, reach := table.kappa(), math.Sqrt(table.variance()), student(len(pairs)-1)
	if len(games) >= LeastGames {
		// In order, so that sums do not hang on that of reps.
		kinds := slices.SortedFunc(maps.Keys(alike), func(a, b paired) int {
			return cmp.Or(compareGames(a.of, b.of), cmp.Compare(a.words[0], b.words[0]), cmp.Compare(a.words[1], b.words[1]))
		})
		list := make([]measure, len(kinds))
		for i, p := range kinds {
			list[i].of = p.of
		}
		n := float64(len(pairs))
		between := clustered(byGame(list, func(i int) float64 { return float64(alike[kinds[i]]) * plain.part(kinds[i].words) / n }))
		se, reach = max(se, between), student(len(games)-1)
	}
	low, high := max(min(middle-reach*se, k), -1), min(max(middle+reach*se, k), 1)
	result.Low, result.High = &low, &high
	return result
}

// agreed is a table of two people's words, in shares.
type agreed struct {
	n           float64
	shares      map[[2]string]float64
	words       [][2]string // in order, so that sums do not hang on a map's
	row, column map[string]float64
	observed    float64 // the share on which they agree, and what chance would give
	chance      float64
}

func kappaTable(counts map[[2]string]float64) agreed {
	t := agreed{shares: map[[2]string]float64{}, row: map[string]float64{}, column: map[string]float64{}}
	t.words = slices.SortedFunc(maps.Keys(counts), func(a, b [2]string) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
	apart := 0.0
	for _, w := range t.words {
		t.n += counts[w]
		if w[0] != w[1] {
			apart += counts[w]
		}
	}
	for _, w := range t.words {
		share := counts[w] / t.n
		t.shares[w] = share
		t.row[w[0]] += share
		t.column[w[1]] += share
	}
	t.observed = 1 - apart/t.n // exactly 1 where they agree in all
	for _, word := range slices.Sorted(maps.Keys(t.row)) {
		t.chance += t.row[word] * t.column[word]
	}
	return t
}

func (t agreed) kappa() float64 { return 1 - (1-t.observed)/(1-t.chance) }

// part is what one pair of words adds to n times how far kappa is from the truth: the
// derivative of kappa by the share of the pair.
func (t agreed) part(words [2]string) float64 {
	alike := 0.0
	if words[0] == words[1] {
		alike = 1
	}
	off := 1 - t.chance
	return ((alike-t.observed)*off - (1-t.observed)*(t.column[words[0]]+t.row[words[1]]-2*t.chance)) / (off * off)
}

// variance is that of kappa, of fresh pairs.
func (t agreed) variance() float64 {
	sum := 0.0
	for _, w := range t.words {
		part := t.part(w)
		sum += t.shares[w] * part * part
	}
	return sum / t.n
}
