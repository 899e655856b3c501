package fit

import "math"

// Pair is two counts of one stratum: what is asked about, and what it is held against.
type Pair struct{ With, Without Count }

// tells reports whether the stratum says anything of a difference: both sides have tries.
func (p Pair) tells() bool { return p.With.N > 0 && p.Without.N > 0 }

// OddsRatio is the common odds ratio of strata after Mantel and Haenszel 1959, J. Natl.
// Cancer Inst. 22:719–748, with the interval of Robins, Breslow and Greenland 1986, Biometrics
// 42:311–323. It is ErrUnsettled where no stratum has a success on one side and a failure
// on the other.
func OddsRatio(strata []Pair) (Estimate, error) {
	var r, s, pr, psqr, qs float64
	for _, p := range strata {
		if !p.tells() {
			continue
		}
		a, c := p.With.K, p.Without.K
		b, d := p.With.N-a, p.Without.N-c
		n := a + b + c + d
		ad, bc := a*d/n, b*c/n
		agree, differ := (a+d)/n, (b+c)/n
		r, s = r+ad, s+bc
		pr, psqr, qs = pr+agree*ad, psqr+agree*bc+differ*ad, qs+differ*bc
	}
	if r == 0 || s == 0 {
		return Estimate{}, ErrUnsettled
	}
	spread := z * math.Sqrt(pr/(2*r*r)+psqr/(2*r*s)+qs/(2*s*s))
	return Estimate{r / s, r / s * math.Exp(-spread), r / s * math.Exp(spread)}, nil
}

// RiskDifference is the common difference of rates of strata, With less Without, weighted as
// Mantel and Haenszel do (Greenland and Robins 1985, Biometrics 41:55–68). Its variance is
// Sato's (1989, Biometrics 45:1323–1324): theirs takes a stratum's rate for known, and calls
// one try on a side certain, so that its interval is too short where strata are small. It is
// ErrUnsettled where no stratum has tries on both sides, or the variance is none.
func RiskDifference(strata []Pair) (Estimate, error) {
	var sum, weight, p, q float64
	for _, s := range strata {
		if !s.tells() {
			continue
		}
		a, b := s.With.K, s.Without.K
		n1, n0 := s.With.N, s.Without.N
		n := n1 + n0
		sum += (a*n0 - b*n1) / n
		weight += n1 * n0 / n
		p += (n1*n1*b - n0*n0*a + n1*n0*(n0-n1)/2) / (n * n)
		q += (a*(n0-b) + b*(n1-a)) / (2 * n)
	}
	if weight == 0 {
		return Estimate{}, ErrUnsettled
	}
	d := sum / weight
	variance := (d*p + q) / (weight * weight)
	if variance <= 0 {
		return Estimate{}, ErrUnsettled
	}
	spread := z * math.Sqrt(variance)
	return Estimate{d, max(d-spread, -1), min(d+spread, 1)}, nil
}
