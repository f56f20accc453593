package physics

import (
	"fmt"
	"math"
)

// Propagate gives the standard uncertainty of f at x from the standard uncertainties u of its inputs and their
// correlation coefficients r (nil: none), by the law of propagation of uncertainty (JCGM 100:2008, 5.1.2 and 5.2.2). The
// sensitivities are central differences over a hundredth of u; where f ends on one side of x they are one-sided. f may not
// keep its argument. It holds where f is nearly straight over a few u.
func Propagate(f func(x []float64) (float64, error), x, u []float64, r [][]float64) (float64, error) {
	if len(u) != len(x) {
		return 0, fmt.Errorf("%d inputs need as many uncertainties, not %d", len(x), len(u))
	}
	if err := checkCorrelations(r, len(x)); err != nil {
		return 0, err
	}
	at := append([]float64(nil), x...)
	part := make([]float64, len(x)) // what each input's u adds to the result
	for i := range x {
		if !(u[i] >= 0) || math.IsInf(u[i], 0) {
			return 0, fmt.Errorf("input %d has the uncertainty %g", i+1, u[i])
		}
		if u[i] == 0 {
			continue
		}
		c, err := sensitivity(f, at, i, u[i]/100)
		if err != nil {
			return 0, err
		}
		part[i] = c * u[i]
	}
	var variance, size float64
	for i := range part {
		for j := range part {
			term := part[i] * part[j]
			if i != j {
				if r == nil {
					continue
				}
				term *= r[i][j]
			}
			variance += term
			size += math.Abs(term)
		}
	}
	if variance < -1e-12*size {
		return 0, fmt.Errorf("the correlations contradict each other: the variance comes out negative")
	}
	return math.Sqrt(max(variance, 0)), nil
}

// sensitivity is the slope of f in input i; at is left as it was.
func sensitivity(f func([]float64) (float64, error), at []float64, i int, h float64) (float64, error) {
	x := at[i]
	defer func() { at[i] = x }()
	at[i] = x + h
	high := at[i]
	above, errAbove := f(at)
	at[i] = x - h
	low := at[i]
	below, errBelow := f(at)
	if errAbove != nil || errBelow != nil {
		at[i] = x
		middle, err := f(at)
		switch {
		case err != nil:
			return 0, err
		case errAbove == nil:
			below, low = middle, x
		case errBelow == nil:
			above, high = middle, x
		default:
			return 0, errAbove
		}
	}
	if high == low {
		return 0, fmt.Errorf("the uncertainty of input %d is lost in the rounding of %g", i+1, x)
	}
	return (above - below) / (high - low), nil
}

func checkCorrelations(r [][]float64, n int) error {
	if r == nil {
		return nil
	}
	if len(r) != n {
		return fmt.Errorf("%d inputs need a %d × %d table of correlations", n, n, n)
	}
	for i := range r {
		if len(r[i]) != n {
			return fmt.Errorf("%d inputs need a %d × %d table of correlations", n, n, n)
		}
		for j := range r[i] {
			if r[i][j] != r[j][i] || !(math.Abs(r[i][j]) <= 1) || i == j && r[i][j] != 1 {
				return fmt.Errorf("correlation %d, %d is %g: a table of correlations is symmetric, within -1 to 1, with 1 on its diagonal", i+1, j+1, r[i][j])
			}
		}
	}
	return nil
}
