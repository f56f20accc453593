package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"keelmark/labs/formula"
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

type calcOptions struct {
	in      string
	data    string
	network string
	gravity gravityFlags
	json    bool
}

func newCalc(std streams) *cobra.Command {
	var opt calcOptions
	cmd := &cobra.Command{
		Use:   "calc FORMULA [name=value]...",
		Short: "The physics core as a bench calculator",
		Long: `Evaluates a formula of the lab language; dimensions are checked first. A value is a number with a unit, a column such
as '[0.5, 1.0, 1.5] N', or a name such as brass. --data brings the columns of
a CSV file, whose headers read load/N; --network brings a netlist, for current(R1), voltage(R1), power(R1), potential(a).
What speaks against a straight line (points that bend, one that lies far off, one that the line hangs on) is told beside
the result of a fit.`,
		Example: `  keelmark calc 'rho*g*V' rho='1000 kg/m^3' V='90 cm^3' --in N
  keelmark calc 'water_density(T)' T='12.5 degC'
  keelmark calc 'slope(x, y)' x='[0, 1, 2] N' y='[0, 2.1, 3.9] cm' --in cm/N`,
		Args: arguments(cobra.MinimumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			g, err := opt.gravity.value(cmd)
			if err != nil {
				return err
			}
			return runCalc(std, newBench(g), args[0], args[1:], opt)
		},
	}
	cmd.SetFlagErrorFunc(flagFaults("; a formula that begins with a minus sign goes after --"))
	f := cmd.Flags()
	f.StringVar(&opt.in, "in", "", "the unit to show the result in; 1 for a bare number")
	f.StringVar(&opt.data, "data", "", "a CSV file of columns, headers such as load/N")
	f.StringVar(&opt.network, "network", "", "a file with a netlist, a line an element: R1: resistor a b 47 ohm")
	opt.gravity.add(cmd)
	f.BoolVar(&opt.json, "json", false, "print JSON")
	return cmd
}

// bench is the scope of calc: names with their types, and a frame that holds their values.
type bench struct {
	slots map[string]int
	types []quantity.Type
	frame []quantity.Value

	kelvins []int // slots of temperatures given in K

	functions map[string]*physics.Function // those of the core, which note what speaks against their use
	doubts    []string
}

func newBench(gravity float64) *bench {
	b := &bench{slots: map[string]int{}, functions: maps.Clone(physics.Functions())}
	for name, f := range b.functions {
		if f.Doubts != nil {
			doubtful := *f
			doubtful.Call = func(args []quantity.Value) (quantity.Value, error) {
				for _, doubt := range f.Doubts(args) {
					if !slices.Contains(b.doubts, doubt) {
						b.doubts = append(b.doubts, doubt)
					}
				}
				return f.Call(args)
			}
			b.functions[name] = &doubtful
		}
	}
	b.set("g", quantity.Type{Dim: quantity.Base(1, 0, -2)}, quantity.Value{X: gravity})
	return b
}

func (b *bench) Lookup(name string) (quantity.Type, int, bool) {
	slot, ok := b.slots[name]
	if !ok {
		return quantity.Type{}, 0, false
	}
	return b.types[slot], slot, true
}

// Names lists what may have been meant where a name is unknown.
func (b *bench) Names() []string { return slices.Sorted(maps.Keys(b.slots)) }

func (b *bench) set(name string, t quantity.Type, v quantity.Value) {
	b.slots[name] = len(b.frame)
	b.types = append(b.types, t)
	b.frame = append(b.frame, v)
}

// eval checks a formula in a scope and evaluates it. A fault in the formula is wrong use; a value outside a function's
// range is a thing that could not be done.
func (b *bench) eval(where, src string, scope formula.Scope) (quantity.Type, quantity.Value, error) {
	fail := func(err error) (quantity.Type, quantity.Value, error) { return quantity.Type{}, quantity.Value{}, err }
	e, err := formula.Parse(src)
	if err != nil {
		return fail(formulaFault(where, err))
	}
	p, err := b.compile(e, scope)
	if err != nil {
		return fail(formulaFault(where, err))
	}
	v, err := p.Eval(b.frame)
	if err != nil {
		return fail(fmt.Errorf("%s%w", where, err))
	}
	return p.Type(), v, nil
}

func formulaFault(where string, err error) error {
	var fault *formula.Error
	if errors.As(err, &fault) {
		return usagef("%s%w\n%s", where, err, fault.Snippet())
	}
	return usagef("%s%w", where, err)
}

func runCalc(std streams, b *bench, src string, assignments []string, opt calcOptions) error {
	if opt.data != "" {
		if err := b.readData(opt.data); err != nil {
			return err
		}
	}
	given := map[string]bool{}
	for _, a := range assignments {
		name, err := b.assign(a)
		if err == nil && given[name] {
			err = usagef("%s: %s has a value already", a, name)
		}
		if err != nil {
			return err
		}
		given[name] = true
	}
	if opt.network != "" {
		if err := b.readNetwork(opt.network); err != nil {
			return err
		}
	}
	t, v, err := b.eval("", src, b)
	if err != nil {
		return err
	}
	for _, doubt := range b.doubts {
		fmt.Fprintln(std.err, doubt)
	}
	return printResult(std.out, t, v, b.inKelvin(src), opt)
}

