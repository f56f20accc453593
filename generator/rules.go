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
	noRule      rule = iota
	conditions       // every require holds
	computable       // every value and answer is finite and within the ranges of its functions
	notTrivial       // no answer is zero
	notPrinted       // no answer equals a printed value
	mistakeSeen      // every listed mistake is apart from the right answer
	slipSeen         // no common slip would be marked right
)

// apart is how many tolerances a listed mistake must lie from the right answer.
const apart = 3

// breach is a rule broken by a draw: where it stands in the template, and by what. It is comparable, to be counted.
type breach struct {
	rule      rule
	condition *labs.Condition
	variable  *labs.Value
	question  *labs.Question
	mistake   int
}

// place is where the breach stands in the template.
func (b breach) place() labs.Place {
	switch {
	case b.condition != nil:
		return b.condition.Place
	case b.variable != nil:
		return b.variable.Place
	case b.rule == mistakeSeen:
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
	case notTrivial:
		return fmt.Sprintf("question %s: the answer is zero", b.question.ID)
	case notPrinted:
		return fmt.Sprintf("question %s: the answer equals the printed value %s (may_equal: true allows it)", b.question.ID, b.variable.Name)
	case mistakeSeen:
		return fmt.Sprintf("question %s: the mistake %s lies within %d tolerances of the right answer",
			b.question.ID, b.question.Mistakes[b.mistake].Expr.Source(), apart)
	case slipSeen:
		return fmt.Sprintf("question %s: a common slip would be marked right", b.question.ID)
	}
	return "no rule"
}

// aims are the targets of a sheet's questions, by their number in the lab; those without one have a NaN value.
type aims []judge.Target

// solve computes the answers and targets of a drawn frame.
func (p *plan) solve(f labs.Frame) (aims, breach, bool) {
	targets := make(aims, len(p.questions))
	for i, q := range p.questions {
		targets[i].Value = math.NaN()
		if q.Expr == nil {
			continue
		}
		x, err := p.lab.Answer(q.Question, f)
		if err != nil {
			return nil, breach{rule: computable, question: q.Question}, false
		}
		f[q.Slot] = x
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

// discriminates proves that mistakes and slips can be told from the right answers of the questions on the sheet.
func (p *plan) discriminates(f labs.Frame, targets aims, has func(*labs.Question) bool) (breach, bool) {
	for i, q := range p.questions {
		if !has(q.Question) {
			continue
		}
		for k := range q.Mistakes {
			if x, ok := p.mistake(q, k, f); ok && margin(targets[i], x) < apart {
				return breach{rule: mistakeSeen, question: q.Question, mistake: k}, false
			}
		}
	}
	for i, q := range p.questions {
		if q.catalogue != nil && has(q.Question) && p.slipsRight(q, f, targets[i]) > q.unseen {
			return breach{rule: slipSeen, question: q.Question}, false
		}
	}
	return breach{}, true
}

// mistake gives what a listed mistake gives on the frame; ok is false where it gives nothing.
func (p *plan) mistake(q *question, k int, f labs.Frame) (x float64, ok bool) {
	if p.lab.Prepare(q.pseudo[k], f) != nil {
		return 0, false
	}
	v, err := q.Mistakes[k].Run.Eval(f)
	return v.X, err == nil
}

// slipsRight counts the common slips that would be marked right.
func (p *plan) slipsRight(q *question, f labs.Frame, t judge.Target) (n int) {
	if p.lab.Prepare(q.slipPseudo, f) != nil {
		return 0
	}
	for _, c := range q.catalogue.Values(f) {
		if t.Fits(c.Value, thirdFigure(c.Value), true) {
			n++
		}
	}
	return n
}

// margin is how many tolerances x lies from the target; infinite for another step.
func margin(t judge.Target, x float64) float64 {
	if t.Fits(x, thirdFigure(x), true) {
		return min(1, math.Abs(x-t.Value)/max(t.Tolerance, math.SmallestNonzeroFloat64))
	}
	if t.Exact {
		return math.Inf(1)
	}
	return math.Abs(x-t.Value) / max(t.Tolerance, thirdFigure(x)/2)
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
