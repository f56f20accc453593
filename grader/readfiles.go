package grader

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"keelmark/labs/classset"
)

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
	meaning := make([]column, len(head.cells))
	first := map[column]int{}
	sheetAt := -1
	for i, cell := range head.cells {
		c, err := in.columns.find(cell.text)
		if err != nil {
			in.find(path, head.line, "%scolumn %d: %v", tab, i+1, err)
			continue
		}
		if c.name != "" {
			if before, twice := first[c]; twice {
				in.find(path, head.line, "%scolumns %d and %d are both called %q", tab, before+1, i+1, strings.TrimSpace(cell.text))
			}
			first[c] = i
		}
		if c.name == "sheet" && sheetAt < 0 {
			sheetAt = i
		}
		meaning[i] = c
	}
	if sheetAt < 0 {
		return nil, fmt.Errorf("%sno column %q in its first row; want sheet and the questions, as in answers.csv of the set", tab, "sheet")
	}
	var papers []*Paper
	for _, row := range rows[1:] {
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

// text reads a .txt: `sheet: CODE`, then `question: answer`, a line each; # begins a comment.
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
		heading, answer = strings.TrimSpace(heading), strings.TrimSpace(answer)
		switch {
		case !ok:
			in.find(path, i+1, "%q has no colon; want `question: answer`", line)
		case strings.EqualFold(heading, "sheet"):
			finish()
			b, started = nil, true
			if sheet := in.sheet(path, i+1, answer); sheet != nil {
				b = in.newPaper(path, i+1, sheet)
			}
		case b != nil:
			b.put(i+1, heading, answer, "")
		case !started:
			if c, err := in.columns.find(heading); err != nil || c.name != "" {
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

// json reads {"sheet": "…", "answers": {…}} or an array of them.
func (in *intake) json(path string) (papers []*Paper, err error) {
	all, err := loadText(path)
	if err != nil {
		return nil, err
	}
	r := jsonReader{in: in, path: path, data: []byte(all)}
	r.Decoder = json.NewDecoder(bytes.NewReader(r.data))
	r.UseNumber()
	papers, err = r.papers()
	var syntax *json.SyntaxError
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return papers, fmt.Errorf("ends in the middle, at line %d", r.line())
	case errors.As(err, &syntax):
		in.find(path, r.lineAt(syntax.Offset), "no valid JSON: %v", err)
		return papers, nil
	case err != nil:
		in.find(path, r.line(), "%v", err)
	}
	return papers, nil
}

// jsonReader reads token by token, so that every fault has a line and a key that stands twice is noticed.
type jsonReader struct {
	*json.Decoder
	in   *intake
	path string
	data []byte
}

func (r *jsonReader) line() int { return r.lineAt(r.InputOffset()) }

func (r *jsonReader) lineAt(offset int64) int {
	return 1 + bytes.Count(r.data[:min(max(offset, 0), int64(len(r.data)))], []byte("\n"))
}

const jsonShape = `want {"sheet": "…", "answers": {"Fb": "0.91 N"}} or an array of such objects`

func (r *jsonReader) papers() (papers []*Paper, err error) {
	token, err := r.Token()
	if err != nil {
		return nil, err
	}
	one := func() error {
		p, err := r.object()
		if p != nil {
			papers = append(papers, p)
		}
		return err
	}
	switch token {
	case json.Delim('{'):
		err = one()
	case json.Delim('['):
		for err == nil && r.More() {
			if token, err = r.Token(); err != nil {
				break
			}
			if token != json.Delim('{') {
				return papers, errors.New(jsonShape)
			}
			err = one()
		}
		if err == nil {
			_, err = r.Token()
		}
	default:
		err = errors.New(jsonShape)
	}
	if err == nil {
		if _, rest := r.Token(); !errors.Is(rest, io.EOF) {
			err = errors.New("something follows the answers; put several sheets into one array")
		}
	}
	return papers, err
}

// jsonAnswer is one member of "answers", with its line.
type jsonAnswer struct {
	heading, text string
	line          int
}

// object reads one sheet; its opening brace has been read.
func (r *jsonReader) object() (*Paper, error) {
	code, line := "", r.line()
	var answers []jsonAnswer
	for r.More() {
		key, err := r.Token()
		if err != nil {
			return nil, err
		}
		switch name := key.(string); {
		case strings.EqualFold(name, "sheet"):
			line = r.line()
			if code, err = r.text(); err != nil {
				return nil, err
			}
		case strings.EqualFold(name, "answers"):
			if answers, err = r.answers(); err != nil {
				return nil, err
			}
		default:
			if c, unknown := r.in.columns.find(name); unknown != nil || c.name != "" {
				r.in.find(r.path, r.line(), "key %q is set aside; %s", name, jsonShape)
			}
			if _, err := r.text(); err != nil {
				return nil, err
			}
		}
	}
	if _, err := r.Token(); err != nil {
		return nil, err
	}
	sheet := r.in.sheet(r.path, line, code)
	if sheet == nil {
		return nil, nil
	}
	b := r.in.newPaper(r.path, line, sheet)
	for _, a := range answers {
		b.put(a.line, a.heading, a.text, "")
	}
	return b.done(), nil
}

func (r *jsonReader) answers() (list []jsonAnswer, err error) {
	token, err := r.Token()
	if err != nil {
		return nil, err
	}
	if token != json.Delim('{') {
		return nil, errors.New(jsonShape)
	}
	for r.More() {
		key, err := r.Token()
		if err != nil {
			return nil, err
		}
		a := jsonAnswer{heading: key.(string), line: r.line()}
		if a.text, err = r.text(); err != nil {
			return nil, err
		}
		list = append(list, a)
	}
	_, err = r.Token()
	return list, err
}

// text reads a value as it was written: a string, a number, null as nothing, an array as readings.
func (r *jsonReader) text() (string, error) {
	var v any
	if err := r.Decode(&v); err != nil {
		return "", err
	}
	return plain(v)
}

func plain(v any) (string, error) {
	switch v := v.(type) {
	case nil:
		return "", nil
	case string:
		return v, nil
	case json.Number:
		return v.String(), nil
	case []any:
		parts := make([]string, len(v))
		for i, element := range v {
			if _, nested := element.([]any); nested {
				return "", errors.New("an array inside an array; readings are one list")
			}
			s, err := plain(element)
			if err != nil {
				return "", err
			}
			parts[i] = s
		}
		return strings.Join(parts, "; "), nil
	}
	return "", fmt.Errorf("%v: an answer is a text in quotation marks", v)
}
