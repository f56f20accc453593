// Package labs is what a lab is: it reads a template, checks it as far as that can be done without drawing, and knows
// its values, questions and blocks. It draws nothing and marks nothing. Start with [Load].
package labs

import (
	"github.com/yuin/goldmark/ast"

	"keelmark/labs/formula"
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// CONTRACT (stubs): the owner replaces every body and splits files as wished.

// Frame holds a value for every name of a lab, by slot, in coherent SI: the lab's values, its answers, g, and the
// pseudo-names "current(N.R1)" and "u(rho)". Formulas run on it.
type Frame = []quantity.Value

// TemplateError is a fault in a template, at a line and column (characters) of the teacher's own file.
type TemplateError struct {
	File      string
	Line, Col int
	Err       error
	Snippet   string // the line and a caret, where a formula is at fault
}

func (e *TemplateError) Error() string { panic("contract") } // file:line:col: message
func (e *TemplateError) Unwrap() error { return e.Err }

// Errors are all the faults found in one template, in order of position.
type Errors []*TemplateError

func (e Errors) Error() string { panic("contract") }

// Place is a position in the template.
type Place struct{ Line, Col int }

// Display says how a value is shown: the unit, as typeset and as written in the template, and the last printed digit or
// the division of the instrument in that unit (0: to three figures).
type Display struct {
	Unit quantity.Unit
	Text string // the unit as ParseUnit reads it: "cm^3", "degC", "1"
	Step float64
}

// Source says where a value comes from.
type Source uint8

// The sources of a value.
const (
	Drawn    Source = iota // from, to, step
	Picked                 // pick
	Computed               // calc, with each: for every element of a column
	Series                 // series
	Measured               // measure, at the bench
	Constant               // const
)

// Value is one line of `values`.
type Value struct {
	Name, What, Symbol string // Symbol in TeX; the default is made from the name
	Source             Source
	Type               quantity.Type
	Slot               int
	Show               Display
	Hidden             bool
	From, To, Step     float64          // Drawn, coherent SI (To, From points for temperatures)
	Picks              []quantity.Value // Picked
	Column             []float64        // Series, coherent SI
	Calc               *formula.Program // Computed; Constant; Measured: expect
	CalcExpr           *formula.Expr
	Each               *Value  // Computed for every element of this column; inside, that name is the element
	Noise              float64 // standard deviation added before rounding, coherent SI
	Measure            string  // the instrument
	Division           float64 // coherent SI
	Within             float64 // plausible deviation from expect, coherent SI; 0: the default (marking.md)
	Uncertainty        float64 // stated standard uncertainty, coherent SI; 0: Division/√12
	Rows               int     // Measured column
	Place              Place
}

// Condition is one line of `require`.
type Condition struct {
	Expr  *formula.Expr
	Run   *formula.Program
	Place Place
}

// QuestionKind says how a question is answered.
type QuestionKind uint8

// The kinds of question.
const (
	Numeric QuestionKind = iota
	Choice
	ByHand
	Ticks // a `tick` block
)

// Mistake is a listed mistake.
type Mistake struct {
	Expr  *formula.Expr
	Run   *formula.Program // plain
	Marks int
	Why   string // Markdown with {{…}} and $…$
	Place Place
}

// Question is one question, in the order of the sheet.
type Question struct {
	ID            string
	Kind          QuestionKind
	Slot          int // of the answer in the frame (Numeric: SI; Choice: 1, 2, …)
	Type          quantity.Type
	Ask, Hint     string // Markdown
	Expr          *formula.Expr
	Run           *formula.Program
	Show          Display // unit of the box; Step 0
	Choices       []string
	Shuffle       bool
	Marks         int
	UnitMark      int // 1: the pupil must give the unit
	SFMark        int
	SFLow, SFHigh int // 2..4 unless stated
	Within        *Tolerance
	Direction     string
	Mistakes      []Mistake
	LookFor       []string
	Skill         string
	Space         float64 // mm
	MayEqual      bool
	Levels        []string
	Items         []string // Ticks
	Bench         bool     // depends, directly or through earlier answers, on a measured value
	Stepped       bool
	Uses          []string // names the formula uses directly
	Place         Place
}

// Tolerance is `within`: a share of the answer ("3 %") or an absolute amount in coherent SI.
type Tolerance struct{ Relative, Absolute float64 }

// Block is a fenced block of the body with its parsed content; exactly one of the pointers is set.
type Block struct {
	Kind, ID string
	Place    Place
	Question *Question
	Readings *ReadingsBlock
	Table    *TableBlock
	Plot     *PlotBlock
	Grid     *GridBlock
	Figure   *FigureBlock
	Network  *Network
	Teacher  string // Markdown, for key.pdf only
}

type ReadingsBlock struct{ Columns []*Value }
type TableBlock struct{ Columns []*Value }

// Formula is a formula with its place, ready to run.
type Formula struct {
	Expr  *formula.Expr
	Run   *formula.Program
	Place Place
}

type PlotBlock struct {
	X, Y           *Formula // points, nil when none
	LineY          *Formula // line: y over …
	Over           *Value
	LabelX, LabelY string
	UnitX, UnitY   Display
}

type GridBlock struct {
	XMin, XMax, YMin, YMax float64 // in the unit shown
	UnitX, UnitY           Display
	LabelX, LabelY         string
}

// FigureBlock: values by key; a key may hold one formula or a list, names, or a network id (labs.FigureKinds).
type FigureBlock struct {
	Kind    string
	Values  map[string][]*Formula
	Words   map[string][]string // names of parts, titles
	Network *Network
}

// Network is a netlist whose values are formulas.
type Network struct {
	ID    string
	Lines []physics.NetlistLine
	Place Place
}

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
}

