// Package plot draws what stands between the words of a sheet: plots, graph paper, figures to scale, circuit diagrams,
// and the charts of the class report. Everything is vectors on a vg.Canvas, readable in grey, and drawn from the numbers
// alone: one length in a drawing stands for one length of the thing, unless its kind says otherwise. A drawing is laid
// out when it is made, so that what cannot be drawn is an error there and Draw cannot fail. Labels know plain text and
// short symbols in TeX notation between dollar signs ("depth $z$", "$\rho_w$"), not whole formulas.
// Start with [New], [NewChart] or [NewGraph].
package plot

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
)

// Drawing draws itself on a canvas of its own size, origin at the lower left. What the functions of this package
// return also has the method Alt() string, a sentence that stands for the drawing where it cannot be seen.
type Drawing interface {
	Size() (width, height vg.Length)
	Draw(c vg.Canvas)
}

// Style is what all drawings of a document share. The zero Style is for an A4 page, in tints, at normal size.
type Style struct {
	Width vg.Length // the room there is: wider drawings are made to fit. 0: the text width of an A4 page, 174 mm
	Plain bool      // no colour at all
	Scale float64   // of letters and lines: 0 or 1, 16.0/11 for large print
}

func (s Style) scale() float64 {
	if s.Scale <= 0 {
		return 1
	}
	return s.Scale
}

func (s Style) room() float64 {
	if s.Width <= 0 {
		return 174 * mm
	}
	return float64(s.Width)
}

// design is the width to lay a drawing out for, in points before Scale enlarges it: its own, or what room there is.
func (s Style) design(own float64) float64 { return min(own, s.room()/s.scale()) }

// FigureValue is the value of one key of a figure: numbers (one, or a column) in the coherent SI unit, and the text
// printed beside each ("2.46 N"); a missing text draws the quantity without its number. Keys that hold words have them
// in Texts and no numbers.
type FigureValue struct {
	SI     []float64
	Texts  []string
	Symbol string // TeX of the quantity ("W_a"), "" when it has none
}

// Figure is one figure: a kind of labs.FigureKinds with the values of its keys.
type Figure struct {
	Kind    string
	Values  map[string]FigureValue
	Parts   []string // words of the key "part"
	Circuit *Circuit // kind circuit only
	Style   Style
}

// builders are the kinds of figure. A builder draws on the sketch and returns the text alternative.
var builders = map[string]func(*sketch, *Figure) (string, error){
	"hang":       hang,
	"float":      float,
	"beam":       beam,
	"craft-side": craftSide,
	"craft-top":  craftTop,
	"circuit":    circuit,
	"column":     waterColumn,
	"plate":      plate,
	"heel":       heel,
	"scale":      scale,
	"disc":       disc,
	"run":        drawRun,
}

// New lays a figure out. The error names the kind and the key whose value is missing or cannot be drawn.
func New(f Figure) (Drawing, error) {
	build, ok := builders[f.Kind]
	if !ok {
		return nil, fmt.Errorf("figure %q: no such kind; there are %s", f.Kind,
			strings.Join(slices.Sorted(maps.Keys(builders)), ", "))
	}
	for _, key := range slices.Sorted(maps.Keys(f.Values)) {
		for _, x := range f.Values[key].SI {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return nil, fmt.Errorf("figure %s: %s is %v: cannot be drawn", f.Kind, key, x)
			}
		}
	}
	s := newSketch(f.Style)
	alt, err := build(s, &f)
	if err != nil {
		return nil, fmt.Errorf("figure %s: %w", f.Kind, err)
	}
	d, err := s.finish(alt)
	if err != nil {
		return nil, fmt.Errorf("figure %s: %w", f.Kind, err)
	}
	return d, nil
}

// has tells whether a key was given numbers.
func (f *Figure) has(key string) bool { return len(f.Values[key].SI) > 0 }

// number is the value of a key that holds one number.
func (f *Figure) number(key string) (float64, error) {
	if !f.has(key) {
		return 0, fmt.Errorf("%s is missing", key)
	}
	return f.Values[key].SI[0], nil
}

// positive is the value of a key that must be above 0.
func (f *Figure) positive(key string) (float64, error) {
	x, err := f.number(key)
	if err == nil && x <= 0 {
		err = fmt.Errorf("%s must be above 0, not %s", key, f.shown(key, 0))
	}
	return x, err
}

// optional is the value of a key, or def when it was not given.
func (f *Figure) optional(key string, def float64) float64 {
	if !f.has(key) {
		return def
	}
	return f.Values[key].SI[0]
}

// column is a column of n numbers (n < 0: as many as there are).
func (f *Figure) column(key string, n int) ([]float64, error) {
	col := f.Values[key].SI
	if len(col) == 0 {
		return nil, fmt.Errorf("%s is missing", key)
	}
	if n >= 0 && len(col) != n {
		return nil, fmt.Errorf("%s has %d values where %d are needed", key, len(col), n)
	}
	return col, nil
}

// columnOr is a column of n numbers, or n times def when the key was not given.
func (f *Figure) columnOr(key string, n int, def float64) ([]float64, error) {
	if !f.has(key) {
		return slices.Repeat([]float64{def}, n), nil
	}
	return f.column(key, n)
}

// words are the words of a key that holds words.
func (f *Figure) words(key string) []string {
	if key == "part" && len(f.Parts) > 0 {
		return f.Parts
	}
	return f.Values[key].Texts
}

// bare tells whether the figure is to have names but no values.
func (f *Figure) bare() bool {
	labels := f.words("labels")
	return len(labels) > 0 && labels[0] != "all"
}

// shown is the printed text of element i of a key, "" when it is not to be printed.
func (f *Figure) shown(key string, i int) string {
	if f.bare() {
		return ""
	}
	if texts := f.Values[key].Texts; i < len(texts) {
		return texts[i]
	}
	return ""
}

// caption is the label of element i of a key: "W_a = 2.46 N", or as much of it as there is, else the fallback.
func (f *Figure) caption(key string, i int, fallback string) string {
	symbol, text := f.Values[key].Symbol, f.shown(key, i)
	if symbol != "" && len(f.Values[key].SI) < 2 {
		symbol = "$" + symbol + "$"
	} else {
		symbol = fallback
	}
	switch {
	case text == "":
		return symbol
	case symbol == "":
		return text
	}
	return symbol + " = " + text
}

// partLabel is the label of part i: its name and the value of a key, as far as there are any, else its number.
func (f *Figure) partLabel(names, key string, i int) string {
	name, value := "", f.shown(key, i)
	if col := f.Values[key].SI; i < len(col) && col[i] == 0 {
		value = "" // a part that has none of it
	}
	if words := f.words(names); i < len(words) {
		name = short(words[i], 24)
	}
	switch {
	case name == "" && value == "":
		return strconv.Itoa(i + 1)
	case name == "":
		return value
	case value == "":
		return name
	}
	return name + ", " + value
}
