package classset

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

const lookFile = "look.csv"

var lookColumns = []string{"sheet", "question", "answer", "why", "read_as", "marks", "by", "reason"}

// Look is a row of look.csv: an answer a person must look at, and what they decided.
type Look struct {
	Sheet, Question string // Sheet is a code
	Answer, Why     string // what was written, and why it lies here
	ReadAs          string // decision: read the answer as this
	Marks           *int   // decision: give these marks
	By, Reason      string
	Line            int // in the file read
}

// Decided reports whether a person has settled the reading or the mark.
func (k Look) Decided() bool { return k.ReadAs != "" || k.Marks != nil }

// ReadLook reads DIR/marked/look.csv; a missing file is no rows. Rows with a fault (a mistyped code, marks that are no
// number, two rows for one answer) are left out and returned as faults with file, line and remedy: the rest counts.
func ReadLook(dir string) (rows []Look, faults []*FileError, err error) {
	path := filepath.Join(dir, MarkedDir, lookFile)
	table, _, err := ReadTable(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil || len(table) == 0 {
		return nil, nil, err
	}
	return lookRows(path, table)
}

// lookRows reads the rows of a look.csv of at least one row.
func lookRows(path string, table []Row) (rows []Look, faults []*FileError, err error) {
	column, err := Heading(path, table, lookColumns, "sheet", "question")
	if err != nil {
		return nil, nil, err
	}
	seen := map[[2]string]int{}
	for _, row := range table[1:] {
		k, err := lookRow(row, column)
		if err == nil {
			key := [2]string{k.Sheet, k.Question}
			if first, twice := seen[key]; twice {
				err = fmt.Errorf("sheet %s, question %s stands already on line %d; keep one row", k.Sheet, Quote(k.Question), first)
			} else {
				seen[key] = row.Line
			}
		}
		if err != nil {
			faults = append(faults, &FileError{Path: path, Line: row.Line, Err: err})
			continue
		}
		rows = append(rows, k)
	}
	return rows, faults, nil
}

func lookRow(row Row, column Columns) (Look, error) {
	cell := func(name string) string { return column.Cell(row, name) }
	code, ok := CheckCode(cell("sheet"))
	if !ok {
		return Look{}, fmt.Errorf("%s is no sheet code (its check character does not fit); compare it with the sheet", Quote(cell("sheet")))
	}
	k := Look{Sheet: code, Question: strings.TrimSpace(cell("question")), Answer: cell("answer"), Why: cell("why"),
		ReadAs: strings.TrimSpace(cell("read_as")), By: cell("by"), Reason: cell("reason"), Line: row.Line}
	if text := strings.TrimSpace(cell("marks")); text != "" {
		marks, err := strconv.Atoi(text)
		if err != nil || marks < 0 {
			return Look{}, fmt.Errorf("marks %s; want a whole number, 0 or more", Quote(text))
		}
		k.Marks = &marks
	}
	return k, nil
}

// WriteLook writes DIR/marked/look.csv whole or not at all.
func WriteLook(dir string, rows []Look) error {
	table := make([][]string, 0, len(rows)+1)
	table = append(table, slices.Clone(lookColumns))
	for _, k := range rows {
		marks := ""
		if k.Marks != nil {
			marks = strconv.Itoa(*k.Marks)
		}
		table = append(table, []string{k.Sheet, k.Question, k.Answer, k.Why, k.ReadAs, marks, k.By, k.Reason})
	}
	return WriteTable(filepath.Join(dir, MarkedDir, lookFile), table)
}