// assign sets name=value from the command line and returns the name.
func (b *bench) assign(assignment string) (name string, err error) {
	name, src, ok := strings.Cut(assignment, "=")
	name = strings.TrimSpace(name)
	if !ok || name == "" {
		return "", usagef("%q is not of the form name=value, such as V='90 cm^3'", assignment)
	}
	if !formula.IsName(name) {
		return "", usagef("%q cannot be a name: use letters, digits and _, starting with a letter", name)
	}
	if symbol := strings.TrimSpace(src); formula.IsName(symbol) && symbol != "pi" { // a material, a series
		b.set(name, quantity.Type{Kind: quantity.Name}, quantity.Value{Name: symbol})
		return name, nil
	}
	t, v, err := b.eval(name+": ", src, formula.NoNames{})
	if err != nil {
		return "", err
	}
	if b.inKelvin(src) {
		b.kelvins = append(b.kelvins, len(b.frame))
	}
	b.set(name, t, v)
	return name, nil
}

// inKelvin reports whether a formula is no more than a temperature in K, or the name of one. Such a temperature serves as
// a difference and as a point on a scale.
func (b *bench) inKelvin(src string) bool {
	if slot, ok := b.slots[strings.TrimSpace(src)]; ok {
		return slices.Contains(b.kelvins, slot)
	}
	e, err := formula.Parse(src)
	if err != nil {
		return false
	}
	_, unit, literal := e.Literal()
	return literal && unit.Dim == quantity.Base(0, 0, 0, 0, 1) && unit.Offset == 0
}

// compile checks a formula with temperatures in K as differences, and where that does not do as points.
func (b *bench) compile(e *formula.Expr, scope formula.Scope) (*formula.Program, error) {
	p, err := e.Compile(scope, b.functions)
	if err == nil || len(b.kelvins) == 0 {
		return p, err
	}
	b.asPoints(true)
	if p, fault := e.Compile(scope, b.functions); fault == nil {
		return p, nil
	}
	b.asPoints(false)
	return nil, err
}

func (b *bench) asPoints(points bool) {
	for _, slot := range b.kelvins {
		b.types[slot].Point = points
	}
}

// resultJSON is what calc --json prints; value is a number, a list of numbers, true or false, or a name.
type resultJSON struct {
	Value any    `json:"value"`
	Unit  string `json:"unit"`
}

// printResult prints a result; kelvins marks a temperature in K, which on a scale such as °C is a point.
func printResult(w io.Writer, t quantity.Type, v quantity.Value, kelvins bool, opt calcOptions) error {
	r := resultJSON{Unit: t.Dim.String()}
	convert := func(x float64) float64 { return x }
	if opt.in != "" {
		unit, err := unitFlag("in", opt.in)
		if err != nil {
			return err
		}
		if unit.Dim != t.Dim || t.Kind == quantity.Name || t.Kind == quantity.Bool {
			return usagef("--in %s: the result is in %s", opt.in, t.Dim)
		}
		r.Unit = opt.in
		convert = unit.From
		if !t.Point && !(kelvins && unit.Offset != 0) {
			convert = unit.FromSpan
		}
	}
	switch t.Kind {
	case quantity.Number:
		r.Value = convert(v.X)
	case quantity.Column:
		column := make([]float64, len(v.Col))
		for i, x := range v.Col {
			column[i] = convert(x)
		}
		r.Value = column
	case quantity.Bool:
		r.Value = v.X != 0
	case quantity.Name:
		r.Value = v.Name
	}
	if opt.json {
		return printJSON(w, r)
	}
	_, err := fmt.Fprintln(w, resultText(r))
	return err
}

func resultText(r resultJSON) string {
	switch v := r.Value.(type) {
	case float64:
		return amountText(v, resultFigures, r.Unit)
	case []float64:
		texts := make([]string, len(v))
		for i, x := range v {
			texts[i] = amountText(x, resultFigures, "1")
		}
		return strings.TrimSuffix("["+strings.Join(texts, ", ")+"] "+r.Unit, " 1")
	default:
		return fmt.Sprint(v)
	}
}

// How many figures people are shown: of a result more than any instrument shows, and too few for the noise of binary
// arithmetic, which subtraction makes larger; of what somebody wrote all that a number can hold. JSON has all of them.
const (
	resultFigures  = 10
	writtenFigures = 15
)

// amountText writes a number to so many figures, and its unit.
func amountText(x float64, figures int, unit string) string {
	s := strconv.FormatFloat(x, 'g', figures, 64)
	if unit != "1" && unit != "" {
		s += " " + unit
	}
	return s
}
