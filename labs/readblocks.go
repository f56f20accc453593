package labs

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// columns reads a readings or table block.
func (r *reader) columns(kind string, b body) *Block {
	f, ok := b.keys("a "+kind+" block", []string{"columns"})
	if !ok {
		return nil
	}
	f.require("a "+kind+" block", "columns")
	var columns []*Value
	rows, measured := 0, kind == "table"
	for _, s := range f.list("columns") {
		v := r.lab.Value(s.text)
		switch {
		case v == nil:
			r.noValue(s)
		case v.Hidden:
			r.at(s.place(), "%s is hidden, so it cannot stand in a table", v.Name)
		case kind == "table" && v.Source == Measured:
			r.at(s.place(), "%s is read at the bench: it belongs in a readings block", v.Name)
		case rows > 0 && v.length > 0 && rows != v.length:
			r.at(s.place(), "the columns of a table have as many rows: %s has %d, those before it have %d", v.Name, v.length, rows)
		default:
			columns = append(columns, v)
			r.shown[v.Name] = true
			rows = max(rows, v.length)
			measured = measured || v.Source == Measured
		}
	}
	if !measured && len(columns) > 0 {
		r.at(b.place, "nothing here is read at the bench: printed columns alone are a table")
	}
	if kind == "readings" {
		return &Block{Readings: &ReadingsBlock{columns}}
	}
	return &Block{Table: &TableBlock{columns}}
}

// noValue notes a name that no value has.
func (r *reader) noValue(s scalar) {
	if r.headless || r.broken[s.text] {
		return
	}
	var names []string
	for _, v := range r.lab.Values {
		names = append(names, v.Name)
	}
	r.at(s.place(), "no value is called %q%s", s.text, formula.DidYouMean(s.text, names))
}

// blockFormula reads a formula of a block; nil when the key is missing or at fault.
func (r *reader) blockFormula(f fields, key string) *Formula {
	s, ok := f.text(key)
	if !ok {
		return nil
	}
	return r.formulaAt(s)
}

func (r *reader) formulaAt(s scalar) *Formula {
	if e := r.parse(s); e != nil {
		return &Formula{Expr: e, Place: s.place()}
	}
	return nil
}

// plot reads a plot block.
func (r *reader) plot(b body) *Block {
	f, ok := b.keys("a plot", []string{"points", "line", "label_x", "label_y"})
	if !ok {
		return nil
	}
	p := &PlotBlock{}
	if !f.has("points") && !f.has("line") {
		r.at(b.place, "a plot shows points, a line, or both")
		return nil
	}
	if n := f.nodes["points"]; n != nil {
		if at, ok := b.fields(n, "points", []string{"x", "y"}); ok {
			at.require("points", "x", "y")
			p.X, p.Y = r.blockFormula(at, "x"), r.blockFormula(at, "y")
		}
	}
	if n := f.nodes["line"]; n != nil {
		if line, ok := b.fields(n, "line", []string{"y", "over"}); ok {
			line.require("line", "y", "over")
			p.LineY = r.blockFormula(line, "y")
			if s, ok := line.text("over"); ok {
				if p.Over = r.lab.Value(s.text); p.Over == nil {
					r.noValue(s)
				}
			}
		}
	}
	p.LabelX, p.UnitX = r.label(f, "label_x")
	p.LabelY, p.UnitY = r.label(f, "label_y")
	return &Block{Plot: p}
}

// label reads the label of an axis: "depth / cm" names the unit too, "depth" leaves it to the values.
func (r *reader) label(f fields, key string) (string, Display) {
	s, ok := f.text(key)
	if !ok {
		return "", Display{}
	}
	r.texts = append(r.texts, prose{s, true})
	if i := strings.LastIndex(s.text, " / "); i >= 0 {
		text := strings.TrimSpace(s.text[i+3:])
		if unit, err := quantity.ParseUnit(text); err == nil {
			return s.text[:i], Display{Unit: unit, Text: text}
		}
	}
	return s.text, Display{}
}

// grid reads graph paper.
func (r *reader) grid(b body) *Block {
	f, ok := b.keys("a grid", []string{"x", "y", "label_x", "label_y"})
	if !ok {
		return nil
	}
	f.require("a grid", "x", "y")
	g := &GridBlock{}
	axis := func(key string) (low, high float64, d Display) {
		s, ok := f.text(key)
		if !ok {
			return 0, 0, d
		}
		a, z, err := parseRange(s.text)
		if err != nil {
			r.at(s.place(), "%v", err)
			return 0, 0, d
		}
		return a.x, a.unit.From(z.si()), Display{Unit: a.unit, Text: a.text}
	}
	g.XMin, g.XMax, g.UnitX = axis("x")
	g.YMin, g.YMax, g.UnitY = axis("y")
	g.LabelX, _ = r.label(f, "label_x")
	g.LabelY, _ = r.label(f, "label_y")
	return &Block{Grid: g}
}

