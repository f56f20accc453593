package grader

import (
	"fmt"
	"math"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/quantity"
	"keelmark/labs/slips"
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
	f := fault{id: MassForForce, marks: 1, once: true, teacher: "gave the mass for the force",
		pupil: fmt.Sprintf("You gave a mass (%s). A force is asked for: multiply the mass by g to get %s.", r.Unit.Symbol, boxUnit(q))}
	if r.Unit.Dim != quantity.Base(0, 1) {
		f.pupil = fmt.Sprintf("You went on with the mass (%s). Its weight counts here: multiply by g to get %s.", r.Unit.Symbol, boxUnit(q))
	}
	return f
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
	if r.slips == nil {
		return nil
	}
	var truth, own labs.Frame
	if v.truth != nil && s.lab.Prepare(r.pseudo, s.truth) == nil {
		truth = s.truth
	}
	if v.chain != nil && s.lab.Prepare(r.pseudo, s.chain) == nil {
		own = s.chain
	}
	reading := slips.Of(c.Reading, r.Show.Unit)
	reading.SI = c.value // differences of temperature are no points on a scale
	for _, view := range []*view{v.truth, v.mixed, v.chain} {
		if view != nil && math.Abs(view.targets[0].Value-c.value) <= reading.Half {
			return nil // too near to the right answer to tell a slip from it
		}
	}
	if v.truth != nil {
		if t := v.truth.targets[0]; t.OffGraph && t.Value != 0 {
			reading.Line = t.Tolerance / math.Abs(t.Value)
		}
	}
	found, ok := r.slips.Find(reading, truth, own)
	if !ok || !found.Certain || found.ID == slips.PowerOfTen {
		if f := plainNumber(r.Question, v, c); f != nil {
			return f
		}
	}
	if !ok {
		return nil
	}
	f := &fault{id: found.ID, pupil: found.Pupil, teacher: found.Teacher, marks: 1, once: ofScale[found.ID], perhaps: !found.Certain}
	frame := truth
	if found.Own || truth == nil {
		frame = own
		f.pupil += fmt.Sprintf(" (This goes on from your own answer to %s.)", s.asked(s.wrongEarlier(r)))
	}
	if found.Tier == 1 {
		f.marks = r.Marks - found.Marks
	}
	f.pupil = s.fill(f.pupil, frame)
	for _, also := range found.Also {
		f.pupil += " Or: " + s.fill(also.Pupil, frame)
		f.teacher += "; or " + also.Teacher
	}
	f.pupil, f.teacher = withDots(f.pupil), withDots(f.teacher)
	if f.perhaps {
		f.pupil = "Perhaps: " + f.pupil
		f.teacher = "perhaps: " + f.teacher
	}
	return f
}

// plainNumber is the fault of a bare number that is right as it stands where the box has % or degrees: 0.8 for 80 %, radians
// for degrees. It is held against the tolerance of a right answer, however few figures it has, so that chance need not be ruled
// out. Nil when it is none.
func plainNumber(q *labs.Question, v views, c candidate) *fault {
	box := q.Show.Unit
	if c.HasUnit || q.Type.Dim != (quantity.Dim{}) || box.Symbol != "%" && box.Symbol != "°" {
		return nil
	}
	plain := c
	plain.value, plain.digit = c.Number, c.Digit
	if ok, _ := rightIn(v, plain); !ok {
		return nil
	}
	wanted := quantity.FormatFigures(box.FromSpan(c.Number), max(c.Low, 1))
	if box.Symbol == "%" {
		return &fault{id: slips.PowerOfTen, marks: 1, once: true,
			pupil:   fmt.Sprintf("That is the fraction. The answer box asks for a percentage, 100 times the number: %s %%.", wanted),
			teacher: "gave the fraction for the percentage: 100 times too small"}
	}
	return &fault{id: UnitOther, marks: 1, once: true,
		pupil: fmt.Sprintf("That is the angle in radians (and nearly the sine or tangent of a small angle). The answer box asks for degrees: %s%s.",
			wanted, box.Symbol),
		teacher: "gave the angle in radians, or its sine"}
}

// ofScale are the slips of unit and scale, which cost their mark once a sheet.
var ofScale = map[string]bool{slips.PowerOfTen: true, slips.UnitOfTime: true, slips.UnitOfInput: true}

// catalogue makes the slips of a question; earlier holds those of the questions before it.
func catalogue(l *labs.Lab, q *labs.Question, earlier map[string]*slips.Catalogue) (*slips.Catalogue, error) {
	about := slips.Question{Expr: q.Expr, Unit: q.Show.Unit, Scope: l, Functions: l.Functions, Earlier: earlier, Shown: l.Unit}
	for _, mistake := range q.Mistakes {
		about.Listed = append(about.Listed, slips.Listed{Expr: mistake.Expr, Marks: mistake.Marks, Why: mistake.Why})
	}
	for _, v := range l.Values { // bench readings are printed values of the pupil's own making
		if !v.Hidden && v.Type.Kind == quantity.Number {
			about.Printed = append(about.Printed, v.Name)
		}
	}
	for _, before := range l.Questions {
		if earlier[before.ID] != nil {
			about.Answers = append(about.Answers, before.ID)
		}
	}
	about.What = func(name string) string {
		if v := l.Value(name); v != nil {
			return v.What
		}
		return ""
	}
	return slips.New(about)
}

// listed is the mistake of the template that gives a choice by its number; of several the one that earns most.
func (s *marking) listed(r *rule, v *view, number float64) (found *fault) {
	for n, mistake := range r.Mistakes {
		x, err := mistake.Run.Eval(v.frame)
		if err != nil || x.X != number {
			continue
		}
		f := &fault{id: fmt.Sprintf("listed-%d", n+1), pupil: s.fill(mistake.Why, v.frame), teacher: "listed mistake: " + mistake.Expr.Source(), marks: r.Marks - mistake.Marks}
		if found == nil || f.marks < found.marks {
			found = f
		}
	}
	return found
}

// fill puts the sheet's values into a sentence of the template.
func (s *marking) fill(markdown string, f labs.Frame) string {
	text, err := s.lab.FillMarkdown(markdown, f)
	if err != nil {
		return markdown
	}
	return strings.TrimSpace(text)
}
