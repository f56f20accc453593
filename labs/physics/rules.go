package physics

import (
	"errors"
	"fmt"
	"strings"

	"keelmark/labs/quantity"
)

// ErrRange is wrapped by every error about an argument outside the range of its formula or table.
var ErrRange = errors.New("outside the range")

// RangeError tells which argument left the range that its source gives.
type RangeError struct {
	What      string  // "water temperature"
	Got       float64 // in Unit
	Low, High float64 // in Unit
	Unit      string  // as printed after the number, "" for a plain number
	Source    string
}

func (e *RangeError) Error() string {
	unit := e.Unit
	if unit != "" && unit != "°" {
		unit = " " + unit
	}
	return fmt.Sprintf("%s %.6g%s is outside %.6g%s to %.6g%s (%s)",
		e.What, e.Got, unit, e.Low, unit, e.High, unit, e.Source)
}

// Unwrap makes errors.Is(err, ErrRange) hold.
func (e *RangeError) Unwrap() error { return ErrRange }

// within checks low <= got <= high, all in unit, forgiving the last bits that a conversion of units may cost.
func within(what string, got, low, high float64, unit, source string) error {
	slack := 1e-9 * max(1, high-low)
	if got >= low-slack && got <= high+slack {
		return nil
	}
	return &RangeError{what, got, low, high, unit, source}
}

// positive refuses zero, negative numbers and NaN; what names the quantity.
func positive(what string, x float64) error {
	if x > 0 {
		return nil
	}
	return fmt.Errorf("%s must be positive, not %.6g: %w", what, x, ErrRange)
}

// notNegative refuses negative numbers and NaN; what names the quantity.
func notNegative(what string, x float64) error {
	if x >= 0 {
		return nil
	}
	return fmt.Errorf("%s must not be negative: %.6g: %w", what, x, ErrRange)
}

// allPositive applies [positive] to several numbers, their names in one text, parted by ", ".
func allPositive(names string, xs ...float64) error {
	for i, x := range xs {
		if !(x > 0) {
			return positive(strings.Split(names, ", ")[i], x)
		}
	}
	return nil
}

// measure is what an argument or a result is: a dimension, and the words an error uses for it.
type measure struct {
	dim   quantity.Dim
	words string
	point bool // a temperature on a scale, in kelvin
}

// The measures of the core's functions.
var (
	plain        = measure{dim: quantity.Dim{}, words: "a plain number"}
	length       = measure{dim: quantity.Base(1), words: "a length (m)"}
	area         = measure{dim: quantity.Base(2), words: "an area (m²)"}
	volume       = measure{dim: quantity.Base(3), words: "a volume (m³)"}
	temperature  = measure{dim: quantity.Base(0, 0, 0, 0, 1), words: "a temperature (°C)", point: true}
	mass         = measure{dim: quantity.Base(0, 1), words: "a mass (kg)"}
	duration     = measure{dim: quantity.Base(0, 0, 1), words: "a time (s)"}
	density      = measure{dim: quantity.Base(-3, 1), words: "a density (kg/m³)"}
	speed        = measure{dim: quantity.Base(1, 0, -1), words: "a speed (m/s)"}
	acceleration = measure{dim: quantity.Base(1, 0, -2), words: "an acceleration (m/s²)"}
	force        = measure{dim: quantity.Base(1, 1, -2), words: "a force (N)"}
	torque       = measure{dim: quantity.Base(2, 1, -2), words: "a torque (N·m)"}
	power        = measure{dim: quantity.Base(2, 1, -3), words: "a power (W)"}
	secondMoment = measure{dim: quantity.Base(4), words: "a second moment of area (m⁴)"}
	frequency    = measure{dim: quantity.Base(0, 0, -1), words: "a number of turns per time (1/s)"}
	viscosity    = measure{dim: quantity.Base(-1, 1, -1), words: "a viscosity (Pa·s)"}
	current      = measure{dim: quantity.Base(0, 0, 0, 1), words: "a current (A)"}
	voltage      = measure{dim: quantity.Base(2, 1, -3, -1), words: "a voltage (V)"}
	resistance   = measure{dim: quantity.Base(2, 1, -3, -2), words: "a resistance (Ω)"}
	resistivity  = measure{dim: quantity.Base(3, 1, -3, -2), words: "a resistivity (Ω·m)"}
	perLength    = measure{dim: quantity.Base(1, 1, -3, -2), words: "a resistance per length (Ω/m)"}
	motorK       = measure{dim: quantity.Base(2, 1, -2, -1), words: "a motor constant (N·m/A or V·s)"}
	propellerK   = measure{dim: quantity.Base(2, 1), words: "a torque coefficient Q/n² (N·m·s²)"}
	pressure     = measure{dim: quantity.Base(-1, 1, -2), words: "a pressure (Pa)"}
)

func (m measure) number() quantity.Type { return quantity.Type{Dim: m.dim, Point: m.point} }

func (m measure) fits(t quantity.Type) bool {
	return (t.Kind == quantity.Number || t.Kind == quantity.Column) && t.Dim == m.dim && t.Point == m.point
}

