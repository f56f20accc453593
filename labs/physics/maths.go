package physics

import (
	"fmt"
	"math"

	"keelmark/labs/quantity"
)

// mathematics is the plain mathematics of the formula language.
func mathematics() []*Function {
	fs := []*Function{
		keepDim("abs(x)", "x without its sign", math.Abs),
		onPlain("sin(angle)", "sine", total(math.Sin)),
		onPlain("cos(angle)", "cosine", total(math.Cos)),
		onPlain("tan(angle)", "tangent", total(math.Tan)),
		onPlain("asin(x)", "angle whose sine is x, for -1 to 1", inDomain("asin", math.Asin)),
		onPlain("acos(x)", "angle whose cosine is x, for -1 to 1", inDomain("acos", math.Acos)),
		onPlain("atan(x)", "angle whose tangent is x", total(math.Atan)),
		onPlain("ln(x)", "natural logarithm of a positive number", inDomain("ln", math.Log)),
		onPlain("exp(x)", "e to the power x", total(math.Exp)),
		stepped(onPlain("round(x)", "nearest whole number, halves away from zero", total(math.Round))),
		stepped(onPlain("floor(x)", "largest whole number not above x", total(math.Floor))),
		stepped(onPlain("ceil(x)", "smallest whole number not below x", total(math.Ceil))),
		squareRoot(), arcTangent2(), nearest(),
		reduction("min(x, …)", "smallest of a column or of several numbers", least),
		reduction("max(x, …)", "largest of a column or of several numbers", greatest),
		reduction("mean(x, …)", "arithmetic mean of a column or of several numbers", values.mean),
		counting(),
	}
	sum := reduction("sum(x, …)", "sum of a column or of several numbers", values.sum)
	of := sum.Rule
	sum.Rule = func(args []quantity.Type, names []string) (quantity.Type, error) {
		t, err := of(args, names)
		if err == nil && t.Point {
			err = sum.fault(0, "must not be temperatures on a scale: they do not add up")
		}
		return t, err
	}
	return append(fs, sum)
}

func stepped(f *Function) *Function {
	f.Stepped = true
	return f
}

func total(f func(float64) float64) func(float64) (float64, error) {
	return func(x float64) (float64, error) { return f(x), nil }
}

// inDomain turns NaN and infinity into an error that names the argument.
func inDomain(name string, f func(float64) float64) func(float64) (float64, error) {
	return func(x float64) (float64, error) {
		y := f(x)
		if math.IsNaN(y) || math.IsInf(y, 0) {
			return 0, fmt.Errorf("%s(%.6g) does not exist: %w", name, x, ErrRange)
		}
		return y, nil
	}
}

func onPlain(signature, doc string, f func(float64) (float64, error)) *Function {
	return declare(signature, doc, "").takes(plain, plain).
		gives(func(x []quantity.Value) (float64, error) { return f(x[0].X) })
}

func keepDim(signature, doc string, f func(float64) float64) *Function {
	g := declare(signature, doc, "")
	g.Rule = func(args []quantity.Type, _ []string) (quantity.Type, error) {
		if err := g.arity(len(args)); err != nil {
			return quantity.Type{}, err
		}
		return args[0], g.size(args, 0)
	}
	return g.gives(func(x []quantity.Value) (float64, error) { return f(x[0].X), nil })
}

// size checks that argument i is a number or column and no temperature on a scale, which has no size of its own.
func (f *Function) size(args []quantity.Type, i int) error {
	switch a := args[i]; {
	case a.Kind != quantity.Number && a.Kind != quantity.Column:
		return f.fault(i, "must be a number")
	case a.Point:
		return f.fault(i, "must not be a temperature on a scale")
	}
	return nil
}

// alike checks that argument i has the dimension of argument 0.
func (f *Function) alike(args []quantity.Type, i int) error {
	if args[i].Dim != args[0].Dim || args[i].Point != args[0].Point {
		return f.fault(i, "must be of the same dimension as the first: %w", quantity.ErrDimension)
	}
	return nil
}

func squareRoot() *Function {
	f := declare("sqrt(x)", "square root of a number that is not negative", "")
	f.Rule = func(args []quantity.Type, _ []string) (quantity.Type, error) {
		if err := f.arity(len(args)); err != nil {
			return quantity.Type{}, err
		}
		if err := f.size(args, 0); err != nil {
			return quantity.Type{}, err
		}
		d, err := args[0].Dim.Pow(1, 2)
		return quantity.Type{Kind: args[0].Kind, Dim: d}, err
	}
	root := inDomain("sqrt", math.Sqrt)
	return f.gives(func(x []quantity.Value) (float64, error) { return root(x[0].X) })
}

