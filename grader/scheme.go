package grader

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

const (
	schemeFile  = "scheme.csv"
	maxMendings = 50 // rows a question: each answer is held against every formula accepted
)

// Scheme is scheme.csv in the folder of a set: what is mended in the mark scheme after the event. Its columns are
// question,action,value,reason; the actions are
//
//	void    the question counts for nobody
//	full    everyone who handed in has full marks
//	accept  the formula in value is right too
//	within  the tolerance in value ("3 %", "0.05 N") holds
//	marks   the question is worth that many marks
type Scheme struct {
	mendings map[string][]mending // by question, in the order of the file
}

type mending struct {
	action string
	accept *formula.Expr
	run    *formula.Program
	within labs.Tolerance
	marks  int
}

var schemeActions = []string{"void", "full", "accept", "within", "marks"}

// readScheme reads DIR/scheme.csv; nil when there is none. Rows with a fault are left out and named.
func readScheme(dir string, l *labs.Lab) (*Scheme, []Finding, error) {
	path := filepath.Join(dir, schemeFile)
	rows, _, err := classset.ReadTable(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil, nil
	case err != nil:
		return nil, nil, err
	case len(rows) == 0:
		return nil, nil, nil
	}
	column, err := classset.Heading(path, rows, []string{"question", "action", "value", "reason"}, "question", "action")
	if err != nil {
		return nil, nil, err
	}
	scheme := &Scheme{mendings: map[string][]mending{}}
	var list findings
	for _, row := range rows[1:] {
		cell := func(name string) string { return strings.TrimSpace(column.Cell(row, name)) }
		q := l.Question(cell("question"))
		if q == nil {
			list.find(path, row.Line, "%s is no question of %s", classset.Quote(cell("question")), l.Name)
			continue
		}
		m, err := newMending(l, q, strings.ToLower(cell("action")), cell("value"))
		if err != nil {
			list.find(path, row.Line, "%v", err)
			continue
		}
		if len(scheme.mendings[q.ID]) >= maxMendings {
			list.find(path, row.Line, "question %s is mended %d times already; the row was not used", q.ID, maxMendings)
			continue
		}
		scheme.mendings[q.ID] = append(scheme.mendings[q.ID], m)
	}
	return scheme, list.list(), nil
}

// newMending reads one row.
func newMending(l *labs.Lab, q *labs.Question, action, value string) (mending, error) {
	m := mending{action: action}
	numeric := q.Kind == labs.Numeric
	var err error
	switch {
	case action == "void", action == "full":
	case action == "marks":
		if m.marks, err = strconv.Atoi(value); err != nil || m.marks < 1 || m.marks > 100 {
			return m, fmt.Errorf("marks %s; want a whole number, 1 to 100", classset.Quote(value))
		}
	case action == "within" && numeric:
		if m.within, err = readTolerance(value, q); err != nil {
			return m, err
		}
	case action == "accept" && (numeric || q.Kind == labs.Choice):
		if m.accept, err = formula.Parse(value); err == nil {
			m.run, err = m.accept.Compile(l, l.Functions)
		}
		var fault *formula.Error
		if errors.As(err, &fault) {
			return m, fmt.Errorf("%w\n%s", err, fault.Snippet())
		}
		if err != nil {
			return m, err
		}
		if numeric && m.run.Type().Dim != q.Type.Dim {
			return m, fmt.Errorf("%s does not give what question %s asks for (%s)", classset.Quote(value), q.ID, boxUnit(q))
		}
	case slices.Contains(schemeActions, action):
		return m, fmt.Errorf("%s does not apply to question %s, which is not answered with a number", action, q.ID)
	default:
		return m, fmt.Errorf("action %s; want one of %s", classset.Quote(action), strings.Join(schemeActions, ", "))
	}
	return m, nil
}

// readTolerance reads "3 %" as a share of the answer, and anything else as an amount in the dimension of the question.
func readTolerance(value string, q *labs.Question) (labs.Tolerance, error) {
	readings, why := quantity.Read(value)
	if len(readings) == 0 {
		return labs.Tolerance{}, fmt.Errorf("within %s: %s; want such as 3 %% or 0.05 %s", classset.Quote(value), why, q.Show.Text)
	}
	r := readings[0]
	if strings.Contains(value, "%") {
		if x := r.Span(quantity.Unit{Scale: 1}); x > 0 && x < 1 {
			return labs.Tolerance{Relative: x}, nil
		}
		return labs.Tolerance{}, fmt.Errorf("within %s; want more than 0 %% and less than 100 %%", classset.Quote(value))
	}
	if x := r.Span(q.Show.Unit); r.Fits(q.Show.Unit) && x > 0 {
		return labs.Tolerance{Absolute: x}, nil
	}
	return labs.Tolerance{}, fmt.Errorf("within %s; want an amount above 0 in %s, or a share such as 3 %%", classset.Quote(value), boxUnit(q))
}

// marks is what a question is worth; a nil scheme leaves it at what the lab says.
func (s *Scheme) marks(q *labs.Question) int {
	worth := q.Marks
	if s != nil {
		for _, m := range s.mendings[q.ID] {
			if m.action == "marks" {
				worth = m.marks
			}
		}
	}
	return worth
}

// mend changes a rule as the scheme says; a nil scheme changes nothing.
func (s *Scheme) mend(l *labs.Lab, r *rule) {
	if s == nil || len(s.mendings[r.ID]) == 0 {
		return
	}
	q := *r.Question
	q.Marks = s.marks(r.Question)
	r.Question = &q
	for _, m := range s.mendings[r.ID] {
		switch m.action {
		case "void":
			r.void = true
		case "full":
			r.full = true
		case "within":
			q.Within = &m.within
		}
	}
	for _, m := range s.mendings[r.ID] {
		if m.action == "accept" { // last, so that it has the tolerance and marks as mended
			other := q
			other.Expr, other.Run, other.Uses = m.accept, m.run, m.accept.Names()
			other.Stepped = m.run.Stepped()
			r.accept = append(r.accept, &other)
		}
	}
}
