package grader

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
)

// Paper is what was handed in for one sheet: every cell as it was written, by column name. A column is a question
// ("Fb"), marks a person saw in the working ("Fb.working"), or bench readings ("load", several parted by semicolons).
type Paper struct {
	Code string // of the sheet, in canonical form
	File string // where it was read, with the line its sheet is named on (0: no lines, as in a form)
	Line int
	Text map[string]string
	// Cells tells what a spreadsheet held where it was not text: a NumberCell shows fewer figures than may have been
	// typed, a DateCell is no longer what was typed at all.
	Cells map[string]string
}

// The kinds of spreadsheet cell that are not text.
const (
	NumberCell = "number"
	DateCell   = "date"
)

// Columns that go with a question: marks for its working, and what a pupil wrote where a person gives the marks.
const (
	workingSuffix = ".working"
	wordsSuffix   = ".words"
)

// Finding is something a person should know: where it was found and what it is, with the remedy.
type Finding struct {
	File string
	Line int // 0: the file as a whole
	Text string
}

// String gives file:line: text.
func (f Finding) String() string {
	switch {
	case f.File == "":
		return f.Text
	case f.Line == 0:
		return f.File + ": " + f.Text
	}
	return fmt.Sprintf("%s:%d: %s", f.File, f.Line, f.Text)
}

// where is the place of a paper as people look for it.
func (p *Paper) where() string {
	if p.Line == 0 {
		return p.File
	}
	return fmt.Sprintf("%s:%d", p.File, p.Line)
}

// pupilsOwn are the cells that hold something the pupil wrote; the rest are marks a person gave.
func (p *Paper) pupilsOwn(l *labs.Lab) map[string]string {
	own := map[string]string{}
	for name, text := range p.Text {
		if text != "" && !givenByTeacher(l, name) {
			own[name] = text
		}
	}
	return own
}

// givenByTeacher reports whether a column holds marks that a person gives: by-hand questions, ticks, working.
func givenByTeacher(l *labs.Lab, column string) bool {
	if strings.HasSuffix(column, workingSuffix) {
		return true
	}
	q := l.Question(column)
	return q != nil && markedByHand(q)
}

func markedByHand(q *labs.Question) bool { return q.Kind == labs.ByHand || q.Kind == labs.Ticks }

// looksLikeMarks tells marks that a person gave, or tried to, from the words of a pupil.
func looksLikeMarks(text string) bool {
	return text == "" || strings.Trim(text, "0123456789.,/- ") == ""
}

// written is what stands on the sheet as the answer to a question.
func (p *Paper) written(l *labs.Lab, name string) string {
	if q := l.Question(name); q != nil && markedByHand(q) {
		return p.Text[name+wordsSuffix]
	}
	return p.Text[name]
}

// add joins a second paper for the same sheet to the first. Marks given by a person are added wherever they are; what
// the pupil wrote must come from one paper alone, or be the same on both. It reports whether the two agree; where they
// do not, p is left as it was.
func (p *Paper) add(l *labs.Lab, other *Paper) bool {
	mine, theirs := p.pupilsOwn(l), other.pupilsOwn(l)
	if len(mine) > 0 && len(theirs) > 0 && !maps.Equal(mine, theirs) {
		return false
	}
	for name, text := range other.Text {
		if before := p.Text[name]; before != "" && text != "" && before != text {
			return false
		}
	}
	for name, text := range other.Text {
		if _, there := p.Text[name]; there && text == "" {
			continue
		}
		p.Text[name] = text
		if kind := other.Cells[name]; kind != "" {
			p.setCell(name, kind)
		}
	}
	if len(mine) == 0 && len(theirs) > 0 {
		p.File, p.Line = other.File, other.Line
	}
	return true
}