// figure reads a figure by the schema of its kind.
func (r *reader) figure(id string, b body) *Block {
	kind, ok := FigureKindNamed(id)
	if !ok {
		var names []string
		for _, k := range FigureKinds {
			names = append(names, k.Name)
		}
		r.at(b.place, "there is no figure %q%s; the kinds are %s", id, formula.DidYouMean(id, names), strings.Join(names, ", "))
		return nil
	}
	var keys []string
	for _, k := range kind.AllKeys() {
		keys = append(keys, k.Key)
	}
	f, ok := b.keys("figure "+id, keys)
	if !ok {
		return nil
	}
	figure := &FigureBlock{Kind: id, Values: map[string][]*Formula{}, Words: map[string][]string{}}
	for _, k := range kind.AllKeys() {
		switch {
		case !f.has(k.Key):
			if k.Required {
				r.at(b.place, "figure %s needs %s: %s", id, k.Key, k.Meaning)
			}
		case k.Holds == HoldsWords:
			for _, s := range f.atMost(MaxParts, k.Key) {
				if k.Choices != nil && !contains(k.Choices, s.text) {
					r.at(s.place(), "%s is one of %s, not %q", k.Key, strings.Join(k.Choices, ", "), s.text)
				}
				figure.Words[k.Key] = append(figure.Words[k.Key], s.text)
			}
		case k.Holds == HoldsNetwork:
			r.figureNetwork(figure, f, k.Key)
		case k.Holds == HoldsNumber && f.nodes[k.Key].Kind == yaml.SequenceNode:
			r.at(b.node(f.nodes[k.Key]), "%s holds one number, not a list", k.Key)
		default:
			for _, s := range f.atMost(MaxParts, k.Key) {
				if e := r.formulaAt(s); e != nil {
					figure.Values[k.Key] = append(figure.Values[k.Key], e)
				}
			}
		}
	}
	return &Block{Figure: figure}
}

// figureNetwork notes which network a figure draws; the block may come later in the file.
func (r *reader) figureNetwork(figure *FigureBlock, f fields, key string) {
	if s, ok := f.text(key); ok {
		r.circuits = append(r.circuits, circuit{figure, s})
	}
}

// circuit is a figure that draws a network.
type circuit struct {
	figure *FigureBlock
	id     scalar
}

// checkBlock compiles the formulas of a block. What is printed may not tell answers or hold what only the bench shows.
func (r *reader) checkBlock(b *Block) {
	switch {
	case b.Plot != nil:
		r.checkPlot(b.Plot)
	case b.Figure != nil:
		r.checkFigure(b.Figure)
	}
}

// drawnScope is that of plots and figures: hidden values may be drawn, for a pupil can read them off.
func (r *reader) drawnScope(element *Value) scope {
	return scope{Lab: r.lab, element: element, refuse: func(name string) string { return r.mayPrint(name, true) }}
}

func (r *reader) checkPlot(p *PlotBlock) {
	for _, axis := range []struct {
		f       *Formula
		unit    *Display
		element *Value
	}{{p.X, &p.UnitX, nil}, {p.Y, &p.UnitY, nil}, {p.LineY, &p.UnitY, p.Over}} {
		f := axis.f
		if f == nil {
			continue
		}
		if f.Run = r.compile(f.Expr, r.drawnScope(axis.element), false); f.Run == nil {
			continue
		}
		r.noteShown(f)
		want := quantity.Column
		if axis.element != nil {
			want = quantity.Number
		}
		t := f.Run.Type()
		if t.Kind != want {
			r.formula(f.Place, fmt.Errorf("the points of a plot are columns, its line one number for each point"))
			continue
		}
		r.axisUnit(f, axis.unit, t)
	}
	if p.Over != nil {
		if p.Over.Type.Kind != quantity.Column && !r.broken[p.Over.Name] {
			r.at(p.LineY.at(p.Over.Place), "a line runs over a column; %s is none", p.Over.Name)
			return
		}
		if p.UnitX.Text == "" {
			p.UnitX = p.Over.Show
		}
		if p.LabelX == "" {
			p.LabelX = p.Over.What
		}
	}
}

// at is the place of the formula, or another when there is none.
func (f *Formula) at(otherwise Place) Place {
	if f == nil {
		return otherwise
	}
	return f.Place
}

// axisUnit gives an axis the unit of its values where the label named none, and checks one that it named.
func (r *reader) axisUnit(f *Formula, d *Display, t quantity.Type) {
	if d.Text == "" {
		*d = r.lab.displayFor(f.Expr, t)
		return
	}
	if d.Unit.Dim != t.Dim {
		r.formula(f.Place, fmt.Errorf("this is in %s, but the axis in %s", t.Dim, d.Text))
	}
}

func (r *reader) checkFigure(figure *FigureBlock) {
	kind, _ := FigureKindNamed(figure.Kind)
	for _, key := range kind.AllKeys() {
		for _, f := range figure.Values[key.Key] {
			if f.Run = r.compile(f.Expr, r.drawnScope(nil), false); f.Run == nil {
				continue
			}
			r.noteShown(f)
			r.figureType(figure, key, f)
		}
	}
}

// figureType checks what one formula of a figure gives.
func (r *reader) figureType(figure *FigureBlock, key FigureKey, f *Formula) {
	t := f.Run.Type()
	switch {
	case t.Kind != quantity.Number && t.Kind != quantity.Column:
		r.formula(f.Place, fmt.Errorf("%s holds a number", key.Key))
	case t.Kind == quantity.Column && key.Holds == HoldsNumber:
		r.formula(f.Place, fmt.Errorf("%s holds one number, not a column", key.Key))
	case key.Dims != nil && !fitsDim(key.Dims, t.Dim):
		r.formula(f.Place, fmt.Errorf("%s cannot be in %s: it is %s", key.Key, t.Dim, key.Meaning))
	case key.Like != "":
		for _, other := range figure.Values[key.Like] {
			if other.Run != nil && other.Run.Type().Dim != t.Dim {
				r.formula(f.Place, fmt.Errorf("%s is in %s, but %s in %s", key.Key, t.Dim, key.Like, other.Run.Type().Dim))
			}
		}
	}
}

func fitsDim(dims []quantity.Dim, d quantity.Dim) bool {
	for _, known := range dims {
		if known == d {
			return true
		}
	}
	return false
}

// noteShown notes that the values a formula uses can be seen on the sheet.
func (r *reader) noteShown(f *Formula) {
	for _, name := range f.Expr.Names() {
		r.shown[name] = true
	}
}
