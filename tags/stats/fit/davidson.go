package fit

import "math"

// Meeting is how two met, and how it ended for the first.
type Meeting struct {
	First, Second   int // who, counted from 0
	Won, Lost, Even int
}

// Abilities is how good each of those who met is, by Davidson's model of comparisons with
// ties (1970, J. Am. Stat. Assoc. 65:317–328), in log odds.
type Abilities struct {
	Of     []float64
	First  float64 // what it is worth to be the first of a meeting
	Even   float64 // log of how likely a tie is beside either win, where two are alike
	Spread float64 // standard deviation of the abilities that they were shrunken by

	place []int // of each in the inverse of the curvature, and behind them of First
	curve *arrow
}

// abilitySpreads is what a room's abilities may be spread by, from next to nothing, in log odds.
var abilitySpreads = []float64{0.05, 0.1, 0.2, 0.3, 0.45, 0.6, 0.8, 1, 1.3, 1.7}

// Davidson fits the abilities of n who met, shrunken toward 0: they are taken from a normal
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

// davidson is the abilities with a given spread, by Newton's method; advantage says whether
// it may be worth something to be the first. marginal is the log likelihood of the spread.
func davidson(n int, meetings []Meeting, spread float64, advantage bool) (a *Abilities, marginal float64, err error) {
	won, lost, even := 0, 0, 0
	for _, m := range meetings {
		won, lost, even = won+m.Won, lost+m.Lost, even+m.Even
	}
	if won == 0 || lost == 0 {
		return nil, 0, ErrUnsettled
	}
	p := newDavidsonModel(n, meetings, spread)
	p.advantage, p.ties = advantage, even > 0
	x, slope := make([]float64, n+2), make([]float64, n+2)
	at := p.logLikelihood(x, slope)
	for range 100 {
		if !p.curve.invert() {
			return nil, 0, ErrUnsettled
		}
		step := p.curve.solve(slope)
		size := 0.0
		for _, s := range step {
			size = max(size, math.Abs(s))
		}
		if size < 1e-9 {
			break
		}
		next := make([]float64, len(x))
		for scale := 1.0; scale > 1e-6; scale /= 2 {
			for i := range x {
				next[i] = x[i] + scale*step[i]
			}
			if p.logLikelihood(next, nil) >= at-1e-9 {
				break
			}
		}
		x = next
		at = p.logLikelihood(x, slope)
	}
	a = &Abilities{Of: make([]float64, n), First: x[p.first], Even: math.Inf(-1), Spread: spread, place: append(p.place, p.first), curve: p.curve}
	for i, at := range p.place {
		a.Of[i] = x[at]
	}
	if p.ties {
		a.Even = x[p.tie]
	}
	return a, at - float64(n)*math.Log(spread) - p.curve.logDet/2, nil
}

// davidsonModel is meetings and the prior of the abilities. Its unknowns are the abilities of
// those who are first anywhere, the advantage of the first, the log odds of ties, and then
// the abilities of the rest, who never meet one another.
type davidsonModel struct {
	meetings        []Meeting
	place           []int // of each among the unknowns
	first, tie      int
	precision       float64
	advantage, ties bool
	curve           *arrow
}

func newDavidsonModel(n int, meetings []Meeting, spread float64) *davidsonModel {
	leads := make([]bool, n)
	for _, m := range meetings {
		leads[m.First] = true
	}
	p := &davidsonModel{meetings: meetings, place: make([]int, n), precision: 1 / (spread * spread)}
	for i, l := range leads {
		if l {
			p.place[i] = p.first
			p.first++
		}
	}
	p.tie = p.first + 1
	behind := p.tie + 1
	for i, l := range leads {
		if !l {
			p.place[i] = behind
			behind++
		}
	}
	p.curve = newArrow(p.tie+1, behind-p.tie-1)
	return p
}

// free is the precision of an unknown that has next to no prior: enough that a model with
// more unknowns than it needs has one answer.
const free = 1e-6

// logLikelihood is that of the unknowns, the prior with it. Where slope is not nil it becomes
// the gradient, and curve less the second derivatives.
func (p *davidsonModel) logLikelihood(x, slope []float64) float64 {
	sum := 0.0
	if slope != nil {
		p.curve.clear()
	}
	for i := range x {
		precision := p.precision
		if i == p.first && p.advantage || i == p.tie && p.ties {
			precision = free
		}
		sum -= precision * x[i] * x[i] / 2
		if slope != nil {
			slope[i] = -precision * x[i]
			p.curve.add(i, i, precision)
		}
	}
	for _, m := range p.meetings {
		sum += p.meeting(m, x, slope)
	}
	return sum
}

// shares is the chances of a win, a loss and a tie where the first is better by eta.
func shares(eta, even float64) (win, loss, tie float64) {
	most := max(eta/2, -eta/2, even) // taken off, so that nothing overflows
	win, loss, tie = math.Exp(eta/2-most), math.Exp(-eta/2-most), math.Exp(even-most)
	all := win + loss + tie
	return win / all, loss / all, tie / all
}

// meeting is one meeting's part. The likelihood is an exponential family: in the gap of
// abilities with half of wins less losses, in the log odds of ties with the ties.
func (p *davidsonModel) meeting(m Meeting, x, slope []float64) float64 {
	at, sign := [3]int{p.place[m.First], p.place[m.Second], p.first}, [3]float64{1, -1, 1}
	eta, even := x[at[0]]-x[at[1]], math.Inf(-1)
	whose := 2
	if p.advantage {
		eta += x[p.first]
		whose = 3
	}
	if p.ties {
		even = x[p.tie]
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
	for i, a := range at[:whose] {
		slope[a] += sign[i] * (float64(m.Won-m.Lost) - n*(win-loss)) / 2
		for j, b := range at[i:whose] {
			p.curve.add(a, b, sign[i]*sign[i+j]*n*(win+loss-(win-loss)*(win-loss))/4)
		}
		if p.ties {
			p.curve.add(a, p.tie, -sign[i]*n*tie*(win-loss)/2)
		}
	}
	if p.ties {
		slope[p.tie] += float64(m.Even) - n*tie
		p.curve.add(p.tie, p.tie, n*tie*(1-tie))
	}
	return sum
}

// Wins is how likely the first beats the second, a tie being no win, with the interval that
// the errors of their abilities leave.
func (a *Abilities) Wins(first, second int) Estimate {
	return a.wins([]int{first, second}, []float64{1, -1})
}

// AsFirst is how likely somebody beats one of ability 0, who is the second.
func (a *Abilities) AsFirst(who int) Estimate { return a.wins([]int{who}, []float64{1}) }

// AsSecond is how likely one of ability 0, who is the first, beats somebody.
func (a *Abilities) AsSecond(who int) Estimate { return a.wins([]int{who}, []float64{-1}) }

// wins is for the sum of some abilities, each with its sign, and of being the first.
func (a *Abilities) wins(who []int, sign []float64) Estimate {
	eta, variance := a.First, 0.0
	for i, w := range who {
		eta += sign[i] * a.Of[w]
	}
	who, sign = append(who, len(a.Of)), append(sign, 1)
	for i, v := range who {
		for j, w := range who {
			variance += sign[i] * sign[j] * a.curve.at(a.place[v], a.place[w])
		}
	}
	reach := z * math.Sqrt(max(variance, 0))
	of := func(eta float64) float64 { win, _, _ := shares(eta, a.Even); return win }
	return Estimate{of(eta), of(eta - reach), of(eta + reach)}
}
