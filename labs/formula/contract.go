// Package formula is the formula language: parse, check dimensions, evaluate, perturb, and print as text or as the steps
// of a worked solution. Nothing is evaluated before it is checked, no formula can loop, and no Inf or NaN leaves it.
// Start with [Parse], then [Expr.Check] or [Expr.Compile].
package formula

import (
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// CONTRACT (stubs): the owner replaces every body and splits files as wished.

// Error is a fault in a formula. Col is the 1-based column in characters (runes) of the fault in the source.
type Error struct {
	Src string
	Col int
	Msg string
}

func (e *Error) Error() string { return e.Msg }

// Snippet is the source line with a caret under the fault, two lines, indented by two spaces.
func (e *Error) Snippet() string { panic("contract") }

// Expr is a parsed formula. It is immutable.
type Expr struct{ src string }

// Parse reads a formula. Faults are *Error.
func Parse(src string) (*Expr, error) { panic("contract") }

func (e *Expr) Source() string { return e.src }

// String prints the formula in canonical form; parsing that gives the same tree.
func (e *Expr) String() string { panic("contract") }

// Names returns the free names in order of first use, each once. A dotted call such as current(N.R1), voltage, power,
// potential, and u(NAME), counts as one name spelt just so: "current(N.R1)", "u(rho)". Symbols of functions' own tables and
// pi are not names; g is, unless the formula does not use it. fns is nil for the plain core.
func (e *Expr) Names(fns map[string]*physics.Function) []string { panic("contract") }

// Scope tells the type of a name and the slot of the frame that holds it at run time.
// The caller's scope includes g; pi is the language's own. Names shadow constants and table symbols.
type Scope interface {
	Lookup(name string) (t quantity.Type, slot int, ok bool)
}

// Program is a checked formula ready to run. It is safe for concurrent use.
type Program struct{}

// Compile checks the formula against the scope and functions (nil: the plain core) and returns it ready to run.
// Faults are *Error with a column: unknown names with "did you mean", dimensions ("cannot subtract N - kg"), arguments.
func (e *Expr) Compile(scope Scope, fns map[string]*physics.Function) (*Program, error) {
	panic("contract")
}

// CompilePlain skips dimension rules: plain numbers in coherent SI, as pupils compute mistakes. Unknown names still fail.
func (e *Expr) CompilePlain(scope Scope, fns map[string]*physics.Function) (*Program, error) {
	panic("contract")
}

// Type is the type of the result; a plain program has dimension 1.
func (p *Program) Type() quantity.Type { panic("contract") }

// Stepped reports whether the result comes from a stepped function (preferred, nearest, round …) at its root.
func (p *Program) Stepped() bool { panic("contract") }

// Eval runs the program on a frame of values in coherent SI. It allocates nothing where only numbers are involved. The
// error is from a function outside its range, a division by zero, or a result that is not finite.
func (p *Program) Eval(frame []quantity.Value) (quantity.Value, error) { panic("contract") }

// EvalRounded evaluates with the value of intermediate node i (0 ≤ i < Intermediates) multiplied by 1+rel: what rounding
// one intermediate result can do.
func (p *Program) Intermediates() int { panic("contract") }
func (p *Program) EvalNudged(frame []quantity.Value, i int, rel float64) (quantity.Value, error) {
	panic("contract")
}

// IntermediateValue is the undisturbed value of intermediate i (numbers only; NaN for columns).
func (p *Program) IntermediateValue(frame []quantity.Value, i int) float64 { panic("contract") }

// IsSum reports whether the formula is a sum or difference of names and literals only (the tolerance rule of marking.md).
func (e *Expr) IsSum() bool { panic("contract") }

// Variant is the formula changed in one step, as a slip would change it.
type Variant struct {
	Kind string // see the constants in perturb.go, e.g. "plus-for-minus", "swap-difference", "factor-lost", "factor-twice", "upside-down", "square-forgotten", "root-forgotten", "degrees-as-radians", "g-forgotten", "g-twice", "sign", "other-name", "half", "double", "series-for-parallel"
	Expr *Expr
	At   string // the part changed, canonical text ("d", "g", "Wa - Ww")
	To   string // what took its place where that helps a sentence
}

// Variants returns every one-step change of the formula. same gives for a name the other printed names of the same kind
// (for "other-name").
func (e *Expr) Variants(same func(name string) []string) []Variant { panic("contract") }

// TeX prints the formula in the TeX subset of the press; symbol gives the TeX of a name (nil: the default: rho_w -> \rho_w).
func (e *Expr) TeX(symbol func(name string) string) string { panic("contract") }
