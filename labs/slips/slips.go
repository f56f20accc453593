// Package slips tells what a wrong number may come from. For a question it makes, once, a catalogue of candidates: the
// mistakes listed in the lab, and every one-step slip on the question's own formula, each a plain program on numbers in
// coherent SI units. The generator asks what each would give, so that no sheet is drawn on which a slip looks right; the
// grader asks which fits a pupil's number.
//
// It never judges whether a number is right, and it names no cause that chance explains as well. Start with [New].
//
// # Tiers
//
//  1. listed in the lab: no test of chance;
//  2. a power of ten, a unit or prefix; g forgotten or used twice; + for -; a difference the wrong way round; the sign; a
//     radius for a diameter; another printed value of the same kind;
//  3. a factor left out or used twice; a ratio upside down; a square or root forgotten; degrees as radians; series for
//     parallel; an earlier answer of the same kind; an earlier question's slip carried one step.
//
// The best tier with a fit decides. Below three significant figures only listed and scale slips are named.
//
// # Chance
//
// A candidate v fits a reading x when |v - x| is at most half a unit of the last significant digit of x. Let h be that half
// unit over |x|. A number unrelated to the question, spread evenly in ln|x| over six powers of ten, hits the candidates of
// tiers 2 to k with probability
//
//	p = |union of [ln|v| + ln(1-h), ln|v| + ln(1+h)]| / ln 10^6
//
// the union taken over those candidates, so that coinciding ones count once. With p ≥ 5 % a cause of tier k is no more
// than a "perhaps" and should earn nothing. Wrong numbers crowd near the right one: where the windows cover 5 % of what
// lies within half of the right answer around it, nothing is named there, listed mistakes apart.
package slips

import (
	"fmt"
	"math"

	"keelmark/labs/formula"
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// Frame holds the value of every name by slot, in coherent SI units, pseudo-names such as u(rho) included.
type Frame = []quantity.Value

// Question is what the catalogue is made from.
type Question struct {
	Expr      *formula.Expr // the formula of the answer, a number
	Unit      quantity.Unit // of the answer box
	Scope     formula.Scope
	Functions map[string]*physics.Function // nil: the plain core
	Listed    []Listed
	Printed   []string                        // names of the values printed on the sheet or read at the bench
	Answers   []string                        // earlier answers that may be taken for another value; nil: that slip is not looked for
	Earlier   map[string]*Catalogue           // of the earlier questions, by the name of their answer
	Shown     func(name string) quantity.Unit // the unit a value is printed or asked in, for mixed-up units; nil: not known
	What      func(name string) string        // a phrase for a name ("reading in air"), "" or nil func: the name itself
}

// Listed is a mistake listed in the lab.
type Listed struct {
	Expr  *formula.Expr
	Marks int
	Why   string // for the pupil
}

// Cause is a slip by its name and in words.
type Cause struct {
	ID      string // a formula.Kind, PowerOfTen, UnitOfTime, UnitOfInput, PrintedValue, CarriedSlip, or "listed-1", "listed-2" …
	Pupil   string // a sentence for the pupil; a listed mistake's Why
	Teacher string // a phrase for the teacher
}

// The ids of slips that are no variant of the formula.
const (
	PowerOfTen   = "power-of-ten"
	UnitOfTime   = "unit-of-time"  // minutes or hours for seconds, km/h for m/s
	UnitOfInput  = "unit-of-input" // one value put in as if in another unit, where that does not just shift the decimal point
	PrintedValue = "printed-value" // a printed value written down as the answer
	CarriedSlip  = "carried-slip"  // a slip on an earlier question's answer, carried into this one
)

// Catalogue holds the candidates of one question. It is safe for concurrent use.
type Catalogue struct {
	right      *formula.Program
	unit       quantity.Unit
	names      []string
	cut        bool
	candidates []candidate // by tier, then in the order of the package comment
}

// candidate is one possible slip.
type candidate struct {
	Cause
	tier  int
	marks int                              // tier 1
	scale bool                             // named below three figures, too
	value func(own Frame) (float64, error) // may change the frame while it runs: no other may use it then
}

// New makes the catalogue of a question. The error is a fault in a listed mistake or in the question's own formula.
func New(q Question) (*Catalogue, error) {
	right, err := q.Expr.CompilePlain(q.Scope, q.Functions)
	if err != nil {
		return nil, err
	}
	if k := right.Type().Kind; k != quantity.Number {
		return nil, fmt.Errorf("slips are known for numbers only, and %s is none", q.Expr)
	}
	b := &builder{q: q, right: right, c: &Catalogue{right: right, unit: q.Unit}}
	b.needs(q.Expr.Names())
	if err := b.listed(); err != nil {
		return nil, err
	}
	b.scales()
	changes := q.Expr.Variants(b.sameKind)
	b.c.cut = len(changes) == formula.MaxVariants
	b.variants(changes, 2)
	b.printed()
	b.inputs()
	b.variants(changes, 3)
	b.carried()
	b.distinct()
	return b.c, nil
}

// Cut reports whether the formula has more one-step changes than are looked for: see [formula.MaxVariants].
func (c *Catalogue) Cut() bool { return c.cut }

// Names returns the names that the candidates use: pseudo-names among them must be in the frame.
func (c *Catalogue) Names() []string { return c.names }

// Candidate is what a slip gives on one frame.
type Candidate struct {
	ID    string
	Tier  int
	Value float64 // coherent SI units
}

// Values returns what every candidate gives on the frame, by tier; those that have no value there are left out. A slip
// that can never differ from the right answer is not among them.
func (c *Catalogue) Values(f Frame) []Candidate {
	out := make([]Candidate, 0, len(c.candidates))
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	f = s.copy(f)
	for _, k := range c.candidates {
		if x, err := k.value(f); err == nil {
			out = append(out, Candidate{k.ID, k.tier, x})
		}
	}
	return out
}

// Reading is a pupil's number as the search needs it.
type Reading struct {
	SI      float64 // coherent SI units
	Half    float64 // half a unit of the last significant digit, the fewest figures assumed; coherent SI units
	Figures int     // the fewest significant figures; 0 for fractions and words
	Line    float64 // share of its value by which a mistake listed in the lab may be missed as well, where it comes from a line drawn by hand
}

// exactHalf is the window for fractions and words, which have no last digit: half a per cent.
const exactHalf = 0.005

// Of makes a Reading of what was read, for a box with the unit given.
func Of(r quantity.Reading, box quantity.Unit) Reading {
	unit := box
	if r.HasUnit {
		unit = r.Unit
	}
	x := math.Abs(r.Number)
	half := exactHalf * x
	switch {
	case r.Low > 0 && x > 0:
		leading := math.Floor(math.Log10(x) + 1e-12)
		half = math.Pow(10, leading-float64(r.Low)+1) / 2
	case r.Low > 0:
		half = r.Digit / 2
	}
	return Reading{SI: unit.SI(r.Number), Half: math.Abs(unit.Span(half)), Figures: r.Low}
}