// called says in an error what a type is.
func called(t quantity.Type) string {
	switch {
	case t.Kind == quantity.Name:
		return "a name"
	case t.Kind == quantity.Bool:
		return "true or false"
	case t.Dim == temperature.dim && !t.Point:
		return "a difference of temperatures"
	case t.Dim == plain.dim:
		return "a plain number"
	default:
		return t.Dim.String()
	}
}

// declare starts a function from its signature: square brackets mark arguments that may be left out, "…" any number more.
func declare(signature, doc, source string) *Function {
	name, list, _ := strings.Cut(strings.TrimSuffix(signature, ")"), "(")
	f := &Function{Name: name, Signature: signature, Doc: doc, Source: source, Symbols: noSymbols}
	for p := range strings.SplitSeq(list, ", ") {
		switch {
		case p == "…":
			f.Most = -1
			return f
		case !strings.HasPrefix(p, "["):
			f.Least++
		}
		f.Most++
	}
	return f
}

func noSymbols(int) bool { return false }

// parameter is the name of argument i in the signature.
func (f *Function) parameter(i int) string {
	_, list, _ := strings.Cut(strings.TrimSuffix(f.Signature, ")"), "(")
	names := strings.Split(list, ", ")
	if i >= len(names) || names[i] == "…" {
		return fmt.Sprintf("number %d", i+1)
	}
	return strings.Trim(names[i], "[]")
}

// fault is an error about argument i.
func (f *Function) fault(i int, format string, a ...any) error {
	return fmt.Errorf("%s: argument %s "+format, append([]any{f.Signature, f.parameter(i)}, a...)...)
}

// arity checks the number of arguments.
func (f *Function) arity(n int) error {
	switch {
	case n >= f.Least && (f.Most < 0 || n <= f.Most):
		return nil
	case f.Most < 0:
		return fmt.Errorf("%s takes at least %d arguments, not %d", f.Signature, f.Least, n)
	case f.Most == 1:
		return fmt.Errorf("%s takes 1 argument, not %d", f.Signature, n)
	case f.Least == f.Most:
		return fmt.Errorf("%s takes %d arguments, not %d", f.Signature, f.Least, n)
	default:
		return fmt.Errorf("%s takes %d to %d arguments, not %d", f.Signature, f.Least, f.Most, n)
	}
}

// rule checks the number of arguments, then check, and gives the fixed result; a column among the arguments makes it a
// column.
func (f *Function) rule(result measure, check func([]quantity.Type, []string) error) func([]quantity.Type, []string) (quantity.Type, error) {
	return func(args []quantity.Type, names []string) (quantity.Type, error) {
		if err := f.arity(len(args)); err != nil {
			return quantity.Type{}, err
		}
		if err := check(args, names); err != nil {
			return quantity.Type{}, err
		}
		t := result.number()
		t.Kind = kindOf(args)
		return t, nil
	}
}

// kindOf is Column when any argument is one.
func kindOf(args []quantity.Type) quantity.Kind {
	for _, a := range args {
		if a.Kind == quantity.Column {
			return quantity.Column
		}
	}
	return quantity.Number
}

// takes sets the rule of a function whose arguments have fixed measures.
func (f *Function) takes(result measure, params ...measure) *Function {
	f.Rule = f.rule(result, func(args []quantity.Type, _ []string) error {
		for i, a := range args {
			if !params[i].fits(a) {
				return f.fault(i, "must be %s, not %s", params[i].words, called(a))
			}
		}
		return nil
	})
	return f
}

// scalar is the body of a function on numbers; the arguments' X are set.
type scalar func(x []quantity.Value) (float64, error)

// gives sets the body; columns among the arguments are walked element by element, numbers and names repeated.
func (f *Function) gives(body scalar) *Function {
	f.Call = func(args []quantity.Value) (quantity.Value, error) {
		if err := f.arity(len(args)); err != nil {
			return quantity.Value{}, err
		}
		n := -1
		for i := range args {
			if args[i].Col == nil {
				continue
			}
			if n >= 0 && len(args[i].Col) != n {
				return quantity.Value{}, fmt.Errorf("%s: columns of %d and %d values do not go together", f.Signature, n, len(args[i].Col))
			}
			n = len(args[i].Col)
		}
		if n < 0 {
			x, err := body(args)
			return quantity.Value{X: x}, err
		}
		return walk(body, args, n)
	}
	return f
}

func walk(body scalar, args []quantity.Value, n int) (quantity.Value, error) {
	row, out := make([]quantity.Value, len(args)), make([]float64, n)
	for k := range out {
		for i, a := range args {
			row[i] = a
			if a.Col != nil {
				row[i] = quantity.Value{X: a.Col[k]}
			}
		}
		x, err := body(row)
		if err != nil {
			return quantity.Value{}, fmt.Errorf("element %d: %w", k+1, err)
		}
		out[k] = x
	}
	return quantity.Value{Col: out}, nil
}

// unknownSymbol names what the table holds.
func unknownSymbol(function, name string, known []string) error {
	return fmt.Errorf("%s has no %q: it knows %s", function, name, strings.Join(known, " "))
}
