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
// is made from the row and noted. Errors name the file and line: ids that stand twice, a word that is no level, a row of a
// CSV with more cells than headings, more than 20 000 pupils.
func ReadRoster(path string) (*Roster, error) {
	rows, notes, err := ReadTable(path)
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, fault(path, 0, "is empty; want a first row id,name and a row a pupil")
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
			return nil, fault(path, p.Line, "id %s stands already on line %d; every pupil needs an id of their own", Quote(p.ID), first)
		}
		if len(r.roster.Pupils) >= maxPupils {
			return nil, fault(path, p.Line, "more than %d pupils; split the list: a set is made for a class, a year or a school", maxPupils)
		}
		r.lines[p.ID] = p.Line
		r.roster.Pupils = append(r.roster.Pupils, p)
	}
	if len(r.roster.Pupils) == 0 {
		return nil, fault(path, 0, "holds no pupil below its first row")
	}
	r.made(unnamed)
	if r.more > 0 {
		r.roster.Notes = append(r.roster.Notes, fmt.Sprintf("%s: %d more such notes", path, r.more))
	}
	return r.roster, nil
}

// made notes the ids that were made for pupils without one, and where a name stands above as well: without an id nothing
// else tells a pupil listed twice.
func (r *rosterReader) made(unnamed []int) {
	first := map[string]int{}
	for _, p := range slices.Backward(r.roster.Pupils) {
		first[p.Name] = p.Line
	}
	for _, i := range unnamed {
		p, again := r.roster.Pupils[i], ""
		if line := first[p.Name]; line != p.Line {
			again = fmt.Sprintf("; the name stands on line %d too: a pupil listed twice gets two sheets", line)
		}
		r.note(p.Line, "no id for %s: made %q from the row%s", p.Name, p.ID, again)
	}
}

// maxPupils bounds a roster. Printing takes some ten minutes for so many.
const maxPupils = 20_000

// maxNotes bounds what is said of one roster.
const maxNotes = 50

type rosterReader struct {
	path   string
	column map[string]int // meaning -> index
	width  int            // cells of the first row
	lines  map[string]int // id -> line
	roster *Roster
	more   int // notes beyond maxNotes
}

func (r *rosterReader) note(line int, format string, args ...any) {
	if len(r.roster.Notes) >= maxNotes {
		r.more++
		return
	}
	r.roster.Notes = append(r.roster.Notes, fmt.Sprintf("%s:%d: %s", r.path, line, fmt.Sprintf(format, args...)))
}

func (r *rosterReader) header(row Row) error {
	r.width = len(row.Cells)
	_, oneRoster := r.find(row, "sourcedid")
	var unused []string
	for i, heading := range row.Cells {
		meaning := columns[fold(heading)]
		switch {
		case strings.TrimSpace(heading) == "":
			continue
		case meaning == "":
			unused = append(unused, tidy(heading))
			continue
		}
		if first, twice := r.column[meaning]; twice {
			return fault(r.path, row.Line, "columns %s and %s both give the %s; keep one", Quote(row.Cells[first]), Quote(heading), meaning)
		}
		r.column[meaning] = i
	}
	_, hasID := r.column["id"]
	_, hasName := r.column["name"]
	_, hasFamily := r.column["family"]
	_, hasGiven := r.column["given"]
	if !hasID && !hasName && !hasFamily {
		return fault(r.path, row.Line, "no column id or name among %s; the first row must name the columns, as in id,name,group",
			Quote(strings.Join(row.Cells, ",")))
	}
	if !hasName && !hasFamily && !hasGiven {
		r.note(row.Line, "no column name: the name on the sheets stays empty, and feedback goes by their codes")
	}
	if len(unused) > 0 && !oneRoster {
		list, cut := Start(strings.Join(unused, ", "), 200)
		if cut {
			list += fmt.Sprintf(" … (%d in all)", len(unused))
		}
		r.note(row.Line, "columns not used: %s", list)
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
		return p, false, fault(r.path, row.Line, "neither id nor name")
	}
	if beyond := row.Cells[min(r.width, len(row.Cells)):]; !blank(beyond) {
		if !isWorkbook(r.path) { // a name cut at its comma, and all that follows in the wrong column
			return p, false, fault(r.path, row.Line, "more cells than the first row has columns; put a cell that holds the separator, such as \"Bly, Ada\", in quotation marks")
		}
		r.note(row.Line, "not used, since no heading stands above: %s", Quote(tidy(strings.Join(beyond, " "))))
	}
	if p.Level != "" && !slices.Contains(levels, p.Level) {
		return p, false, fault(r.path, row.Line, "level %s; want %s or nothing", Quote(p.Level), strings.Join(levels, ", "))
	}
	switch word := strings.ToLower(cell("large")); word {
	case "", "no", "n", "false", "0", "-":
	case "yes", "y", "true", "1", "x", "large":
		p.Large = true
	default:
		return p, false, fault(r.path, row.Line, "large %s; want yes or no", Quote(word))
	}
	if minutes := strings.TrimSuffix(cell("extra"), " min"); minutes != "" {
		p.Extra, err = strconv.Atoi(minutes)
		if err != nil || p.Extra < 0 || p.Extra > 600 {
			return p, false, fault(r.path, row.Line, "extra_minutes %s; want a whole number from 0 to 600", Quote(minutes))
		}
	}
	return p, true, nil
}

var levels = []string{"starter", "core", "stretch", "capstone"}

// maxCell bounds an id, a name and the like, in characters.
const maxCell = 200

// tidy makes a cell fit for one line of print: composed Unicode, no control characters, single spaces, at most maxCell
// characters.
func tidy(s string) string {
	s, _ = Start(s, 10*maxCell) // a cell may be megabytes; what composing and spaces take away leaves enough
	s = norm.NFC.String(strings.ToValidUTF8(s, "\ufffd"))
	s = strings.Map(func(c rune) rune {
		if unicode.IsControl(c) || unicode.Is(unicode.Bidi_Control, c) {
			return ' '
		}
		return c
	}, s)
	s, _ = Start(strings.Join(strings.Fields(s), " "), maxCell)
	return strings.Clone(s) // a part of it would hold on to all of the row
}

// Sheet starts the pupil's sheet. A pupil without a level counts as at the lab's own.
func (p Pupil) Sheet(l *labs.Lab) *Sheet {
	s := &Sheet{Student: p.ID, Name: p.Name, Group: p.Group, Class: p.Class, Level: p.Level, Large: p.Large, Extra: p.Extra}
	if s.Level == "" {
		s.Level = l.Level
	}
	return s
}
