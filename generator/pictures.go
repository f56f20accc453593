package generator

import (
	"fmt"
	"maps"
	"slices"

	"keelmark/generator/page"
	"keelmark/generator/plot"
	"keelmark/labs"
	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// largePrint is how much larger letters and lines are in large print: 16 pt for 11 pt.
const largePrint = 16.0 / 11

func (w *writer) style() plot.Style {
	s := plot.Style{Plain: w.set.Settings.Plain}
	if w.set.Settings.Large || w.sheet.Large {
		s.Scale = largePrint
	}
	return s
}

func (w *writer) picture(d plot.Drawing, err error) ([]page.Block, error) {
	if err != nil {
		return nil, err
	}
	return []page.Block{page.Picture{Drawing: d}}, nil
}

// numbers evaluates a formula to one number or a column, in coherent SI.
func (w *writer) numbers(run *formula.Program, names []string) ([]float64, error) {
	if err := w.lab.Prepare(pseudoNames(names), w.frame); err != nil {
		return nil, err
	}
	v, err := run.Eval(w.frame)
	if err != nil {
		return nil, err
	}
	if run.Type().Kind == quantity.Column {
		return v.Col, nil
	}
	return []float64{v.X}, nil
}

func (w *writer) formula(f *labs.Formula) ([]float64, error) {
	return w.numbers(f.Run, f.Expr.Names())
}

// in converts numbers from coherent SI to the unit shown.
func in(unit quantity.Unit, si []float64) []float64 {
	out := make([]float64, len(si))
	for i, x := range si {
		out[i] = unit.From(x)
	}
	return out
}

// chart makes a plot of points, a line, or both.
func (w *writer) chart(b *labs.PlotBlock) (plot.Drawing, error) {
	c := plot.Chart{X: plot.Axis{Label: b.LabelX, Unit: b.UnitX.Unit.Symbol}, Y: plot.Axis{Label: b.LabelY, Unit: b.UnitY.Unit.Symbol}, Style: w.style()}
	if b.X != nil {
		x, err := w.formula(b.X)
		if err != nil {
			return nil, err
		}
		y, err := w.formula(b.Y)
		if err != nil {
			return nil, err
		}
		c.Series = append(c.Series, plot.Series{X: in(b.UnitX.Unit, x), Y: in(b.UnitY.Unit, y)})
	}
	if b.LineY != nil {
		x, y, err := w.over(b.LineY, b.Over)
		if err != nil {
			return nil, err
		}
		c.Series = append(c.Series, plot.Series{X: in(b.UnitX.Unit, x), Y: in(b.UnitY.Unit, y), Line: true})
	}
	return plot.NewChart(c)
}

// over evaluates a formula for every element of a column: inside it, the column's name is the element.
func (w *writer) over(f *labs.Formula, over *labs.Value) (x, y []float64, err error) {
	x = w.frame[over.Slot].Col
	if f.Run.Type().Kind == quantity.Column {
		y, err = w.formula(f)
		return x, y, err
	}
	whole := w.frame[over.Slot]
	defer func() { w.frame[over.Slot] = whole }()
	for _, at := range x {
		w.frame[over.Slot] = quantity.Value{X: at}
		v, err := f.Run.Eval(w.frame)
		if err != nil {
			return nil, nil, err
		}
		y = append(y, v.X)
	}
	return x, y, nil
}

// graph makes graph paper.
func (w *writer) graph(b *labs.GridBlock) (plot.Drawing, error) {
	return plot.NewGraph(plot.Graph{
		X:     plot.Axis{Label: b.LabelX, Unit: b.UnitX.Unit.Symbol, Min: b.XMin, Max: b.XMax},
		Y:     plot.Axis{Label: b.LabelY, Unit: b.UnitY.Unit.Symbol, Min: b.YMin, Max: b.YMax},
		Style: w.style(),
	})
}

// figure makes a figure to scale from the sheet's own values.
func (w *writer) figure(b *labs.FigureBlock) (plot.Drawing, error) {
	f := plot.Figure{Kind: b.Kind, Values: map[string]plot.FigureValue{}, Parts: b.Words["part"], Style: w.style()}
	for key, words := range b.Words {
		f.Values[key] = plot.FigureValue{Texts: words}
	}
	for _, key := range slices.Sorted(maps.Keys(b.Values)) { // in order, so that of two faults the same is told each time
		formulas := b.Values[key]
		var value plot.FigureValue
		for _, one := range formulas {
			si, err := w.formula(one)
			if err != nil {
				return nil, fmt.Errorf("figure %s: %s: %w", b.Kind, key, err)
			}
			if value.SI = append(value.SI, si...); len(value.SI) > labs.MaxParts {
				return nil, fmt.Errorf("figure %s: %s has %d numbers; at most %d can be labelled", b.Kind, key, len(value.SI), labs.MaxParts)
			}
			texts, symbol := w.label(one, si)
			value.Texts = append(value.Texts, texts...)
			value.Symbol = symbol
		}
		if len(formulas) > 1 {
			value.Symbol = ""
		}
		f.Values[key] = value
	}
	if b.Network != nil {
		var err error
		if f.Circuit, err = w.circuit(b.Network); err != nil {
			return nil, fmt.Errorf("figure circuit: %w", err)
		}
	}
	return plot.New(f)
}

// label gives the text beside each number of a formula, and the symbol of a quantity given by name.
func (w *writer) label(f *labs.Formula, si []float64) (texts []string, symbol string) {
	texts = w.lab.Labels(f, si)
	if v := w.lab.Value(f.Expr.String()); v != nil && slices.ContainsFunc(texts, func(text string) bool { return text != "" }) {
		symbol = v.Symbol
	}
	return texts, symbol
}

// circuit names the elements of a network with the values that the sheet may tell: 47 Ω; 12 V, inside 0.4 Ω.
func (w *writer) circuit(n *labs.Network) (*plot.Circuit, error) {
	c := new(plot.Circuit)
	for i, line := range n.Lines {
		e := plot.CircuitElement{Name: line.Name, Kind: line.Kind, Plus: line.Plus, Minus: line.Minus}
		value, err := w.told(n.Parts[i].Value())
		if err != nil {
			return nil, err
		}
		inside, err := w.told(n.Parts[i].Inside())
		if err != nil {
			return nil, err
		}
		e.Text = value
		if value != "" && inside != "" {
			e.Text += ", inside " + inside
		}
		c.Elements = append(c.Elements, e)
	}
	return c, nil
}

// told is the label of a formula that gives one number; "" for no formula.
func (w *writer) told(f *labs.Formula) (string, error) {
	if f == nil {
		return "", nil
	}
	si, err := w.formula(f)
	if err != nil {
		return "", err
	}
	return w.lab.Labels(f, si)[0], nil
}
