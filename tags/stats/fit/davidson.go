package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Meeting is how two met, and how it ended for the first.
type Meeting struct {
	First, Second   int // who, counted from 0
	Won, Lost, Even int
}

// Abilities is how good each of those who met is, by Davidson's model of comparisons with
// ties (1970, J. Am. Stat. Assoc. 65:317–328): in log odds, on average 0 where they are
// shrunken.
type Abilities struct {
	Of    []float64
	First float64 // what it is worth to be the first of a meeting
	Even  float64 // log of how likely a tie is beside wins of two who are alike
	// Spread is the standard deviation of abilities that they were shrunken by.
	Spread float64

	inverse mat.SymDense // of the curvature, so the covariances
}

// spreads is what a room's abilities may be spread by, from next to nothing, in log odds.
var abilitySpreads = []float64{0.05, 0.1, 0.2, 0.3, 0.45, 0.6, 0.8, 1, 1.3, 1.7}

// Davidson fits the abilities of n who met, shrunken toward 0: each is taken from a normal
// distribution whose spread is the likeliest of a few, by Laplace's approximation. It is
// ErrUnsettled where nobody won or nobody lost.
func Davidson(n int, meetings []Meeting) (*Abilities, error) {
	var best *Abilities
	top := math.Inf(-1)
	for _, s := range abilitySpreads {
		a, marginal, err := davidson(n, meetings, s, true)
		if err != nil {
			return nil, err
		}
		if marginal > top {
			best, top = a, marginal
		}
	}
	return best, nil
}

// davidson is the abilities with a given spread. advantage says whether it is worth anything
// to be the first. marginal is the log likelihood of the spread.
func davidson(n int, meetings []Meeting, spread float64, advantage bool) (a *Abilities, marginal float64, err error) {
	won, lost, even := 0, 0, 0
	for _, m := range meetings {
		won, lost, even = won+m.Won, lost+m.Lost, even+m.Even
	}
	if won == 0 || lost == 0 {
		return nil, 0, ErrUnsettled
	}
	p := davidsonModel{n: n, meetings: meetings, precision: 1 / (spread * spread), advantage: advantage, ties: even > 0}
	x := make([]float64, n+2)
	slope, curve := mat.NewVecDense(n+2, nil), mat.NewSymDense(n+2, nil)
	var factor mat.Cholesky
	at := p.logLikelihood(x, slope, curve)
	for range 100 {
		if !factor.Factorize(curve) {
			return nil, 0, ErrUnsettled
		}
		var step mat.VecDense
		if err := factor.SolveVecTo(&step, slope); err != nil {
			return nil, 0, fmt.Errorf("%w: %w", ErrUnsettled, err)
		}
		if mat.Norm(&step, math.Inf(1)) < 1e-9 {
			break
		}
		next := make([]float64, len(x))
		for scale := 1.0; ; scale /= 2 {
			for i := range x {
				next[i] = x[i] + scale*step.AtVec(i)
			}
			if l := p.logLikelihood(next, nil, nil); l >= at-1e-9 || scale < 1e-6 {
				break
			}
		}
		copy(x, next)
		at = p.logLikelihood(x, slope, curve)
	}
	a = &Abilities{Of: x[:n:n], First: x[n], Even: x[n+1], Spread: spread}
	if !p.ties {
		a.Even = math.Inf(-1)
	}
	if !factor.Factorize(curve) {
		return nil, 0, ErrUnsettled
	}
	marginal = at - float64(n)*math.Log(spread) - factor.LogDet()/2
	if err := factor.InverseTo(&a.inverse); err != nil {
		return nil, 0, fmt.Errorf("%w: %w", ErrUnsettled, err)
	}
	return a, marginal, nil
}

// davidsonModel is meetings and the prior of the abilities. Its unknowns are the abilities,
// the advantage of the first and the log odds of ties.
type davidsonModel struct {
	n               int
	meetings        []Meeting
	precision       float64
	advantage, ties bool
}

// free is the precision of an unknown that has next to no prior: enough that a model with
// more unknowns than it needs has one answer.
const free = 1e-6

