package grader

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/quantity"
)

// Talk is a row of talk.csv: answers on one sheet that are wrong there and right on another pupil's. It is evidence to
// talk about, not a finding of guilt, and changes no mark.
type Talk struct {
	Sheet, Other *classset.Sheet
	Questions    []string
	Evidence     string
}

const (
	talkLeast   = 2                  // answers
	talkFigures = 3                  // to which they are right on the other sheet
	closest     = 0.005 * (1 + 1e-9) // half a unit of the third figure, at most, as a share of the number
	swapLeast   = 3                  // answers that must fit another sheet before a swap is suspected

	// Of this many pupils before and after in the roster, and of the bench group, two answers are evidence enough. Among
	// thousands of strangers chance would bring more likeness than copying does: see strangers.
	neighbours = 100
)

// compared is an answer that may be held against other sheets: a number of a question that depends on drawn values.
type compared struct {
	rule  int
	value float64 // coherent SI
	fine  bool    // written to enough figures to be evidence
}

// comparison holds the answers of a class against each other's sheets.
type comparison struct {
	*Marker
	done    []*marked
	answers [][]compared // of each sheet
	own     []int        // answers right on their own sheet
	there   [][]float64  // true answers of each sheet by rule, NaN where the question is not on it or has none
	groups  map[string][]int
	far     *strangers // nil in a class where all are near each other
}

// compare looks for sheets whose answers fit another sheet's numbers: rows that were swapped first, copies among the rest.
func (m *Marker) compare(done []*marked) (swapped []Finding, talk []Talk) {
	if m.set.Settings.Same {
		return nil, nil
	}
	n := len(done)
	c := &comparison{Marker: m, done: done, answers: make([][]compared, n), own: make([]int, n), there: make([][]float64, n), groups: map[string][]int{}}
	for i, a := range done {
		if a.sheet.Group != "" {
			c.groups[a.sheet.Group] = append(c.groups[a.sheet.Group], i)
		}
		c.answers[i] = m.comparable(a)
		for _, x := range c.answers[i] {
			if a.own[x.rule].right {
				c.own[i]++
			}
		}
		c.there[i] = make([]float64, len(m.rules))
		for k, r := range m.rules {
			c.there[i][k] = a.own[k].target.Value
			if !a.sheet.Has(r.Question) || a.own[k].err != nil || a.own[k].unsure != "" {
				c.there[i][k] = math.NaN()
			}
		}
	}
	if n > neighbours+1 {
		c.far = newStrangers(c)
	}
	for i, a := range done {
		if other, fits := c.swappedWith(i); other != nil {
			swapped = append(swapped, Finding{Text: fmt.Sprintf("sheets or rows swapped? Of the answers handed in for %s (%s), %d fit the numbers of %s (%s) and %d its own; look at the papers (%s)",
				classset.ShowCode(a.sheet.Code), a.sheet.Name, fits, classset.ShowCode(other.Code), other.Name, c.own[i], a.marks.From)})
			continue
		}
		talk = append(talk, c.copies(i)...)
	}
	return swapped, talk
}

// others are the sheets that answers of sheet i are held against: all near it, and those of strangers that are like it.
func (c *comparison) others(i int, answers []compared) (list []int) {
	isNear := func(j int) bool { return max(i-j, j-i) <= neighbours }
	for j := max(0, i-neighbours); j < min(len(c.done), i+neighbours+1); j++ {
		if j != i {
			list = append(list, j)
		}
	}
	mates := c.groups[c.done[i].sheet.Group]
	for _, j := range mates {
		if !isNear(j) {
			list = append(list, j)
		}
	}
	if c.far == nil {
		return list
	}
	for _, j := range c.far.like(answers) {
		if !isNear(j) && !slices.Contains(mates, j) {
			list = append(list, j)
		}
	}
	return list
}

// copies are the sheets from which wrong answers of sheet i may come.
func (c *comparison) copies(i int) (talk []Talk) {
	a := c.done[i]
	wrong := slices.DeleteFunc(slices.Clone(c.answers[i]), func(x compared) bool { return a.own[x.rule].right || !x.fine })
	if len(wrong) < talkLeast || a.marks.Absent {
		return nil
	}
	for _, j := range c.others(i, wrong) {
		if !c.done[j].marks.Absent && c.alike(wrong, j) >= talkLeast {
			if t := c.copied(i, j, wrong); t != nil {
				talk = append(talk, *t)
			}
		}
	}
	return talk
}

