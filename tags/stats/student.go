package stats

import "math"

// student is the 97.5 % quantile of Student's t with df degrees of freedom, at least 1.
func student(df int) float64 {
	low, high := 0.0, 2.0
	for studentWithin(high, df) < 0.95 {
		high *= 2
	}
	for range 80 {
		if middle := (low + high) / 2; studentWithin(middle, df) < 0.95 {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// studentWithin is the chance that t with df degrees of freedom lies within -t and t:
// Abramowitz and Stegun 1964, 26.7.3 and 26.7.4, finite sums for whole degrees.
func studentWithin(t float64, df int) float64 {
	if df > 1000 { // A&S 26.7.8, by then good to a millionth; the sum grows long
		n := float64(df)
		return math.Erf(t * (1 - 1/(4*n)) / math.Sqrt(1+t*t/(2*n)) / math.Sqrt2)
	}
	angle := math.Atan(t / math.Sqrt(float64(df)))
	sin, cos := math.Sincos(angle)
	term, sum := 1.0, 0.0
	first := 2
	if df%2 == 1 {
		term, first = cos, 3
	}
	if df > 1 {
		sum = term
	}
	for i := first; i < df; i += 2 {
		term *= cos * cos * float64(i-1) / float64(i)
		sum += term
	}
	if df%2 == 1 {
		return (angle + sin*sum) * 2 / math.Pi
	}
	return sin * sum
}
