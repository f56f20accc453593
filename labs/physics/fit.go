package physics

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"keelmark/labs/quantity"
)

// LineFit is a straight line y = Slope·x + Intercept fitted by least squares, with its standard uncertainties, the standard
// deviation of the residuals (n − 2 degrees of freedom) and what speaks against a straight line.
type LineFit struct {
	Slope, Intercept, SlopeU, InterceptU, ResidSD, R2 float64
	N                                                 int
	Warnings                                          []string
}

// FitLine fits a straight line to three points or more. The sums are taken about the means, so that a large offset costs
// no digits. It warns where a quadratic term would have p < 0.01, where an externally studentized residual exceeds 3.5,
// and where a leverage exceeds 0.9 (Anscombe, Am. Stat. 27 (1973) 17, shows why).
func FitLine(x, y []float64) (LineFit, error) {
	if len(x) < 3 {
		return LineFit{}, fmt.Errorf("a line with its uncertainties needs at least 3 points, not %d", len(x))
	}
	s, err := centre(x, y)
	if err != nil {
		return LineFit{}, err
	}
	f := s.line()
	f.Warnings = s.warnings(f)
	return f, nil
}

// sums are the sums of squares and products about the means.
type sums struct {
	x, y          []float64
	meanX, meanY  float64
	sxx, sxy, syy float64
}

func centre(x, y []float64) (sums, error) {
	s := sums{x: x, y: y}
	switch {
	case len(x) != len(y):
		return s, fmt.Errorf("a fit needs as many y as x, not %d and %d", len(y), len(x))
	case len(x) < 2:
		return s, fmt.Errorf("a line needs at least 2 points, not %d", len(x))
	}
	n := len(x)
	s.meanX = average(n, func(i int) float64 { return x[i] })
	s.meanY = average(n, func(i int) float64 { return y[i] })
	for i := range x {
		dx, dy := x[i]-s.meanX, y[i]-s.meanY
		s.sxx += dx * dx
		s.sxy += dx * dy
		s.syy += dy * dy
	}
	if !(s.sxx > 0) {
		return s, fmt.Errorf("a line needs two different x: all of them are %.6g", x[0])
	}
	return s, nil
}

func (s *sums) slope() float64 { return s.sxy / s.sxx }

func (s *sums) residual(i int, slope float64) float64 {
	return s.y[i] - s.meanY - slope*(s.x[i]-s.meanX)
}

func (s *sums) line() LineFit {
	n := len(s.x)
	b := s.slope()
	rss := addUp(n, func(i int) float64 { r := s.residual(i, b); return r * r })
	f := LineFit{Slope: b, Intercept: s.meanY - b*s.meanX, N: n, R2: 1}
	f.ResidSD = math.Sqrt(rss / float64(n-2))
	f.SlopeU = f.ResidSD / math.Sqrt(s.sxx)
	f.InterceptU = f.ResidSD * math.Sqrt(1/float64(n)+s.meanX*s.meanX/s.sxx)
	if s.syy > 0 {
		f.R2 = 1 - rss/s.syy
	}
	return f
}

// The limits beyond which a fit is flagged.
const (
	quadraticP     = 0.01
	largestStudent = 3.5
	largestLever   = 0.9
)

func (s *sums) warnings(f LineFit) []string {
	n := len(s.x)
	var out []string
	if f.ResidSD <= 1e-12*(math.Sqrt(s.syy)+math.Abs(s.meanY)) {
		return nil // nothing but rounding is left to judge
	}
	if p, ok := s.quadratic(); ok && p < quadraticP {
		out = append(out, fmt.Sprintf("quadratic: the points bend, a quadratic term has p = %.2g", p))
	}
	for i := range s.x {
		d := s.x[i] - s.meanX
		lever := 1/float64(n) + d*d/s.sxx
		if lever > largestLever {
			out = append(out, fmt.Sprintf("leverage: the line hangs on point %d alone (leverage %.2f)", i+1, lever))
			continue
		}
		r := s.residual(i, f.Slope) / (f.ResidSD * math.Sqrt(1-lever))
		if t := math.Abs(r) * math.Sqrt(float64(n-3)/(float64(n-2)-r*r)); n > 3 && (t > largestStudent || r*r >= float64(n-2)) {
			out = append(out, fmt.Sprintf("outlier: point %d lies far off the line of the others (studentized residual %.3g)", i+1, t))
		}
	}
	return out
}

