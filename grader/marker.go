package grader

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/judge"
	"keelmark/labs/quantity"
	"keelmark/labs/slips"
)

// Marker marks the sheets of one class set. It holds what all of them share (mended questions, policy, the slips worth
// looking for) and may be used by several goroutines.
type Marker struct {
	lab       *labs.Lab
	set       *classset.Set
	rules     []*rule
	index     map[string]int // of the rule, by question
	measured  []*labs.Value
	gravities []float64
	policy    Policy
}

// rule is a question with what the mark scheme has come to say of it.
type rule struct {
	*labs.Question                  // a copy where the scheme changes it
	accept         []*labs.Question // the same question with another formula that is right too
	void, full     bool
	usesG          bool
	earlier        []string      // earlier answers its formula uses, in order
	measured       []*labs.Value // bench readings its formula uses
	slips          *slips.Catalogue
	pseudo         []string // names such as u(rho) that must be prepared before slips are looked for
}

// NewMarker makes a marker for a set; scheme and policy may be nil. The error names a question whose slips cannot be
// worked out.
func NewMarker(l *labs.Lab, set *classset.Set, scheme *Scheme, policy Policy) (*Marker, error) {
	m := &Marker{lab: l, set: set, index: map[string]int{}, policy: policy, gravities: judge.Gravities(set.Settings.Gravity)}
	for _, v := range l.Values {
		if v.Source == labs.Measured {
			m.measured = append(m.measured, v)
		}
	}
	usesG := false
	catalogues := map[string]*slips.Catalogue{}
	for _, q := range l.Questions {
		r := &rule{Question: q}
		m.index[q.ID] = len(m.rules)
		m.rules = append(m.rules, r)
		m.depend(r, q.Uses)
		scheme.mend(l, r)
		usesG = usesG || r.usesG
		if q.Kind == labs.Numeric && q.Type.Kind == quantity.Number {
			var err error
			if r.slips, err = catalogue(l, q, catalogues); err != nil {
				return nil, fmt.Errorf("question %s: %w", q.ID, err)
			}
			catalogues[q.ID] = r.slips
			r.pseudo = slices.DeleteFunc(slices.Clone(r.slips.Names()), func(name string) bool { return !strings.Contains(name, "(") })
		}
	}
	if !usesG {
		m.gravities = m.gravities[:1]
	}
	return m, nil
}

// depend notes what the formula of r uses.
func (m *Marker) depend(r *rule, names []string) {
	for _, name := range names {
		if inner, ok := strings.CutPrefix(name, "u("); ok { // the uncertainty of an answer comes from what it uses
			name = strings.TrimSuffix(inner, ")")
		}
		if name == "g" {
			r.usesG = true
		}
		if i, ok := m.index[name]; ok && m.rules[i] != r {
			if !slices.Contains(r.earlier, name) {
				r.earlier = append(r.earlier, name)
			}
			r.usesG = r.usesG || m.rules[i].usesG
		}
		if v := m.lab.Value(name); v != nil && v.Source == labs.Measured && !slices.Contains(r.measured, v) {
			r.measured = append(r.measured, v)
		}
	}
}

// marked is a sheet that has been marked, with what marking it brought to light.
type marked struct {
	sheet *classset.Sheet
	marks *classset.SheetMarks
	lost  int             // marks lost for certain, without those that wait for a person
	looks []classset.Look // open entries
	own   []state         // by rule
}

// MarkSheet marks what a pupil wrote on one sheet of a set: answers by question, bench readings by name, as strings. It
// reads no file and needs no other sheet. To mark many sheets make one [Marker] and use it for all.
func MarkSheet(l *labs.Lab, set *classset.Set, sheet *classset.Sheet, written map[string]string) (*classset.SheetMarks, error) {
	m, err := NewMarker(l, set, nil, nil)
	if err != nil {
		return nil, err
	}
	return m.Mark(sheet, written)
}

// Mark marks what a pupil wrote on one sheet. The error tells that the sheet itself cannot be worked out, as happens
// when set.json was changed by hand.
func (m *Marker) Mark(sheet *classset.Sheet, written map[string]string) (*classset.SheetMarks, error) {
	done, err := m.mark(job{sheet: sheet, paper: &Paper{Code: sheet.Code, Text: written}})
	if err != nil {
		return nil, err
	}
	return done.marks, nil
}

