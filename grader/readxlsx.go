package grader

import (
	"errors"
	"fmt"
	"strings"

	"keelmark/labs/classset"
)

// workbook reads an .xlsx: every worksheet whose first row has a column `sheet`.
func (in *intake) workbook(path string) (papers []*Paper, err error) {
	data, err := classset.ReadFile(path, classset.MaxFile)
	if err != nil {
		return nil, err
	}
	book, err := classset.OpenWorkbook(data)
	if err != nil {
		return nil, err
	}
	defer func() {
		if closing := book.Close(); err == nil {
			err = closing
		}
	}()
	found := false
	for _, tab := range book.Tabs() {
		rows, err := worksheet(book, tab)
		if err != nil {
			return papers, fmt.Errorf("worksheet %s: %w", tab, err)
		}
		if rows == nil {
			continue
		}
		found = true
		more, err := in.rows(path, "worksheet "+tab+": ", rows)
		if err != nil {
			return papers, err
		}
		papers = append(papers, more...)
	}
	if !found {
		return papers, errors.New("no worksheet whose first row has the column sheet; want sheet and the questions, as in answers.xlsx of the set")
	}
	return papers, nil
}

// worksheet gives the rows of a worksheet that hold any text, cells as they are displayed; none when its first row has no
// column `sheet`.
func worksheet(book *classset.Workbook, tab string) (rows []tableRow, err error) {
	shown, err := book.Rows(tab)
	if err != nil || len(shown) == 0 || !hasSheetColumn(shown[0]) {
		return nil, err
	}
	for _, from := range shown {
		row := tableRow{line: from.Line}
		for i, text := range from.Cells {
			cell := tableCell{text: text}
			if strings.TrimSpace(text) != "" {
				kind, err := book.Kind(tab, i+1, from.Line)
				if err != nil {
					return nil, fmt.Errorf("row %d: %w", from.Line, err)
				}
				switch kind {
				case classset.NumberCell: // shown as 1,234.5: a number has no two readings
					cell.kind, cell.text = NumberCell, strings.ReplaceAll(text, ",", "")
				case classset.DateCell:
					cell.kind = DateCell
				}
			}
			row.cells = append(row.cells, cell)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

func hasSheetColumn(head classset.Row) bool {
	for _, text := range head.Cells {
		if strings.EqualFold(strings.TrimSpace(text), "sheet") {
			return true
		}
	}
	return false
}