// replacedBy gives what counts for a sheet when other takes the place of p: other, where the pupil wrote anything on it.
// A row without a word of the pupil's, as in a table typed for late hand-ins or for marks alone, takes no answers away:
// the marks in it take the place of those before.
func (p *Paper) replacedBy(l *labs.Lab, other *Paper) *Paper {
	if len(other.pupilsOwn(l)) > 0 {
		return other
	}
	for name, text := range other.Text {
		if text != "" {
			p.Text[name] = text
			delete(p.Cells, name)
			if kind := other.Cells[name]; kind != "" {
				p.setCell(name, kind)
			}
		}
	}
	return p
}

func (p *Paper) setCell(name, kind string) {
	if p.Cells == nil {
		p.Cells = map[string]string{}
	}
	p.Cells[name] = kind
}

// columns knows what the columns of an answer file may be called.
type columns struct {
	lab   *labs.Lab
	names []string // every column there is, for suggestions
}

// setAside are columns that come with a class list and say nothing about answers.
var setAside = []string{"student", "name", "group", "class", "note"}

func newColumns(l *labs.Lab) *columns {
	c := &columns{lab: l}
	for _, q := range l.Questions {
		c.names = append(c.names, q.ID)
	}
	for _, v := range l.Values {
		if v.Source == labs.Measured {
			c.names = append(c.names, v.Name)
		}
	}
	return c
}

// column is the meaning of a heading.
type column struct {
	name  string // canonical: "Fb", "Fb.working", "load"; "sheet"; "" for one set aside
	index int    // load.3: 3; else 0
}

// find tells what a heading means; ok is false when it means nothing here.
func (c *columns) find(heading string) (found column, ok bool) {
	h := strings.TrimSpace(heading)
	if h == "" || slices.ContainsFunc(setAside, func(s string) bool { return strings.EqualFold(s, h) && c.match(h) == "" }) {
		return column{}, true
	}
	if strings.EqualFold(h, "sheet") && c.match(h) == "" {
		return column{name: "sheet"}, true
	}
	if name := c.match(h); name != "" {
		return column{name: name}, true
	}
	if stem, suffix, ok := cutLast(h, "."); ok {
		name := c.match(strings.TrimSpace(stem))
		switch n, err := strconv.Atoi(suffix); {
		case name == "":
		case strings.EqualFold(suffix, workingSuffix[1:]) && c.lab.Question(name) != nil:
			return column{name: name + workingSuffix}, true
		case err == nil && n >= 1 && c.lab.Value(name) != nil && n <= max(1, c.lab.Value(name).Rows):
			return column{name: name, index: n}, true
		}
	}
	return column{}, false
}

// unknown says of a heading that it means nothing here, with the nearest that would.
func (c *columns) unknown(heading string) lazy {
	return func() string {
		h := strings.TrimSpace(heading)
		return fmt.Sprintf("%s is neither a question nor a bench reading of %s%s", classset.Quote(h), c.lab.Name, c.suggest(h))
	}
}

// match finds a name as written, else the only one that differs in case alone.
func (c *columns) match(h string) string {
	found := ""
	for _, name := range c.names {
		switch {
		case name == h:
			return name
		case strings.EqualFold(name, h) && found != "":
			return "" // two names that differ in case alone: the writer must choose
		case strings.EqualFold(name, h):
			found = name
		}
	}
	return found
}

func (c *columns) suggest(h string) string {
	best, least := "", 3
	h, _ = classset.Start(h, 100) // longer than any name, and the distance takes length times length
	for _, name := range c.names {
		if d := distance(strings.ToLower(h), strings.ToLower(name)); d < least && d < len(name) {
			best, least = name, d
		}
	}
	if best == "" {
		return "; it was set aside"
	}
	return fmt.Sprintf("; did you mean %q? It was set aside", best)
}

func cutLast(s, sep string) (before, after string, found bool) {
	if i := strings.LastIndex(s, sep); i >= 0 {
		return s[:i], s[i+len(sep):], true
	}
	return s, "", false
}

// distance is the number of characters to change, add, leave out or swap with their neighbour to get from a to b
// (optimal string alignment).
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	rows := make([][]int, len(s)+1)
	for i := range rows {
		rows[i] = make([]int, len(t)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			change := 1
			if s[i-1] == t[j-1] {
				change = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(s)][len(t)]
}
