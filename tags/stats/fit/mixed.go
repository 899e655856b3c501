package fit

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// Row is tries that are alike: successes K of N, the columns of the design that are 1 for
// them, and the group that they are of, from 0.
type Row struct {
	Count
	Columns []int
	Group   int
}

// Mixed is a logistic regression with a random intercept for each group.
type Mixed struct {
	Fixed  []Estimate // log odds, one a column of the design
	SD     float64    // of the groups' intercepts, in log odds
	Groups []float64  // each group's intercept, where it is likeliest
	LogLik float64    // with the binomial coefficients, so that it compares with others'
}

// LogisticMixed fits rows by maximum likelihood, over the intercepts by Laplace's
// approximation: Breslow and Clayton 1993, J. Am. Stat. Assoc. 88:9–25. columns is how many
// columns the design has, groups how many groups. It is ErrUnsettled where the likelihood
// has no top, or one that is flat.
func LogisticMixed(rows []Row, columns, groups int) (Mixed, error) {
	m := newMixedModel(rows, columns, groups)
	start := make([]float64, columns+1)
	k, n := 0.0, 0.0
	for _, r := range rows {
		k, n = k+r.K, n+r.N
	}
	if k == 0 || k == n {
		return Mixed{}, ErrUnsettled
	}
	start[columns] = 0.5
	// Value and slope are asked for one after the other, and cost little more than one.
	var at []float64
	value, slope := 0.0, make([]float64, columns+1)
	look := func(x []float64) {
		if !slices.Equal(x, at) {
			at = append(at[:0], x...)
			value = m.logLikelihood(x, slope)
		}
	}
	problem := optimize.Problem{
		Func: func(x []float64) float64 { look(x); return -value },
		Grad: func(grad, x []float64) {
			look(x)
			for i, s := range slope {
				grad[i] = -s
			}
		},
	}
	found, err := optimize.Minimize(problem, start, &optimize.Settings{
		GradientThreshold: 1e-5, MajorIterations: 300,
		Converger: &optimize.FunctionConverge{Absolute: 1e-9, Iterations: 20},
	}, &optimize.BFGS{})
	if err != nil && found == nil {
		return Mixed{}, fmt.Errorf("%w: %w", ErrUnsettled, err)
	}
	x := found.X
	x[columns] = math.Abs(x[columns]) // the likelihood is the same on both sides of none
	fit := Mixed{SD: x[columns], LogLik: m.logLikelihood(x, nil) + m.constant}
	for _, v := range m.modes {
		fit.Groups = append(fit.Groups, v*fit.SD)
	}
	errs, err := m.standardErrors(x)
	if err != nil {
		return Mixed{}, err
	}
	for i, se := range errs[:columns] {
		fit.Fixed = append(fit.Fixed, Estimate{x[i], x[i] - z*se, x[i] + z*se})
	}
	return fit, nil
}

