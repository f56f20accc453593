package physics

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Regression is a linear model y = X·c fitted by least squares.
type Regression struct {
	Coefficients, StandardErrors []float64
	ResidualSD                   float64 // with n − k degrees of freedom
	R2                           float64 // about the mean where X has a constant column, else about 0
	Residuals                    []float64
}

// Fit fits y = X·c; a row of X holds the variables of one observation, with a column of ones for a constant term. There
// must be more observations than columns, and the columns must be independent. It works by QR factorisation, refining
// coefficients and residuals together with sums in twice the working precision (Björck, BIT 7 (1967) 257).
func Fit(X [][]float64, y []float64) (*Regression, error) {
	a, scale, err := scaled(X, y)
	if err != nil {
		return nil, err
	}
	n, k := a.Dims()
	var qr mat.QR
	qr.Factorize(a)
	c, residuals := make([]float64, k), make([]float64, n)
	for range 4 {
		if err := refine(&qr, a, y, c, residuals); err != nil {
			return nil, err
		}
	}
	rss := 0.0
	for _, r := range residuals {
		rss += r * r
	}
	fit := &Regression{Residuals: residuals, ResidualSD: math.Sqrt(rss / float64(n-k))}
	fit.R2 = 1 - rss/variation(X, y)
	spread, err := inverseRows(&qr, k)
	if err != nil {
		return nil, err
	}
	for j := range c {
		fit.Coefficients = append(fit.Coefficients, c[j]/scale[j])
		fit.StandardErrors = append(fit.StandardErrors, fit.ResidualSD*spread[j]/scale[j])
	}
	return fit, nil
}

// scaled copies X with its columns brought to a length near 1 by powers of two, which cost no digits; it gives these too.
func scaled(X [][]float64, y []float64) (a *mat.Dense, scale []float64, err error) {
	n := len(X)
	if n != len(y) || n == 0 || len(X[0]) == 0 {
		return nil, nil, fmt.Errorf("a model needs a row of variables for each observation, not %d for %d", n, len(y))
	}
	k := len(X[0])
	if n <= k {
		return nil, nil, fmt.Errorf("a model of %d coefficients needs more than %d observations", k, n)
	}
	a, scale = mat.NewDense(n, k, nil), make([]float64, k)
	for i, row := range X {
		if len(row) != k {
			return nil, nil, fmt.Errorf("row %d of the model has %d variables, the first has %d", i+1, len(row), k)
		}
		a.SetRow(i, row)
	}
	for j := range scale {
		size := mat.Norm(a.ColView(j), 2)
		if !(size > 0) || math.IsInf(size, 0) {
			return nil, nil, fmt.Errorf("column %d of the model has no finite length above 0", j+1)
		}
		_, exponent := math.Frexp(size)
		scale[j] = math.Ldexp(1, exponent)
		for i := range n {
			a.Set(i, j, a.At(i, j)/scale[j])
		}
	}
	return a, scale, nil
}

// refine improves c and the residuals r as a solution of r + a·c = y, aᵀ·r = 0.
func refine(qr *mat.QR, a *mat.Dense, y, c, r []float64) error {
	n, k := a.Dims()
	gap, tilt := make([]float64, n), mat.NewVecDense(k, nil) // y − r − a·c and −aᵀ·r
	for i := range gap {
		var s wide
		s.add(y[i])
		s.add(-r[i])
		for j := range c {
			s.addProduct(-a.At(i, j), c[j])
		}
		gap[i] = s.sum()
	}
	for j := range c {
		var s wide
		for i := range r {
			s.addProduct(-a.At(i, j), r[i])
		}
		tilt.SetVec(j, s.sum())
	}
	var lift, step, moved, rest mat.VecDense
	if err := qr.SolveVecTo(&lift, true, tilt); err != nil {
		return fmt.Errorf("the columns of the model are not independent: %w", err)
	}
	rest.SubVec(mat.NewVecDense(n, gap), &lift)
	if err := qr.SolveVecTo(&step, false, &rest); err != nil {
		return fmt.Errorf("the columns of the model are not independent: %w", err)
	}
	moved.MulVec(a, &step)
	for j := range c {
		c[j] += step.AtVec(j)
	}
	for i := range r {
		r[i] += gap[i] - moved.AtVec(i)
	}
	return nil
}

// wide is a sum in twice the working precision.
type wide struct{ high, low float64 }

func (w *wide) add(x float64) {
	sum := w.high + x
	part := sum - w.high
	w.low += (w.high - (sum - part)) + (x - part)
	w.high = sum
}

func (w *wide) addProduct(a, b float64) {
	p := a * b
	w.add(p)
	w.low += math.FMA(a, b, -p)
}

func (w *wide) sum() float64 { return w.high + w.low }

// variation is the sum of squares of y about its mean when X has a constant column, else about 0.
func variation(X [][]float64, y []float64) float64 {
	centre := 0.0
	if hasConstant(X) {
		centre = average(len(y), func(i int) float64 { return y[i] })
	}
	return addUp(len(y), func(i int) float64 { return (y[i] - centre) * (y[i] - centre) })
}

func hasConstant(X [][]float64) bool {
	for j, v := range X[0] {
		same := v != 0
		for _, row := range X {
			same = same && row[j] == v
		}
		if same {
			return true
		}
	}
	return false
}

// inverseRows gives the lengths of the rows of the inverse of R: the standard errors for a residual deviation of 1.
func inverseRows(qr *mat.QR, k int) ([]float64, error) {
	var r mat.Dense
	qr.RTo(&r)
	upper := mat.NewTriDense(k, mat.Upper, nil)
	for i := range k {
		for j := i; j < k; j++ {
			upper.SetTri(i, j, r.At(i, j))
		}
	}
	var inverse mat.TriDense
	if err := inverse.InverseTri(upper); err != nil {
		return nil, fmt.Errorf("the columns of the model are not independent: %w", err)
	}
	lengths := make([]float64, k)
	for i := range lengths {
		for j := i; j < k; j++ {
			lengths[i] = math.Hypot(lengths[i], inverse.At(i, j))
		}
	}
	return lengths, nil
}
