package generator

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"keelmark/labs"
	"keelmark/labs/judge"
)

// rule is one of the rules a draw must keep.
type rule uint8

const (
	noRule        rule = iota
	conditions         // every require holds
	computable         // every value and answer is finite and within the ranges of its functions
	noChoice           // the answer of every question with choices is the number of one
	notTrivial         // no answer is zero
	notPrinted         // no answer equals a printed value
	mistakeNear        // every listed mistake is apart from the right answer
	mistakesAlike      // two listed mistakes of a question give numbers that differ in three figures
	slipRight          // no common slip would be marked right
)

// apart is how many tolerances a listed mistake must lie from the right answer, where the lab allows it; 1 elsewhere: it
// would not be marked right.
const apart = 3

// breach is a rule broken by a draw: where it stands in the template, and by what. It is comparable, to be counted.
type breach struct {
	rule      rule
	condition *labs.Condition
	variable  *labs.Value
	question  *labs.Question
	mistake   int
	other     int // the mistake it is like
}

// place is where the breach stands in the template.
func (b breach) place() labs.Place {
	switch {
	case b.condition != nil:
		return b.condition.Place
	case b.question == nil:
		return b.variable.Place
	case b.rule == mistakeNear || b.rule == mistakesAlike:
		return b.question.Mistakes[b.mistake].Place
	}
	return b.question.Place
}

func (b breach) String() string {
	switch b.rule {
	case conditions:
		return fmt.Sprintf("the condition %s does not hold", b.condition.Expr.Source())
	case computable:
		if b.variable != nil {
			return fmt.Sprintf("value %s cannot be computed", b.variable.Name)
		}
		return fmt.Sprintf("question %s: the answer cannot be computed", b.question.ID)
	case noChoice:
		return fmt.Sprintf("question %s: the answer is not the number of a choice, 1 to %d", b.question.ID, len(b.question.Choices))
	case notTrivial:
		return fmt.Sprintf("question %s: the answer is zero", b.question.ID)
	case notPrinted:
		return fmt.Sprintf("question %s: the answer equals the printed value %s (may_equal: true allows it)", b.question.ID, b.variable.Name)
	case mistakeNear:
		return fmt.Sprintf("question %s: the mistake %s lies too close to the right answer", b.question.ID, b.question.Mistakes[b.mistake].Expr.Source())
	case mistakesAlike:
		return fmt.Sprintf("question %s: the mistakes %s and %s give the same number to three figures",
			b.question.ID, b.question.Mistakes[b.other].Expr.Source(), b.question.Mistakes[b.mistake].Expr.Source())
	case slipRight:
		return fmt.Sprintf("question %s: a common slip would be marked right", b.question.ID)
	}
	return "no rule"
}

// aims are the targets of a sheet's questions, by their number in the lab; those without one have a NaN value.
type aims []judge.Target

// answers fills in the answers of a drawn frame.
func (p *plan) answers(f labs.Frame) (breach, bool) {
	for _, q := range p.questions {
		if q.Expr == nil {
			continue
		}
		x, err := p.lab.Answer(q.Question, f)
		if err != nil {
			return breach{rule: computable, question: q.Question}, false
		}
		if n := float64(len(q.Choices)); q.Kind == labs.Choice && (x.X != math.Trunc(x.X) || x.X < 1 || x.X > n) {
			return breach{rule: noChoice, question: q.Question}, false
		}
		f[q.Slot] = x
	}
	return breach{}, true
}

// aim computes the targets on a frame with its answers.
func (p *plan) aim(f labs.Frame) (aims, breach, bool) {
	targets := make(aims, len(p.questions))
	for i, q := range p.questions {
		targets[i].Value = math.NaN()
		if q.Expr == nil {
			continue
		}
		var err error
		if targets[i], err = judge.Aim(p.lab, q.Question, f); err != nil {
			return nil, breach{rule: computable, question: q.Question}, false
		}
	}
	return targets, breach{}, true
}

