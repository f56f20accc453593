package classset

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
)

const (
	MarkingFile   = "marking.json" // in MarkedDir
	markingFormat = "keelmark marking 1"
)

// Marking is marking.json.
type Marking struct {
	Format string        `json:"format"` // "keelmark marking 1"
	Lab    string        `json:"lab"`
	Sheets []*SheetMarks `json:"sheets"`
}

// SheetMarks is one marked sheet.
type SheetMarks struct {
	Code    string    `json:"code"`
	Student string    `json:"student"`
	Name    string    `json:"name,omitempty"`
	Class   string    `json:"class,omitempty"`
	Group   string    `json:"group,omitempty"`
	Absent  bool      `json:"absent,omitempty"`
	Total   int       `json:"total"`
	Open    int       `json:"open"` // marks not yet decided
	OutOf   int       `json:"out_of"`
	Gravity float64   `json:"g"` // m/s²: the value the pupil is taken to have used
	Answers []*Answer `json:"answers"`

	Readings []*BenchReading   `json:"readings,omitempty"`  // what the pupil read at the bench
	HandedIn map[string]string `json:"handed_in,omitempty"` // every cell as it was written, by column: enough to mark again
	Cells    map[string]string `json:"cells,omitempty"`     // "number" or "date" where a spreadsheet held no text, by column
	From     string            `json:"from,omitempty"`      // file and line of what was handed in
}

// BenchReading is a measured value, or a column of them, as the pupil read it.
type BenchReading struct {
	Name      string    `json:"name"`
	Written   string    `json:"written"`
	Values    []float64 `json:"values,omitempty"` // what was marked with, in Unit; none: missing or unread
	Rows      []int     `json:"rows,omitempty"`   // of the table, from 1, that Values are of; none: all from the first
	Expected  []float64 `json:"expected,omitempty"`
	Unit      string    `json:"unit"`
	Plausible bool      `json:"plausible"`
	Message   string    `json:"message,omitempty"` // what to check
	From      string    `json:"from,omitempty"`    // code of the sheet of the same bench group it was taken from
}

// Amount is a number with its unit, as written in set.json.
type Amount struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// The verdicts.
const (
	Right   = "right"
	Carried = "carried"
	Slip    = "slip"
	Wrong   = "wrong"
	Blank   = "blank"
	Unread  = "unread"
	ByHand  = "by hand"
	Absent  = "absent"
)

// Answer is one marked answer.
type Answer struct {
	Question string   `json:"question"`
	Written  string   `json:"written"`
	Read     *Amount  `json:"read"`
	Expected *Amount  `json:"expected"`
	Verdict  string   `json:"verdict"`
	Marks    int      `json:"marks"`
	OutOf    int      `json:"out_of"`
	Open     bool     `json:"open,omitempty"`
	Cause    string   `json:"cause"` // slip id
	Certain  bool     `json:"certain"`
	Message  string   `json:"message"`           // for the pupil
	Teacher  string   `json:"teacher,omitempty"` // for the teacher
	Decided  string   `json:"decided,omitempty"` // by whom, where a person decided
	Void     bool     `json:"void,omitempty"`
	Notes    []string `json:"notes,omitempty"` // unit, figures, direction, reading
}

// OpenMarking reads DIR/marked/marking.json. The error wraps fs.ErrNotExist when the set has not been marked.
func OpenMarking(dir string) (*Marking, error) {
	path := filepath.Join(dir, MarkedDir, MarkingFile)
	data, err := ReadFile(path, maxSetSize)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: %w: mark the set first", path, fs.ErrNotExist)
	}
	if err != nil {
		return nil, err
	}
	return parseMarking(path, data)
}

// parseMarking reads and checks the content of marking.json. Errors name path.
func parseMarking(path string, data []byte) (*Marking, error) {
	m := new(Marking)
	if err := decode(path, data, m); err != nil {
		return nil, fmt.Errorf("%w; the file was edited or cut short: %s", err, markAgain)
	}
	if err := checkFormat(path, m.Format, markingFormat, markAgain); err != nil {
		return nil, err
	}
	if err := m.check(); err != nil {
		return nil, fmt.Errorf("%s: %w; %s", path, err, markAgain)
	}
	return m, nil
}

// markAgain is the remedy for a marking.json that cannot be read: while it lies there it would be marked on top of.
const markAgain = "put back a copy, or move it away and mark all answers again"

// check proves what the rest of the program relies on.
func (m *Marking) check() error {
	codes := make(map[string]bool, len(m.Sheets))
	for i, s := range m.Sheets {
		if s == nil {
			return fmt.Errorf("sheet %d is null", i+1)
		}
		if code, ok := CheckCode(s.Code); !ok || code != s.Code {
			return fmt.Errorf("sheet %d: %s is not a sheet code", i+1, Quote(s.Code))
		}
		if codes[s.Code] {
			return fmt.Errorf("sheet %d: code %s stands twice", i+1, s.Code)
		}
		codes[s.Code] = true
		for j, a := range s.Answers {
			if a == nil {
				return fmt.Errorf("sheet %s: answer %d is null", s.Code, j+1)
			}
		}
		for j, r := range s.Readings {
			if r == nil {
				return fmt.Errorf("sheet %s: reading %d is null", s.Code, j+1)
			}
		}
	}
	return nil
}

// Save writes DIR/marked/marking.json whole or not at all. The folder must exist.
func (m *Marking) Save(dir string) error {
	m.Format = markingFormat
	head := *m
	head.Sheets = []*SheetMarks{}
	return saveSheets(filepath.Join(dir, MarkedDir, MarkingFile), head, m.Sheets)
}
