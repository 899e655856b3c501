package stats

import (
	"math"

	"gonum.org/v1/gonum/stat/combin"
)

// Difference is how far two rates lie apart.
type Difference struct {
	D    float64 // the first rate less the second, from -1 to 1
	Low  float64 // 95 % interval
	High float64
	P    float64 // Fisher's exact test, two-sided

	Told int // the first rate per 100, rounded, less the second
}

// Per100 is the difference and its interval per 100. The difference is that of the two rates
// as they are told, so that 63 and 0 are 63 apart, unless rounding would take it out of its
// interval.
func (d Difference) Per100() (gap, low, high int) {
	low, high = percent(d.Low), percent(d.High)
	return min(max(d.Told, low), high), low, high
}

// Compare is the difference of the rates of a and b, of which neither N is 0, with
// Newcombe's hybrid score interval: method 10 of Newcombe 1998, Statist. Med. 17:873–890.
func Compare(a, b Count) Difference {
	p, q := float64(a.K)/float64(a.N), float64(b.K)/float64(b.N)
	lowP, highP := a.Interval()
	lowQ, highQ := b.Interval()
	d := p - q
	return Difference{
		D:    d,
		Low:  d - math.Hypot(p-lowP, highQ-q),
		High: d + math.Hypot(highP-p, q-lowQ),
		P:    Fisher(a, b),
		Told: percent(p) - percent(q),
	}
}

// Fisher is the two-sided p of Fisher's exact test for two counts: the share of all
// tables with these margins that are no likelier than this one. Fisher 1935, J. R. Stat.
// Soc. 98:39–82; two-sided as R's fisher.test has it.
func Fisher(a, b Count) float64 {
	won, all := a.K+b.K, a.N+b.N
	least, most := max(0, won-b.N), min(won, a.N)
	whole := logChoose(all, won)
	likely := func(k int) float64 { return math.Exp(logChoose(a.N, k) + logChoose(b.N, won-k) - whole) }
	// Tables as likely as this one count, whatever the last bits of a float say.
	const slack = 1 + 1e-7
	here := likely(a.K) * slack
	p := 0.0
	for k := least; k <= most; k++ {
		if l := likely(k); l <= here {
			p += l
		}
	}
	return min(p, 1)
}

func logChoose(n, k int) float64 {
	return combin.LogGeneralizedBinomial(float64(n), float64(k))
}
