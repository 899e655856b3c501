// Package fit holds models of counts: numbers in, numbers out. It knows nothing of reps.
package fit

import "errors"

// Count is K of N. Neither need be whole: of tries that are alike, fewer count.
type Count struct {
	K float64
	N float64
}

// Estimate is a figure with its 95 % interval.
type Estimate struct{ At, Low, High float64 }

// z is the 97.5 % quantile of the normal distribution.
const z = 1.959963984540054

// ErrUnsettled is that a model came to no answer: the counts do not determine one.
var ErrUnsettled = errors.New("the counts do not settle the model")
