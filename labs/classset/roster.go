package classset

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"keelmark/labs"
)

// Pupil is a row of the roster.
type Pupil struct {
	ID, Name            string
	Group, Class, Level string // "" where the roster has none
	Large               bool
	Extra               int // extra minutes
	Line                int
}

// Roster is a class list. Notes say what was bent to read it.
type Roster struct {
	Pupils []Pupil
	Notes  []string
}

// columns maps a heading, folded by fold, to the column it means. The last three lines are OneRoster's users.csv.
var columns = map[string]string{
	"id": "id", "student": "id", "studentid": "id", "pupil": "id", "pupilid": "id",
	"name": "name", "fullname": "name", "studentname": "name", "pupilname": "name",
	"group": "group", "bench": "group",
	"class": "class", "level": "level",
	"large": "large", "largeprint": "large",
	"extraminutes": "extra", "extra": "extra", "extratime": "extra",
	"firstname": "given", "forename": "given", "lastname": "family", "surname": "family",
	"sourcedid": "id", "givenname": "given", "familyname": "family",
	"role": "role", "status": "status",
}

// ReadRoster reads a CSV or XLSX with the columns id and name, in any order and case, and optional group, class, level
// (starter, core, stretch, capstone), large (yes or no) and extra_minutes; OneRoster's users.csv works too. A missing id
// is made from the row and noted. Errors name the file and line: ids that stand twice, a word that is no level.
func ReadRoster(path string) (*Roster, error) {
	rows, notes, err := ReadTable(path)
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, fmt.Errorf("%s: is empty; want a first row id,name and a row a pupil", path)
	}
	r := rosterReader{path: path, column: map[string]int{}, lines: map[string]int{}, roster: &Roster{Notes: notes}}
	if err := r.header(rows[0]); err != nil {
		return nil, err
	}
	var unnamed []int
	for i, row := range rows[1:] {
		p, ok, err := r.pupil(row)
		if err != nil {
			return nil, err
		}
		if !ok {
			continue
		}
		if p.ID == "" {
			unnamed = append(unnamed, len(r.roster.Pupils))
			p.ID = fmt.Sprintf("row-%d", i+1)
		}
		if first, twice := r.lines[p.ID]; twice {
			return nil, fmt.Errorf("%s:%d: id %q stands already on line %d; every pupil needs an id of their own", path, p.Line, p.ID, first)
		}
		r.lines[p.ID] = p.Line
		r.roster.Pupils = append(r.roster.Pupils, p)
	}
	if len(r.roster.Pupils) == 0 {
		return nil, fmt.Errorf("%s: holds no pupil below its first row", path)
	}
	for _, i := range unnamed {
		p := r.roster.Pupils[i]
		r.note(p.Line, "no id for %s: made %q from the row", p.Name, p.ID)
	}
	return r.roster, nil
}

type rosterReader struct {
	path   string
	column map[string]int // meaning -> index
	lines  map[string]int // id -> line
	roster *Roster
}

func (r *rosterReader) note(line int, format string, args ...any) {
	r.roster.Notes = append(r.roster.Notes, fmt.Sprintf("%s:%d: %s", r.path, line, fmt.Sprintf(format, args...)))
}

func (r *rosterReader) header(row Row) error {
	_, oneRoster := r.find(row, "sourcedid")
	var unused []string
	for i, heading := range row.Cells {
		meaning := columns[fold(heading)]
		switch {
		case strings.TrimSpace(heading) == "":
			continue
		case meaning == "":
			unused = append(unused, strings.TrimSpace(heading))
			continue
		}
		if first, twice := r.column[meaning]; twice {
			return fmt.Errorf("%s:%d: columns %q and %q both give the %s; keep one", r.path, row.Line, row.Cells[first], heading, meaning)
		}
		r.column[meaning] = i
	}
	_, hasID := r.column["id"]
	_, hasName := r.column["name"]
	_, hasFamily := r.column["family"]
	if !hasID && !hasName && !hasFamily {
		return fmt.Errorf("%s:%d: no column id or name among %q; the first row must name the columns, as in id,name,group",
			r.path, row.Line, strings.Join(row.Cells, ","))
	}
	if len(unused) > 0 && !oneRoster {
		r.note(row.Line, "columns not used: %s", strings.Join(unused, ", "))
	}
	return nil
}