func (p davidsonModel) logLikelihood(x []float64, slope *mat.VecDense, curve *mat.SymDense) float64 {
	sum := 0.0
	if slope != nil {
		slope.Zero()
		curve.Zero()
	}
	prior := func(i int, precision float64) {
		sum -= precision * x[i] * x[i] / 2
		if slope != nil {
			slope.SetVec(i, -precision*x[i])
			curve.SetSym(i, i, precision)
		}
	}
	for i := range p.n {
		prior(i, p.precision)
	}
	for i, asked := range []bool{p.advantage, p.ties} {
		if asked {
			prior(p.n+i, free)
		} else {
			prior(p.n+i, 1)
		}
	}
	for _, m := range p.meetings {
		sum += p.meeting(m, x, slope, curve)
	}
	return sum
}

// shares is the chances of a win, a loss and a tie where the first is better by eta.
func shares(eta, even float64) (win, loss, tie float64) {
	// exp(eta/2), exp(-eta/2) and the tie's, less the largest of them, so that none overflows.
	most := max(eta/2, -eta/2, even)
	win, loss, tie = math.Exp(eta/2-most), math.Exp(-eta/2-most), math.Exp(even-most)
	all := win + loss + tie
	return win / all, loss / all, tie / all
}

func (p davidsonModel) meeting(m Meeting, x []float64, slope *mat.VecDense, curve *mat.SymDense) float64 {
	eta, even := x[m.First]-x[m.Second], math.Inf(-1)
	if p.advantage {
		eta += x[p.n]
	}
	if p.ties {
		even = x[p.n+1]
	}
	win, loss, tie := shares(eta, even)
	sum := float64(m.Won)*math.Log(win) + float64(m.Lost)*math.Log(loss)
	if m.Even > 0 {
		sum += float64(m.Even) * math.Log(tie)
	}
	if slope == nil {
		return sum
	}
	n := float64(m.Won + m.Lost + m.Even)
	// The likelihood is an exponential family in eta, with half of wins less losses, and in
	// the log odds of ties, with the ties.
	better := (float64(m.Won)-float64(m.Lost))/2 - n*(win-loss)/2
	tied := float64(m.Even) - n*tie
	spread := n * (win + loss - (win-loss)*(win-loss)) / 4
	cross := -n * tie * (win - loss) / 2
	tieSpread := n * tie * (1 - tie)
	at, sign := []int{m.First, m.Second}, []float64{1, -1}
	if p.advantage {
		at, sign = append(at, p.n), append(sign, 1)
	}
	for i, a := range at {
		slope.SetVec(a, slope.AtVec(a)+sign[i]*better)
		for j, b := range at[i:] {
			curve.SetSym(a, b, curve.At(a, b)+sign[i]*sign[i+j]*spread)
		}
		if p.ties {
			curve.SetSym(a, p.n+1, curve.At(a, p.n+1)+sign[i]*cross)
		}
	}
	if p.ties {
		slope.SetVec(p.n+1, slope.AtVec(p.n+1)+tied)
		curve.SetSym(p.n+1, p.n+1, curve.At(p.n+1, p.n+1)+tieSpread)
	}
	return sum
}

// Wins is how likely the first beats the second, a tie being no win, with the interval that
// their abilities' errors leave.
func (a *Abilities) Wins(first, second int) Estimate {
	n := len(a.Of)
	eta := a.Of[first] - a.Of[second] + a.First
	at := []int{first, second, n}
	sign := []float64{1, -1, 1}
	variance := 0.0
	for i := range at {
		for j := range at {
			variance += sign[i] * sign[j] * a.inverse.At(at[i], at[j])
		}
	}
	of := func(eta float64) float64 { win, _, _ := shares(eta, a.Even); return win }
	reach := z * math.Sqrt(max(variance, 0))
	return Estimate{of(eta), of(eta - reach), of(eta + reach)}
}

// Against is how often somebody beats one who is as good as the average, with its interval.
// The others of a meeting are who: first says whether he is the first of his meetings.
func (a *Abilities) Against(who int, first bool) Estimate {
	n := len(a.Of)
	sign := 1.0
	if !first {
		sign = -1
	}
	eta := sign*a.Of[who] + a.First
	variance := a.inverse.At(who, who) + a.inverse.At(n, n) + 2*sign*a.inverse.At(who, n)
	reach := z * math.Sqrt(max(variance, 0))
	of := func(eta float64) float64 { win, _, _ := shares(eta, a.Even); return win }
	return Estimate{of(eta), of(eta - reach), of(eta + reach)}
}
