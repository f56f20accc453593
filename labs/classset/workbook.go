package classset

import (
	"archive/zip"
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Bounds of a workbook, counted before the library that reads it sees it: a small file may unpack to gigabytes, and each
// cell is looked for among all that are merged. 10 000 sheets of sixty answers and readings stay below them all.
const (
	maxBookParts    = 1000
	maxBookSize     = 64 << 20  // bytes unpacked
	maxBookElements = 3_000_000 // at most four a cell
	maxBookRows     = 25_000    // of all worksheets together: a head, maxPupils, and blank ones that were formatted
	maxBookMerges   = 5000
	maxFormat       = 1000 // bytes of a number format
)

// Workbook is an .xlsx that is open for reading.
type Workbook struct{ file *excelize.File }

// OpenWorkbook opens an .xlsx held in memory; Close it. Its errors tell what to do and name no file.
func OpenWorkbook(data []byte) (*Workbook, error) {
	if err := vetBook(data); err != nil {
		return nil, fmt.Errorf("cannot be read as a workbook (%w); save it anew as XLSX or CSV", err)
	}
	file, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: maxBookSize, UnzipXMLSizeLimit: maxBookSize})
	if err != nil {
		return nil, fmt.Errorf("cannot be read as a workbook (%w); save it anew as XLSX or CSV", err)
	}
	return &Workbook{file}, nil
}

// Close frees what the workbook holds.
func (w *Workbook) Close() error { return w.file.Close() }

// Tabs are the names of the worksheets, in order.
func (w *Workbook) Tabs() []string { return w.file.GetSheetList() }

// Rows gives the rows of a worksheet that hold any text, cells as they are displayed, Line being the row's number. What
// lies between is only counted: some programs note the very last row of a sheet, far below the table, for its height.
func (w *Workbook) Rows(tab string) (rows []Row, err error) {
	cursor, err := w.file.Rows(tab)
	if err != nil {
		return nil, err
	}
	defer cursor.Close()
	count := 0
	for line := 1; cursor.Next(); line++ {
		cells, err := cursor.Columns()
		if err != nil {
			return nil, fmt.Errorf("row %d: %w", line, err)
		}
		if count += len(cells); count > maxTableCells { // blank ones too: their width is memory
			return nil, fmt.Errorf("row %d: more than %d cells, blank ones among them; delete what lies beyond the table", line, maxTableCells)
		}
		if !blank(cells) {
			rows = append(rows, Row{line, cells})
		}
	}
	return rows, cursor.Error()
}

// Kind is what a cell holds beside what it displays.
type Kind int

// The kinds of cell.
const (
	TextCell Kind = iota
	NumberCell
	DateCell
)

// Kind tells what a cell that displays some text holds; column and row count from 1.
func (w *Workbook) Kind(tab string, column, row int) (Kind, error) {
	name, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		return TextCell, err
	}
	kind, err := w.file.GetCellType(tab, name)
	if err != nil {
		return TextCell, err
	}
	switch kind {
	case excelize.CellTypeDate:
		return DateCell, nil
	case excelize.CellTypeNumber, excelize.CellTypeUnset, excelize.CellTypeFormula:
	default:
		return TextCell, nil
	}
	id, err := w.file.GetCellStyle(tab, name)
	if err != nil {
		return TextCell, err
	}
	if style, err := w.file.GetStyle(id); err == nil && showsDate(style) {
		return DateCell, nil
	}
	return NumberCell, nil // also where the workbook has no such style, as those without any
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

// vetBook unpacks every part once, keeping nothing, and counts.
func vetBook(data []byte) error {
	packed, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return err
	}
	if len(packed.File) > maxBookParts {
		return fmt.Errorf("it packs %d files, at most %d are read", len(packed.File), maxBookParts)
	}
	var v bookVet
	for _, part := range packed.File {
		if err := v.part(part); err != nil {
			return fmt.Errorf("%s: %w", Quote(part.Name), err)
		}
	}
	return nil
}

// bookVet counts over all parts of a workbook.
type bookVet struct {
	size                   int64
	elements, rows, merges int
}

func (v *bookVet) part(part *zip.File) error {
	packed, err := part.Open()
	if err != nil {
		return err
	}
	defer packed.Close()
	left := maxBookSize - v.size
	limited := &io.LimitedReader{R: packed, N: left + 1}
	in := bufio.NewReaderSize(limited, 1<<16)
	isXML := strings.HasSuffix(part.Name, ".xml")
	for err == nil {
		_, err = in.ReadSlice('<')
		if errors.Is(err, bufio.ErrBufferFull) {
			err = nil
			continue
		}
		if err == nil && isXML {
			err = v.element(in)
		}
		if v.size = maxBookSize - limited.N + 1; limited.N <= 0 {
			return fmt.Errorf("it unpacks to more than %d MB", maxBookSize>>20)
		}
	}
	if errors.Is(err, io.EOF) {
		return nil
	}
	return err
}

// element counts one that begins after a `<`.
func (v *bookVet) element(in *bufio.Reader) error {
	start, _ := in.Peek(40) // less at the end of the part, whose error comes with the next read
	if len(start) == 0 || start[0] == '/' {
		return nil
	}
	name := start
	if i := bytes.IndexAny(name, " \t\r\n/>"); i >= 0 {
		name = name[:i]
	}
	if i := bytes.IndexByte(name, ':'); i >= 0 {
		name = name[i+1:]
	}
	v.elements++
	switch string(name) {
	case "row":
		v.rows++
	case "mergeCell":
		v.merges++
	case "numFmt":
		if start, err := in.Peek(maxFormat); err == nil && bytes.IndexByte(start, '>') < 0 {
			return fmt.Errorf("a number format of more than %d bytes", maxFormat)
		}
	}
	switch {
	case v.elements > maxBookElements, v.rows > maxBookRows:
		return fmt.Errorf("more than %d rows or %d cells and texts", maxBookRows, maxBookElements/4)
	case v.merges > maxBookMerges:
		return fmt.Errorf("more than %d merged cells", maxBookMerges)
	}
	return nil
}
