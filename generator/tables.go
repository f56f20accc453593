package generator

import (
	"fmt"
	"io"

	"github.com/xuri/excelize/v2"

	"keelmark/labs"
	"keelmark/labs/classset"
)

// answerColumns heads the table answers are typed into: who, then bench readings, then questions.
func answerColumns(l *labs.Lab, s classset.Settings) []string {
	head := []string{"sheet"}
	if !s.CodesOnly {
		head = append(head, "student", "name", "group")
	}
	for _, v := range l.Values {
		switch {
		case v.Source != labs.Measured:
		case v.Rows > 0:
			for k := range v.Rows {
				head = append(head, fmt.Sprintf("%s.%d", v.Name, k+1))
			}
		default:
			head = append(head, v.Name)
		}
	}
	for _, q := range l.Questions {
		head = append(head, q.ID)
	}
	return head
}

// answerRows are the table to type answers into: the head, and a row a sheet with its answers empty.
func answerRows(l *labs.Lab, set *classset.Set, sheets []*classset.Sheet) [][]string {
	head := answerColumns(l, set.Settings)
	rows := make([][]string, 0, len(sheets)+1)
	rows = append(rows, head)
	for _, s := range sheets {
		row := make([]string, len(head))
		row[0] = s.Code
		if !set.Settings.CodesOnly {
			row[1], row[2], row[3] = s.Student, s.Name, s.Group
		}
		rows = append(rows, row)
	}
	return rows
}

// nameRows tell the teacher which code is whose where the sheets bear no names.
func nameRows(sheets []*classset.Sheet) [][]string {
	rows := [][]string{{"sheet", "student", "name", "group", "class"}}
	for _, s := range sheets {
		rows = append(rows, []string{s.Code, s.Student, s.Name, s.Group, s.Class})
	}
	return rows
}

const (
	textFormat = 49 // the built-in number format "@": a spreadsheet leaves what is typed as it is
)

// writeWorkbook writes rows as XLSX in which every cell is text.
func writeWorkbook(w io.Writer, rows [][]string) error {
	book := excelize.NewFile()
	defer book.Close()
	const sheet = "Sheet1"
	text, err := book.NewStyle(&excelize.Style{NumFmt: textFormat})
	if err != nil {
		return err
	}
	out, err := book.NewStreamWriter(sheet)
	if err != nil {
		return err
	}
	if err := out.SetColStyle(1, len(rows[0])+20, text); err != nil {
		return err
	}
	cells := make([]any, len(rows[0]))
	for i, row := range rows {
		for k, content := range row {
			cells[k] = excelize.Cell{StyleID: text, Value: content}
		}
		if err := out.SetRow(fmt.Sprintf("A%d", i+1), cells); err != nil {
			return err
		}
	}
	if err := out.Flush(); err != nil {
		return err
	}
	return book.Write(w)
}
