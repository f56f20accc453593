package plot

// CONTRACT (stubs): the owner replaces every body and splits files as wished. Everything here implements page.Drawing
// (Size, Draw, Alt) without importing package page; values are plain numbers in the unit shown.

import "gonum.org/v1/plot/vg"

// Drawing mirrors page.Drawing.
type Drawing interface {
	Size() (width, height vg.Length)
	Draw(c vg.Canvas)
}

// Style is what all drawings of a document share.
type Style struct {
	Width vg.Length // 0: the kind's own
	Plain bool      // no colour at all
	Scale float64   // 1; 16.0/11 for large print
}

// Axis is a labelled axis: "depth z / cm" is Label "depth z", Unit "cm". Min == Max: chosen from the data.
type Axis struct {
	Label, Unit string
	Min, Max    float64
}

// Series is one set of points with optional error bars, or a line.
type Series struct {
	Name   string
	X, Y   []float64
	ErrY   []float64
	Line   bool // joined by a line, no markers
	Marker int  // which of the distinct markers
}

// Chart is a plot of points and lines.
type Chart struct {
	X, Y   Axis
	Series []Series
	Style  Style
}

// Graph is graph paper to plot on: 1 mm faint, 5 and 10 mm stronger, exact on paper.
type Graph struct {
	X, Y  Axis
	Style Style
}

// FigureValue is the value of one key of a figure: numbers (one, or a column), already converted to the SI unit, with
// the text that is printed beside it ("2.46 N"), and for names or part lists the words.
type FigureValue struct {
	SI     []float64
	Texts  []string
	Symbol string // TeX of the quantity ("W_a"), "" when none
}

// Figure draws one kind of sheet-look.md. Keys are those of labs.FigureKinds; the maker has checked them.
type Figure struct {
	Kind    string
	Values  map[string]FigureValue
	Parts   []string // names of parts, for craft-side, craft-top, plate, beam
	Circuit *Circuit
	Style   Style
}

// Circuit is the netlist to draw: kinds as in package physics, text beside each element ("R_1 = 47 Ω").
type Circuit struct {
	Elements []CircuitElement
}

type CircuitElement struct{ Name, Kind, Plus, Minus, Text string }

// Bars and Grid of the class report.
type Bars struct {
	X, Y   Axis
	Labels []string
	Values []float64
	Style  Style
}

// New returns the drawing of a figure, or an error that says which value cannot be drawn.
func New(f Figure) (Drawing, error) { panic("contract") }

// NewChart, NewGraph, NewBars likewise.
func NewChart(c Chart) (Drawing, error) { panic("contract") }
func NewGraph(g Graph) (Drawing, error) { panic("contract") }
func NewBars(b Bars) (Drawing, error)   { panic("contract") }
