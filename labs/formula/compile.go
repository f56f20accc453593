package formula

import (
	"math"
	"sync"

	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// Compile checks the formula against the scope and functions (nil: the plain core) and returns it ready to run.
// Faults are *Error: unknown names with a suggestion, dimensions ("cannot subtract N - kg"), arguments.
func (e *Expr) Compile(scope Scope, fns map[string]*physics.Function) (*Program, error) {
	return e.compile(scope, fns, false)
}

// CompilePlain compiles without the rules of dimensions: everything is a plain number in coherent SI units, as in a
// pupil's mistake that subtracts kilograms from newtons. Unknown names, wrong kinds of arguments and the like still fail.
func (e *Expr) CompilePlain(scope Scope, fns map[string]*physics.Function) (*Program, error) {
	return e.compile(scope, fns, true)
}

func (e *Expr) compile(scope Scope, fns map[string]*physics.Function, plain bool) (*Program, error) {
	c := &compiler{
		scope: scope,
		fns:   functions(fns),
		plain: plain,
		prog:  &Program{src: e.src, stepped: stepped(e.root, functions(fns))},
	}
	t := c.node(e.root)
	if c.err != nil {
		return nil, c.err
	}
	p := c.prog
	if n := len(p.nudges); n > 0 && p.nudges[n-1] == len(p.code)-1 {
		p.nudges = p.nudges[:n-1] // the result itself is no intermediate one
	}
	if plain {
		t = quantity.Type{Kind: t.Kind}
	}
	p.typ = t
	size := c.deepest
	p.machines.New = func() any { return &machine{stack: make([]quantity.Value, size)} }
	return p, nil
}

// stepped reports whether the result comes from a stepped function, bar a choice, a sign or a constant factor.
func stepped(n *node, fns map[string]*physics.Function) bool {
	switch n.op {
	case call:
		f := fns[n.text]
		return f != nil && f.Stepped
	case choose:
		return stepped(n.args[1], fns) && stepped(n.args[2], fns)
	case negate:
		return stepped(n.args[0], fns)
	case mul, div:
		return stepped(n.args[0], fns) && n.args[1].op == literal || stepped(n.args[1], fns) && n.args[0].op == literal
	}
	return false
}

// Program is a checked formula ready to run. It is safe for concurrent use.
type Program struct {
	src      string
	typ      quantity.Type
	stepped  bool
	code     []instr
	consts   []quantity.Value
	chains   [][]string
	calls    []*physics.Function
	nudges   []int     // the instructions that give intermediate results
	machines sync.Pool // of *machine
}

// Type is the type of the result; that of a plain program has no dimension.
func (p *Program) Type() quantity.Type { return p.typ }

// Stepped reports whether the result comes from a stepped function (preferred, nearest, round …), so that it must be
// matched exactly.
func (p *Program) Stepped() bool { return p.stepped }

// instr is one step of a program for a stack machine: it takes its arguments from the top of the stack and leaves its
// result there.
type instr struct {
	code code
	cols uint8 // elementwise: 1 when the left argument is a column, 2 when the right one is, 3 both
	argc int32
	n    int32 // an index into consts, chains or calls; a slot of the frame; a place to jump to; a code
	col  int32 // for errors
}

type code uint8

const (
	codeConst code = iota
	codeLoad       // a value of the frame
	codeAdd
	codeSub
	codeMul
	codeDiv
	codePow
	codeSquare
	codeNegate
	codeNot
	codeElementwise // an operator, its code in n, with a column on either side
	codeColumn      // argc numbers become a column
	codeCall
	codeCompare
	codeJump
	codeJumpFalse // takes the condition
	codeAnd       // keeps a false condition and jumps, else takes it
	codeOr        // keeps a true condition and jumps, else takes it
)

var codes = map[op]code{add: codeAdd, sub: codeSub, mul: codeMul, div: codeDiv, pow: codePow, and: codeAnd, or: codeOr}

// compiler checks and emits in one pass. Its first error stays; what is emitted after it is never run.
type compiler struct {
	scope   Scope
	fns     map[string]*physics.Function
	plain   bool
	prog    *Program
	depth   int // of the stack, now and at most
	deepest int
	err     error
}

func (c *compiler) fail(col int, format string, args ...any) quantity.Type {
	if c.err == nil {
		c.err = errorf(c.prog.src, col, format, args...)
	}
	return quantity.Type{}
}

// checked is fail for a fault of dimensions: nothing in a plain program, and nothing for "".
func (c *compiler) checked(t quantity.Type, fault string, col int) quantity.Type {
	if fault != "" && !c.plain {
		return c.fail(col, "%s", fault)
	}
	return t
}

// emit appends an instruction that changes the height of the stack by grow.
func (c *compiler) emit(in instr, grow int) int {
	c.prog.code = append(c.prog.code, in)
	c.depth += grow
	c.deepest = max(c.deepest, c.depth)
	return len(c.prog.code) - 1
}

func (c *compiler) constant(v quantity.Value) {
	c.prog.consts = append(c.prog.consts, v)
	c.emit(instr{code: codeConst, n: int32(len(c.prog.consts) - 1)}, 1)
}

// intermediate marks the last instruction as one whose result a pupil may round on the way. A temperature in degC is
// not: rounding its kelvins to figures would mean nothing.
func (c *compiler) intermediate(t quantity.Type) quantity.Type {
	if t.Kind == quantity.Number && !t.Point {
		c.prog.nudges = append(c.prog.nudges, len(c.prog.code)-1)
	}
	return t
}

// node emits n and returns its type.
func (c *compiler) node(n *node) quantity.Type {
	if c.err != nil {
		return quantity.Type{}
	}
	switch n.op {
	case literal:
		c.constant(quantity.Value{X: si(n, n)})
		return quantity.Type{Dim: c.dim(n), Point: n.suf != "" && n.unit.Offset != 0}
	case column:
		return c.column(n)
	case name:
		return c.name(n)
	case call:
		return c.call(n)
	case choose:
		return c.choose(n)
	case negate:
		t := c.number(n.args[0], n)
		c.arithmetic(codeNegate, n.col, t)
		if t.Point {
			return c.checked(quantity.Type{Kind: t.Kind, Dim: t.Dim}, "cannot change the sign of a temperature in degC", n.col)
		}
		return t
	case not:
		c.condition(n.args[0])
		c.emit(instr{code: codeNot, argc: 1}, 0)
		return quantity.Type{Kind: quantity.Bool}
	case compare:
		return c.compare(n)
	case and, or:
		c.condition(n.args[0])
		jump := c.emit(instr{code: codes[n.op]}, -1)
		c.condition(n.args[1])
		c.land(jump)
		return quantity.Type{Kind: quantity.Bool}
	}
	return c.operator(n)
}

// land makes the jump at the place given lead to what is emitted next.
func (c *compiler) land(jump int) { c.prog.code[jump].n = int32(len(c.prog.code)) }

// si is the value of a literal, in the unit of the node given, in coherent SI units.
func si(n, unit *node) float64 {
	if unit.suf == "" {
		return n.x
	}
	return unit.unit.SI(n.x)
}

// dim is the dimension of a literal or column, after making sure that no later factor of its unit was meant for a value.
func (c *compiler) dim(n *node) quantity.Dim {
	for _, f := range laterFactors(n.suf) {
		if _, _, ok := c.scope.Lookup(f.name); ok && f.name != "" {
			c.fail(n.col, "%s %s: is %s the unit or the value %s? For the value write %s; for the unit rename the value",
				n.text, n.suf, f.name, f.name, f.apart(n.text))
		}
	}
	return n.unit.Dim
}

// number emits an argument that must be a number or a column of them.
func (c *compiler) number(n, user *node) quantity.Type {
	t := c.node(n)
	switch t.Kind {
	case quantity.Bool:
		return c.fail(user.col, "a condition is not a number; use if(condition, a, b)")
	case quantity.Name:
		return c.fail(user.col, "%s is a name, not a number", n.text)
	}
	return t
}

// condition emits an argument that must be true or false.
func (c *compiler) condition(n *node) {
	if t := c.node(n); t.Kind != quantity.Bool {
		c.fail(n.col, "a condition is needed here, such as a > b, not %s", describe(t))
	}
}

func (c *compiler) column(n *node) quantity.Type {
	t := quantity.Type{Kind: quantity.Column, Dim: c.dim(n), Point: n.suf != "" && n.unit.Offset != 0}
	var xs []float64
	for _, a := range n.args {
		if a.bare() {
			xs = append(xs, si(a, n))
		}
	}
	if len(xs) == len(n.args) {
		c.constant(quantity.Value{Col: xs})
		return t
	}
	for i, a := range n.args {
		at := c.number(a, n)
		if at.Kind == quantity.Column {
			return c.fail(a.col, "a column inside a column")
		}
		if i == 0 {
			t.Dim, t.Point = at.Dim, at.Point
		}
		if at.Dim != t.Dim || at.Point != t.Point {
			c.checked(t, "a column of "+describe(number(t.Dim))+" cannot hold "+describe(at), a.col)
		}
	}
	c.emit(instr{code: codeColumn, argc: int32(len(n.args)), col: int32(n.col)}, 1-len(n.args))
	return t
}

func (c *compiler) name(n *node) quantity.Type {
	t, slot, ok := c.scope.Lookup(n.text)
	switch {
	case ok:
		c.emit(instr{code: codeLoad, n: int32(slot), col: int32(n.col)}, 1)
	case n.text == "pi":
		c.constant(quantity.Value{X: math.Pi})
	default:
		return c.unknown(n)
	}
	return t
}

// operator emits + - * / ^.
func (c *compiler) operator(n *node) quantity.Type {
	l, r := n.args[0], n.args[1]
	a := c.number(l, n)
	if n.op == pow && a.Kind == quantity.Number && r.bare() && r.x == 2 { // far the commonest, and far faster so
		t, fault := powerType(a, number(quantity.Dim{}), 2, 1)
		c.arithmetic(codeSquare, n.col, a)
		return c.intermediate(c.checked(t, fault, n.col))
	}
	b := c.number(r, n)
	var t quantity.Type
	var fault string
	switch n.op {
	case add, sub:
		t, fault = sumType(n.op, a, b)
	case mul, div:
		t, fault = productType(n.op, a, b)
	case pow:
		num, den, _ := rational(r)
		t, fault = powerType(a, b, num, den)
	}
	c.arithmetic(codes[n.op], n.col, a, b)
	return c.intermediate(c.checked(t, fault, n.col))
}

// arithmetic emits an operator on arguments of the types given.
func (c *compiler) arithmetic(o code, col int, types ...quantity.Type) {
	in := instr{code: o, argc: int32(len(types)), col: int32(col)}
	for i, t := range types {
		if t.Kind == quantity.Column {
			in.code, in.n = codeElementwise, int32(o)
			in.cols |= 1 << i
		}
	}
	c.emit(in, 1-len(types))
}

// compare emits a chain of comparisons.
func (c *compiler) compare(n *node) quantity.Type {
	types := make([]quantity.Type, len(n.args))
	for i, a := range n.args {
		types[i] = c.number(a, n)
	}
	for i, sign := range n.signs {
		a, b := types[i], types[i+1]
		za, zb := isZero(n.args[i]) && !b.Point, isZero(n.args[i+1]) && !a.Point
		a.Point = a.Point || isKelvin(n.args[i]) && b.Point
		b.Point = b.Point || isKelvin(n.args[i+1]) && a.Point
		switch {
		case za:
			a.Dim = b.Dim
		case zb:
			b.Dim = a.Dim
		}
		fault := compareFault(sign, a, b)
		if a.Kind == quantity.Column || b.Kind == quantity.Column {
			c.fail(n.col, "%s", fault)
		}
		c.checked(a, fault, n.col)
	}
	c.prog.chains = append(c.prog.chains, n.signs)
	c.emit(instr{code: codeCompare, argc: int32(len(n.args)), n: int32(len(c.prog.chains) - 1)}, 1-len(n.args))
	return quantity.Type{Kind: quantity.Bool}
}

// isZero reports a bare 0, which fits any dimension in a comparison.
func isZero(n *node) bool { return n.bare() && n.x == 0 }

// isKelvin reports a literal such as 293 K, which serves as a difference and, where one is needed, as a point.
func isKelvin(n *node) bool {
	return n.op == literal && n.unit.Dim == temperature && n.unit.Offset == 0
}

func (c *compiler) choose(n *node) quantity.Type {
	c.condition(n.args[0])
	otherwise := c.emit(instr{code: codeJumpFalse}, -1)
	a := c.node(n.args[1])
	end := c.emit(instr{code: codeJump}, -1)
	c.land(otherwise)
	b := c.node(n.args[2])
	c.land(end)
	if a.Kind != b.Kind {
		return c.fail(n.col, "the two values of if differ: %s and %s", describe(a), describe(b))
	}
	fault := ""
	if a != b {
		fault = "the two values of if differ: " + describe(a) + " and " + describe(b)
	}
	return c.checked(a, fault, n.col)
}

func (c *compiler) call(n *node) quantity.Type {
	f, ok := c.fns[n.text]
	if !ok {
		return c.unknownFunction(n)
	}
	types := make([]quantity.Type, len(n.args))
	symbols := make([]string, len(n.args))
	for i, a := range n.args {
		if a.op == name && f.Symbols != nil && f.Symbols(i) {
			if t, _, ok := c.scope.Lookup(a.text); !ok || t.Kind != quantity.Name {
				symbols[i] = a.text
				types[i] = quantity.Type{Kind: quantity.Name}
				c.constant(quantity.Value{Name: a.text})
				continue
			}
		}
		types[i] = c.node(a)
	}
	if c.err != nil {
		return quantity.Type{}
	}
	t, err := c.rule(f, n, types, symbols)
	if err != nil {
		c.err = &Error{Src: c.prog.src, Col: n.col, Msg: err.Error(), Err: err}
		return t
	}
	c.prog.calls = append(c.prog.calls, f)
	c.emit(instr{code: codeCall, argc: int32(len(n.args)), n: int32(len(c.prog.calls) - 1), col: int32(n.col)}, 1-len(n.args))
	if f.Stepped {
		return t
	}
	return c.intermediate(t)
}

// rule asks the function what it makes of the arguments. Literals in K are tried as points too; and in a plain program
// everything is tried as plain numbers.
func (c *compiler) rule(f *physics.Function, n *node, types []quantity.Type, symbols []string) (quantity.Type, error) {
	t, err := f.Rule(types, symbols)
	if err == nil {
		return t, nil
	}
	retry := false
	for i, a := range n.args {
		if isKelvin(a) {
			types[i].Point, retry = true, true
		}
	}
	if retry {
		if t, e := f.Rule(types, symbols); e == nil {
			return t, nil
		}
	}
	if c.plain {
		for i := range types {
			types[i] = quantity.Type{Kind: types[i].Kind}
		}
		if t, e := f.Rule(types, symbols); e == nil {
			return t, nil
		}
	}
	return t, err
}