// Expected is the rate that the fit gives a row: that of its columns in its group.
func (m Mixed) Expected(columns []int, group int) float64 {
	eta := m.Groups[group]
	for _, c := range columns {
		eta += m.Fixed[c].At
	}
	return logistic(eta)
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// mixedModel is rows by group, and where the intercepts were likeliest the last time, in
// standard deviations.
type mixedModel struct {
	groups   [][]Row
	columns  int
	modes    []float64
	constant float64
}

func newMixedModel(rows []Row, columns, groups int) *mixedModel {
	m := &mixedModel{groups: make([][]Row, groups), columns: columns, modes: make([]float64, groups)}
	for _, r := range rows {
		m.groups[r.Group] = append(m.groups[r.Group], r)
		m.constant += logChoose(r.N, r.K)
	}
	return m
}

func logChoose(n, k float64) float64 {
	lg := func(x float64) float64 { v, _ := math.Lgamma(x + 1); return v }
	return lg(n) - lg(k) - lg(n-k)
}

// logLikelihood is that of x, the coefficients and then the intercepts' standard deviation,
// but for a constant; grad becomes its gradient where it is not nil.
func (m *mixedModel) logLikelihood(x, grad []float64) float64 {
	clear(grad)
	sd, sum := x[m.columns], 0.0
	for g, rows := range m.groups {
		eta := make([]float64, len(rows))
		for i, r := range rows {
			for _, c := range r.Columns {
				eta[i] += x[c]
			}
		}
		m.modes[g] = mode(rows, eta, sd, m.modes[g])
		sum += laplace(rows, eta, sd, m.modes[g], m.columns, grad)
	}
	return sum
}

// mode is the likeliest intercept of a group, in standard deviations, from a guess v: where the
// slope of the likelihood, which falls all along, is 0. Newton's method, with what is between two
// points of other signs halved where a step leaves it or is no quicker (Press et al. 2007,
// Numerical Recipes, section 9.4).
func mode(rows []Row, eta []float64, sd, v float64) float64 {
	low, high, last := math.Inf(-1), math.Inf(1), math.Inf(1)
	for range 100 {
		slope, bend := -v, 1.0
		for i, r := range rows {
			mu := logistic(eta[i] + sd*v)
			slope += sd * (r.K - r.N*mu)
			bend += sd * sd * r.N * mu * (1 - mu)
		}
		if slope > 0 {
			low = v
		} else {
			high = v
		}
		step := slope / bend
		between := !math.IsInf(high-low, 0)
		if next := v + step; between && (next <= low || next >= high || math.Abs(step) > last/2) {
			step = (low+high)/2 - v
		}
		v, last = v+step, math.Abs(step)
		if last < 1e-10 {
			break
		}
	}
	return v
}

// softplus is log(1+exp(x)).
func softplus(x float64) float64 {
	if x > 0 {
		return x + math.Log1p(math.Exp(-x))
	}
	return math.Log1p(math.Exp(x))
}

// laplace is a group's part of the log likelihood, at the intercept v that is likeliest; its
// gradient is added to grad where that is not nil.
func laplace(rows []Row, eta []float64, sd, v float64, columns int, grad []float64) float64 {
	sum := -v * v / 2
	// The weights of the rows and how those change with the linear predictor, summed; the
	// residuals too.
	var weight, change, residual float64
	type part struct{ residual, weight, change float64 }
	parts := make([]part, len(rows))
	for i, r := range rows {
		e := eta[i] + sd*v
		n, mu := r.N, logistic(e)
		sum += r.K*e - n*softplus(e)
		p := part{r.K - n*mu, n * mu * (1 - mu), 0}
		p.change = p.weight * (1 - 2*mu)
		residual, weight, change = residual+p.residual, weight+p.weight, change+p.change
		parts[i] = p
	}
	bend := 1 + sd*sd*weight
	sum -= math.Log(bend) / 2
	if grad == nil {
		return sum
	}
	for i, r := range rows {
		p := parts[i]
		// v moves with a coefficient by -sd·weight/bend; what hangs on v alone is 0 at its top.
		for _, c := range r.Columns {
			grad[c] += p.residual - sd*sd*(p.change-change*sd*sd*p.weight/bend)/(2*bend)
		}
	}
	moves := (residual - sd*v*weight) / bend
	grad[columns] += residual*v - (2*sd*weight+sd*sd*change*(v+sd*moves))/(2*bend)
	return sum
}

// standardErrors is from the curvature of the likelihood at x, by differences of its gradient.
func (m *mixedModel) standardErrors(x []float64) ([]float64, error) {
	n := len(x)
	curve := mat.NewSymDense(n, nil)
	up, down, point := make([]float64, n), make([]float64, n), append([]float64(nil), x...)
	rows := make([][]float64, n)
	const h = 1e-4
	for i := range n {
		point[i] = x[i] + h
		m.logLikelihood(point, up)
		point[i] = x[i] - h
		m.logLikelihood(point, down)
		point[i] = x[i]
		rows[i] = make([]float64, n)
		for j := range n {
			rows[i][j] = (down[j] - up[j]) / (2 * h)
		}
	}
	m.logLikelihood(x, nil)
	for i := range n {
		for j := i; j < n; j++ {
			curve.SetSym(i, j, (rows[i][j]+rows[j][i])/2)
		}
	}
	// Where the intercepts do not spread, the top lies on the edge and the spread has no error.
	if x[n-1] < 1e-3 {
		for i := range n {
			curve.SetSym(i, n-1, 0)
		}
		curve.SetSym(n-1, n-1, 1)
	}
	var factor mat.Cholesky
	if !factor.Factorize(curve) {
		return nil, ErrUnsettled
	}
	var inverse mat.SymDense
	if err := factor.InverseTo(&inverse); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrUnsettled, err)
	}
	errs := make([]float64, n)
	for i := range errs {
		errs[i] = math.Sqrt(inverse.At(i, i))
	}
	return errs, nil
}
