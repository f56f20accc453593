package labs

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"go.yaml.in/yaml/v4"

	"keelmark/labs/formula"
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// reader reads one template. It goes on after a fault as far as that makes sense, so that a teacher sees all of them.
type reader struct {
	*faults
	lab      *Lab
	head     *document
	broken   map[string]bool          // names that are at fault themselves: what depends on them is passed over
	where    map[*formula.Expr]scalar // where each formula stands
	each     map[*Value]scalar
	noise    map[*Value]scalar
	show     map[*Value]scalar
	answer   map[*Question]answer
	texts    []prose
	shown    map[string]bool // names of values that the sheet shows
	blocks   []*Block        // in the order of the file
	circuits []circuit
	marks    fields          // `marking`: what questions fall back on
	full     map[string]bool // things of which there are more than a lab may hold
	drawings int             // plots, grids and figures so far
	headless bool            // the head could not be read, so that no name is known
}

// prose is a text of the template that may hold placeholders.
type prose struct {
	scalar
	printed bool // on the pupil's sheet, so that it may not tell answers
}

var headKeys = []string{"title", "topic", "level", "minutes", "aims", "standards", "kit", "cautions", "values", "tables", "require", "marking"}

// Parse reads a template; file is its name in errors. Faults are [Errors].
func Parse(file string, source []byte) (*Lab, error) {
	r := &reader{
		faults: &faults{file: file},
		lab:    &Lab{File: file, Source: source, names: map[string]entry{"g": {slot: gravity}}, size: 1, networks: map[string]*Network{}, placeholders: map[string]*placeholder{}},
		broken: map[string]bool{}, where: map[*formula.Expr]scalar{},
		each: map[*Value]scalar{}, noise: map[*Value]scalar{}, show: map[*Value]scalar{},
		answer: map[*Question]answer{}, shown: map[string]bool{}, full: map[string]bool{},
	}
	text, err := readable(source)
	if err != nil {
		r.at(Place{1, 1}, "%w", err)
		return nil, r.sorted()
	}
	c, place, err := cutHead(text)
	r.lines = c.lines
	if err != nil {
		r.at(*place, "%w", err)
		return nil, r.sorted()
	}
	r.lab.BodySource, r.lab.BodyLine = c.body, c.bodyLine
	r.head = &document{faults: r.faults, first: 1}
	root := r.head.parse(c.head)
	r.headless = root == nil
	r.readHead(root)
	r.readBody()
	if r.headless {
		return nil, r.sorted() // every name would be unknown
	}
	if len(r.lab.Questions) == 0 && len(r.all) == 0 {
		r.at(Place{c.bodyLine, 1}, "the lab asks nothing: write at least one ```question block")
	}
	r.check()
	if err := r.sorted(); err != nil {
		return nil, err
	}
	return r.lab, nil
}

// readHead reads the head; nil stands for one that could not be read.
func (r *reader) readHead(root *yaml.Node) {
	l := r.lab
	l.Functions = physics.Functions()
	f, ok := r.head.fields(root, "the head", headKeys)
	if !ok || root == nil {
		if root == nil && len(r.all) == 0 {
			r.at(Place{1, 1}, "the head is empty: it needs title, topic, level, minutes, cautions")
		}
		return
	}
	f.require("the head", "title", "topic", "level", "minutes", "cautions")
	if s, ok := f.text("title"); ok {
		l.Title = s.text
	}
	l.Topic, l.Level = f.word("topic", Topics), f.word("level", Levels)
	l.Name = nameOf(l.Topic, r.file)
	l.Minutes = f.whole("minutes", 1, 1000, 0)
	l.Aims, l.Standards = r.printed(f, "aims"), texts(f.list("standards"))
	l.Kit, l.Cautions = r.printed(f, "kit"), r.printed(f, "cautions")
	if n := f.nodes["cautions"]; n != nil && n.Kind == yaml.SequenceNode && len(n.Content) == 0 {
		r.at(f.names["cautions"], "cautions is empty: write what could hurt somebody in this lab, and how to keep it from doing so")
	}
	r.marks, _ = r.head.fields(f.nodes["marking"], "marking", []string{"sf", "within", "unit_mark", "sf_mark"})
	r.tables(f.nodes["tables"])
	r.values(f.nodes["values"])
	for _, s := range f.list("require") {
		if e := r.parse(s); e != nil {
			l.Require = append(l.Require, Condition{Expr: e, Place: s.place()})
		}
	}
}

// printed reads a list of Markdown texts for the sheet.
func (r *reader) printed(f fields, key string) []string {
	list := f.list(key)
	for _, s := range list {
		r.texts = append(r.texts, prose{s, true})
	}
	return texts(list)
}

// tables adds the rows of `tables` to the handbook's.
func (r *reader) tables(n *yaml.Node) {
	if n == nil {
		return
	}
	dims := map[string]quantity.Dim{"density": quantity.Base(-3, 1), "drag_coefficient": {}}
	all, _ := r.head.fields(n, "tables", []string{"density", "drag_coefficient"})
	rows := physics.Tables{}
	for _, table := range all.keys {
		f, _ := r.head.fields(all.nodes[table], table, nil)
		rows[table] = map[string]float64{}
		for _, name := range f.keys {
			l, s, ok := r.literal(f, name)
			switch {
			case !ok:
			case !formula.IsName(name):
				r.at(f.names[name], "%q is no name: use letters, digits and _", name)
			case l.unit.Dim != dims[table]:
				r.at(s.place(), "%s of %s is in %s, not in %s", table, name, dims[table], l.unit.Dim)
			default:
				rows[table][name] = l.si()
			}
		}
	}
	functions, err := physics.WithTables(rows)
	if err != nil {
		r.at(r.head.node(n), "%w", err)
		return
	}
	r.lab.Functions = functions
}

