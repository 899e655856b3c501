package stats

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"trenchcut/tags"
)

// measure is one measured number, the game it is of, and the kind of man that it is of, who
// is held against his like.
type measure struct {
	of   game
	kind string
	at   float64

	rep *tags.Rep // that it is of; nil where nobody asks
}

// Spread is where numbers lie.
type Spread struct {
	N     int
	Games int      // how many games they are of
	Mean  *float64 // nil, as is what follows, under Enough
	Low   *float64 // 95 % interval of the mean, by Student's t; nil where all numbers are the same
	High  *float64
	SD    *float64
}

// Hedge says in words why the mean says little: its interval is wider than a standard
// deviation, whether for want of reps or of games. Empty where it is not, and where there is no
// mean.
func (s Spread) Hedge() string {
	switch {
	case s.Mean == nil || s.Low != nil && *s.High-*s.Low <= *s.SD:
		return ""
	case 2*student(s.N-1)/math.Sqrt(float64(s.N)) > 1:
		return "small sample"
	case s.Low == nil:
		return ""
	default:
		return "few games"
	}
}

// equal reports whether all measures are the same: then how they scatter, and so how sure their
// mean is, cannot be told.
func equal(list []measure) bool {
	return !slices.ContainsFunc(list, func(m measure) bool { return m.at != list[0].at })
}

// Gap is how far two means lie apart.
type Gap struct {
	D    float64
	Low  float64 // 95 % interval
	High float64
}

// spread is where measures lie. Of three games at least the interval is by how much games
// differ, as [Rate]'s is: the variance of a mean of clusters (Cochran 1977, Sampling
// Techniques, section 6.3; R's svymean), never less than that of so many fresh reps, with
// Student's reach on one degree of freedom less than there are games.
func spread(list []measure) Spread {
	list = ordered(list)
	s := Spread{N: len(list), Games: gamesOfMeasures(list)}
	if s.N < Enough {
		return s
	}
	n := float64(s.N)
	mean, variance := stat.MeanVariance(numbers(list), nil)
	sd := math.Sqrt(variance)
	reach := student(s.N-1) * sd / math.Sqrt(n)
	if s.Games >= LeastGames {
		se := clustered(byGame(list, func(i int) float64 { return (list[i].at - mean) / n }))
		reach = student(s.Games-1) * max(se, sd/math.Sqrt(n))
	}
	low, high := mean-reach, mean+reach
	if s.Mean, s.SD = &mean, &sd; !equal(list) {
		s.Low, s.High = &low, &high
	}
	return s
}

// numbers is measures without what they are of, in order, so that sums do not hang on that of
// reps.
func numbers(list []measure) []float64 {
	plain := make([]float64, len(list))
	for i, m := range list {
		plain[i] = m.at
	}
	if !slices.IsSorted(plain) {
		slices.Sort(plain)
	}
	return plain
}

// byGame is sums over the measures of each game, in the order of games.
func byGame(list []measure, of func(i int) float64) []float64 {
	at := map[game]int{}
	var games []game
	var sums []float64
	var last game
	place := -1
	for i, m := range list {
		if place < 0 || m.of != last {
			var met bool
			if place, met = at[m.of]; !met {
				place = len(games)
				at[m.of] = place
				games, sums = append(games, m.of), append(sums, 0)
			}
			last = m.of
		}
		sums[place] += of(i)
	}
	sorted := make([]float64, 0, len(sums))
	slices.SortFunc(games, compareGames)
	for _, g := range games {
		sorted = append(sorted, sums[at[g]])
	}
	return sorted
}

func gamesOfMeasures(list []measure) int {
	met := map[game]bool{}
	for _, m := range list {
		met[m.of] = true
	}
	return len(met)
}

// clustered is the standard error of an estimate to which each game adds its part, the parts
// coming to nothing in all.
func clustered(parts []float64) float64 {
	g, square := float64(len(parts)), 0.0
	for _, p := range parts {
		square += p * p
	}
	return math.Sqrt(g / (g - 1) * square)
}

