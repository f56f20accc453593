package grader

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"keelmark/labs/classset"
)

// maxPapers bounds the sheets of one file: twice as many as a class set was ever made for.
const maxPapers = 20_000

var errPapers = fmt.Errorf("more than %d sheets, the rest was not read; split the file", maxPapers)

// table reads a .csv: a header with `sheet`, a row a sheet.
func (in *intake) table(path string) ([]*Paper, error) {
	rows, _, err := classset.ReadTable(path)
	if err != nil {
		return nil, err
	}
	cells := make([]tableRow, 0, len(rows))
	for _, row := range rows {
		r := tableRow{line: row.Line}
		for _, text := range row.Cells {
			r.cells = append(r.cells, tableCell{text: text})
		}
		cells = append(cells, r)
	}
	if len(cells) > 0 && strings.HasPrefix(strings.ToLower(cells[0].cells[0].text), "sep=") {
		cells = cells[1:] // a line by which spreadsheets tell each other the separator
	}
	if len(cells) == 0 {
		return nil, errors.New("is empty; want a first row with the column sheet and the questions")
	}
	return in.rows(path, "", cells)
}

type tableCell struct{ text, kind string }

type tableRow struct {
	line  int
	cells []tableCell
}

// rows reads the rows of a table below its header. tab names the worksheet in messages.
func (in *intake) rows(path, tab string, rows []tableRow) ([]*Paper, error) {
	head := rows[0]
	sheetAt := slices.IndexFunc(head.cells, func(cell tableCell) bool {
		c, _ := in.columns.find(cell.text)
		return c.name == "sheet"
	})
	if sheetAt < 0 { // a class list, or any other table: its columns need not be named one by one
		return nil, fmt.Errorf("%sno column %q in its first row; want sheet and the questions, as in answers.csv of the set", tab, "sheet")
	}
	meaning := make([]column, len(head.cells))
	first := map[column]int{}
	for i, cell := range head.cells {
		c, ok := in.columns.find(cell.text)
		if !ok {
			in.find(path, head.line, "%scolumn %d: %s", tab, i+1, in.columns.unknown(cell.text))
			continue
		}
		if c.name != "" {
			if before, twice := first[c]; twice {
				in.find(path, head.line, "%scolumns %d and %d are both called %s", tab, before+1, i+1, classset.Quote(strings.TrimSpace(cell.text)))
			}
			first[c] = i
		}
		meaning[i] = c
	}
	var papers []*Paper
	for _, row := range rows[1:] {
		if len(papers) >= maxPapers {
			return papers, errPapers
		}
		if p := in.row(path, row, sheetAt, meaning); p != nil {
			papers = append(papers, p)
		}
	}
	return papers, nil
}

// row reads one row of a table; nil when it cannot be told whose it is, or which cell belongs to which question.
func (in *intake) row(path string, row tableRow, sheetAt int, meaning []column) *Paper {
	typed := ""
	if sheetAt < len(row.cells) {
		typed = row.cells[sheetAt].text
	}
	sheet := in.sheet(path, row.line, typed)
	if sheet == nil {
		return nil
	}
	for _, extra := range row.cells[min(len(meaning), len(row.cells)):] {
		if strings.TrimSpace(extra.text) != "" {
			in.find(path, row.line, "sheet %s: more cells than the header has columns, so answers may stand under the wrong question; put answers that hold the separator (such as 0,91) in quotation marks. Not marked", classset.ShowCode(sheet.Code))
			return nil
		}
	}
	b := in.newPaper(path, row.line, sheet)
	for i, c := range meaning {
		cell := tableCell{}
		if i < len(row.cells) {
			cell = row.cells[i]
		}
		b.cell(row.line, c, cell.text, cell.kind)
	}
	return b.done()
}

// text reads a .txt: `sheet: CODE`, then `question: answer` or `question = answer`, a line each; # begins a comment.
func (in *intake) text(path string) (papers []*Paper, err error) {
	all, err := loadText(path)
	if err != nil {
		return nil, err
	}
	var b *paperMaker
	started := false
	finish := func() {
		if b != nil {
			papers = append(papers, b.done())
		}
	}
	all = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(all)
	for i, line := range strings.Split(all, "\n") {
		line = uncomment(line)
		if line == "" {
			continue
		}
		heading, answer, ok := strings.Cut(line, ":")
		if !ok { // as a pupil writes it in a workbook: V_s = 61.2
			heading, answer, ok = strings.Cut(line, "=")
		}
		heading, answer = strings.TrimSpace(heading), strings.TrimSpace(answer)
		switch {
		case !ok:
			in.find(path, i+1, "%s has no colon; want `question: answer`", classset.Quote(line))
		case strings.EqualFold(heading, "sheet"):
			finish()
			b, started = nil, true
			if len(papers) >= maxPapers {
				return papers, errPapers
			}
			if sheet := in.sheet(path, i+1, answer); sheet != nil {
				b = in.newPaper(path, i+1, sheet)
			}
		case b != nil:
			b.put(i+1, heading, answer, "")
		case !started:
			if c, ok := in.columns.find(heading); !ok || c.name != "" {
				in.find(path, i+1, "an answer before any `sheet: CODE` line: nobody's yet")
			}
		}
	}
	finish()
	if !started {
		return papers, errors.New("no `sheet: CODE` line")
	}
	return papers, nil
}

// uncomment takes a comment off a line: a # at its start or after a space.
func uncomment(line string) string {
	for i, r := range line {
		if r == '#' && strings.TrimRight(line[:i], " \t") != line[:i] || r == '#' && i == 0 {
			line = line[:i]
			break
		}
	}
	return strings.TrimSpace(line)
}
