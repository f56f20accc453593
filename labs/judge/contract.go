// Package judge decides whether a number is right: tolerance, steps, accepted values of g, directions. The generator
// asks it whether a mistake would be marked right, the grader whether an answer is. It never looks for causes.
package judge

import (
	"keelmark/labs"
	"keelmark/labs/quantity"
)

// CONTRACT (stubs): the owner replaces every body.

// Target is what an answer is held against: the value of a formula on some frame, and how far from it is still right.
type Target struct {
	Value     float64   // coherent SI
	Tolerance float64   // coherent SI, without what the pupil's own rounding allows
	Exact     bool      // stepped: must match one of Also exactly
	Also      []float64 // neighbouring steps that are right too
}

// Aim computes the target of a question on a frame (its Answer must be computable there).
func Aim(l *labs.Lab, q *labs.Question, f labs.Frame) (Target, error) { panic("contract") }

// Fits reports whether value x (coherent SI) written with digit (size of the last digit written, SI; 0 exact), and at
// least lowSF figures, is within the tolerance.
func (t Target) Fits(x, digit float64, enoughFigures bool) bool { panic("contract") }

// Gravities are the values of g a pupil may have used; the set's own comes first.
func Gravities(own float64) []float64 { panic("contract") }

var _ = quantity.Reading{}
