// Package classset is a class set on disk: the roster it was printed for, set.json, the codes of sheets, marking.json,
// look.csv, and the types that the side that prints and the side that marks share. Files appear whole or not at all, and
// what is read is checked before it is believed. It neither draws nor marks. Start with [Open].
package classset

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"keelmark/labs"
	"keelmark/labs/quantity"
)

// The names of the files in a set's folder.
const (
	SetFile    = "set.json"
	LabFile    = "lab.md"
	MarkedDir  = "marked"
	Format     = "keelmark set 1" // of set.json
	maxSetSize = 1 << 30          // bytes
	maxLabSize = 1 << 20          // bytes
)

// Settings are those of the whole set.
type Settings struct {
	Gravity   float64           `json:"g"`     // m/s²
	Paper     string            `json:"paper"` // a4 or letter
	Large     bool              `json:"large,omitempty"`
	Plain     bool              `json:"plain,omitempty"`
	Same      bool              `json:"same,omitempty"`
	Forms     bool              `json:"forms,omitempty"`
	CodesOnly bool              `json:"codes_only,omitempty"`
	Fixed     map[string]string `json:"fixed,omitempty"` // --value
}

// Value is a drawn value as printed, in the unit shown: {"value": 2.46, "unit": "N"}, a column
// {"value": [0, 1], "unit": "cm"}, or {"name": "brass"}.
type Value struct {
	Value any    `json:"value,omitempty"` // float64 or []float64
	Unit  string `json:"unit,omitempty"`
	Name  string `json:"name,omitempty"`
}

// notNumber is the text of a value that is neither a number nor a list of numbers. It passes only until Set.check, which
// can say on which sheet it stands.
type notNumber string

// UnmarshalJSON accepts a number or a list of numbers as the value; anything else is left for Set.check to refuse.
func (v *Value) UnmarshalJSON(data []byte) error {
	var raw struct {
		Value json.RawMessage `json:"value"`
		Unit  string          `json:"unit"`
		Name  string          `json:"name"`
	}
	if err := json.Unmarshal(data, &raw); err != nil {
		*v = Value{Value: notNumber(data)}
		return nil
	}
	*v = Value{Unit: raw.Unit, Name: raw.Name}
	if len(raw.Value) == 0 {
		return nil
	}
	var x *float64
	var column []*float64
	switch {
	case json.Unmarshal(raw.Value, &x) == nil && x != nil:
		v.Value = *x
	case json.Unmarshal(raw.Value, &column) == nil && column != nil && !slices.Contains(column, nil):
		numbers := make([]float64, len(column))
		for i, x := range column {
			numbers[i] = *x
		}
		v.Value = numbers
	default:
		v.Value = notNumber(raw.Value)
	}
	return nil
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
	Questions []string         `json:"questions,omitempty"` // only these (follow-up sets); empty: all of the pupil's level
	Attempts  int              `json:"attempts,omitempty"`  // draws it took
}

// Has reports whether the question stands on the sheet: a follow-up sheet names its questions, any other has those of
// its pupil's level.
func (s *Sheet) Has(q *labs.Question) bool {
	if len(s.Questions) > 0 {
		return slices.Contains(s.Questions, q.ID)
	}
	return len(q.Levels) == 0 || slices.Contains(q.Levels, s.Level)
}

// Part is the part of the lab that a follow-up sheet holds; nil, which stands for all of it, for any other sheet.
func (s *Sheet) Part(l *labs.Lab) *labs.Part {
	if len(s.Questions) == 0 {
		return nil
	}
	return l.Part(s.Has)
}