func (r *rosterReader) find(row Row, heading string) (int, bool) {
	i := slices.IndexFunc(row.Cells, func(c string) bool { return fold(c) == heading })
	return i, i >= 0
}

// fold makes headings comparable: "Extra_Minutes", "extra minutes" and "extraMinutes" are one.
func fold(heading string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, heading)
}

// pupil reads one row; ok is false for a row that is no pupil (a teacher or a deleted user of OneRoster).
func (r *rosterReader) pupil(row Row) (p Pupil, ok bool, err error) {
	cell := func(meaning string) string {
		if i, has := r.column[meaning]; has && i < len(row.Cells) {
			return tidy(row.Cells[i])
		}
		return ""
	}
	if role := cell("role"); role != "" && !strings.EqualFold(role, "student") {
		r.note(row.Line, "left out %s: role %s", cell("id"), role)
		return p, false, nil
	}
	if status := cell("status"); strings.EqualFold(status, "tobedeleted") {
		r.note(row.Line, "left out %s: status %s", cell("id"), status)
		return p, false, nil
	}
	p = Pupil{ID: cell("id"), Name: cell("name"), Group: cell("group"), Class: cell("class"), Level: strings.ToLower(cell("level")), Line: row.Line}
	if p.Name == "" {
		p.Name = strings.TrimSpace(cell("given") + " " + cell("family"))
	}
	if p.ID == "" && p.Name == "" {
		return p, false, fmt.Errorf("%s:%d: neither id nor name", r.path, row.Line)
	}
	if p.Level != "" && !slices.Contains(levels, p.Level) {
		return p, false, fmt.Errorf("%s:%d: level %q; want %s or nothing", r.path, row.Line, p.Level, strings.Join(levels, ", "))
	}
	switch word := strings.ToLower(cell("large")); word {
	case "", "no", "n", "false", "0", "-":
	case "yes", "y", "true", "1", "x", "large":
		p.Large = true
	default:
		return p, false, fmt.Errorf("%s:%d: large %q; want yes or no", r.path, row.Line, word)
	}
	if minutes := strings.TrimSuffix(cell("extra"), " min"); minutes != "" {
		p.Extra, err = strconv.Atoi(minutes)
		if err != nil || p.Extra < 0 || p.Extra > 600 {
			return p, false, fmt.Errorf("%s:%d: extra_minutes %q; want a whole number from 0 to 600", r.path, row.Line, minutes)
		}
	}
	return p, true, nil
}

var levels = []string{"starter", "core", "stretch", "capstone"}

// tidy makes a cell fit for one line of print: composed Unicode, no control characters, single spaces, at most 200 runes.
func tidy(s string) string {
	s = norm.NFC.String(strings.ToValidUTF8(s, "\ufffd"))
	s = strings.Map(func(c rune) rune {
		if unicode.IsControl(c) || unicode.Is(unicode.Bidi_Control, c) {
			return ' '
		}
		return c
	}, s)
	runes := []rune(strings.Join(strings.Fields(s), " "))
	return string(runes[:min(len(runes), 200)])
}

// Sheet starts the pupil's sheet. A pupil without a level counts as at the lab's own.
func (p Pupil) Sheet(l *labs.Lab) *Sheet {
	s := &Sheet{Student: p.ID, Name: p.Name, Group: p.Group, Class: p.Class, Level: p.Level, Large: p.Large, Extra: p.Extra}
	if s.Level == "" {
		s.Level = l.Level
	}
	return s
}
