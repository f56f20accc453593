package grader

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/judge"
	"keelmark/labs/quantity"
)

// marking is one sheet while it is being marked. Three frames are kept, question by question: truth has the right
// answers, mixed the pupil's own where those were right, chain the pupil's own wherever there is one.
type marking struct {
	*Marker
	job
	texts      texts
	convention string // what a single comma means on this sheet: "comma", "point", "" when nothing tells
	truth      labs.Frame
	mixed      labs.Frame
	chain      labs.Frame
	states     []state            // by rule
	missing    map[string]string  // bench readings that are not there, with the reason
	gaps       map[table][]string // rows left out for a gap
	once       map[string]bool    // faults that have cost their mark
	marks      *classset.SheetMarks
	looks      []classset.Look
}

// state is what is known of one answer once its question is marked.
type state struct {
	target  judge.Target
	err     error   // the truth cannot be worked out (from these readings)
	unsure  string  // why the truth is not known: a bench reading that is not there; "" when it is
	read    bool    // the pupil's own answer could be read
	right   bool    // and its number is right
	value   float64 // in coherent SI
	reading quantity.Reading
	blank   bool // nothing, or nothing readable, stands on the sheet
}

// solve works out the true answer of a question, as far as the readings allow.
func (s *marking) solve(i int, r *rule) {
	st := &s.states[i]
	for _, v := range r.measured {
		if why := s.missing[v.Name]; why != "" {
			st.unsure = why
		}
	}
	for _, name := range r.earlier {
		if before := s.states[s.index[name]]; before.unsure != "" {
			st.unsure = before.unsure
		} else if before.err != nil && st.err == nil {
			st.err = before.err
		}
	}
	if st.err != nil {
		return
	}
	target, err := judge.Aim(s.lab, r.Question, s.truth)
	if err != nil {
		st.err = err
		return
	}
	st.target = target
	s.truth[r.Slot] = quantity.Value{X: target.Value}
}

// settle puts a question's answer into the two frames of the pupil's own.
func (s *marking) settle(i int, r *rule) {
	if r.Kind != labs.Numeric && r.Kind != labs.Choice {
		return
	}
	st := s.states[i]
	s.mixed[r.Slot], s.chain[r.Slot] = s.truth[r.Slot], s.truth[r.Slot]
	if st.read {
		s.chain[r.Slot] = quantity.Value{X: st.value}
		if st.right {
			s.mixed[r.Slot] = s.chain[r.Slot]
		}
	}
}

// text is what a column holds, or what a person has decided to read there.
func (s *marking) text(name string) (text, kind string) {
	if d, ok := s.decisions[name]; ok && d.ReadAs != "" {
		return d.ReadAs, ""
	}
	return s.paper.Text[name], s.paper.Cells[name]
}

// answer marks one question.
func (s *marking) answer(i int, r *rule) *classset.Answer {
	text, kind := s.text(r.ID)
	a := &classset.Answer{Question: r.ID, Written: s.paper.written(s.lab, r.ID), OutOf: r.Marks, Certain: true}
	s.states[i].blank = true
	switch {
	case markedByHand(r.Question):
		s.byHand(r, a, text)
		return a
	case text == "":
		a.Verdict, a.Message = classset.Blank, sayBlank
		s.expect(i, r, a)
	case kind == DateCell:
		s.unread(r, a, "the spreadsheet has turned what was typed into a date; type it again into a cell formatted as text")
	case r.Kind == labs.Choice:
		s.expect(i, r, a)
		s.choice(i, r, a, text)
	default:
		s.expect(i, r, a)
		s.numeric(i, r, a, text, kind)
	}
	s.noteBasis(r, a)
	s.working(r, a)
	return a
}

// expect notes the right answer.
func (s *marking) expect(i int, r *rule, a *classset.Answer) {
	st := s.states[i]
	if st.err == nil && st.unsure == "" {
		a.Expected = amount(r.Question, st.target.Value)
	}
}

// amount gives a value in the unit of the question's box.
func amount(q *labs.Question, si float64) *classset.Amount {
	if q.Kind == labs.Choice {
		return &classset.Amount{Value: si, Unit: "1"}
	}
	x := q.Show.Unit.FromSpan(si)
	if q.Type.Point {
		x = q.Show.Unit.From(si)
	}
	return &classset.Amount{Value: x, Unit: q.Show.Text}
}

// byHand takes the marks a person gave.
func (s *marking) byHand(r *rule, a *classset.Answer, text string) {
	a.Verdict = classset.ByHand
	if text == "" {
		s.open(r, a, "marked by hand: fill in marks, 0 to "+strconv.Itoa(r.Marks))
		return
	}
	n, err := wholeMarks(text, r.Marks)
	if err != nil {
		s.open(r, a, err.Error())
		return
	}
	a.Marks = n
}

