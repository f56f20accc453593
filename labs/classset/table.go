package classset

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"
)

const (
	maxTableSize = 64 << 20
	maxTableRows = 200_000
)

// Row is a row of a table with its line in the file (its row in a workbook).
type Row struct {
	Line  int
	Cells []string
}

// DecodeText turns the bytes of a text file into a string: UTF-8 or UTF-16 with or without a byte order mark, else
// Windows-1252, of which Latin-1 is a part. note says when it had to be that guess.
func DecodeText(data []byte) (text, note string) {
	switch {
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		data = data[3:]
	case bytes.HasPrefix(data, []byte("\xff\xfe")):
		return decodeUTF16(data[2:], 1), ""
	case bytes.HasPrefix(data, []byte("\xfe\xff")):
		return decodeUTF16(data[2:], 0), ""
	case len(data) >= 4 && data[0] != 0 && data[1] == 0 && data[2] != 0 && data[3] == 0:
		return decodeUTF16(data, 1), ""
	case len(data) >= 4 && data[0] == 0 && data[1] != 0 && data[2] == 0 && data[3] != 0:
		return decodeUTF16(data, 0), ""
	}
	if utf8.Valid(data) {
		return string(data), ""
	}
	decoded, err := charmap.Windows1252.NewDecoder().Bytes(data)
	if err != nil { // the decoder maps every byte; kept for the day it does not
		return strings.ToValidUTF8(string(data), "\ufffd"), "read as broken UTF-8"
	}
	return string(decoded), "not UTF-8: read as Windows-1252 (Latin-1)"
}

// decodeUTF16 decodes pairs of bytes, the high byte at index high of each pair.
func decodeUTF16(data []byte, high int) string {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = uint16(data[2*i+high])<<8 | uint16(data[2*i+1-high])
	}
	return string(utf16.Decode(units))
}

// ReadTable reads a .csv (with comma, semicolon or tab, whichever its first row uses most) or the first sheet of an
// .xlsx. Rows without any text are left out. Errors name the file and line.
func ReadTable(path string) (rows []Row, notes []string, err error) {
	data, err := readBounded(path, maxTableSize)
	if err != nil {
		return nil, nil, err
	}
	if strings.EqualFold(filepath.Ext(path), ".xlsx") {
		rows, err = readWorkbook(path, data)
		return rows, nil, err
	}
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		return nil, nil, fmt.Errorf("%s: is a workbook or other packed file; name it .xlsx, or save it as CSV", path)
	}
	text, note := DecodeText(data)
	if note != "" {
		notes = append(notes, fmt.Sprintf("%s: %s", path, note))
	}
	if i := strings.IndexByte(text, 0); i >= 0 {
		return nil, nil, fmt.Errorf("%s:%d: holds a zero byte: this is no text file; save the table as CSV or XLSX", path, 1+strings.Count(text[:i], "\n"))
	}
	rows, err = parseCSV(path, text)
	return rows, notes, err
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
			return nil, fmt.Errorf("%s:%d: no column %q; want %s", path, rows[0].Line, name, strings.Join(all, ","))
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
	if !strings.Contains(text, "\n") { // old spreadsheets end lines with CR alone
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	r := csv.NewReader(strings.NewReader(text))
	r.Comma = separator(text)
	r.FieldsPerRecord = -1
	r.ReuseRecord = false
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		var fault *csv.ParseError
		if errors.As(err, &fault) {
			return nil, fmt.Errorf("%s:%d:%d: %w; a quotation mark that opens a cell (here or from line %d) must close it, and stands doubled inside it",
				path, fault.Line, fault.Column, fault.Err, fault.StartLine)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		for i := range cells {
			cells[i] = PlainCell(cells[i])
		}
		if blank(cells) {
			continue
		}
		if len(rows) > maxTableRows {
			return nil, fmt.Errorf("%s: more than %d rows; split the file", path, maxTableRows)
		}
		line, _ := r.FieldPos(0)
		rows = append(rows, Row{line, cells})
	}
}

// separator is the one of comma, semicolon and tab that the first line uses most outside quotes.
func separator(text string) rune {
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

func readWorkbook(path string, data []byte) (rows []Row, err error) {
	book, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: 4 * maxTableSize, UnzipXMLSizeLimit: maxTableSize})
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read as a workbook (%w); save it anew as XLSX or CSV", path, err)
	}
	defer book.Close()
	sheets := book.GetSheetList()
	if len(sheets) == 0 {
		return nil, fmt.Errorf("%s: the workbook has no sheet", path)
	}
	cursor, err := book.Rows(sheets[0])
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	defer cursor.Close()
	for line := 1; cursor.Next(); line++ {
		cells, err := cursor.Columns()
		if err != nil {
			return nil, fmt.Errorf("%s: row %d: %w", path, line, err)
		}
		if blank(cells) {
			continue
		}
		if len(rows) > maxTableRows {
			return nil, fmt.Errorf("%s: more than %d rows; split the file", path, maxTableRows)
		}
		rows = append(rows, Row{line, cells})
	}
	if err := cursor.Error(); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return rows, nil
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