// quadratic gives the p value of a quadratic term; ok is false where the points cannot show one.
func (s *sums) quadratic() (p float64, ok bool) {
	n := len(s.x)
	spread := math.Sqrt(s.sxx / float64(n))
	rows := make([][]float64, n)
	distinct := map[float64]bool{}
	for i := range rows {
		z := (s.x[i] - s.meanX) / spread
		rows[i] = []float64{1, z, z * z}
		distinct[s.x[i]] = true
	}
	if n < 4 || len(distinct) < 3 {
		return 0, false
	}
	fit, err := Fit(rows, s.y)
	if err != nil {
		return 0, false
	}
	t := math.Abs(fit.Coefficients[2]) / fit.StandardErrors[2]
	return 2 * distuv.StudentsT{Sigma: 1, Nu: float64(n - 3)}.Survival(t), true
}

// FitOrigin fits y = slope·x through the origin to two points or more and gives the standard uncertainty of the slope.
func FitOrigin(x, y []float64) (slope, u float64, err error) {
	if len(x) != len(y) || len(x) < 2 {
		return 0, 0, fmt.Errorf("a line through the origin needs as many y as x, 2 or more, not %d and %d", len(y), len(x))
	}
	var sxx, sxy, rss float64
	for i := range x {
		sxx += x[i] * x[i]
		sxy += x[i] * y[i]
	}
	if !(sxx > 0) {
		return 0, 0, fmt.Errorf("a line through the origin needs an x that is not 0")
	}
	slope = sxy / sxx
	for i := range x {
		r := y[i] - slope*x[i]
		rss += r * r
	}
	return slope, math.Sqrt(rss/float64(len(x)-1)) / math.Sqrt(sxx), nil
}

// MeanSD returns the mean of two or more readings and their standard deviation (n − 1), in two passes.
func MeanSD(xs []float64) (mean, sd float64, err error) {
	n := len(xs)
	if n < 2 {
		return 0, 0, fmt.Errorf("a standard deviation needs at least 2 values, not %d", n)
	}
	mean = average(n, func(i int) float64 { return xs[i] })
	ss := addUp(n, func(i int) float64 { return (xs[i] - mean) * (xs[i] - mean) })
	return mean, math.Sqrt(ss / float64(n-1)), nil
}

const leastSquares = "least squares about the means"