// Copying is what the copying rule achieved, over all pairs of pupils it looked at.
type Copying struct {
	Mean  float64 `json:"mean"`  // numeric answers of one pupil right on another's sheet
	Worst int     `json:"worst"` // the same for the worst pair
	Limit int     `json:"limit"` // the most the rule allows within a group and among neighbours
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

// Open reads a class set and the lab it was printed from (DIR/lab.md). Errors name the file, the place in it and the
// remedy.
func Open(dir string) (*Set, *labs.Lab, error) {
	set, err := Read(dir)
	if err != nil {
		return nil, nil, err
	}
	path := filepath.Join(dir, LabFile)
	source, err := ReadFile(path, maxLabSize)
	if err != nil {
		return nil, nil, fmt.Errorf("%w; it is the lab this set was printed from: put the file back", err)
	}
	lab, err := labs.Parse(path, source)
	if err != nil {
		return nil, nil, err
	}
	lab.Name = set.Lab
	if err := set.fits(lab); err != nil {
		return nil, nil, fmt.Errorf("%s: %w; one of %s and %s was changed since the set was printed",
			filepath.Join(dir, SetFile), err, SetFile, LabFile)
	}
	return set, lab, nil
}

// noSet tells why a folder without set.json is no class set, and which one below it may be meant.
func noSet(dir string) error {
	path := filepath.Join(dir, SetFile)
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: %w: there is no folder %s", path, fs.ErrNotExist, dir)
	}
	if below, err := fs.Glob(os.DirFS(dir), "*/"+SetFile); err == nil && len(below) > 0 {
		return fmt.Errorf("%s: %w: %s is no class set, but %s is one", path, fs.ErrNotExist, dir, filepath.Join(dir, filepath.Dir(below[0])))
	}
	return fmt.Errorf("%s: %w: %s is no class set, or its printing was cut short; print it again", path, fs.ErrNotExist, dir)
}

// Read reads set.json alone.
func Read(dir string) (*Set, error) {
	path := filepath.Join(dir, SetFile)
	data, err := ReadFile(path, maxSetSize)
	if isFile(dir) {
		return nil, fmt.Errorf("%s is a file; want the folder of a class set", dir)
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil, noSet(dir)
	}
	if err != nil {
		return nil, err
	}
	return parseSet(path, data)
}

// parseSet reads and checks the content of set.json. Errors name path.
func parseSet(path string, data []byte) (*Set, error) {
	set := new(Set)
	if err := decode(path, data, set); err != nil {
		return nil, fmt.Errorf("%w; the file was edited or cut short: put back a copy, or print again with the same --seed and roster", err)
	}
	if err := checkFormat(path, set.Format, Format, "this is no class set"); err != nil {
		return nil, err
	}
	if err := set.check(); err != nil {
		return nil, fmt.Errorf("%s: %w; put back a copy, or print again with the same --seed and roster", path, err)
	}
	return set, nil
}

// checkFormat proves that a file is of this version's format, and tells a later version's from one that is none of ours, of
// which foreign says what to think.
func checkFormat(path, got, want, foreign string) error {
	family := strings.TrimRight(want, "0123456789")
	switch {
	case got == want:
		return nil
	case strings.HasPrefix(got, family):
		return fmt.Errorf("%s: made by a later version (format %s, this one reads %q); use that version", path, Quote(got), want)
	}
	return fmt.Errorf("%s: format %s, want %q: %s", path, Quote(got), want, foreign)
}

// check proves what the rest of the program relies on.
func (s *Set) check() error {
	if g := s.Settings.Gravity; !(g >= 0.1 && g <= 30) { // what printing takes
		return fmt.Errorf("settings: g is %v m/s²", g)
	}
	if len(s.Sheets) == 0 {
		return errors.New("it holds no sheet")
	}
	codes := make(map[string]bool, len(s.Sheets))
	for i, sheet := range s.Sheets {
		if sheet == nil {
			return fmt.Errorf("sheet %d is null", i+1)
		}
		code, ok := CheckCode(sheet.Code)
		if !ok || code != sheet.Code {
			return fmt.Errorf("sheet %d: %s is not a sheet code", i+1, Quote(sheet.Code))
		}
		if codes[code] {
			return fmt.Errorf("sheet %d: code %s stands twice", i+1, code)
		}
		codes[code] = true
		for _, text := range []string{sheet.Student, sheet.Name, sheet.Group, sheet.Class} {
			if n := utf8.RuneCountInString(text); n > maxWritten {
				return fmt.Errorf("sheet %s: %s is %d characters long; at most %d of a name are printed", code, Quote(text), n, maxWritten)
			}
		}
		for _, name := range slices.Sorted(maps.Keys(sheet.Values)) {
			if err := sheet.Values[name].check(); err != nil {
				return fmt.Errorf("sheet %s: value %s: %w", code, Quote(name), err)
			}
		}
	}
	if p := s.Settings.Paper; p != "a4" && p != "letter" {
		return fmt.Errorf("settings: paper %s, want a4 or letter", Quote(p))
	}
	return nil
}

