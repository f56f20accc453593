package labs

import (
	"fmt"
	"slices"

	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// Frame holds a value for every name of a lab, by slot, in coherent SI: the lab's values, its answers, g, and the
// pseudo-names "current(N.R1)" and "u(rho)". Formulas run on it. A frame belongs to one goroutine at a time.
type Frame = []quantity.Value

// NewFrame returns a frame with g, in m/s², set and everything else zero.
func (l *Lab) NewFrame(g float64) Frame {
	f := make(Frame, l.size)
	l.SetGravity(f, g)
	return f
}

// SetGravity changes g in a frame, in m/s².
func (l *Lab) SetGravity(f Frame, g float64) { f[gravity].X = g }

// Compute evaluates a Computed, Series or Constant value, or the expectation of a Measured one, on the frame, which holds
// what it depends on already. The result is rounded to what is shown; hidden values that no `show` rounds stay exact.
// normal gives standard normal deviates for noise (nil: none). The frame is left as it was, but for what networks carry.
func (l *Lab) Compute(v *Value, f Frame, normal func() float64) (quantity.Value, error) {
	switch v.Source {
	case Drawn, Picked:
		return quantity.Value{}, fmt.Errorf("%s is drawn, not computed", v.Name)
	case Series:
		return quantity.Value{Col: slices.Clone(v.Column)}, nil
	}
	if err := l.prepare(v.uses, f); err != nil {
		return quantity.Value{}, fmt.Errorf("%s: %w", v.Name, err)
	}
	x, err := v.evaluate(f)
	if err != nil {
		return quantity.Value{}, fmt.Errorf("%s: %w", v.Name, err)
	}
	if v.Type.Kind == quantity.Column {
		x.Col = slices.Clone(x.Col) // it may be shared with the frame
		for i := range x.Col {
			x.Col[i] = v.finish(x.Col[i], normal)
		}
		return x, nil
	}
	if v.Type.Kind == quantity.Number {
		x.X = v.finish(x.X, normal)
	}
	return x, nil
}

// evaluate runs the formula of a value: for each element of a column, or once.
func (v *Value) evaluate(f Frame) (quantity.Value, error) {
	if v.Each != nil {
		column, err := over(v.Each, f, f[v.Each.Slot].Col, v.Calc.Eval)
		return quantity.Value{Col: column}, err
	}
	x, err := v.Calc.Eval(f)
	if err != nil || v.Rows == 0 {
		return x, err
	}
	if x.Col == nil { // every row is expected to read the same
		x = quantity.Value{Col: slices.Repeat([]float64{x.X}, v.Rows)}
	}
	if len(x.Col) != v.Rows {
		return x, fmt.Errorf("%d readings are expected for %d rows", len(x.Col), v.Rows)
	}
	return x, nil
}

// over evaluates a formula for each x in place of the column v.
func over(v *Value, f Frame, xs []float64, eval func([]quantity.Value) (quantity.Value, error)) ([]float64, error) {
	kept := f[v.Slot]
	defer func() { f[v.Slot] = kept }()
	out := make([]float64, len(xs))
	for i, x := range xs {
		f[v.Slot] = quantity.Value{X: x}
		y, err := eval(f)
		if err != nil {
			return nil, fmt.Errorf("element %d: %w", i+1, err)
		}
		out[i] = y.X
	}
	return out, nil
}

// finish adds noise and rounds one number.
func (v *Value) finish(x float64, normal func() float64) float64 {
	if v.Noise > 0 && normal != nil {
		x += v.Noise * normal()
	}
	if v.Show.Step > 0 {
		return v.Show.Round(x)
	}
	return x
}

// Answer computes the answer of a numeric or choice question from what the frame holds now: values and earlier answers.
// It puts what networks carry, and uncertainties, into the frame, so that the question's mistakes can run on it too; the
// answer itself it leaves to the caller.
func (l *Lab) Answer(q *Question, f Frame) (quantity.Value, error) {
	if err := l.prepare(q.needs, f); err != nil {
		return quantity.Value{}, fmt.Errorf("%s: %w", q.ID, err)
	}
	v, err := q.Run.Eval(f)
	if err != nil {
		return v, fmt.Errorf("%s: %w", q.ID, err)
	}
	return v, nil
}

// Solve fills in every answer from the values, in order: the true frame.
func (l *Lab) Solve(f Frame) error { return l.solve(l.Questions, f) }

func (l *Lab) solve(questions []*Question, f Frame) error {
	for _, q := range questions {
		if q.Kind != Numeric && q.Kind != Choice {
			continue
		}
		v, err := l.Answer(q, f)
		if err != nil {
			return err
		}
		f[q.Slot] = v
	}
	return nil
}

// Prepare computes the pseudo-names among names ("current(N.R1)", "u(rho)") from what the frame holds now. A formula that
// was compiled outside the template, such as one that mends a mark scheme, needs it before it runs.
func (l *Lab) Prepare(names []string, f Frame) error {
	var needs []*pseudo
	for _, name := range names {
		if p := l.names[name].pseudo; p != nil {
			needs = append(needs, p)
		}
	}
	return l.prepare(needs, f)
}

func (l *Lab) prepare(needs []*pseudo, f Frame) error {
	var solved *Network
	for _, p := range needs {
		switch {
		case p.network == nil:
			u, err := l.uncertainty(p.target, f)
			if err != nil {
				return fmt.Errorf("u(%s): %w", p.target, err)
			}
			f[p.slot].X = u
		case p.network != solved:
			if err := p.network.solve(f); err != nil {
				return err
			}
			solved = p.network
		}
	}
	return nil
}

// Met reports the first condition of require that does not hold, or nil. The answers that a condition uses are computed.
func (l *Lab) Met(f Frame) (*Condition, error) {
	for i := range l.Require {
		c := &l.Require[i]
		names := c.Expr.Names()
		for _, name := range names {
			if q := l.names[name].question; q != nil {
				if err := l.solve(q.chain, f); err != nil {
					return c, err
				}
			}
		}
		if err := l.Prepare(names, f); err != nil {
			return c, err
		}
		v, err := c.Run.Eval(f)
		if err != nil {
			return c, fmt.Errorf("require %s: %w", c.Expr.Source(), err)
		}
		if v.X == 0 {
			return c, nil
		}
	}
	return nil, nil
}

// reading is one reading at the bench: a value, or one element of a column.
type reading struct{ slot, element int }

// uncertainty is the standard uncertainty of a measured value, or of an answer by propagation from the readings it follows
// from, taken as independent (JCGM 100:2008, 5.1.2). Anything else has none: 0.
func (l *Lab) uncertainty(name string, f Frame) (float64, error) {
	e := l.names[name]
	if e.value != nil {
		return e.value.StandardUncertainty(), nil
	}
	q := e.question
	if q == nil || !q.Bench {
		return 0, nil
	}
	work := slices.Clone(f)
	var readings []reading
	var x, u []float64
	for _, v := range q.bench {
		if v.Type.Kind != quantity.Column {
			readings, x, u = append(readings, reading{v.Slot, -1}), append(x, f[v.Slot].X), append(u, v.StandardUncertainty())
			continue
		}
		work[v.Slot].Col = slices.Clone(f[v.Slot].Col)
		for i, each := range f[v.Slot].Col {
			readings, x, u = append(readings, reading{v.Slot, i}), append(x, each), append(u, v.StandardUncertainty())
		}
	}
	return physics.Propagate(func(x []float64) (float64, error) {
		for i, at := range readings {
			if at.element < 0 {
				work[at.slot].X = x[i]
			} else {
				work[at.slot].Col[at.element] = x[i]
			}
		}
		if err := l.solve(q.chain, work); err != nil {
			return 0, err
		}
		return work[q.Slot].X, nil
	}, x, u, nil)
}