func fits() []*Function {
	of := func(signature, doc string, result func(x, y quantity.Type) (quantity.Type, error), f func(x, y []float64) (float64, error)) *Function {
		return pair(declare(signature, doc, leastSquares), result, f)
	}
	line := func(f *Function) *Function {
		f.Doubts = straightness
		return f
	}
	fromLine := func(get func(LineFit) float64) func(x, y []float64) (float64, error) {
		return func(x, y []float64) (float64, error) {
			if len(x) < 3 {
				return 0, fmt.Errorf("at least 3 points are needed, not %d", len(x))
			}
			s, err := centre(x, y)
			if err != nil {
				return 0, err
			}
			return get(s.line()), nil
		}
	}
	return []*Function{
		line(of("slope(x, y)", "slope of the straight line through the points, 2 or more", ratioType, func(x, y []float64) (float64, error) {
			s, err := centre(x, y)
			return s.slope(), err
		})),
		line(of("intercept(x, y)", "where the straight line through the points meets x = 0, 2 points or more", yType, func(x, y []float64) (float64, error) {
			s, err := centre(x, y)
			return s.meanY - s.slope()*s.meanX, err
		})),
		line(of("slope_u(x, y)", "standard uncertainty of the slope, 3 points or more", ratioType, fromLine(func(f LineFit) float64 { return f.SlopeU }))),
		line(of("intercept_u(x, y)", "standard uncertainty of the intercept, 3 points or more", ySpanType, fromLine(func(f LineFit) float64 { return f.InterceptU }))),
		line(of("r2(x, y)", "share of the variance of y that the line explains, 3 points or more", plainType, fromLine(func(f LineFit) float64 { return f.R2 }))),
		line(of("resid_sd(x, y)", "standard deviation of y about the line (n - 2), 3 points or more", ySpanType, fromLine(func(f LineFit) float64 { return f.ResidSD }))),
		of("slope0(x, y)", "slope of the line through the origin, 2 points or more", ratioType, func(x, y []float64) (float64, error) {
			b, _, err := FitOrigin(x, y)
			return b, err
		}),
		of("slope0_u(x, y)", "standard uncertainty of the slope through the origin, 2 points or more", ratioType, func(x, y []float64) (float64, error) {
			_, u, err := FitOrigin(x, y)
			return u, err
		}),
		spread("sd(x, …)", "standard deviation (n - 1) of a column or of several numbers",
			func(sd float64, _ int) float64 { return sd }),
		spread("sem(x, …)", "standard deviation of the mean, sd/sqrt(n), of a column or of several numbers",
			func(sd float64, n int) float64 { return sd / math.Sqrt(float64(n)) }),
	}
}

// straightness is what speaks against a straight line through two columns.
func straightness(args []quantity.Value) []string {
	f, err := FitLine(args[0].Col, args[1].Col)
	if err != nil {
		return nil // two points, which any line fits
	}
	return f.Warnings
}

func plainType(_, _ quantity.Type) (quantity.Type, error) { return quantity.Type{}, nil }
func yType(_, y quantity.Type) (quantity.Type, error) {
	return quantity.Type{Dim: y.Dim, Point: y.Point}, nil
}
func ySpanType(_, y quantity.Type) (quantity.Type, error) { return quantity.Type{Dim: y.Dim}, nil }
func ratioType(x, y quantity.Type) (quantity.Type, error) {
	d, err := y.Dim.Div(x.Dim)
	return quantity.Type{Dim: d}, err
}

// pair sets rule and body of a function of two columns.
func pair(f *Function, result func(x, y quantity.Type) (quantity.Type, error), body func(x, y []float64) (float64, error)) *Function {
	f.Rule = func(args []quantity.Type, _ []string) (quantity.Type, error) {
		if err := f.arity(len(args)); err != nil {
			return quantity.Type{}, err
		}
		for i, a := range args {
			if a.Kind != quantity.Column {
				return quantity.Type{}, f.fault(i, "must be a column")
			}
		}
		return result(args[0], args[1])
	}
	f.Call = func(args []quantity.Value) (quantity.Value, error) {
		if err := f.arity(len(args)); err != nil {
			return quantity.Value{}, err
		}
		v, err := body(args[0].Col, args[1].Col)
		if err != nil {
			return quantity.Value{}, fmt.Errorf("%s: %w", f.Signature, err)
		}
		return quantity.Value{X: v}, nil
	}
	return f
}

// spread is a function of the standard deviation of its values and their number.
func spread(signature, doc string, of func(sd float64, n int) float64) *Function {
	f := declare(signature, doc, "JCGM 100:2008 4.2")
	f.Rule = func(args []quantity.Type, _ []string) (quantity.Type, error) {
		if err := f.list(args); err != nil {
			return quantity.Type{}, err
		}
		return quantity.Type{Dim: args[0].Dim}, nil
	}
	f.Call = func(args []quantity.Value) (quantity.Value, error) {
		v, err := f.values(args)
		if err != nil {
			return quantity.Value{}, err
		}
		xs := make([]float64, v.len())
		for i := range xs {
			xs[i] = v.at(i)
		}
		_, sd, err := MeanSD(xs)
		return quantity.Value{X: of(sd, len(xs))}, err
	}
	return f
}