// Load reads a lab by name (from the labs built into the program) or from a .md file. Faults in it are Errors.
func Load(nameOrFile string) (*Lab, error) { panic("contract") }

// Parse reads a template.
func Parse(file string, source []byte) (*Lab, error) { panic("contract") }

// Names lists the labs built in, by topic and level.
func Names() []string { panic("contract") }

// NewFrame returns a frame with g set and everything else zero.
func (l *Lab) NewFrame(g float64) Frame { panic("contract") }

// SetGravity changes g in a frame.
func (l *Lab) SetGravity(f Frame, g float64) { panic("contract") }

// Lookup implements formula.Scope for formulas of this lab.
func (l *Lab) Lookup(name string) (t quantity.Type, slot int, ok bool) { panic("contract") }

// Value and Question find by name; nil when there is none.
func (l *Lab) Value(name string) *Value     { panic("contract") }
func (l *Lab) Question(id string) *Question { panic("contract") }

// Compute evaluates a Computed, Series or Constant value, or the expectation of a Measured one, on the frame; rounded to
// what is shown. normal gives standard normal deviates for noise (nil: none).
func (l *Lab) Compute(v *Value, f Frame, normal func() float64) (quantity.Value, error) {
	panic("contract")
}

// Prepare computes the pseudo-names (networks, u(…)) that the program of q needs, from what the frame holds now.
// Answer does so and then evaluates q's formula.
func (l *Lab) Answer(q *Question, f Frame) (quantity.Value, error) { panic("contract") }

// Solve fills in every answer from the values, in order: the true frame.
func (l *Lab) Solve(f Frame) error { panic("contract") }

// Prepare computes the pseudo-names that p needs.
func (l *Lab) Prepare(names []string, f Frame) error { panic("contract") }

// Met reports the first condition of require that does not hold, or nil.
func (l *Lab) Met(f Frame) (*Condition, error) { panic("contract") }

// Fill gives the text of a placeholder: the value with its unit ("2.46 N"), in another unit, bare, or of any formula.
func (l *Lab) Fill(source string, f Frame) (string, error) { panic("contract") }

// FillMarkdown replaces every placeholder in Markdown text.
func (l *Lab) FillMarkdown(md string, f Frame) (string, error) { panic("contract") }

// Text writes a value in its display ("2.46 N"); columns as "1.0, 2.0 N".
func (d Display) Format(v quantity.Value, t quantity.Type) string { panic("contract") }

// Solution gives the worked solution of q on the frame as TeX lines: symbols; numbers with units; result.
func (l *Lab) Solution(q *Question, f Frame) ([]string, error) { panic("contract") }

// PrintedValues gives the names of the printed values of the same dimension (for the slip "another printed value").
func (l *Lab) PrintedValues() []*Value { panic("contract") }
