package grader

import (
	"strconv"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/quantity"
)

// writeMarks writes marks.csv: a row a sheet in roster order, a column a question. A total with open entries reads
// "14 + ?" and has no percentage; a pupil who was absent has neither.
func writeMarks(path string, l *labs.Lab, marking *classset.Marking) error {
	head := []string{"sheet", "student", "name", "total", "out_of", "percent"}
	at := map[string]int{}
	for _, q := range l.Questions {
		at[q.ID] = len(head)
		head = append(head, q.ID)
	}
	table := [][]string{head}
	for _, s := range marking.Sheets {
		row := make([]string, len(head))
		copy(row, []string{s.Code, s.Student, s.Name, Total(s), strconv.Itoa(s.OutOf), percentage(s)})
		for _, a := range s.Answers {
			row[at[a.Question]] = marksCell(a)
		}
		table = append(table, row)
	}
	return classset.WriteTable(path, table)
}

// Total writes a pupil's total as it is reported: "14", "14 + ?" while entries are open, "absent".
func Total(s *classset.SheetMarks) string {
	if s.Absent {
		return classset.Absent
	}
	return totalText(s.Total, s.Open > 0)
}

func totalText(total int, open bool) string {
	if open {
		return strconv.Itoa(total) + " + ?"
	}
	return strconv.Itoa(total)
}

func percentage(s *classset.SheetMarks) string {
	if s.Absent || s.Open > 0 || s.OutOf == 0 {
		return ""
	}
	return strconv.FormatFloat(quantity.RoundTo(100*float64(s.Total)/float64(s.OutOf), 0.1), 'f', -1, 64)
}

func marksCell(a *classset.Answer) string {
	switch {
	case a.Void:
		return "void"
	case a.Verdict == classset.Absent:
		return ""
	case a.Open:
		return "?"
	}
	return strconv.Itoa(a.Marks)
}