func arcTangent2() *Function {
	f := declare("atan2(y, x)", "angle of the point (x, y) seen from the origin, -180° to 180°", "")
	f.Rule = f.rule(plain, func(args []quantity.Type, _ []string) error {
		for i := range args {
			if err := f.size(args, i); err != nil {
				return err
			}
		}
		return f.alike(args, 1)
	})
	return f.gives(func(x []quantity.Value) (float64, error) {
		if x[0].X == 0 && x[1].X == 0 {
			return 0, fmt.Errorf("atan2(0, 0) has no direction: %w", ErrRange)
		}
		return math.Atan2(x[0].X, x[1].X), nil
	})
}

func nearest() *Function {
	f := stepped(declare("nearest(x, a, b, …)", "which of a, b, … (1, 2, …) is closest to x in ratio; all positive", ""))
	f.Rule = f.rule(plain, func(args []quantity.Type, _ []string) error {
		for i := range args {
			if err := f.size(args, i); err != nil {
				return err
			}
			if err := f.alike(args, i); err != nil {
				return err
			}
		}
		return nil
	})
	return f.gives(func(x []quantity.Value) (float64, error) {
		best, where := math.Inf(1), 0
		for i := range x {
			if !(x[i].X > 0) {
				return 0, fmt.Errorf("nearest compares ratios: %.6g is not positive: %w", x[i].X, ErrRange)
			}
			if d := math.Abs(math.Log(x[i].X / x[0].X)); i > 0 && d < best {
				best, where = d, i
			}
		}
		return float64(where), nil
	})
}

// reduction is a function of one column or of several numbers of one dimension, which it keeps.
func reduction(signature, doc string, f func(values) float64) *Function {
	g := declare(signature, doc, "")
	g.Rule = func(args []quantity.Type, _ []string) (quantity.Type, error) {
		if err := g.list(args); err != nil {
			return quantity.Type{}, err
		}
		return quantity.Type{Dim: args[0].Dim, Point: args[0].Point}, nil
	}
	g.Call = func(args []quantity.Value) (quantity.Value, error) {
		xs, err := g.values(args)
		if err != nil {
			return quantity.Value{}, err
		}
		return quantity.Value{X: f(xs)}, nil
	}
	return g
}

// list checks for one column, or for several numbers of one dimension.
func (f *Function) list(args []quantity.Type) error {
	if err := f.arity(len(args)); err != nil {
		return err
	}
	for i, a := range args {
		if a.Kind != quantity.Number && (a.Kind != quantity.Column || len(args) > 1) {
			return f.fault(i, "must be one column, or several numbers")
		}
		if err := f.alike(args, i); err != nil {
			return err
		}
	}
	return nil
}

// values are the numbers of a call with one column or several numbers; reading them allocates nothing.
type values struct {
	args []quantity.Value
	col  []float64
}

func (f *Function) values(args []quantity.Value) (values, error) {
	if err := f.arity(len(args)); err != nil {
		return values{}, err
	}
	v := values{args: args}
	if args[0].Col != nil {
		v = values{col: args[0].Col}
	}
	if v.len() == 0 {
		return v, fmt.Errorf("%s of an empty column does not exist", f.Name)
	}
	return v, nil
}

func (v values) len() int { return len(v.args) + len(v.col) }

func (v values) at(i int) float64 {
	if v.col != nil {
		return v.col[i]
	}
	return v.args[i].X
}

func least(v values) float64 {
	x := v.at(0)
	for i := 1; i < v.len(); i++ {
		x = min(x, v.at(i))
	}
	return x
}

func greatest(v values) float64 {
	x := v.at(0)
	for i := 1; i < v.len(); i++ {
		x = max(x, v.at(i))
	}
	return x
}

func (v values) sum() float64  { return addUp(v.len(), v.at) }
func (v values) mean() float64 { return average(v.len(), v.at) }

func addUp(n int, at func(int) float64) float64 {
	var s float64
	for i := range n {
		s += at(i)
	}
	return s
}

// average corrects the plain mean by the mean of the deviations from it, so that large offsets cost no digits.
func average(n int, at func(int) float64) float64 {
	m := addUp(n, at) / float64(n)
	return m + addUp(n, func(i int) float64 { return at(i) - m })/float64(n)
}

func counting() *Function {
	f := stepped(declare("count(x, …)", "how many values a column has, or how many numbers are given", ""))
	f.Rule = func(args []quantity.Type, _ []string) (quantity.Type, error) { return plain.number(), f.list(args) }
	f.Call = func(args []quantity.Value) (quantity.Value, error) {
		xs, err := f.values(args)
		return quantity.Value{X: float64(xs.len())}, err
	}
	return f
}
