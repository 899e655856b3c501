package stats

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"trenchcut/tags"
)

// GetOff is how soon after the snap a rusher moves first.
type GetOff struct {
	Name string
	Spread
	Unmarked int
	// Frame is half a frame of the film with the fewest frames a second, in seconds: how far
	// from the truth a mark may be because film has frames. Nil where a film's rate is not known.
	Frame *float64
	// Gap is the mean less that of all other reps, in seconds; nil where either has too few.
	Gap   *Gap
	Times []float64 // seconds, in order: the points of a strip plot
}

// Spread is where numbers lie.
type Spread struct {
	N    int
	Mean *float64 // nil, as is what follows, under Enough
	Low  *float64 // 95 % interval of the mean, by Student's t
	High *float64
	SD   *float64
}

// Gap is how far two means lie apart.
type Gap struct {
	D    float64
	Low  float64 // 95 % interval
	High float64
}

// GetOffWords says whom GetOffs leaves in.
const GetOffWords = LegalWords + "; he moves before he can know what the play is"

// GetOffs is the get-off of all reps that [Legal] leaves in, then of each of the sets that
// of makes of them, the soonest first and those with too few marks behind. rate is how many
// frames a second the film of a rep has, and is not known where that is not.
func GetOffs(reps []*tags.Rep, of func(*tags.Rep) []string, rate func(*tags.Rep) tags.Rate) []GetOff {
	sets := withAll(Legal(reps), of)
	list := make([]GetOff, len(sets))
	all := getOff(sets[0], rate)
	list[0] = all
	for i, s := range sets[1:] {
		g := getOff(s, rate)
		if others := without(all.Times, g.Times); g.N >= Enough && len(others) >= Enough {
			g.Gap = welch(g.Times, others)
		}
		list[i+1] = g
	}
	slices.SortStableFunc(list[1:], func(a, b GetOff) int {
		if a.Mean == nil || b.Mean == nil {
			return cmp.Or(cmp.Compare(b.N, a.N), cmp.Compare(a.Name, b.Name))
		}
		return cmp.Or(cmp.Compare(*a.Mean, *b.Mean), cmp.Compare(a.Name, b.Name))
	})
	return list
}

// getOffsAgainst is the get-off of two sides, each with its gap to the other.
func getOffsAgainst(one, other Half) [2]GetOff {
	unknown := func(*tags.Rep) tags.Rate { return tags.Rate{} }
	a, b := getOff(Set{one.Name, Legal(one.Reps)}, unknown), getOff(Set{other.Name, Legal(other.Reps)}, unknown)
	if a.N >= Enough && b.N >= Enough {
		a.Gap, b.Gap = welch(a.Times, b.Times), welch(b.Times, a.Times)
	}
	return [2]GetOff{a, b}
}

func getOff(s Set, rate func(*tags.Rep) tags.Rate) GetOff {
	g := GetOff{Name: s.Name}
	frame, known := 0.0, true
	for _, r := range s.Reps {
		t, ok := r.Since(tags.Getoff)
		if !ok {
			g.Unmarked++
			continue
		}
		g.Times = append(g.Times, t.Seconds())
		if f := rate(r); f.Known() {
			frame = max(frame, 1/f.FPS()/2)
		} else {
			known = false
		}
	}
	slices.Sort(g.Times) // so that sums do not hang on the order of reps
	g.Spread = spread(g.Times)
	if known && g.N > 0 {
		g.Frame = &frame
	}
	return g
}

func spread(sorted []float64) Spread {
	s := Spread{N: len(sorted)}
	if s.N < Enough {
		return s
	}
	mean, variance := stat.MeanVariance(sorted, nil)
	sd := math.Sqrt(variance)
	reach := student(s.N-1) * sd / math.Sqrt(float64(s.N))
	low, high := mean-reach, mean+reach
	s.Mean, s.Low, s.High, s.SD = &mean, &low, &high, &sd
	return s
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

// without is the numbers of all but those of part, which are among them; both are in order.
func without(all, part []float64) []float64 {
	rest := make([]float64, 0, len(all)-len(part))
	for _, x := range all {
		if len(part) > 0 && part[0] == x {
			part = part[1:]
			continue
		}
		rest = append(rest, x)
	}
	return rest
}
