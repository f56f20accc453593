package formula

import (
	"fmt"
	"math"

	"keelmark/labs/quantity"
)

// machine is the stack that a program runs on. It is kept on the heap and used again, so that running allocates nothing:
// the arguments of a function are the top of the stack.
type machine struct {
	stack []quantity.Value
	seen  float64 // the intermediate result watched, before it was nudged
}

// Eval runs the program on a frame of values in coherent SI units. It allocates nothing where only numbers are
// involved. The error, an *Error, tells of a function outside its range, a division by zero, columns of different length,
// or a result that is not finite. A column in the result may be shared with the frame: do not change it.
func (p *Program) Eval(frame []quantity.Value) (quantity.Value, error) {
	return p.EvalNudged(frame, -1, 0)
}

// Intermediates is the number of intermediate results: what + - * / ^ and functions give on the way to the result, numbers
// only, in the order they are computed.
func (p *Program) Intermediates() int { return len(p.nudges) }

// EvalNudged is Eval with intermediate result i multiplied by 1 + rel, as rounding it would. An i outside
// 0 ≤ i < Intermediates nudges nothing.
func (p *Program) EvalNudged(frame []quantity.Value, i int, rel float64) (quantity.Value, error) {
	m := p.machines.Get().(*machine)
	v, err := p.run(m, frame, p.watched(i), rel)
	p.machines.Put(m)
	return v, err
}

// IntermediateValue is the undisturbed value of intermediate result i; NaN when it is not reached (the branch of an if
// not taken, or an error before it).
func (p *Program) IntermediateValue(frame []quantity.Value, i int) float64 {
	m := p.machines.Get().(*machine)
	m.seen = math.NaN()
	_, _ = p.run(m, frame, p.watched(i), 0) // a fault further on does not concern this value
	x := m.seen
	p.machines.Put(m)
	return x
}

// watched is the instruction that gives intermediate result i, or one that is never reached.
func (p *Program) watched(i int) int {
	if i < 0 || i >= len(p.nudges) {
		return -1
	}
	return p.nudges[i]
}

// run executes the program; the result of instruction watch is noted and multiplied by 1 + rel.
func (p *Program) run(m *machine, frame []quantity.Value, watch int, rel float64) (quantity.Value, error) {
	s := m.stack
	top := -1
	for pc := 0; pc < len(p.code); pc++ {
		in := &p.code[pc]
		switch in.code {
		case codeConst:
			top++
			s[top] = p.consts[in.n]
			continue
		case codeLoad:
			top++
			s[top] = frame[in.n]
			continue
		case codeJump:
			pc = int(in.n) - 1
			continue
		case codeJumpFalse:
			if s[top].X == 0 {
				pc = int(in.n) - 1
			}
			top--
			continue
		case codeAnd, codeOr:
			if isTrue := s[top].X != 0; isTrue == (in.code == codeOr) {
				pc = int(in.n) - 1
			} else {
				top--
			}
			continue
		case codeAdd, codeSub, codeMul, codeDiv, codePow:
			top--
			s[top].X = operate(in.code, s[top].X, s[top+1].X)
		case codeSquare:
			s[top].X *= s[top].X
		case codeNegate:
			s[top].X = -s[top].X
		default: // the rarer ones, which take argc values and leave one
			top -= int(in.argc) - 1
			v, err := p.gather(in, s[top:top+int(in.argc):top+int(in.argc)])
			if err != nil {
				return quantity.Value{}, err
			}
			s[top] = v
		}
		if x := s[top].X; x-x != 0 {
			return quantity.Value{}, p.fault(in)
		}
		if pc == watch {
			m.seen = s[top].X
			s[top].X *= 1 + rel
		}
	}
	if x := s[0].X; x-x != 0 { // a lone name whose value is not finite, or a nudge too far
		return quantity.Value{}, p.fault(&p.code[0])
	}
	return s[0], nil
}

// operate computes a single number; what is not finite is noticed by the caller.
func operate(c code, a, b float64) float64 {
	switch c {
	case codeAdd:
		return a + b
	case codeSub:
		return a - b
	case codeMul:
		return a * b
	case codeDiv:
		return a / b
	case codePow:
		return math.Pow(a, b)
	}
	return -a
}

// gather computes what is not arithmetic on single numbers.
func (p *Program) gather(in *instr, args []quantity.Value) (v quantity.Value, err error) {
	switch in.code {
	case codeNot:
		v.X = 1 - args[0].X
	case codeCompare:
		if holds(p.chains[in.n], args) {
			v.X = 1
		}
	case codeColumn:
		v.Col = make([]float64, len(args))
		for i := range args {
			v.Col[i] = args[i].X
		}
	case codeElementwise:
		if v.Col, err = elementwise(in, args); err != nil {
			return v, &Error{Src: p.src, Col: int(in.col), Msg: err.Error()}
		}
	case codeCall:
		if v, err = p.calls[in.n].Call(args); err != nil {
			return v, &Error{Src: p.src, Col: int(in.col), Msg: err.Error(), Err: err}
		}
	}
	for _, x := range v.Col {
		if x-x != 0 {
			return v, p.fault(in)
		}
	}
	return v, nil
}

// elementwise applies an operator where one argument, or both, are columns.
func elementwise(in *instr, args []quantity.Value) ([]float64, error) {
	a, b := args[0], args[len(args)-1]
	n := max(len(a.Col), len(b.Col))
	if in.cols == 3 && len(a.Col) != len(b.Col) {
		return nil, fmt.Errorf("columns of different length: %d and %d values", len(a.Col), len(b.Col))
	}
	out := make([]float64, n)
	for i := range out {
		x, y := a.X, b.X
		if in.cols&1 != 0 {
			x = a.Col[i]
		}
		if in.cols&2 != 0 {
			y = b.Col[i]
		}
		out[i] = operate(code(in.n), x, y)
	}
	return out, nil
}

// equalWithin is how far apart, relative to the larger, two numbers may be and still be equal: what binary rounding does
// to a value on a decimal grid.
const equalWithin = 1e-12

// holds reports whether every comparison of a chain is true.
func holds(signs []string, args []quantity.Value) bool {
	for i, sign := range signs {
		a, b := args[i].X, args[i+1].X
		equal := math.Abs(a-b) <= equalWithin*max(math.Abs(a), math.Abs(b))
		var ok bool
		switch sign {
		case "<":
			ok = a < b && !equal
		case "<=":
			ok = a < b || equal
		case ">":
			ok = a > b && !equal
		case ">=":
			ok = a > b || equal
		case "==":
			ok = equal
		case "!=":
			ok = !equal
		}
		if !ok {
			return false
		}
	}
	return true
}

// fault is the error for an instruction whose result is not finite.
func (p *Program) fault(in *instr) *Error {
	kind := code(in.n)
	if in.code != codeElementwise {
		kind = in.code
	}
	what := "the result is too large to hold"
	switch kind {
	case codeDiv:
		what = "division by zero, or a quotient too large to hold"
	case codePow, codeSquare:
		what = "this power has no finite value"
	case codeCall:
		what = p.calls[in.n].Name + " has no finite value here"
	}
	return errorf(p.src, int(in.col), "%s", what)
}
