package fit

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// arrow is a symmetric matrix whose last unknowns meet only the first ones, never one
// another: dense, with a diagonal behind it and what lies between. Its inverse costs as
// much as the dense part's, however many lie behind.
type arrow struct {
	dense    *mat.SymDense
	between  *mat.Dense // a row each of dense, a column each of diagonal
	diagonal []float64

	inverse mat.SymDense // of what is left of dense once the diagonal is taken out
	across  mat.Dense    // the inverse between diagonal, its rows, and dense
	logDet  float64
}

func newArrow(dense, diagonal int) *arrow {
	return &arrow{dense: mat.NewSymDense(dense, nil), between: mat.NewDense(dense, max(diagonal, 1), nil), diagonal: make([]float64, diagonal)}
}

func (a *arrow) clear() {
	a.dense.Zero()
	a.between.Zero()
	clear(a.diagonal)
}

// add adds to the element i, j and its mirror, of which at least one is dense or both are one.
func (a *arrow) add(i, j int, x float64) {
	i, j = min(i, j), max(i, j)
	switch d := a.dense.SymmetricDim(); {
	case j < d:
		a.dense.SetSym(i, j, a.dense.At(i, j)+x)
	case i < d:
		a.between.Set(i, j-d, a.between.At(i, j-d)+x)
	default:
		a.diagonal[j-d] += x
	}
}

// invert makes the inverse; it reports whether the matrix is positive definite.
func (a *arrow) invert() bool {
	d := a.dense.SymmetricDim()
	left := mat.NewSymDense(d, nil)
	left.CopySym(a.dense)
	a.logDet = 0
	for k, x := range a.diagonal {
		if x <= 0 {
			return false
		}
		a.logDet += math.Log(x)
		left.SymRankOne(left, -1/x, a.between.ColView(k))
	}
	var factor mat.Cholesky
	if !factor.Factorize(left) || factor.InverseTo(&a.inverse) != nil {
		return false
	}
	a.logDet += factor.LogDet()
	if len(a.diagonal) > 0 {
		a.across.Reset()
		a.across.Mul(a.between.T(), &a.inverse)
		for k, x := range a.diagonal {
			for i := range d {
				a.across.Set(k, i, -a.across.At(k, i)/x)
			}
		}
	}
	return true
}

// at is an element of the inverse.
func (a *arrow) at(i, j int) float64 {
	i, j = min(i, j), max(i, j)
	d := a.dense.SymmetricDim()
	switch {
	case j < d:
		return a.inverse.At(i, j)
	case i < d:
		return a.across.At(j-d, i)
	}
	x := 0.0
	for k := range d {
		x -= a.across.At(i-d, k) * a.between.At(k, j-d)
	}
	x /= a.diagonal[j-d]
	if i == j {
		x += 1 / a.diagonal[i-d]
	}
	return x
}

// solve is the inverse times v.
func (a *arrow) solve(v []float64) []float64 {
	d := a.dense.SymmetricDim()
	out := make([]float64, len(v))
	for i := range d {
		for j := range d {
			out[i] += a.inverse.At(i, j) * v[j]
		}
		for k := range a.diagonal {
			out[i] += a.across.At(k, i) * v[d+k]
		}
	}
	for k, x := range a.diagonal {
		sum := v[d+k]
		for i := range d {
			sum -= a.between.At(i, k) * out[i]
		}
		out[d+k] = sum / x
	}
	return out
}
