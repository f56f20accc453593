// Package judge decides whether a number is right: tolerance, steps, accepted values of g, directions. The generator
// asks it whether a mistake would be marked right, the grader whether an answer is, so that both hold the same view. It
// judges numbers already read; it never reads text and never looks for causes. Start with [Aim].
package judge

import (
	"math"

	"keelmark/labs"
)

const (
	calculated = 0.02 // share of the answer allowed where it is calculated and the template says nothing
	figures    = 3    // figures to which an intermediate result may be rounded
	noise      = 1e-9 // relative slack for binary rounding, so that a borderline answer falls on the pupil's side
)

// Target is what an answer is held against: the value of a question's formula on some frame, and how far from it an
// answer is still right. Values are in coherent SI units.
type Target struct {
	Value     float64
	Tolerance float64   // without what the pupil's own rounding allows
	Exact     bool      // a step of a series: must be Value or one of Also
	OffGraph  bool      // a gradient or an intercept, as exact as a line can be drawn
	Also      []float64 // neighbouring steps that are right too, because allowed rounding leads there
}

// Aim computes the target of a numeric or choice question on a frame. The error is that of the formula: an input that
// makes it impossible (a division by zero, a function outside its range).
func Aim(l *labs.Lab, q *labs.Question, f labs.Frame) (Target, error) {
	v, err := l.Answer(q, f)
	if err != nil {
		return Target{}, err
	}
	t := Target{Value: v.X}
	if q.Stepped || q.Kind == labs.Choice {
		t.Exact = true
		t.Also = neighbours(l, q, f, v.X)
		return t, nil
	}
	t.Tolerance, t.OffGraph = tolerance(l, q, f, v.X)
	return t, nil
}

// Fits reports whether x, in coherent SI, is right. digit is one unit of the last digit written, in SI (0: exact, or not
// known); half of it is allowed where the pupil wrote enough figures.
func (t Target) Fits(x, digit float64, enoughFigures bool) bool {
	if t.Exact {
		if same(x, t.Value) {
			return true
		}
		for _, also := range t.Also {
			if same(x, also) {
				return true
			}
		}
		return false
	}
	allowed := t.Tolerance
	if enoughFigures {
		allowed = max(allowed, digit/2)
	}
	return math.Abs(x-t.Value) <= allowed+noise*max(math.Abs(x), math.Abs(t.Value))
}

// Gravities are the values of g, in m/s², that a pupil may have used; the set's own comes first.
func Gravities(own float64) []float64 {
	all := []float64{own}
	for _, g := range []float64{9.8, 9.81, 9.80665, 10} {
		if g != own {
			all = append(all, g)
		}
	}
	return all
}

// tolerance is the largest deviation from value that the question allows whatever the pupil's own figures, and whether it is
// that of a line drawn by hand.
func tolerance(l *labs.Lab, q *labs.Question, f labs.Frame, value float64) (allowed float64, offGraph bool) {
	if w := q.Within; w != nil {
		return max(w.Absolute, w.Relative*math.Abs(value)), false
	}
	if fit, ok := readOff(l, q, f, value); ok {
		return fit, true
	}
	if step, ok := printedSum(l, q); ok {
		return step, false
	}
	if q.Type.Point { // a share of a temperature on a scale means nothing
		return rounding(l, q, f, value), false
	}
	return max(calculated*math.Abs(value), rounding(l, q, f, value)), false
}

// printedSum gives one unit of the last printed digit where the formula only adds and subtracts printed values or bench
// readings: the coarsest of theirs.
func printedSum(l *labs.Lab, q *labs.Question) (float64, bool) {
	if !q.Expr.IsSum() {
		return 0, false
	}
	step := 0.0
	for _, name := range q.Uses {
		v := l.Value(name)
		if v == nil { // an earlier answer, or g
			return 0, false
		}
		step = max(step, lastDigit(v))
	}
	return step, step > 0
}

// lastDigit is one unit of the last printed digit of a value, or the division of the instrument, in SI; 0 when unknown.
func lastDigit(v *labs.Value) float64 {
	switch {
	case v.Source == labs.Measured:
		return v.Division
	case v.Show.Step > 0:
		return v.Show.Unit.Span(v.Show.Step)
	}
	return v.Step
}

// rounding is what rounding to three figures can do to the answer when it befalls every intermediate result, every earlier
// answer and in the end the answer itself, and all of them push the same way.
func rounding(l *labs.Lab, q *labs.Question, f labs.Frame, value float64) float64 {
	total := 0.0
	if !q.Type.Point {
		total = roundingShare(value) * math.Abs(value)
	}
	disturb(l, q, f, false, func(x float64) { total += math.Abs(x - value) })
	return total
}

// neighbours are the other results that rounding one input of a stepped answer to three figures, up or down, leads to.
func neighbours(l *labs.Lab, q *labs.Question, f labs.Frame, value float64) (also []float64) {
	disturb(l, q, f, true, func(x float64) {
		if same(x, value) {
			return
		}
		for _, known := range also {
			if same(x, known) {
				return
			}
		}
		also = append(also, x)
	})
	return also
}

// disturb reports the answer with one intermediate result, or one earlier answer, changed by the most that rounding it
// to three figures can change it: upwards, and downwards too if both. A disturbance that makes the formula impossible is
// passed over.
func disturb(l *labs.Lab, q *labs.Question, f labs.Frame, both bool, report func(x float64)) {
	signs := []float64{1, -1}
	if !both {
		signs = signs[:1]
	}
	for i := range q.Run.Intermediates() {
		rel := roundingShare(q.Run.IntermediateValue(f, i))
		for _, sign := range signs {
			if v, err := q.Run.EvalNudged(f, i, sign*rel); err == nil {
				report(v.X)
			}
		}
	}
	for _, name := range q.Uses {
		earlier := l.Question(name)
		if earlier == nil || earlier.Kind != labs.Numeric || earlier.Stepped || earlier.Type.Point {
			continue
		}
		kept := f[earlier.Slot]
		rel := roundingShare(kept.X)
		for _, sign := range signs {
			f[earlier.Slot].X = kept.X * (1 + sign*rel)
			if v, err := q.Run.Eval(f); err == nil {
				report(v.X)
			}
		}
		f[earlier.Slot] = kept
	}
}

// roundingShare is the largest relative change that rounding x to three figures can make; 0 where there is nothing to round.
func roundingShare(x float64) float64 {
	x = math.Abs(x)
	if x == 0 || x-x != 0 {
		return 0
	}
	return 0.5 * math.Pow(10, math.Floor(math.Log10(x*(1+noise)))-(figures-1)) / x
}

// same reports whether two numbers are equal but for binary rounding.
func same(a, b float64) bool {
	return math.Abs(a-b) <= noise*max(math.Abs(a), math.Abs(b))
}
