package stats

import "gonum.org/v1/gonum/stat/distuv"

// student is the 97.5 % quantile of Student's t with df degrees of freedom, at least 1.
func student(df int) float64 {
	return distuv.StudentsT{Sigma: 1, Nu: float64(df)}.Quantile(0.975)
}