// alike counts the answers that may be true to enough figures on sheet j: a quick look before the close one.
func (c *comparison) alike(wrong []compared, j int) (n int) {
	for _, x := range wrong {
		if t := c.there[j][x.rule]; math.Abs(x.value-t) <= closest*math.Abs(t) {
			n++
		}
	}
	return n
}

// swappedWith finds the sheet that most answers of sheet i were meant for: they fit it better than their own, and no other
// answers hold that place. (Where the answers there are right, these may be copies of them.)
func (c *comparison) swappedWith(i int) (other *classset.Sheet, fits int) {
	least := max(swapLeast, c.own[i]+1, len(c.answers[i])/2+1)
	if len(c.answers[i]) < least {
		return nil, 0
	}
	for _, j := range c.others(i, c.answers[i]) {
		if 2*c.own[j] > len(c.answers[j]) {
			continue
		}
		if n := c.fitsOn(j, c.answers[i], least); n >= least && n > fits {
			other, fits = c.done[j].sheet, n
		}
	}
	return other, fits
}

// compares reports whether answers may be held against other sheets: no choices, no steps, nothing read at the bench.
func (r *rule) compares() bool { return r.Kind == labs.Numeric && !r.Stepped && !r.Bench && !r.void }

// comparable are the answers of a sheet that are numbers of its own.
func (m *Marker) comparable(a *marked) (list []compared) {
	for i, r := range m.rules {
		st := a.own[i]
		if !r.compares() || !st.read || st.err != nil {
			continue
		}
		fine := st.reading.Low >= talkFigures
		list = append(list, compared{i, st.value, fine})
	}
	return list
}

// fitsOn counts the answers that would be right on sheet j, or gives up where they cannot be as many as least.
func (c *comparison) fitsOn(j int, answers []compared, least int) (n int) {
	for k, x := range answers {
		if n+len(answers)-k < least {
			break
		}
		if !math.IsNaN(c.there[j][x.rule]) && c.done[j].own[x.rule].target.Fits(x.value, 0, false) {
			n++
		}
	}
	return n
}

// copied gives the evidence that wrong answers of sheet i come from sheet j; nil when there is too little of it.
func (c *comparison) copied(i, j int, wrong []compared) *Talk {
	var t Talk
	var evidence []string
	a, b := c.done[i], c.done[j]
	for _, x := range wrong {
		there := c.there[j][x.rule]
		if !agreesTo(x.value, there, talkFigures) {
			continue
		}
		r := c.rules[x.rule]
		t.Questions = append(t.Questions, r.ID)
		evidence = append(evidence, fmt.Sprintf("%s: wrote %s; right is %s here, %s there", r.ID, a.marks.HandedIn[r.ID], c.show(r, a.own[x.rule].target.Value), c.show(r, there)))
	}
	if len(t.Questions) < talkLeast {
		return nil
	}
	t.Sheet, t.Other, t.Evidence = a.sheet, b.sheet, strings.Join(evidence, " · ")
	return &t
}

// agreesTo reports whether x is t to n figures.
func agreesTo(x, t float64, n int) bool {
	return math.Abs(x-t) <= closest*math.Abs(t) && math.Abs(x-t) <= halfUnit(t, n) // the first saves most logarithms
}

// halfUnit is half a unit of the n-th figure of t, with slack for binary rounding; below 0 for 0, which has no figures, so
// that nothing agrees with it.
func halfUnit(t float64, n int) float64 {
	if t == 0 {
		return -1
	}
	return 0.5 * math.Pow(10, math.Floor(math.Log10(math.Abs(t)))-float64(n-1)) * (1 + 1e-9)
}

func (m *Marker) show(r *rule, si float64) string {
	a := amount(r.Question, si)
	return quantity.FormatFigures(a.Value, 3) + " " + r.Show.Unit.Symbol
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
