package grader

import (
	"cmp"
	"slices"

	"keelmark/labs"
	"keelmark/labs/classset"
)

// Repeat is what one pupil should meet once more: the questions that lost marks, in the order of the lab. A pupil who has
// lost none gets one question to stretch on, the one the class found hardest.
type Repeat struct {
	Sheet     *classset.SheetMarks
	Questions []string
}

// Again plans a follow-up set from a marking. Absent pupils are left out. Void questions, and answers whose marks are still to
// be decided, count neither as lost nor as won.
func Again(l *labs.Lab, m *classset.Marking) []Repeat {
	hardest := hardestQuestion(l, m)
	var list []Repeat
	for _, s := range m.Sheets {
		if s.Absent {
			continue
		}
		r := Repeat{Sheet: s}
		for _, a := range s.Answers {
			if a.Marks < a.OutOf && !a.Open && !a.Void {
				r.Questions = append(r.Questions, a.Question)
			}
		}
		if len(r.Questions) == 0 && hardest != "" {
			r.Questions = []string{hardest}
		}
		if len(r.Questions) > 0 {
			list = append(list, r)
		}
	}
	return list
}

// hardestQuestion is the one with the smallest share of marks won; of several, the later, since labs climb.
func hardestQuestion(l *labs.Lab, m *classset.Marking) string {
	won, could := map[string]int{}, map[string]int{}
	for _, s := range m.Sheets {
		for _, a := range s.Answers {
			if !s.Absent && !a.Open && !a.Void {
				won[a.Question] += a.Marks
				could[a.Question] += a.OutOf
			}
		}
	}
	var ids []string
	for _, q := range slices.Backward(l.Questions) {
		if could[q.ID] > 0 && q.Kind != labs.Ticks {
			ids = append(ids, q.ID)
		}
	}
	if len(ids) == 0 {
		return ""
	}
	return slices.MinFunc(ids, func(a, b string) int { return cmp.Compare(won[a]*could[b], won[b]*could[a]) })
}
