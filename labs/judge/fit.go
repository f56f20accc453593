package judge

import (
	"math"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"keelmark/labs"
	"keelmark/labs/formula"
)

const (
	leastReadOff = 0.05 // a line drawn by eye through good points is this good
	mostReadOff  = 0.15 // and a line through bad points must not be worse than this
	coverage     = 0.95
)

// readOff is the tolerance of a gradient or intercept that a pupil reads off a graph: the larger of 5 % and t·u of the
// least-squares line (95 % coverage), at most 15 %. ok is false for any other question.
func readOff(l *labs.Lab, q *labs.Question, f labs.Frame, value float64) (tolerance float64, ok bool) {
	fit, arguments, ok := fitCall(q.Expr.String())
	if !ok {
		return 0, false
	}
	share := leastReadOff * math.Abs(value)
	e, err := formula.Parse(fit + "_u" + arguments)
	if err != nil {
		return share, true
	}
	p, err := e.Compile(l, l.Functions)
	if err != nil {
		return share, true
	}
	u, err := p.Eval(f) // fails with too few points to know a spread: then 5 % stands
	if err != nil {
		return share, true
	}
	freedom := points(l, q, f) - 2
	if fit == "slope0" {
		freedom++
	}
	if freedom < 1 {
		return share, true
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(freedom)}.Quantile(1 - (1-coverage)/2)
	return min(max(share, t*u.X), mostReadOff*math.Abs(value)), true
}

// fitCall splits a formula that is nothing but a fit, or its opposite, into the function's name and its bracketed arguments.
func fitCall(canonical string) (name, arguments string, ok bool) {
	call := strings.TrimPrefix(canonical, "-")
	name, _, found := strings.Cut(call, "(")
	if !found || name != "slope" && name != "slope0" && name != "intercept" {
		return "", "", false
	}
	arguments = call[len(name):]
	depth := 0
	for i, r := range arguments {
		switch r {
		case '(':
			depth++
		case ')':
			depth--
		}
		if depth == 0 && i < len(arguments)-1 {
			return "", "", false // something follows the call: slope(x, y)/g
		}
	}
	return name, arguments, true
}

// points is the number of points of a fit: the length of the first column its formula uses.
func points(l *labs.Lab, q *labs.Question, f labs.Frame) int {
	for _, name := range q.Uses {
		if _, slot, ok := l.Lookup(name); ok && len(f[slot].Col) > 0 {
			return len(f[slot].Col)
		}
	}
	return 0
}
