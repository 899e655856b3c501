package fit

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The inverse is that of the whole matrix.
func TestArrow(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for _, size := range [][2]int{{3, 0}, {1, 4}, {4, 6}} {
		n := size[0] + size[1]
		a, whole := newArrow(size[0], size[1]), mat.NewSymDense(n, nil)
		for i := range n {
			for j := i; j < n; j++ {
				x := r.NormFloat64()
				switch {
				case i == j:
					x = 10 + r.Float64()
				case i >= size[0]:
					continue
				}
				a.add(j, i, x)
				whole.SetSym(i, j, x)
			}
		}
		var factor mat.Cholesky
		var inverse mat.SymDense
		if !a.invert() || !factor.Factorize(whole) || factor.InverseTo(&inverse) != nil {
			t.Fatal("not positive definite")
		}
		near(t, "log determinant", a.logDet, factor.LogDet(), 1e-10)
		v := make([]float64, n)
		for i := range v {
			v[i] = r.NormFloat64()
			for j := range n {
				near(t, "element", a.at(i, j), inverse.At(i, j), 1e-12)
			}
		}
		var want mat.VecDense
		want.MulVec(&inverse, mat.NewVecDense(n, v))
		for i, x := range a.solve(v) {
			near(t, "solution", x, want.AtVec(i), 1e-12)
		}
	}
}
