package grader

import (
	"fmt"
	"math"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/quantity"
)

// fault is something amiss with an answer: what to call it, what to say, what it costs.
type fault struct {
	id             string
	pupil, teacher string
	marks          int  // lost
	once           bool // costs its mark once a sheet
	perhaps        bool // chance is not ruled out: said, but worth nothing
}

// The ids of the faults that marking itself sees; those of wrong numbers are package slips' own.
const (
	UnitMissing       = "unit-missing"
	UnitOther         = "unit-other"
	MassForForce      = "mass-for-force"
	FiguresFault      = "figures"
	DirectionOpposite = "direction-opposite"
)

func boxUnit(q *labs.Question) string {
	if q.Show.Unit.Symbol == "" {
		return "a bare number"
	}
	return q.Show.Unit.Symbol
}

func faultNoUnit(q *labs.Question) fault {
	return fault{id: UnitMissing, marks: q.UnitMark, once: true,
		pupil:   fmt.Sprintf("The number is right. Write its unit too (%s): without one nobody can tell how much it is.", boxUnit(q)),
		teacher: "unit missing"}
}

func faultUnit(q *labs.Question, r quantity.Reading) fault {
	return fault{id: UnitOther, marks: 1, once: true,
		pupil:   fmt.Sprintf("The number is right, but %s does not measure what is asked for here; the unit is %s.", r.Unit.Symbol, boxUnit(q)),
		teacher: fmt.Sprintf("right number in the wrong kind of unit (%s for %s)", r.Unit.Symbol, boxUnit(q))}
}

func faultMass(q *labs.Question, r quantity.Reading) fault {
	return fault{id: MassForForce, marks: 1, once: true,
		pupil:   fmt.Sprintf("You gave a mass (%s). A force is asked for: multiply the mass by g to get %s.", r.Unit.Symbol, boxUnit(q)),
		teacher: "gave the mass for the force"}
}

func faultFigures(q *labs.Question, few bool) fault {
	wanted := fmt.Sprintf("%d to %d", q.SFLow, q.SFHigh)
	if q.SFLow == q.SFHigh {
		wanted = fmt.Sprint(q.SFLow)
	}
	f := fault{id: FiguresFault, once: true, teacher: "too many significant figures",
		pupil: fmt.Sprintf("The readings are not as exact as that: round to %s significant figures.", wanted)}
	if few {
		f.teacher = "too few significant figures"
		f.pupil = fmt.Sprintf("Give a little more: %s significant figures are wanted.", wanted)
	}
	return f
}

func faultDirection(asked, written string) fault {
	return fault{id: DirectionOpposite, marks: 1,
		pupil:   fmt.Sprintf("The size is right, but it points %s, not %s.", asked, written),
		teacher: fmt.Sprintf("the opposite direction (%s for %s)", written, asked)}
}

// fault takes marks off an answer that is otherwise right. What costs its mark once a sheet is only noted from then on.
func (s *marking) fault(r *rule, a *classset.Answer, f fault) {
	lost, changed := s.policy[f.id]
	if !changed {
		lost = f.marks
	}
	if f.once && s.once[f.id] {
		a.Notes = append(a.Notes, f.pupil+" (This cost its mark before, so not again.)")
		return
	}
	s.once[f.id] = s.once[f.id] || f.once
	a.Marks = max(0, a.Marks-lost)
	if a.Verdict == classset.Slip { // two faults at once: the first names the answer
		a.Notes = append(a.Notes, f.pupil)
		return
	}
	if a.Message != "" {
		a.Notes = append(a.Notes, a.Message)
	}
	a.Verdict, a.Cause, a.Message, a.Teacher = classset.Slip, f.id, f.pupil, f.teacher
}

// slip marks a wrong number that a slip explains.
func (s *marking) slip(r *rule, a *classset.Answer, f *fault) {
	a.Cause, a.Message, a.Teacher, a.Certain = f.id, f.pupil, f.teacher, !f.perhaps
	if f.perhaps {
		a.Verdict = classset.Wrong
		return
	}
	a.Verdict = classset.Slip
	lost, changed := s.policy[f.id]
	if !changed {
		lost = f.marks
	}
	if f.once && s.once[f.id] {
		a.Notes = append(a.Notes, "This cost its mark before, so not again.")
		lost = 0
	}
	s.once[f.id] = s.once[f.id] || f.once
	a.Marks = max(0, r.Marks-lost)
}

// cause finds what a wrong number came from; nil when nothing explains it.
func (s *marking) cause(r *rule, v views, c candidate) *fault {
	for _, view := range []*view{v.truth, v.chain} {
		if view == nil {
			continue
		}
		if f := s.listed(r, view, c); f != nil {
			return f
		}
	}
	return nil
}

// listed is the mistake of the template that gives the number; of several the one that earns most.
func (s *marking) listed(r *rule, v *view, c candidate) (found *fault) {
	for n, mistake := range r.Mistakes {
		x, err := mistake.Run.Eval(v.frame)
		if err != nil || math.Abs(x.X-c.value) > c.window() {
			continue
		}
		f := &fault{id: fmt.Sprintf("listed-%d", n+1), pupil: s.fill(mistake.Why, v.frame), teacher: mistake.Expr.Source(), marks: r.Marks - mistake.Marks}
		if found == nil || f.marks < found.marks {
			found = f
		}
	}
	return found
}

// window is how far a slip's value may lie from the reading: half a unit of its last significant digit.
func (c candidate) window() float64 {
	if c.Low == 0 || c.Number == 0 {
		return 0.0005 * math.Abs(c.value)
	}
	last := math.Pow(10, math.Floor(math.Log10(math.Abs(c.Number)))-float64(c.Low-1))
	return (0.5 + 1e-9) * last * math.Abs(c.value/c.Number)
}

// fill puts the sheet's values into a sentence of the template.
func (s *marking) fill(markdown string, f labs.Frame) string {
	text, err := s.lab.FillMarkdown(markdown, f)
	if err != nil {
		return markdown
	}
	return strings.TrimSpace(text)
}