// job is one sheet to mark.
type job struct {
	sheet     *classset.Sheet
	paper     *Paper
	decisions map[string]classset.Look // by question or bench reading; only those that still apply
	shared    map[string]sharedReading // bench readings of the group, for those the pupil lacks
}

type sharedReading struct{ text, kind, from string }

// mark marks a sheet with each value of g that its pupil may have used and keeps the one that earns most; the set's own
// wins a tie. Other values are tried only where something that depends on g was not simply right.
func (m *Marker) mark(j job) (*marked, error) {
	t := texts{}
	convention := m.settleConvention(j, t)
	printed := m.lab.NewFrame(m.set.Settings.Gravity)
	if err := j.sheet.Fill(m.lab, printed); err != nil {
		return nil, err
	}
	best := m.markWith(j, t, m.gravities[0], convention, slices.Clone(printed), math.MaxInt)
	if !m.missesWithG(best) {
		return best, nil
	}
	for _, g := range m.gravities[1:] {
		// It has to earn more and lose fewer: another g must not win by turning a slip into something that waits for a person,
		// nor what waits into a wrong.
		if other := m.markWith(j, t, g, convention, slices.Clone(printed), best.lost); other != nil && other.marks.Total > best.marks.Total {
			best = other
		}
	}
	return best, nil
}

func (m *Marker) missesWithG(done *marked) bool {
	for _, a := range done.marks.Answers {
		if (a.Verdict == classset.Wrong || a.Verdict == classset.Slip) && m.rules[m.index[a.Question]].usesG {
			return true
		}
	}
	return false
}

// markWith marks a sheet with one value of g. truth holds the printed values and is kept. As soon as no fewer marks are lost
// than the least so far it gives up, with nil.
func (m *Marker) markWith(j job, t texts, g float64, convention string, truth labs.Frame, least int) *marked {
	m.lab.SetGravity(truth, g)
	s := &marking{Marker: m, job: j, texts: t, convention: convention, once: map[string]bool{}, missing: map[string]string{}, gaps: map[table][]string{},
		states: make([]state, len(m.rules)), truth: truth}
	s.marks = &classset.SheetMarks{Code: j.sheet.Code, Student: j.sheet.Student, Name: j.sheet.Name, Class: j.sheet.Class,
		Group: j.sheet.Group, Gravity: g, HandedIn: maps.Clone(j.paper.Text), Cells: j.paper.Cells, From: j.paper.where()}
	s.readBench()
	s.mixed, s.chain = slices.Clone(truth), slices.Clone(truth)
	lost := 0
	for i, r := range m.rules {
		if r.Kind == labs.Numeric || r.Kind == labs.Choice {
			s.solve(i, r)
		}
		if !j.sheet.Has(r.Question) {
			s.settle(i, r)
			continue
		}
		a := s.answer(i, r)
		s.settle(i, r)
		s.decide(r, a)
		s.marks.Answers = append(s.marks.Answers, a)
		s.marks.OutOf += a.OutOf
		s.marks.Total += a.Marks
		if a.Open {
			s.marks.Open += a.OutOf
		} else if lost += a.OutOf - a.Marks; lost >= least {
			return nil
		}
	}
	return &marked{sheet: j.sheet, marks: s.marks, lost: lost, looks: s.looks, own: s.states}
}

// absent is the entry of a pupil who handed nothing in. Its true answers are kept: another row may hold this pupil's.
func (m *Marker) absent(sheet *classset.Sheet) (*marked, error) {
	done, err := m.mark(job{sheet: sheet, paper: &Paper{}})
	if err != nil {
		return nil, err
	}
	marks := done.marks
	done.looks = nil
	marks.Absent, marks.Total, marks.Open, marks.Readings, marks.HandedIn, marks.From = true, 0, 0, nil, nil, ""
	for i, a := range marks.Answers {
		marks.Answers[i] = &classset.Answer{Question: a.Question, Expected: a.Expected, Verdict: classset.Absent, OutOf: a.OutOf, Void: a.Void}
	}
	return done, nil
}