// gap is how far the mean of a lies from that of b, each measure held against its kind alone;
// nil where fewer than [Enough] of either have any of their kind to be held against, or where all
// of each are the same. Of three games at least on both sides it is the slope of a regression on the
// side, kinds told apart, by how much games differ (R's svyglm), with Student's reach on one degree
// less than the side of fewer games has; of fewer it is Welch's.
func gap(a, b []measure) *Gap {
	a, b = alike(a, b), alike(b, a)
	if len(a) < Enough || len(b) < Enough || equal(a) && equal(b) {
		return nil
	}
	games := min(gamesOfMeasures(a), gamesOfMeasures(b))
	kinds := map[string]bool{}
	for _, m := range a {
		kinds[m.kind] = true
	}
	if games < LeastGames && len(kinds) == 1 {
		return welch(numbers(a), numbers(b))
	}
	sorted := slices.Concat(ordered(a), ordered(b)) // so that sums do not hang on the order of reps
	d, parts := slope(sorted, len(a))
	square := 0.0
	for _, p := range parts {
		square += p * p
	}
	n := float64(len(sorted))
	fresh := math.Sqrt(n / (n - 2) * square)
	if games < LeastGames {
		reach := student(min(len(a), len(b))-1) * fresh
		return &Gap{d, d - reach, d + reach}
	}
	se := max(clustered(byGame(sorted, func(i int) float64 { return parts[i] })), fresh)
	reach := student(games-1) * se
	return &Gap{d, d - reach, d + reach}
}

// ordered is measures in an order; a list that has it already is itself.
func ordered(list []measure) []measure {
	if slices.IsSortedFunc(list, compareMeasures) {
		return list
	}
	sorted := slices.Clone(list)
	slices.SortFunc(sorted, compareMeasures)
	return sorted
}

func compareMeasures(a, b measure) int {
	if c := cmp.Compare(a.at, b.at); c != 0 {
		return c
	}
	return cmp.Or(compareGames(a.of, b.of), cmp.Compare(a.kind, b.kind))
}

// alike is the measures of kinds that the others have, too; list itself where that is all.
func alike(list, others []measure) []measure {
	kinds := map[string]bool{}
	for _, m := range others {
		kinds[m.kind] = true
	}
	strange := func(m measure) bool { return !kinds[m.kind] }
	if !slices.ContainsFunc(list, strange) {
		return list
	}
	return slices.DeleteFunc(slices.Clone(list), strange)
}

// slope is by how much the first of list lie over the rest, each against its kind, by least
// squares, and what each measure adds to how far that is from the truth.
func slope(list []measure, first int) (d float64, parts []float64) {
	side := func(i int) float64 {
		if i < first {
			return 1
		}
		return 0
	}
	type sums struct{ n, x, y float64 }
	kinds := map[string]*sums{}
	for i, m := range list {
		k := kinds[m.kind]
		if k == nil {
			k = &sums{}
			kinds[m.kind] = k
		}
		k.n, k.x, k.y = k.n+1, k.x+side(i), k.y+m.at
	}
	with, spread := 0.0, 0.0
	for i, m := range list {
		k := kinds[m.kind]
		off := side(i) - k.x/k.n
		with, spread = with+off*(m.at-k.y/k.n), spread+off*off
	}
	d = with / spread
	parts = make([]float64, len(list))
	for i, m := range list {
		k := kinds[m.kind]
		off := side(i) - k.x/k.n
		parts[i] = off * (m.at - k.y/k.n - d*off) / spread
	}
	return d, parts
}

// welch is how far the means of a and b lie apart: Welch 1947, Biometrika 34:28–35, with
// the degrees of freedom after Satterthwaite rounded down, which widens the interval a little.
func welch(a, b []float64) *Gap {
	meanA, varA := stat.MeanVariance(a, nil)
	meanB, varB := stat.MeanVariance(b, nil)
	n, m := float64(len(a)), float64(len(b))
	s, t := varA/n, varB/m
	d := meanA - meanB
	if s+t == 0 {
		return &Gap{d, d, d}
	}
	df := (s + t) * (s + t) / (s*s/(n-1) + t*t/(m-1))
	reach := student(int(df)) * math.Sqrt(s+t)
	return &Gap{d, d - reach, d + reach}
}
