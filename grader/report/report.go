// Package report hands marking back: a feedback slip for each pupil, the class report, tables for other programs, the
// record of a term, and the moderation sample. It draws from the marking alone and changes no mark; of answers that fit
// another pupil's sheet it knows nothing. Every output can be made again. Start with [Feedback] and [Class].
package report

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"keelmark/generator/page"
	"keelmark/grader"
	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/quantity"
)

// sheetOf finds the printed sheet of each marked one; a pupil's marks without a sheet cannot be reported.
func sheetOf(r *grader.Result) (map[string]*classset.Sheet, error) {
	of := make(map[string]*classset.Sheet, len(r.Set.Sheets))
	for _, s := range r.Set.Sheets {
		of[s.Code] = s
	}
	for _, m := range r.Marking.Sheets {
		if of[m.Code] == nil {
			return nil, fmt.Errorf("sheet %s is in marking.json and not in set.json; mark the set again", classset.ShowCode(m.Code))
		}
	}
	return of, nil
}

// nameOf is what a pupil is called in what is handed on: the name, or the code where the set carries codes alone.
func nameOf(set *classset.Set, m *classset.SheetMarks) string {
	if set.Settings.CodesOnly || m.Name == "" {
		return classset.ShowCode(m.Code)
	}
	return page.Legible(m.Name, m.Student)
}

// solved gives the frame of a sheet with the pupil's bench readings, the g they used, and the true answers as far as they
// can be worked out; failed holds the questions that cannot.
func solved(l *labs.Lab, set *classset.Set, sheet *classset.Sheet, m *classset.SheetMarks) (f labs.Frame, failed map[string]bool, err error) {
	f = l.NewFrame(set.Settings.Gravity)
	if err := sheet.Fill(l, f); err != nil {
		return nil, nil, err
	}
	if m.Gravity > 0 {
		l.SetGravity(f, m.Gravity)
	}
	for _, reading := range m.Readings {
		if v := l.Value(reading.Name); v != nil {
			readingInto(l, f, v, reading)
		}
	}
	failed = map[string]bool{}
	for _, q := range l.Questions {
		if q.Kind != labs.Numeric && q.Kind != labs.Choice {
			continue
		}
		v, err := l.Answer(q, f)
		if err != nil {
			failed[q.ID] = true
			f[q.Slot] = quantity.Value{X: math.NaN()} // what follows from it cannot be worked out either
			continue
		}
		f[q.Slot] = v
	}
	return f, failed, nil
}

// readingInto puts what a pupil read of v into the frame, and leaves of the fixed points beside it the rows it is of. One
// that is missing, or could not be read, becomes NaN, from which no formula gives an answer.
func readingInto(l *labs.Lab, f labs.Frame, v *labs.Value, reading *classset.BenchReading) {
	column := make([]float64, 0, max(1, len(reading.Values)))
	for _, x := range reading.Values {
		column = append(column, v.Show.Unit.SI(x))
	}
	if len(column) == 0 {
		column = append(column, math.NaN())
	}
	if v.Type.Kind != quantity.Column {
		f[v.Slot].X = column[0]
		return
	}
	f[v.Slot].Col = column
	for _, w := range l.Values {
		if points := f[w.Slot].Col; w.Table == v.Table && w.Source != labs.Measured && len(points) == v.Rows && len(reading.Rows) > 0 {
			f[w.Slot].Col = rowsOf(points, reading.Rows)
		}
	}
}

// rowsOf picks rows, counted from 1, of a column.
func rowsOf(column []float64, rows []int) (picked []float64) {
	for _, n := range rows {
		if n >= 1 && n <= len(column) {
			picked = append(picked, column[n-1])
		}
	}
	return picked
}

// runs sets a sentence of Markdown; what is no valid Markdown stands as it was written.
func runs(markdown string) []page.Inline {
	inlines, err := page.Inlines(markdown, page.Fillers{})
	if err != nil || len(inlines) == 0 {
		return plain(markdown)
	}
	return inlines
}

func plain(s string) []page.Inline { return []page.Inline{page.Text{S: s}} }

func bold(s string) []page.Inline { return []page.Inline{page.Text{S: s, Bold: true}} }

// join puts runs one after the other.
func join(parts ...[]page.Inline) (out []page.Inline) {
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

func para(parts ...[]page.Inline) page.Block { return page.Paragraph{Text: join(parts...)} }

func section(title string) page.Block { return page.Heading{Level: 2, Text: plain(title)} }

// count writes a number of things: 1 mark, 2 marks.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// sentence gives a note a capital letter and a full stop.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	first, size := utf8.DecodeRuneInString(s)
	if strings.ContainsAny(s[max(0, len(s)-1):], ".!?)") {
		return string(unicode.ToUpper(first)) + s[size:]
	}
	return string(unicode.ToUpper(first)) + s[size:] + "."
}

// list joins words as a sentence does: a, b and c.
func list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