// maxWritten bounds an id, a name and the like in a set that was edited; a roster gives less.
const maxWritten = 1000

// maxValue is beyond what any lab draws, in any unit, and far from where formulas overflow.
const maxValue = 1e30

func (v Value) check() error {
	var numbers []float64
	switch x := v.Value.(type) {
	case notNumber:
		return fmt.Errorf("%s is neither a number nor a list of numbers", Quote(string(x)))
	case float64:
		numbers = []float64{x}
	case []float64:
		numbers = x
	}
	for _, x := range numbers {
		if math.Abs(x) > maxValue {
			return fmt.Errorf("%g is larger than any value of a lab", x)
		}
	}
	return nil
}

// fits proves that every sheet has the values the lab asks for, in units that fit.
func (s *Set) fits(l *labs.Lab) error {
	for _, sheet := range s.Sheets {
		for _, v := range l.Values {
			if v.Source == labs.Measured {
				continue
			}
			if _, err := sheet.value(v); err != nil {
				return fmt.Errorf("sheet %s: %w", sheet.Code, err)
			}
		}
		for id, order := range sheet.Choices {
			q := l.Question(id)
			if q == nil || !isOrder(order, len(q.Choices)) {
				return fmt.Errorf("sheet %s: choices of question %s do not fit the lab", sheet.Code, id)
			}
		}
		for _, id := range sheet.Questions {
			if l.Question(id) == nil {
				return fmt.Errorf("sheet %s: the lab has no question %s", sheet.Code, id)
			}
		}
	}
	return nil
}

// isOrder reports whether order holds each of 1..n once.
func isOrder(order []int, n int) bool {
	sorted := slices.Sorted(slices.Values(order))
	for i, k := range sorted {
		if k != i+1 {
			return false
		}
	}
	return len(order) == n
}

// value gives the sheet's printed value of v in coherent SI.
func (s *Sheet) value(v *labs.Value) (quantity.Value, error) {
	printed, ok := s.Values[v.Name]
	if !ok {
		return quantity.Value{}, fmt.Errorf("value %s is missing", v.Name)
	}
	if v.Type.Kind == quantity.Name {
		if printed.Name == "" {
			return quantity.Value{}, fmt.Errorf("value %s has no name", v.Name)
		}
		return quantity.Value{Name: printed.Name}, nil
	}
	unit := v.Show.Unit
	if printed.Unit != v.Show.Text {
		var err error
		if unit, err = quantity.ParseUnit(printed.Unit); err != nil {
			return quantity.Value{}, fmt.Errorf("value %s: %w", v.Name, err)
		}
		if unit.Dim != v.Type.Dim {
			return quantity.Value{}, fmt.Errorf("value %s in %s does not fit the lab's %s", v.Name, printed.Unit, v.Show.Text)
		}
	}
	switch x := printed.Value.(type) {
	case float64:
		if v.Type.Kind != quantity.Column {
			return quantity.Value{X: unit.SI(x)}, nil
		}
	case []float64:
		if v.Type.Kind == quantity.Column {
			column := make([]float64, len(x))
			for i := range x {
				column[i] = unit.SI(x[i])
			}
			return quantity.Value{Col: column}, nil
		}
	}
	return quantity.Value{}, fmt.Errorf("value %s is not of the kind the lab has", v.Name)
}

