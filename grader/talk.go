package grader

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/judge"
)

// Talk is a row of talk.csv: answers on one sheet that are wrong there and right on another pupil's. It is evidence to
// talk about, not a finding of guilt, and changes no mark.
type Talk struct {
	Sheet, Other *classset.Sheet
	Questions    []string
	Evidence     string
}

const (
	talkLeast   = 2 // answers
	talkFigures = 3 // to which they are right on the other sheet
	swapLeast   = 3 // answers that must fit another sheet before a swap is suspected
)

// compared is an answer that may be held against other sheets: a number of a question that depends on drawn values.
type compared struct {
	rule  int
	value float64 // coherent SI
	fine  bool    // written to enough figures to be evidence
}

// compare looks for sheets whose answers fit another sheet's numbers: rows that were swapped first, copies among the rest.
func (m *Marker) compare(done []*marked) (swapped []Finding, talk []Talk) {
	if m.set.Settings.Same {
		return nil, nil
	}
	answers := make([][]compared, len(done))
	own := make([]int, len(done)) // answers right on their own sheet
	for i, a := range done {
		answers[i] = m.comparable(a)
		for _, c := range answers[i] {
			if a.own[c.rule].right {
				own[i]++
			}
		}
	}
	for i, a := range done {
		if other, fits := m.swappedWith(done, answers, own, i); other != nil {
			swapped = append(swapped, Finding{Text: fmt.Sprintf("sheets or rows swapped? Of the answers handed in for %s (%s), %d fit the numbers of %s (%s) and %d its own; look at the papers (%s)",
				classset.ShowCode(a.sheet.Code), a.sheet.Name, fits, classset.ShowCode(other.Code), other.Name, own[i], a.marks.From)})
			continue
		}
		wrong := slices.DeleteFunc(answers[i], func(c compared) bool { return a.own[c.rule].right || !c.fine })
		if len(wrong) < talkLeast || a.marks.Absent {
			continue
		}
		for _, b := range done {
			if b != a && !b.marks.Absent {
				if t := m.copied(a, b, wrong); t != nil {
					talk = append(talk, *t)
				}
			}
		}
	}
	return swapped, talk
}

// swappedWith finds the sheet that most answers of sheet i were meant for: they fit it better than their own, and no other
// answers hold that place. (Where the answers there are right, these may be copies of them.)
func (m *Marker) swappedWith(done []*marked, answers [][]compared, own []int, i int) (other *classset.Sheet, fits int) {
	least := max(swapLeast, own[i]+1, len(answers[i])/2+1)
	if len(answers[i]) < least {
		return nil, 0
	}
	for j, b := range done {
		if j == i || 2*own[j] > len(answers[j]) {
			continue
		}
		if n := m.fitsOn(b, answers[i]); n >= least && n > fits {
			other, fits = b.sheet, n
		}
	}
	return other, fits
}

// comparable are the answers of a sheet that are numbers of its own: no choices, no steps, nothing read at the bench.
func (m *Marker) comparable(a *marked) (list []compared) {
	for i, r := range m.rules {
		st := a.own[i]
		if r.Kind != labs.Numeric || r.Stepped || r.Bench || r.void || !st.read || st.err != nil {
			continue
		}
		fine := st.reading.Low >= talkFigures
		list = append(list, compared{i, st.value, fine})
	}
	return list
}

// fitsOn counts the answers that would be right on another sheet.
func (m *Marker) fitsOn(b *marked, answers []compared) (n int) {
	for _, c := range answers {
		if m.stands(b, c) && b.own[c.rule].target.Fits(c.value, 0, false) {
			n++
		}
	}
	return n
}

// stands reports whether the question of an answer is on the other sheet and has a true answer there.
func (m *Marker) stands(b *marked, c compared) bool {
	return b.sheet.Has(m.rules[c.rule].Question) && b.own[c.rule].err == nil && b.own[c.rule].unsure == ""
}

// copied gives the evidence that wrong answers of sheet a come from sheet b; nil when there is too little of it.
func (m *Marker) copied(a, b *marked, wrong []compared) *Talk {
	var t Talk
	var evidence []string
	for _, c := range wrong {
		here, there := &a.own[c.rule], &b.own[c.rule]
		if !agreesTo(c.value, there.target, talkFigures) || !m.stands(b, c) {
			continue
		}
		r := m.rules[c.rule]
		t.Questions = append(t.Questions, r.ID)
		evidence = append(evidence, fmt.Sprintf("%s: wrote %s; right is %s here, %s there", r.ID, a.marks.HandedIn[r.ID], m.show(r, here.target.Value), m.show(r, there.target.Value)))
	}
	if len(t.Questions) < talkLeast {
		return nil
	}
	t.Sheet, t.Other, t.Evidence = a.sheet, b.sheet, strings.Join(evidence, " · ")
	return &t
}

// agreesTo reports whether x is the target to n figures: within half a unit of the n-th.
func agreesTo(x float64, t judge.Target, n int) bool {
	if t.Value == 0 || t.Exact || math.Abs(x-t.Value) > math.Abs(t.Value)*math.Pow10(1-n)/2*(1+1e-9) {
		return false // further off than half a unit of the n-th figure can be
	}
	unit := math.Pow(10, math.Floor(math.Log10(math.Abs(t.Value)))-float64(n-1))
	return math.Abs(x-t.Value) <= unit/2*(1+1e-9)
}

func (m *Marker) show(r *rule, si float64) string {
	a := amount(r.Question, si)
	return fmt.Sprintf("%.3g %s", a.Value, r.Show.Unit.Symbol)
}

// writeTalk writes talk.csv, for the teacher alone; with nothing to say it has its header only.
func writeTalk(path string, talk []Talk) error {
	table := [][]string{{"sheet", "student", "name", "fits_sheet", "fits_student", "fits_name", "questions", "evidence"}}
	for _, t := range talk {
		table = append(table, []string{t.Sheet.Code, t.Sheet.Student, t.Sheet.Name, t.Other.Code, t.Other.Student, t.Other.Name,
			strings.Join(t.Questions, " "), t.Evidence})
	}
	return classset.WriteTable(path, table)
}
