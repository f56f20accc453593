package report

import (
	"archive/zip"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"iter"
	"slices"

	"github.com/xuri/excelize/v2"

	"keelmark/grader"
	"keelmark/grader/stats"
	"keelmark/labs/classset"
)

// Workbook writes marks.xlsx: a sheet of marks, a row a pupil; one of answers, a row an answer; one of class figures.
// Numbers are numbers, and whatever a pupil or a roster wrote is text, which no spreadsheet runs as a formula. Undefined
// figures are empty cells. The pictures are those of [Stats].
func Workbook(w io.Writer, r *grader.Result, pictures []*Picture) error {
	var err error
	book := excelize.NewFile()
	defer book.Close()
	for i, sheet := range []struct {
		name   string
		rows   iter.Seq[[]any]
		widths []float64
	}{
		{"marks", slices.Values(marksRows(r)), []float64{11, 12, 24, 10}},
		{"answers", answerRows(r), []float64{11, 12, 24, 10, 16, 10, 8, 10, 10, 8, 8, 14, 60}},
		{"class", slices.Values(classRows(pictures)), []float64{24, 14, 10, 10, 14}},
	} {
		if i == 0 {
			err = book.SetSheetName("Sheet1", sheet.name)
		} else {
			_, err = book.NewSheet(sheet.name)
		}
		if err == nil {
			err = fillSheet(book, sheet.name, sheet.rows, sheet.widths)
		}
		if err != nil {
			return fmt.Errorf("workbook, sheet %s: %w", sheet.name, err)
		}
	}
	return writeInOrder(w, book)
}

// writeInOrder writes a workbook with its parts in the order of their names. The library lets several sheets follow each
// other by chance, and the same marking must give the same bytes.
func writeInOrder(w io.Writer, book *excelize.File) error {
	data, err := book.WriteToBuffer()
	if err != nil {
		return err
	}
	in, err := zip.NewReader(bytes.NewReader(data.Bytes()), int64(data.Len()))
	if err != nil {
		return err
	}
	slices.SortFunc(in.File, func(a, b *zip.File) int { return cmp.Compare(a.Name, b.Name) })
	out := zip.NewWriter(w)
	for _, part := range in.File {
		if err := out.Copy(part); err != nil {
			return err
		}
	}
	return out.Close()
}

// fillSheet writes rows below a head that stays in sight.
func fillSheet(book *excelize.File, name string, rows iter.Seq[[]any], widths []float64) error {
	out, err := book.NewStreamWriter(name)
	if err != nil {
		return err
	}
	for i, width := range widths {
		if err := out.SetColWidth(i+1, i+1, width); err != nil {
			return err
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	line := 0
	for row := range rows {
		line++
		cell, err := excelize.CoordinatesToCellName(1, line)
		if err != nil {
			return err
		}
		if err := out.SetRow(cell, row); err != nil {
			return err
		}
	}
	return out.Flush()
}

func marksRows(r *grader.Result) [][]any {
	head := []any{"sheet", "student", "name", "class", "total", "out of", "percent", "open"}
	at := map[string]int{}
	for _, q := range r.Lab.Questions {
		at[q.ID] = len(head)
		head = append(head, q.ID)
	}
	rows := [][]any{head}
	for _, m := range r.Marking.Sheets {
		row := make([]any, len(head))
		copy(row, []any{m.Code, m.Student, m.Name, m.Class})
		if m.Absent {
			row[4] = classset.Absent
			rows = append(rows, row)
			continue
		}
		row[4], row[5], row[7] = m.Total, m.OutOf, m.Open
		if m.Open == 0 && m.OutOf > 0 {
			row[6] = 100 * float64(m.Total) / float64(m.OutOf)
		}
		for _, a := range m.Answers {
			switch i := at[a.Question]; {
			case a.Void:
				row[i] = "void"
			case a.Open:
				row[i] = "?"
			default:
				row[i] = a.Marks
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// answerRows gives one row after the other in the same slice: a large class has more than need be in memory at once.
func answerRows(r *grader.Result) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		row := []any{"sheet", "student", "name", "question", "written", "read", "unit", "expected", "verdict", "marks", "out of", "cause", "message"}
		if !yield(row) {
			return
		}
		for _, m := range r.Marking.Sheets {
			for _, a := range m.Answers {
				row = append(row[:0], m.Code, m.Student, m.Name, a.Question, a.Written, nil, nil, nil, a.Verdict, nil, a.OutOf, a.Cause, a.Message)
				if a.Read != nil {
					row[5], row[6] = a.Read.Value, a.Read.Unit
				}
				if a.Expected != nil {
					row[6], row[7] = a.Expected.Unit, a.Expected.Value
				}
				if !a.Open && !m.Absent {
					row[9] = a.Marks
				}
				if !yield(row) {
					return
				}
			}
		}
	}
}

func classRows(pictures []*Picture) [][]any {
	rows := [][]any{{"figure", "value"}}
	for i, p := range pictures {
		if len(pictures) > 1 {
			name := "class " + p.Class
			if i == 0 {
				name = "all classes together"
			}
			rows = append(rows, []any{name})
		}
		rows = append(rows,
			[]any{"pupils", p.Pupils}, []any{"handed in", p.HandedIn}, []any{"complete", p.Complete}, []any{"out of", p.OutOf},
			[]any{"mean", figure(p.Mean)}, []any{"standard deviation (n − 1)", figure(p.SD)}, []any{"median", figure(p.Median)},
			[]any{"Cronbach's alpha", figure(p.Alpha)}, []any{"alpha, 95 % from", figure(p.Low)}, []any{"alpha, 95 % to", figure(p.High)},
			[]any{"KR-20", figure(p.KR20)}, []any{"standard error of measurement", figure(p.SEM)},
			nil, []any{"question", "skill", "out of", "facility", "discrimination", "right", "carried", "slip", "wrong", "blank", "open"})
		for _, q := range p.Questions {
			rows = append(rows, []any{q.ID, q.Skill, q.OutOf, figure(q.Facility), figure(q.Discrimination), q.Verdicts[classset.Right],
				q.Verdicts[classset.Carried], q.Verdicts[classset.Slip], q.Verdicts[classset.Wrong], q.Verdicts[classset.Blank], q.Open})
		}
		rows = append(rows, nil, []any{"skill", "marks lost", "of"})
		for _, s := range p.Skills {
			rows = append(rows, []any{s.Skill, s.Lost, s.OutOf})
		}
		rows = append(rows, nil, []any{"slip", "questions", "made by", "marks lost"})
		for _, s := range p.Slips {
			rows = append(rows, []any{flat(s.Say), list(s.Questions), len(s.Pupils), s.Lost})
		}
		rows = append(rows, nil)
	}
	return rows
}

// figure is a cell: the unrounded number, or nothing.
func figure(f stats.Figure) any {
	if !f.Defined() {
		return nil
	}
	return float64(f)
}
