package grader

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"
)

const (
	maxUnzipped = 64 << 20 // bytes of a workbook unpacked: more is no class's answers but a trap
	maxRows     = 100_000
)

// workbook reads an .xlsx: every worksheet whose first row has a column `sheet`.
func (in *intake) workbook(path string) (papers []*Paper, err error) {
	data, err := load(path)
	if err != nil {
		return nil, err
	}
	book, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: maxUnzipped, UnzipXMLSizeLimit: maxUnzipped / 4})
	if err != nil {
		return nil, fmt.Errorf("cannot be read as a workbook (%w); save it anew as XLSX or CSV", err)
	}
	defer func() {
		if closing := book.Close(); err == nil {
			err = closing
		}
	}()
	found := false
	for _, tab := range book.GetSheetList() {
		rows, err := worksheet(book, tab)
		if err != nil {
			return papers, fmt.Errorf("worksheet %s: %w", tab, err)
		}
		if len(rows) == 0 || !hasSheetColumn(rows[0]) {
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

func hasSheetColumn(head tableRow) bool {
	for _, cell := range head.cells {
		if strings.EqualFold(strings.TrimSpace(cell.text), "sheet") {
			return true
		}
	}
	return false
}

// worksheet gives the rows of a worksheet that hold any text, cells as they are displayed.
func worksheet(book *excelize.File, tab string) (rows []tableRow, err error) {
	cursor, err := book.Rows(tab)
	if err != nil {
		return nil, err
	}
	defer func() {
		if closing := cursor.Close(); err == nil {
			err = closing
		}
	}()
	for line := 1; cursor.Next(); line++ {
		texts, err := cursor.Columns()
		if err != nil {
			return nil, fmt.Errorf("row %d: %w", line, err)
		}
		row := tableRow{line: line}
		blank := true
		for i, text := range texts {
			cell := tableCell{text: text}
			if strings.TrimSpace(text) != "" {
				blank = false
				if cell.kind, err = cellKind(book, tab, i+1, line); err != nil {
					return nil, fmt.Errorf("row %d: %w", line, err)
				}
			}
			if cell.kind == NumberCell { // shown as 1,234.5: a number has no two readings
				cell.text = strings.ReplaceAll(cell.text, ",", "")
			}
			row.cells = append(row.cells, cell)
		}
		if blank {
			continue
		}
		if len(rows) >= maxRows {
			return nil, fmt.Errorf("more than %d rows; split the file", maxRows)
		}
		rows = append(rows, row)
	}
	return rows, cursor.Error()
}

// cellKind tells what a cell that shows some text holds: "" for text.
func cellKind(book *excelize.File, tab string, col, row int) (string, error) {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		return "", err
	}
	kind, err := book.GetCellType(tab, name)
	if err != nil {
		return "", err
	}
	switch kind {
	case excelize.CellTypeDate:
		return DateCell, nil
	case excelize.CellTypeNumber, excelize.CellTypeUnset, excelize.CellTypeFormula:
	default:
		return "", nil
	}
	id, err := book.GetCellStyle(tab, name)
	if err != nil {
		return "", err
	}
	style, err := book.GetStyle(id)
	if err != nil {
		return "", err
	}
	if showsDate(style) {
		return DateCell, nil
	}
	return NumberCell, nil
}

// showsDate reports whether a number format shows a number as a date or a time: one of the built-in ones (ECMA-376
// part 1, 18.8.30), or one with letters for days, hours or years outside quotes and brackets.
func showsDate(style *excelize.Style) bool {
	if style.CustomNumFmt == nil {
		n := style.NumFmt
		return n >= 14 && n <= 22 || n >= 27 && n <= 36 || n >= 45 && n <= 47 || n >= 50 && n <= 58
	}
	quoted, bracketed := false, false
	for _, r := range strings.ToLower(*style.CustomNumFmt) {
		switch {
		case r == '"':
			quoted = !quoted
		case quoted:
		case r == '[':
			bracketed = true
		case r == ']':
			bracketed = false
		case !bracketed && strings.ContainsRune("dhys", r):
			return true
		}
	}
	return false
}
