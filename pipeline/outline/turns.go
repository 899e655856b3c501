package outline

import (
	"math"
	"slices"

	"trenchcut/pipeline/watch"
)

// turn is one play in film that shows each play from several angles by turns.
type turn struct {
	shots []int // by angle, in the order of the turns: which shot; -1 where there is none
	sure  bool
}

// byTurns sorts shots into turns of so many angles: each turn has at most one shot of each
// angle, in order. Where two angles differ in which way most lines in the picture run, as
// the sideline and the end zone do, that tells which angle is missing. Shots that show no
// play are in no turn.
func byTurns(shots []watch.Shot, angles int) []turn {
	best, least := []int(nil), math.Inf(1)
	classes := []func(i, angle int) float64{func(int, int) float64 { return 0 }}
	if angles == 2 {
		if other, ok := ways(shots); ok {
			const wrong = 0.7
			classes = []func(i, angle int) float64{
				func(i, angle int) float64 { return wrong * boolTo(other[i] != (angle == 1)) },
				func(i, angle int) float64 { return wrong * boolTo(other[i] != (angle == 0)) },
			}
		}
	}
	var belongs func(i, angle int) float64
	for _, class := range classes {
		if took, cost := assign(shots, angles, class); cost < least {
			best, least, belongs = took, cost, class
		}
	}
	var turns []turn
	last := angles // of the angle taken last
	for i, angle := range best {
		if angle < 0 {
			continue
		}
		if angle <= last || len(turns) == 0 {
			turns = append(turns, turn{shots: slices.Repeat([]int{-1}, angles), sure: true})
		}
		t := &turns[len(turns)-1]
		t.shots[angle] = i
		t.sure = t.sure && belongs(i, angle) == 0
		last = angle
	}
	for i := range turns {
		if slices.Contains(turns[i].shots, -1) {
			turns[i].sure = false
		}
	}
	return turns
}

func boolTo(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// assign is which angle each shot is of, -1 for none, at least cost, and that cost.
func assign(shots []watch.Shot, angles int, wrong func(i, angle int) float64) (took []int, cost float64) {
	const missing = 0.8 // an angle of a play that was not filmed
	// least[i][p] is the least cost of shots from i on, where p angles of the play in hand
	// have had their turn.
	least := table(len(shots)+1, angles+1)
	choice := make([][]int, len(shots))
	for p := range angles {
		if p > 0 {
			least[len(shots)][p] = missing * float64(angles-p)
		}
	}
	for i := len(shots) - 1; i >= 0; i-- {
		choice[i] = make([]int, angles+1)
		for p := range angles + 1 {
			best, chosen := costOfNone(shots[i])+least[i+1][p], -1
			for a := range angles {
				skipped := a - p
				if a < p {
					skipped = angles - p + a
				}
				c := missing*float64(skipped) + costOfPlay(shots[i]) + wrong(i, a) + least[i+1][a+1]
				if c < best {
					best, chosen = c, a
				}
			}
			least[i][p], choice[i][p] = best, chosen
		}
	}
	took = make([]int, len(shots))
	p := 0
	for i := range shots {
		took[i] = choice[i][p]
		if took[i] >= 0 {
			p = took[i] + 1
		}
	}
	return took, least[0][0]
}

// ways sorts shots by which way their lines run; false where they do not differ enough.
func ways(shots []watch.Shot) (upright []bool, ok bool) {
	var values []float64
	for _, s := range shots {
		if s.Off == "" {
			values = append(values, s.Upright)
		}
	}
	if len(values) < 4 {
		return nil, false
	}
	slices.Sort(values)
	// The split of least variance within both parts (Otsu, IEEE Trans. SMC 9, 1979, 62–66).
	split, least := 0, math.Inf(1)
	for k := 1; k < len(values); k++ {
		if v := scatter(values[:k]) + scatter(values[k:]); v < least {
			split, least = k, v
		}
	}
	low, high := mean(values[:split]), mean(values[split:])
	spread := math.Sqrt(least / float64(len(values)))
	if high-low < 0.1 || high-low < 3*spread {
		return nil, false
	}
	upright = make([]bool, len(shots))
	for i, s := range shots {
		upright[i] = s.Upright > (low+high)/2
	}
	return upright, true
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// scatter is the sum of squares around the mean.
func scatter(values []float64) float64 {
	m, sum := mean(values), 0.0
	for _, v := range values {
		sum += (v - m) * (v - m)
	}
	return sum
}