// wholeMarks reads marks given by a person: a whole number from 0 to most. A spreadsheet may have made 2 into 2.0.
func wholeMarks(text string, most int) (int, error) {
	x, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || x != math.Trunc(x) || x < 0 || x > float64(most) {
		return 0, fmt.Errorf("%q: want a whole number of marks, 0 to %d", text, most)
	}
	return int(x), nil
}

// open leaves the mark to a person.
func (s *marking) open(r *rule, a *classset.Answer, why string) {
	a.Open, a.Marks = true, 0
	a.Message, a.Teacher = sayOpen, why
	s.lookAt(r.ID, a.Written, why)
}

// lookAt asks a person to look at an answer or a bench reading; each has one row, whatever the reasons.
func (s *marking) lookAt(name, written, why string) {
	for i := range s.looks {
		if s.looks[i].Question == name {
			s.looks[i].Why += "; " + why
			return
		}
	}
	s.looks = append(s.looks, classset.Look{Sheet: s.sheet.Code, Question: name, Answer: written, Why: why})
}

func (s *marking) unread(r *rule, a *classset.Answer, why string) {
	a.Verdict = classset.Unread
	s.open(r, a, why)
	if r.Kind == labs.Numeric {
		a.Message = sayUnread
	}
}

// working gives a wrong answer the marks a person saw in the working, at most all but one.
func (s *marking) working(r *rule, a *classset.Answer) {
	name := r.ID + workingSuffix
	text := s.paper.Text[name]
	if text == "" {
		return
	}
	n, err := wholeMarks(text, r.Marks)
	if err != nil {
		a.Notes = append(a.Notes, "marks for working: "+err.Error())
		s.lookAt(r.ID, a.Written, "marks for working: "+err.Error())
		return
	}
	n = min(n, r.Marks-1)
	if a.Open || n <= a.Marks || a.Verdict == classset.Right || a.Verdict == classset.Carried {
		return
	}
	a.Marks = n
	a.Notes = append(a.Notes, fmt.Sprintf("%s for the working", count(n, "mark")))
}

// noteBasis says what an answer was marked on, where that is not plain: earlier answers that had to be taken at their true
// value, bench readings that are hardly possible.
func (s *marking) noteBasis(r *rule, a *classset.Answer) {
	if a.Verdict == classset.Blank || a.Verdict == classset.Unread {
		return
	}
	var names []string
	for _, name := range r.earlier {
		i := s.index[name]
		if s.states[i].blank && s.sheet.Has(s.rules[i].Question) {
			names = append(names, name)
		}
	}
	if len(names) > 0 {
		a.Notes = append(a.Notes, fmt.Sprintf("no answer could be read for %s, so this was marked with the true value", s.asked(names)))
	}
	for _, entry := range s.marks.Readings {
		for _, v := range r.measured {
			if v.Name == entry.Name && !entry.Plausible && len(entry.Values) > 0 {
				a.Notes = append(a.Notes, fmt.Sprintf("marked with your own reading of %s, but %s", v.Name, entry.Message))
			}
		}
	}
	s.noteGaps(r, a)
}

// noteGaps names the rows that were left out of each table of readings.
func (s *marking) noteGaps(r *rule, a *classset.Answer) {
	var tables []table
	columns := map[table][]string{}
	for _, v := range r.measured {
		t := table{v.Table, v.Rows}
		if v.Type.Kind != quantity.Column || len(s.gaps[t]) == 0 {
			continue
		}
		if columns[t] == nil {
			tables = append(tables, t)
		}
		columns[t] = append(columns[t], v.Name)
	}
	for _, t := range tables {
		a.Notes = append(a.Notes, sayGap(s.gaps[t], columns[t]))
	}
}

// decide lets the scheme and then a person have the last word.
func (s *marking) decide(r *rule, a *classset.Answer) {
	if d, ok := s.decisions[r.ID]; ok {
		by := d.By
		if by == "" {
			by = "a person"
		}
		a.Decided = by
		if d.ReadAs != "" {
			a.Notes = append(a.Notes, fmt.Sprintf("read as %q", d.ReadAs))
		}
		if d.Marks != nil {
			s.close(r, a)
			if a.Marks = *d.Marks; a.Marks == a.OutOf && a.Verdict != classset.Right && a.Verdict != classset.Carried {
				a.Message = sayDecided // what was found amiss no longer holds
			}
		}
		if d.Reason != "" {
			a.Notes = append(a.Notes, d.Reason)
		}
	}
	switch {
	case r.void:
		s.close(r, a)
		a.Void, a.Marks, a.OutOf = true, 0, 0
		a.Message = sayVoid
	case r.full && a.Marks < a.OutOf:
		s.close(r, a)
		a.Marks = a.OutOf
		a.Message = sayFull
	}
}

// close takes an answer off the list of those a person must look at.
func (s *marking) close(r *rule, a *classset.Answer) {
	if !a.Open {
		return
	}
	a.Open, a.Message = false, sayDecided
	kept := s.looks[:0]
	for _, look := range s.looks {
		if look.Question != r.ID {
			kept = append(kept, look)
		}
	}
	s.looks = kept
}
