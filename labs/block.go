package labs

import (
	"keelmark/labs/formula"
)

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

// ReadingsBlock is a table to fill in: measured values, and printed columns that stand beside them; TableBlock one of printed columns.
type (
	ReadingsBlock struct{ Columns []*Value }
	TableBlock    struct{ Columns []*Value }
)

// Formula is a formula with its place, ready to run.
type Formula struct {
	Expr  *formula.Expr
	Run   *formula.Program
	Place Place
}

// PlotBlock is a plot. Labels are without units; the line is LineY for each element of Over: inside it, that name is the element.
type PlotBlock struct {
	X, Y           *Formula // points, nil when none
	LineY          *Formula // line: y over …
	Over           *Value
	LabelX, LabelY string
	UnitX, UnitY   Display
}

// GridBlock is graph paper.
type GridBlock struct {
	XMin, XMax, YMin, YMax float64 // in the unit shown
	UnitX, UnitY           Display
	LabelX, LabelY         string
}

// FigureBlock is a figure: formulas or words by key, as FigureKinds has them.
type FigureBlock struct {
	Kind    string
	Values  map[string][]*Formula
	Words   map[string][]string // names of parts, titles
	Network *Network
}
