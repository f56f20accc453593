package classset

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"unicode/utf8"
)

// Bounds of what is read, far above any class: more is a mistake or a trap. A look.csv that marking has written must stay
// below them: one of 10 000 sheets with forty questions, all open, does.
const (
	MaxFile       = 64 << 20 // bytes of a roster or a file of answers
	maxTableRows  = 500_000
	maxTableCells = 4_000_000
)

// Row is a row of a table with its line in the file (its row in a workbook).
type Row struct {
	Line  int
	Cells []string
}

// ReadTable reads a .csv (with comma, semicolon or tab, whichever its first row uses most) or the first worksheet of an
// .xlsx that holds any text; the notes name others that do. Rows without any text are left out. Errors are *FileError, with
// the line. What is read is bounded: 64 MB, 500 000 rows (in a workbook 25 000), four million cells.
func ReadTable(path string) (rows []Row, notes []string, err error) {
	data, err := ReadFile(path, MaxFile)
	if err != nil {
		return nil, nil, err
	}
	if isWorkbook(path) {
		return firstWorksheet(path, data)
	}
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		return nil, nil, fault(path, 0, "is a workbook or other packed file; name it .xlsx, or save it as CSV")
	}
	text, note := DecodeText(data)
	if note != "" {
		notes = append(notes, fmt.Sprintf("%s: %s", path, note))
	}
	if i := strings.IndexByte(text, 0); i >= 0 {
		return nil, nil, fault(path, 1+strings.Count(text[:i], "\n"), "holds a zero byte: this is no text file; save the table as CSV or XLSX")
	}
	rows, err = parseCSV(path, text)
	return rows, notes, err
}

func isWorkbook(path string) bool { return strings.EqualFold(filepath.Ext(path), ".xlsx") }

func firstWorksheet(path string, data []byte) (rows []Row, notes []string, err error) {
	book, err := OpenWorkbook(data)
	if err != nil {
		return nil, nil, fault(path, 0, "%w", err)
	}
	defer book.Close()
	used := ""
	for _, tab := range book.Tabs() {
		more, err := book.Rows(tab)
		switch {
		case err != nil:
			return nil, nil, fault(path, 0, "%w", err)
		case len(more) == 0:
		case rows == nil:
			rows, used = more, tab
		default:
			notes = append(notes, fmt.Sprintf("%s: worksheet %s is read, and %s is not; what else is wanted goes into the same worksheet or a file of its own",
				path, Quote(used), Quote(tab)))
		}
	}
	return rows, notes, nil
}

// Columns tells where the columns of a table stand, by heading in lower case.
type Columns map[string]int

// Heading reads the headings of a table of at least one row, in any order and case. The error names a column that is
// needed and missing, and all that the table may have.
func Heading(path string, rows []Row, all []string, need ...string) (Columns, error) {
	c := Columns{}
	for i, heading := range rows[0].Cells {
		c[strings.ToLower(strings.TrimSpace(heading))] = i
	}
	for _, name := range need {
		if _, ok := c[name]; !ok {
			return nil, fault(path, rows[0].Line, "no column %q; want %s", name, strings.Join(all, ","))
		}
	}
	return c, nil
}

// Cell is what a row holds under a heading, as it stands; "" where there is no such column or the row ends before it.
func (c Columns) Cell(row Row, name string) string {
	if i, ok := c[name]; ok && i < len(row.Cells) {
		return row.Cells[i]
	}
	return ""
}

func parseCSV(path, text string) (rows []Row, err error) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma = Separator(text)
	r.FieldsPerRecord = -1
	count := 0
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		var broken *csv.ParseError
		if errors.As(err, &broken) {
			return nil, &FileError{path, broken.Line, broken.Column, fmt.Errorf("%w; a quotation mark that opens a cell (here or from line %d) must close it, and stands doubled inside it",
				broken.Err, broken.StartLine)}
		}
		if err != nil {
			return nil, fault(path, 0, "%w", err)
		}
		for i := range cells {
			cells[i] = PlainCell(cells[i])
		}
		if blank(cells) {
			continue
		}
		line, _ := r.FieldPos(0)
		count += len(cells)
		if len(rows) >= maxTableRows || count > maxTableCells {
			return nil, fault(path, line, "more than %d rows or %d cells; split the file", maxTableRows, maxTableCells)
		}
		rows = append(rows, Row{line, cells})
	}
}

// Separator is the one of comma, semicolon and tab that the first line uses most outside quotes.
func Separator(text string) rune {
	counts := map[rune]int{}
	quoted := false
	for _, c := range strings.TrimLeft(text, "\r\n") {
		if c == '\n' && !quoted {
			break
		}
		if c == '"' {
			quoted = !quoted
		}
		if !quoted {
			counts[c]++
		}
	}
	best := ','
	for _, c := range []rune{';', '\t'} {
		if counts[c] > counts[best] {
			best = c
		}
	}
	return best
}

func blank(cells []string) bool {
	for _, c := range cells {
		if strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

// risky are the characters that make a spreadsheet take a cell for a formula (OWASP, CSV Injection).
const risky = "=+-@\t\r\n＝＋－＠"

// SafeCell neutralises text that a spreadsheet would run as a formula by an apostrophe before it. PlainCell takes it off
// again, so that what is written is read back unharmed.
func SafeCell(s string) string {
	if rest := strings.TrimLeft(s, "'"); rest != "" && startsRisky(rest) {
		return "'" + s
	}
	return s
}

// PlainCell undoes SafeCell and leaves every other text alone.
func PlainCell(s string) string {
	if rest := strings.TrimLeft(s, "'"); len(rest) < len(s) && startsRisky(rest) {
		return s[1:]
	}
	return s
}

func startsRisky(s string) bool {
	r, size := utf8.DecodeRuneInString(s)
	return size > 0 && strings.ContainsRune(risky, r)
}

// WriteTable writes rows as CSV in UTF-8, every cell made safe, whole or not at all. It has no byte order mark, which other
// programs would take for a part of the first heading; spreadsheets are better served by the workbook beside it.
func WriteTable(path string, rows [][]string) error {
	return WriteTo(path, func(w io.Writer) error {
		out := csv.NewWriter(w)
		safe := []string{}
		for _, row := range rows {
			safe = safe[:0]
			for _, cell := range row {
				safe = append(safe, SafeCell(cell))
			}
			if err := out.Write(safe); err != nil {
				return err
			}
		}
		out.Flush()
		return out.Error()
	})
}
