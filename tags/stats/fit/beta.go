package fit

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Beta is a beta distribution: how the true rates of a room are spread.
type Beta struct{ A, B float64 }

func betaOf(mean, weight float64) Beta { return Beta{mean * weight, (1 - mean) * weight} }

// Weight is how many tries the room counts for beside one man's own.
func (b Beta) Weight() float64 { return b.A + b.B }

// After is the mean of what the rate may be of a man of this room who has c.
func (b Beta) After(c Count) float64 { return (b.A + c.K) / (b.Weight() + c.N) }

// logLikelihood is that of beta-binomial counts, but for what does not hang on b.
func (b Beta) logLikelihood(counts []Count) float64 {
	sum := 0.0
	whole := mathext.Lbeta(b.A, b.B)
	for _, c := range counts {
		sum += mathext.Lbeta(b.A+c.K, b.B+c.N-c.K) - whole
	}
	return sum
}

// A room is looked for whose weight is from half a try to 3000, the logarithm in steps.
const weightSteps = 28

var leastWeight, mostWeight = math.Log(0.5), math.Log(3000)

func weightStep(j int) float64 {
	return leastWeight + (mostWeight-leastWeight)*float64(j)/(weightSteps-1)
}

// The means of rooms, from just above none to just under all.
const leastMean, mostMean = 1e-4, 1 - 1e-4

// likeliestMean is the mean that makes counts likeliest in a room of the weight; the
// likelihood has one top.
func likeliestMean(counts []Count, weight float64) float64 {
	slope := func(mean float64) float64 {
		b, sum := betaOf(mean, weight), 0.0
		a0, b0 := mathext.Digamma(b.A), mathext.Digamma(b.B)
		for _, c := range counts {
			sum += mathext.Digamma(b.A+c.K) - a0 - mathext.Digamma(b.B+c.N-c.K) + b0
		}
		return sum
	}
	return crossing(func(x float64) float64 { return -slope(x) }, leastMean, mostMean, 1e-9)
}

// crossing is where a function that rises from low to high passes 0, to within.
func crossing(f func(float64) float64, low, high, within float64) float64 {
	for high-low > within {
		if middle := (low + high) / 2; f(middle) < 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// BetaBinomial is the room's spread by maximum likelihood. Where counts differ by no more
// than chance makes them, no spread is the likeliest: then the weight is the most that is
// looked for, and ErrUnsettled comes with it.
func BetaBinomial(counts []Count) (Beta, error) {
	profile := func(logWeight float64) float64 {
		w := math.Exp(logWeight)
		return betaOf(likeliestMean(counts, w), w).logLikelihood(counts)
	}
	best, most := 0, math.Inf(-1)
	for j := range weightSteps {
		if l := profile(weightStep(j)); l > most {
			best, most = j, l
		}
	}
	// Golden section between the neighbours of the best step.
	low, high := weightStep(max(best-1, 0)), weightStep(min(best+1, weightSteps-1))
	for high-low > 1e-7 {
		a, b := high-(high-low)/math.Phi, low+(high-low)/math.Phi
		if profile(a) < profile(b) {
			low = a
		} else {
			high = b
		}
	}
	w := math.Exp((low + high) / 2)
	b := betaOf(likeliestMean(counts, w), w)
	if mostWeight-math.Log(w) < 1e-3 {
		return b, ErrUnsettled
	}
	return b, nil
}

// Shrink is the rate of each of counts with the room's behind it: the mean of what the rate
// may be, and the middle 95 % of that. It averages over what the room's spread may be, for a
// room of few men does not tell it; the prior of a weight falls with its square root and
// that of a mean is flat (Gelman et al., Bayesian Data Analysis, 3rd ed., section 5.3). It
// wants two counts with tries at least, else it is ErrUnsettled.
func Shrink(counts []Count) ([]Estimate, error) {
	tried := 0
	for _, c := range counts {
		if c.N > 0 {
			tried++
		}
	}
	if tried < 2 {
		return nil, ErrUnsettled
	}
	room := roomOf(counts)
	list := make([]Estimate, len(counts))
	for i, c := range counts {
		list[i] = room.after(c)
	}
	return list, nil
}

// room is spreads that a room may have, and the chance of each.
type room []struct {
	Beta
	chance float64
}

// roomOf weighs spreads by counts. For each weight it takes means in equal steps, over all
// that are not much less likely than the likeliest.
func roomOf(counts []Count) room {
	const (
		steps = 15
		reach = 7 // in log likelihood
	)
	var r room
	most := math.Inf(-1)
	for j := range weightSteps {
		w := math.Exp(weightStep(j))
		at := func(mean float64) float64 { return betaOf(mean, w).logLikelihood(counts) }
		top := likeliestMean(counts, w)
		edge := at(top) - reach
		low := crossing(func(x float64) float64 { return at(x) - edge }, leastMean/10, top, 1e-5)
		high := crossing(func(x float64) float64 { return edge - at(x) }, top, 1-leastMean/10, 1e-5)
		for i := range steps {
			mean := low + (high-low)*(float64(i)+0.5)/steps
			l := at(mean) - math.Log(w)/2 + math.Log(high-low)
			most = max(most, l)
			r = append(r, struct {
				Beta
				chance float64
			}{betaOf(mean, w), l})
		}
	}
	sum := 0.0
	for i := range r {
		r[i].chance = math.Exp(r[i].chance - most)
		sum += r[i].chance
	}
	// What is next to impossible costs time and moves nothing.
	kept := r[:0]
	for _, s := range r {
		if s.chance /= sum; s.chance > 1e-5 {
			kept = append(kept, s)
		}
	}
	return kept
}

// after is what the rate may be of a man of the room who has c.
func (r room) after(c Count) Estimate {
	mean, all := 0.0, 0.0
	for _, s := range r {
		mean += s.chance * s.After(c)
		all += s.chance
	}
	reaches := func(p float64) float64 {
		return crossing(func(x float64) float64 {
			sum := 0.0
			for _, s := range r {
				sum += s.chance * mathext.RegIncBeta(s.A+c.K, s.B+c.N-c.K, x)
			}
			return sum - p*all
		}, 0, 1, 5e-4)
	}
	return Estimate{mean / all, reaches(0.025), reaches(0.975)}
}