// setAside are columns of an answer file that no question or reading can be called by.
var setAside = []string{"sheet", "student", "name", "group", "class", "note"}

// reserved notes a name that answer files need for themselves.
func (r *reader) reserved(name string, p Place) {
	if slices.Contains(setAside, strings.ToLower(name)) {
		r.at(p, "%s is a column of its own in answer files: choose another name", name)
	}
}

// declare gives a name of the lab its slot.
func (r *reader) declare(name string, p Place, e entry) {
	if known, twice := r.lab.names[name]; twice && known.slot != gravity {
		r.at(p, "%s is already declared: give each value and question a name of its own", name)
		return
	}
	e.slot = r.lab.size
	r.lab.size++
	switch {
	case e.value != nil:
		e.value.Slot = e.slot
	case e.question != nil:
		e.question.Slot = e.slot
	}
	r.lab.names[name] = e
}

// parse reads a formula; nil after a fault.
func (r *reader) parse(s scalar) *formula.Expr {
	e, err := formula.Parse(s.text)
	if err != nil {
		if s.cut {
			err = fmt.Errorf("%w; a comment follows: if # belongs to the formula, %s", err, quoteAdvice)
		}
		r.formula(s.at(column(err)), err)
		return nil
	}
	r.where[e] = s
	return e
}

// scope is what a formula of the template may use.
type scope struct {
	*Lab
	refuse  func(name string) string // why a declared name may not be used here, "" when it may
	element *Value                   // inside `each` and `over` this column stands for its element
	alone   bool                     // a number with its unit by itself: no unit in it is mistaken for a name
}

// Lookup implements formula.Scope.
func (s scope) Lookup(name string) (quantity.Type, int, bool) {
	if s.alone {
		return formula.NoNames{}.Lookup(name)
	}
	t, slot, ok := s.Lab.Lookup(name)
	if s.element != nil && name == s.element.Name {
		t.Kind = quantity.Number
	}
	return t, slot, ok
}

// Names lists what may have been meant where a name is unknown.
func (s scope) Names() []string {
	var names []string
	for name := range s.names {
		if s.refuse == nil || s.refuse(name) == "" {
			names = append(names, name)
		}
	}
	return names
}

// compile checks a formula in its scope; nil after a fault, or when it depends on a name at fault.
func (r *reader) compile(e *formula.Expr, s scope, plain bool) *formula.Program {
	if e == nil {
		return nil
	}
	src := r.where[e]
	for _, name := range e.Names() {
		if r.broken[name] || r.broken[networkOf(name)] {
			return nil
		}
		if s.refuse != nil {
			if reason := s.refuse(name); reason != "" {
				r.formula(src.at(wordAt(e.Source(), name)), errors.New(reason))
				return nil
			}
		}
		for _, base := range r.lab.bases(name) {
			if r.broken[base] {
				return nil
			}
		}
	}
	compile := e.Compile
	if plain {
		compile = e.CompilePlain
	}
	p, err := compile(s, r.lab.Functions)
	if err != nil {
		r.formula(src.at(column(err)), err)
		return nil
	}
	r.picks(e, s)
	return p
}

// picks notes names among a `pick` that a formula cannot do with, as density( ) cannot with a material its table does not
// hold: the formula is compiled with each name in place of the value.
func (r *reader) picks(e *formula.Expr, s scope) {
	for _, name := range e.Names() {
		v := r.lab.Value(name)
		if v == nil || v.Source != Picked || v.Type.Kind != quantity.Name {
			continue
		}
		for _, pick := range v.Picks {
			if _, declared := r.lab.names[pick.Name]; declared {
				continue // it would be read as that value
			}
			with, err := formula.Parse(replaceWord(e.Source(), name, pick.Name))
			if err == nil {
				_, err = with.Compile(s, r.lab.Functions)
			}
			if err != nil {
				r.at(v.Place, "%s cannot be %s in %s: %w", name, pick.Name, e.Source(), err)
				r.broken[name] = true // told once
				break
			}
		}
	}
}

// replaceWord puts another word for a name wherever that stands in a formula.
func replaceWord(source, name, by string) string {
	var b strings.Builder
	for {
		at := wordAt(source, name)
		runes := []rune(source)
		if end := at + len([]rune(name)); end > len(runes) || string(runes[at:end]) != name {
			return b.String() + source
		}
		b.WriteString(string(runes[:at]) + by)
		source = string(runes[at+len([]rune(name)):])
	}
}

// wordAt is where a name first stands in a formula as a word of its own, in characters from 0.
func wordAt(source, name string) int {
	name, _, _ = strings.Cut(name, "(")
	runes, word := []rune(source), []rune(name)
	part := func(i int) bool {
		return i >= 0 && i < len(runes) && (runes[i] == '_' || unicode.IsLetter(runes[i]) || unicode.IsDigit(runes[i]))
	}
	for i := 0; i+len(word) <= len(runes); i++ {
		if string(runes[i:i+len(word)]) == name && !part(i-1) && !part(i+len(word)) {
			return i
		}
	}
	return 0
}

// bases are the declared names behind a name: a network's pseudo-name stands for all that its network uses.
func (l *Lab) bases(name string) []string {
	e := l.names[name]
	switch {
	case e.pseudo == nil:
		return []string{name}
	case e.pseudo.network != nil:
		return append([]string{name}, e.pseudo.network.names...)
	}
	return []string{name, e.pseudo.target}
}

func contains(list []string, s string) bool { return slices.Contains(list, s) }
