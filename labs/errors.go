package labs

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"keelmark/labs/formula"
)

// TemplateError is a fault in a template, at a line and column (characters) of the teacher's own file.
type TemplateError struct {
	File      string
	Line, Col int
	Err       error
	Snippet   string // the line and a caret, where a formula is at fault; else ""
}

// Error is file:line:col: message, without the snippet.
func (e *TemplateError) Error() string {
	return fmt.Sprintf("%s:%d:%d: %v", e.File, e.Line, e.Col, e.Err)
}

// Unwrap returns the cause.
func (e *TemplateError) Unwrap() error { return e.Err }

// Errors are all the faults found in one template, in order of position.
type Errors []*TemplateError

// Error lists the faults, a line each, formulas with their snippet below.
func (e Errors) Error() string {
	var lines []string
	for _, fault := range e {
		lines = append(lines, fault.Error())
		if fault.Snippet != "" {
			lines = append(lines, fault.Snippet)
		}
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the faults one by one, for errors.Is and errors.As.
func (e Errors) Unwrap() []error {
	all := make([]error, len(e))
	for i, fault := range e {
		all[i] = fault
	}
	return all
}

// Place is a position in the template: line and column from 1, in characters.
type Place struct{ Line, Col int }

func (p Place) after(q Place) bool {
	return p.Line > q.Line || p.Line == q.Line && p.Col > q.Col
}

// maxFaults bounds how many faults of one file are told.
const maxFaults = 100

// faults collects the faults of one file.
type faults struct {
	file  string
	lines []string // of the file
	all   Errors
}

// at notes a fault.
func (f *faults) at(p Place, format string, args ...any) {
	f.add(&TemplateError{File: f.file, Line: p.Line, Col: p.Col, Err: fmt.Errorf(format, args...)})
}

// formula notes a fault with the line of the file and a caret below it.
func (f *faults) formula(p Place, err error) {
	f.add(&TemplateError{File: f.file, Line: p.Line, Col: p.Col, Err: err, Snippet: f.snippet(p)})
}

// add notes a fault; one that YAML finds past the end of the file is told on its last line.
func (f *faults) add(e *TemplateError) {
	e.Line = min(e.Line, max(len(f.lines), 1))
	if len(f.all) < maxFaults {
		f.all = append(f.all, e)
	}
}

// snippet is the line at p without its indentation, and a caret under the column, each indented by two spaces.
func (f *faults) snippet(p Place) string {
	if p.Line < 1 || p.Line > len(f.lines) {
		return ""
	}
	line := strings.ReplaceAll(f.lines[p.Line-1], "\t", " ")
	trimmed := strings.TrimLeft(line, " ")
	caret := p.Col - 1 - (len(line) - len(trimmed))
	if caret < 0 || caret > utf8.RuneCountInString(trimmed) {
		return ""
	}
	return formula.Snippet(trimmed, caret+1)
}

// sorted gives the faults in order of position, nil when there are none.
func (f *faults) sorted() error {
	if len(f.all) == 0 {
		return nil
	}
	slices.SortStableFunc(f.all, func(a, b *TemplateError) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	return f.all
}

// column is where a formula error points, from 0; 0 for another error.
func column(err error) int {
	var fault *formula.Error
	if errors.As(err, &fault) {
		return max(fault.Col-1, 0)
	}
	return 0
}
