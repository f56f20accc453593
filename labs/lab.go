// Package labs is what a lab is: it reads a template, checks it as far as that can be done without drawing, and knows
// its values, questions and blocks. It draws nothing and marks nothing. Start with [Load].
package labs

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"github.com/yuin/goldmark/ast"

	"keelmark/labs/formula"
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
	"keelmark/templates"
)

// Topics and Levels are the words that a template may use for them, in teaching order.
var (
	Topics = []string{"archimedes", "balance", "circuits", "thrust", "craft"}
	Levels = []string{"starter", "core", "stretch", "capstone"}
)

// Lab is a lab. It is immutable and safe for concurrent use.
type Lab struct {
	Name, File, Title, Topic, Level string
	Minutes                         int
	Aims, Standards, Kit, Cautions  []string // Markdown
	Source                          []byte
	Values                          []*Value // in file order
	Order                           []*Value // in order of computation
	Require                         []Condition
	Questions                       []*Question
	Blocks                          map[ast.Node]*Block // by fenced node of Body
	Body                            ast.Node            // parsed by labs/text from BodySource
	BodySource                      []byte
	BodyLine                        int // line of the file at which BodySource starts
	Functions                       map[string]*physics.Function

	names        map[string]entry
	networks     map[string]*Network
	placeholders map[string]*placeholder // those of the template, by source
	size         int                     // of a frame
}

// entry is what a name of a lab stands for; exactly one pointer is set, none for g.
type entry struct {
	slot     int
	value    *Value
	question *Question
	pseudo   *pseudo
}

// gravity is the slot of g.
const gravity = 0

var gravityType = quantity.Type{Dim: quantity.Base(1, 0, -2)}

// Load reads a lab by name ("archimedes/weigh-twice", built into the program) or from a .md file. Faults in it are
// [Errors]; a lab that is not there is an error that suggests another.
func Load(nameOrFile string) (*Lab, error) {
	if strings.HasSuffix(nameOrFile, ".md") {
		source, err := ReadFile(nameOrFile, maxSource)
		var fault *fs.PathError
		if errors.As(err, &fault) {
			err = fmt.Errorf("%s: %w", nameOrFile, fault.Err)
		}
		if err != nil {
			return nil, err
		}
		return Parse(nameOrFile, source)
	}
	source, err := templates.FS.ReadFile(nameOrFile + ".md")
	if err != nil {
		return nil, fmt.Errorf("no lab is called %q%s; keelmark labs lists them, and a template of your own is named by its file, which ends in .md",
			nameOrFile, suggestLab(nameOrFile))
	}
	return Parse("templates/"+nameOrFile+".md", source)
}

// suggestLab gives ", did you mean LAB?" for a name written wrongly, without its topic too; "" when none is near.
func suggestLab(name string) string {
	for _, lab := range Names() {
		if strings.EqualFold(path.Base(lab), name) {
			return ", did you mean " + lab + "?"
		}
	}
	return formula.DidYouMean(name, Names())
}

// Names lists the labs built in, by topic, level and name.
func Names() []string { return slices.Clone(builtIn()) }

var builtIn = sync.OnceValue(func() []string {
	files, err := fs.Glob(templates.FS, "*/*.md")
	if err != nil {
		panic(err) // the pattern is a constant
	}
	type lab struct {
		name         string
		topic, level int
	}
	var labs []lab
	for _, file := range files {
		name := strings.TrimSuffix(file, ".md")
		source, err := templates.FS.ReadFile(file)
		if err != nil {
			panic(err) // a file embedded can be read
		}
		labs = append(labs, lab{name, slices.Index(Topics, path.Dir(file)), slices.Index(Levels, levelOf(source))})
	}
	slices.SortFunc(labs, func(a, b lab) int {
		switch {
		case a.topic != b.topic:
			return a.topic - b.topic
		case a.level != b.level:
			return a.level - b.level
		}
		return strings.Compare(a.name, b.name)
	})
	names := make([]string, len(labs))
	for i, l := range labs {
		names[i] = l.name
	}
	return names
})

// levelOf reads no more of a template than its level.
func levelOf(source []byte) string {
	for line := range strings.Lines(string(source)) {
		if rest, ok := strings.CutPrefix(line, "level:"); ok {
			word, _, _ := strings.Cut(strings.TrimSpace(rest), " ")
			return word
		}
	}
	return ""
}

// nameOf is the name of a lab in a file: its topic and the file's name.
func nameOf(topic, file string) string {
	base := strings.TrimSuffix(filepath.Base(file), ".md")
	if topic == "" {
		return base
	}
	return topic + "/" + base
}

// Lookup implements formula.Scope for formulas of this lab: its values, the answers of its questions, g, and the
// pseudo-names "current(N.R1)" and "u(rho)".
func (l *Lab) Lookup(name string) (t quantity.Type, slot int, ok bool) {
	e, ok := l.names[name]
	switch {
	case !ok:
		return t, 0, false
	case e.value != nil:
		t = e.value.Type
	case e.question != nil:
		t = e.question.Type
	case e.pseudo != nil:
		t = e.pseudo.typ(l)
	default:
		t = gravityType
	}
	return t, e.slot, true
}

// Value finds a value by name; nil when there is none.
func (l *Lab) Value(name string) *Value { return l.names[name].value }

// Question finds a question by its id; nil when there is none.
func (l *Lab) Question(id string) *Question {
	for _, q := range l.Questions {
		if q.ID == id {
			return q
		}
	}
	return nil
}

// Network finds a network by its id; nil when there is none.
func (l *Lab) Network(id string) *Network { return l.networks[id] }

// Unit is the unit in which a value is printed, or a question answered; the zero Unit for any other name.
func (l *Lab) Unit(name string) quantity.Unit {
	if v := l.Value(name); v != nil {
		return v.Show.Unit
	}
	if q := l.Question(name); q != nil {
		return q.Show.Unit
	}
	return quantity.Unit{}
}

// PrintedValues gives the numbers that stand on the sheet, for the slip of taking another printed value.
func (l *Lab) PrintedValues() []*Value {
	var printed []*Value
	for _, v := range l.Values {
		if !v.Hidden && v.Source != Measured && v.Type.Kind == quantity.Number {
			printed = append(printed, v)
		}
	}
	return printed
}