// worth proves that the answers are worth asking for: not zero, and not copied off the sheet.
func (p *plan) worth(f labs.Frame) (breach, bool) {
	for _, q := range p.questions {
		if q.Kind != labs.Numeric || q.MayEqual {
			continue
		}
		x := f[q.Slot].X
		scale := 0.0
		for _, v := range p.printed {
			if v.Type.Dim != q.Type.Dim || v.Type.Point != q.Type.Point {
				continue
			}
			y := f[v.Slot].X
			if math.Abs(x-y) <= sameFigures*math.Abs(y) && y != 0 {
				return breach{rule: notPrinted, question: q.Question, variable: v}, false
			}
			scale = max(scale, math.Abs(y))
		}
		if math.Abs(x) <= 1e-9*scale && !q.Stepped {
			return breach{rule: notTrivial, question: q.Question}, false
		}
	}
	return breach{}, true
}

// sameFigures is the relative difference within which two numbers read alike to three figures.
const sameFigures = 0.5e-3

// discriminates proves that mistakes and slips can be told from the right answers of the questions on the sheet, and listed
// mistakes from each other.
func (p *plan) discriminates(f labs.Frame, targets aims, has func(*labs.Question) bool) (breach, bool) {
	for i, q := range p.questions {
		if !has(q.Question) || len(q.groups) == 0 { // no draw could mend it: the check tells
			continue
		}
		xs := p.mistakes(q, f)
		for k, x := range xs {
			if margin(targets[i], x) < q.apart[k] {
				return breach{rule: mistakeNear, question: q.Question, mistake: k}, false
			}
			for other := range k {
				if alike(xs[other], x) && !q.alike[[2]int{other, k}] {
					return breach{rule: mistakesAlike, question: q.Question, mistake: k, other: other}, false
				}
			}
		}
	}
	for i, q := range p.questions {
		if q.catalogue != nil && has(q.Question) && len(q.groups) > 0 && len(p.slipsRight(q, f, targets[i])) > q.unseen {
			return breach{rule: slipRight, question: q.Question}, false
		}
	}
	return breach{}, true
}

// mistakes gives what each listed mistake gives on the frame, NaN where it gives nothing.
func (p *plan) mistakes(q *question, f labs.Frame) []float64 {
	xs := make([]float64, len(q.Mistakes))
	for k := range xs {
		xs[k] = math.NaN()
		if p.lab.Prepare(q.pseudo[k], f) != nil {
			continue
		}
		if v, err := q.Mistakes[k].Run.Eval(f); err == nil {
			xs[k] = v.X
		}
	}
	return xs
}

// alike tells whether two numbers are the same to three figures.
func alike(x, y float64) bool { return math.Abs(x-y) < thirdFigure(x)/2 }

// slipsRight gives the ids of the common slips (tier 2) that would be marked right.
func (p *plan) slipsRight(q *question, f labs.Frame, t judge.Target) (ids []string) {
	if p.lab.Prepare(q.slipPseudo, f) != nil {
		return nil
	}
	for _, c := range q.catalogue.Values(f) {
		if c.Tier == commonTier && t.Fits(c.Value, thirdFigure(c.Value), true) {
			ids = append(ids, c.ID)
		}
	}
	return ids
}

const commonTier = 2

// margin is how many tolerances x, written with three figures, lies from the target: 0 or infinite where the answer is a
// step, NaN where x is none.
func margin(t judge.Target, x float64) float64 {
	switch {
	case !t.Exact:
		return math.Abs(x-t.Value) / max(t.Tolerance, thirdFigure(x)/2)
	case t.Fits(x, 0, false):
		return 0
	}
	return math.Inf(1)
}

// thirdFigure is one unit of the third significant figure of x: a pupil writes three.
func thirdFigure(x float64) float64 {
	if x == 0 {
		return 0
	}
	return math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-2)
}

// pseudoNames gives those of names that a frame holds only when prepared: "current(N.R1)", "u(rho)".
func pseudoNames(names []string) []string {
	return slices.DeleteFunc(slices.Clone(names), func(n string) bool { return !strings.Contains(n, "(") })
}
