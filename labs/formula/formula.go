// Package formula is the formula language of the labs: parse, check dimensions, evaluate, perturb, and print as text or
// as the steps of a worked solution. It promises that nothing is evaluated before it is checked, that a checked formula
// never fails on dimensions, that no formula can loop, and that no Inf or NaN leaves it. It knows no units and no
// physics of its own: those are the affair of packages quantity and physics. Start with [Parse], then [Expr.Compile].
//
// # The language
//
//   - Numbers with a unit: 9.81 m/s^2, -5 degC, 30 %. A unit follows a number or a column only, and runs to the next space,
//     comma or bracket.
//   - Columns: [1, 2, 3], [0, 1, 2] cm, [a, b, 2*a]. Operators act on them element by element.
//   - Names of letters (Latin and Greek), digits and _. pi is the language's own; everything else comes from a [Scope].
//   - From loose to tight: ||, &&, comparisons (chains such as 1 N < F <= 5 N point one way), + -, * /, sign and !, ^.
//     A power binds tighter than a sign, and to the right: -2^2 is -4, 2^3^2 is 512.
//   - if(condition, a, b) evaluates only the branch it takes; so do && and ||.
//   - current(N.R1), voltage, power, potential and u(rho) are names spelt like calls, looked up whole in the scope.
//
// A bare 0 fits any dimension where it is compared (Ww > 0), and nowhere else. Two numbers count as equal when they differ
// by no more than binary rounding can do (1e-12 of the larger); all comparisons follow that.
//
// A temperature in degC is a point on a scale; point - point is a difference, point ± difference a point, and two points do
// not add. A literal in K is a difference, but serves as a point where only a point will do.
package formula

import (
	"fmt"
	"strings"

	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// Bounds on what is accepted, so that hostile input is refused and not suffered.
const (
	maxLength   = 2048 // characters of source
	maxDepth    = 100  // nesting of brackets, signs and powers
	maxExponent = 64   // of a power: its numerator and its denominator
)

// Error is a fault in a formula, found when parsing, checking or evaluating it.
type Error struct {
	Src string // the formula
	Col int    // 1-based column of the fault, in characters (runes)
	Msg string
	Err error // the cause where another package found it, else nil
}

func (e *Error) Error() string { return e.Msg }

// Unwrap returns the cause, if another package found the fault.
func (e *Error) Unwrap() error { return e.Err }

// Snippet is the source with a caret under the fault: see [Snippet].
func (e *Error) Snippet() string { return Snippet(e.Src, e.Col) }

// shown is how many characters of a line a snippet shows on either side of its caret, at least.
const shown = 60

// Snippet is a line with a caret under a column, counted from 1 in characters: two lines, each indented by two spaces. Of a
// long line it shows what is near the caret.
func Snippet(line string, col int) string {
	runes := []rune(line)
	for i, r := range runes {
		if r < ' ' { // tabs and line ends would part the caret from its place
			runes[i] = ' '
		}
	}
	at, before, after := col-1, "", ""
	if len(runes) > 2*shown && at+shown < len(runes) {
		runes, after = runes[:max(at, shown)+shown], "…"
	}
	if from := min(at, len(runes)-shown) - shown; from > 0 {
		runes, at, before = runes[from:], at-from+1, "…"
	}
	return "  " + before + string(runes) + after + "\n  " + strings.Repeat(" ", at) + "^"
}

// Scope tells the type of a name and the slot of the frame that holds it at run time. It holds g; pi is the language's
// own. A name in the scope shadows pi and the functions' table symbols of kind name. A Scope that also has Names() []string
// lets errors suggest what may have been meant.
type Scope interface {
	Lookup(name string) (t quantity.Type, slot int, ok bool)
}

// NoNames is the scope of a value given by itself, as 1000 kg/m^3 is: no unit in it can be mistaken for a name.
type NoNames struct{}

// Lookup knows no name.
func (NoNames) Lookup(string) (t quantity.Type, slot int, ok bool) { return t, 0, false }

// Expr is a parsed formula. It is immutable and safe for concurrent use.
type Expr struct {
	src  string
	root *node
}

// Source is the formula as it was written.
func (e *Expr) Source() string { return e.src }

// Names returns the free names in order of first use, each once. A name spelt like a call counts as one, without
// spaces: "current(N.R1)", "u(rho)". pi is left out; g is a name like any other. Where a function takes a symbol of its
// own table (density(brass)) only the scope can tell a symbol from a value, so bare names there are listed as well: a
// caller that looks for dependencies passes over those it has not declared.
func (e *Expr) Names() []string {
	var names []string
	seen := map[string]bool{"pi": true}
	e.root.walk(func(n *node) {
		if n.op == name && !seen[n.text] {
			seen[n.text] = true
			names = append(names, n.text)
		}
	})
	return names
}

// IsSum reports whether the formula only adds and subtracts names and numbers: Wa - Ww, or a single name.
func (e *Expr) IsSum() bool {
	sum := true
	e.root.walk(func(n *node) {
		switch n.op {
		case literal, name, negate, add, sub:
		default:
			sum = false
		}
	})
	return sum
}

// Steps is how many names, numbers and operations the formula is made of; a column of bare numbers counts once.
func (e *Expr) Steps() int { return e.root.steps() }

// Literal gives the numbers of a formula that is nothing but a literal, such as 15 deg or [0, 1] cm, in the unit they are
// written with. ok is false for everything else.
func (e *Expr) Literal() (numbers []float64, unit quantity.Unit, ok bool) {
	switch e.root.op {
	case literal:
		return []float64{e.root.x}, e.root.unit, true
	case column:
		for _, n := range e.root.args {
			if !n.bare() {
				return nil, quantity.Unit{}, false
			}
			numbers = append(numbers, n.x)
		}
		return numbers, e.root.unit, true
	}
	return nil, quantity.Unit{}, false
}

// functions returns fns, or the plain core for nil.
func functions(fns map[string]*physics.Function) map[string]*physics.Function {
	if fns == nil {
		return physics.Functions()
	}
	return fns
}

// op is what a node of the tree does.
type op uint8

const (
	literal op = iota // a number, perhaps with a unit
	column            // [a, b, c], perhaps with a unit
	name              // a value of the scope, or pi
	call              // f(a, b)
	choose            // if(condition, a, b)
	negate
	not
	add
	sub
	mul
	div
	pow
	compare // a chain: one sign fewer than arguments
	and
	or
)

// node is one node of the tree. Nodes are never changed once parsed, so variants of a formula share what they have in
// common.
type node struct {
	op    op
	text  string        // literal: the number as written; name and call: the name
	x     float64       // literal: the number, in unit
	unit  quantity.Unit // literal and column
	suf   string        // the unit as written, "" for none
	signs []string      // compare: < <= > >= == !=
	args  []*node
	col   int // where an error about this node points: an operator's sign, a call's name
}

// walk visits n and everything below it, in the order written.
func (n *node) walk(visit func(*node)) {
	visit(n)
	for _, a := range n.args {
		a.walk(visit)
	}
}

func (n *node) steps() int {
	total := 1
	for _, a := range n.args {
		if n.op != column || !a.bare() {
			total += a.steps()
		}
	}
	return total
}

// bare reports whether n is a number without a unit.
func (n *node) bare() bool { return n.op == literal && n.suf == "" }

func errorf(src string, col int, format string, args ...any) *Error {
	return &Error{Src: src, Col: col, Msg: fmt.Sprintf(format, args...)}
}
