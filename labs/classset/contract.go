// Package classset is a class set on disk: set.json, the codes of sheets, marking.json, look.csv, and the types that the
// side that prints and the side that marks share. Files appear whole or not at all. Start with [Open].
package classset

import (
	"keelmark/labs"
)

// CONTRACT (stubs): the owner replaces every body.

// Settings are those of the whole set.
type Settings struct {
	Gravity   float64           `json:"g"` // m/s²
	Paper     string            `json:"paper"`
	Large     bool              `json:"large,omitempty"`
	Plain     bool              `json:"plain,omitempty"`
	Same      bool              `json:"same,omitempty"`
	Forms     bool              `json:"forms,omitempty"`
	CodesOnly bool              `json:"codes_only,omitempty"`
	Fixed     map[string]string `json:"fixed,omitempty"` // --value
}

// Value is a drawn value as printed, in the unit shown: {"value": 2.46, "unit": "N"}, a column {"value": [0, 1], "unit": "cm"}, or {"name": "brass"}.
type Value struct {
	Value any    `json:"value,omitempty"` // float64 or []float64
	Unit  string `json:"unit,omitempty"`
	Name  string `json:"name,omitempty"`
}

// Sheet is one pupil's sheet.
type Sheet struct {
	Code      string           `json:"code"`
	Student   string           `json:"student"`
	Name      string           `json:"name"`
	Group     string           `json:"group"`
	Class     string           `json:"class,omitempty"`
	Level     string           `json:"level,omitempty"`
	Large     bool             `json:"large,omitempty"`
	Extra     int              `json:"extra_minutes,omitempty"`
	Values    map[string]Value `json:"values"`
	Choices   map[string][]int `json:"choices,omitempty"`   // order printed, by question: 1-based numbers of the template's choices
	Questions []string         `json:"questions,omitempty"` // only these (follow-up sets, levels); empty: all
	Attempts  int              `json:"attempts,omitempty"`
}

// Copying is what the copying rule achieved.
type Copying struct {
	Mean  float64 `json:"mean"` // numeric answers of one pupil right on another's sheet
	Worst int     `json:"worst"`
	Limit int     `json:"limit"`
}

// Set is set.json.
type Set struct {
	Format   string   `json:"format"` // "keelmark set 1"
	Engine   string   `json:"engine"`
	Lab      string   `json:"lab"`
	Seed     string   `json:"seed"`
	Made     string   `json:"made"` // RFC 3339
	Settings Settings `json:"settings"`
	Copying  *Copying `json:"copying,omitempty"`
	Sheets   []*Sheet `json:"sheets"`
}

// Open reads a class set and the lab it was printed from (DIR/lab.md). Errors name the file and the remedy.
func Open(dir string) (*Set, *labs.Lab, error) { panic("contract") }

// Save writes set.json, last and atomically.
func (s *Set) Save(dir string) error { panic("contract") }

// Frame gives the frame of a sheet with its printed values (measured ones at their expectation) and all answers solved.
func (s *Set) Frame(l *labs.Lab, sheet *Sheet) (labs.Frame, error) { panic("contract") }

// Has reports whether the question stands on the sheet (levels, follow-up sets).
func (s *Sheet) Has(q *labs.Question) bool { panic("contract") }

// NewCode makes a sheet's code from a source of random numbers 0..n-1; CheckCode tells whether a code as typed (any
// case, spaces, hyphens) is well formed, and returns it in canonical form.
func NewCode(intn func(n int) int) string                { panic("contract") }
func CheckCode(typed string) (canonical string, ok bool) { panic("contract") }
func ShowCode(code string) string                        { panic("contract") } // 4F7K-Q2X7

// WriteFile writes a file whole or not at all: beside the target, synced, renamed.
func WriteFile(path string, data []byte) error { panic("contract") }

// Lock takes the set's lock for writing; the error says who holds it.
func Lock(dir string) (release func(), err error) { panic("contract") }

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
	Absent  bool      `json:"absent,omitempty"`
	Total   int       `json:"total"`
	Open    int       `json:"open"`
	OutOf   int       `json:"out_of"`
	Gravity float64   `json:"g"`
	Answers []*Answer `json:"answers"`
}

// Amount is a number with its unit, as written in set.json.
type Amount struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// Verdicts, as marking.md lists them.
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
