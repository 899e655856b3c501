package fit

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Tries is how many tries on each side it takes to tell rates p and q apart: a test at 5 %,
// two-sided, finds the gap with chance power (0.8 is common practice). It is +Inf where the
// rates are one. Fleiss, Levin and Paik, Statistical Methods for Rates and Proportions, 3rd
// ed., section 4.2, without the correction for continuity.
func Tries(p, q, power float64) float64 {
	mean := (p + q) / 2
	root := z*math.Sqrt(2*mean*(1-mean)) + distuv.UnitNormal.Quantile(power)*math.Sqrt(p*(1-p)+q*(1-q))
	return root * root / ((p - q) * (p - q))
}