// Printed gives a value of a lab as it stands on paper, in the unit shown, to be stored. x is in coherent SI and already
// rounded to what is shown.
func Printed(v *labs.Value, x quantity.Value) Value {
	figures := 15 // the last binary digits only say that a number went to SI and back
	if v.Show.Step > 0 {
		figures = 12
	}
	shown := func(si float64) float64 { return quantity.RoundFigures(v.Show.Unit.From(si), figures) }
	switch v.Type.Kind {
	case quantity.Name:
		return Value{Name: x.Name}
	case quantity.Column:
		column := make([]float64, len(x.Col))
		for i, si := range x.Col {
			column[i] = shown(si)
		}
		return Value{Value: column, Unit: v.Show.Text}
	}
	return Value{Value: shown(x.X), Unit: v.Show.Text}
}

// Save writes set.json whole or not at all. It is the last file of a set to be written: a folder without it is unfinished.
func (s *Set) Save(dir string) error {
	s.Format = Format
	head := *s
	head.Sheets = []*Sheet{}
	return saveSheets(filepath.Join(dir, SetFile), head, s.Sheets)
}

// Fill fills in the frame with the sheet's printed values, measured ones at what the lab expects.
func (s *Sheet) Fill(l *labs.Lab, f labs.Frame) error {
	for _, v := range l.Order {
		var x quantity.Value
		var err error
		if v.Source == labs.Measured {
			x, err = l.Compute(v, f, nil)
		} else {
			x, err = s.value(v)
		}
		if err != nil {
			return fmt.Errorf("sheet %s: %w", s.Code, err)
		}
		f[v.Slot] = x
	}
	return nil
}

// Frame gives the frame of a sheet with its printed values (measured ones at their expectation) and all answers solved.
func (s *Set) Frame(l *labs.Lab, sheet *Sheet) (labs.Frame, error) {
	f := l.NewFrame(s.Settings.Gravity)
	if err := sheet.Fill(l, f); err != nil {
		return nil, err
	}
	if err := l.Solve(f); err != nil {
		return nil, fmt.Errorf("sheet %s: %w", sheet.Code, err)
	}
	return f, nil
}

// saveSheets writes a JSON file whole or not at all, a sheet a line, so that no more than one is held in memory as text.
// head is written as it is but for its last key, an empty list, which is filled with the sheets.
func saveSheets[S any](path string, head any, sheets []S) error {
	return WriteTo(path, func(w io.Writer) error {
		var line bytes.Buffer
		e := json.NewEncoder(&line)
		e.SetEscapeHTML(false)
		write := func(before string, v any, cut string) error {
			line.Reset()
			line.WriteString(before)
			if err := e.Encode(v); err != nil {
				return err
			}
			_, err := w.Write(bytes.TrimSuffix(line.Bytes(), []byte(cut+"\n")))
			return err
		}
		if err := write("", head, "]}"); err != nil {
			return err
		}
		between := "\n"
		for _, s := range sheets {
			if err := write(between, s, ""); err != nil {
				return err
			}
			between = ",\n"
		}
		_, err := io.WriteString(w, "\n]}\n")
		return err
	})
}

// decode reads JSON and tells the line and column of a fault.
func decode(path string, data []byte, v any) error {
	err := json.Unmarshal(data, v)
	var syntax *json.SyntaxError
	var wrongType *json.UnmarshalTypeError
	offset := int64(-1)
	switch {
	case err == nil:
		return nil
	case errors.As(err, &syntax):
		offset = syntax.Offset
	case errors.As(err, &wrongType):
		offset = wrongType.Offset
	}
	if offset < 0 || offset > int64(len(data)) {
		return fmt.Errorf("%s: %w", path, err)
	}
	before := data[:offset]
	line := 1 + bytes.Count(before, []byte("\n"))
	col := len(before) - bytes.LastIndexByte(before, '\n') - 1
	return fmt.Errorf("%s:%d:%d: %w", path, line, max(col, 1), err)
}
