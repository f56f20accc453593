package plot

import (
	"fmt"
	"math"
	"strconv"
)

// Bars is a bar chart: a bar a label. X names the labels, Y measures the bars. Bars stand upright while their labels
// fit below them, else they lie.
type Bars struct {
	X, Y   Axis
	Labels []string
	Values []float64
	Style  Style
}

// NewBars lays a bar chart out. It fails without bars, where labels and values do not match in number, and for values
// that are not finite.
func NewBars(b Bars) (Drawing, error) {
	if len(b.Labels) == 0 || len(b.Labels) != len(b.Values) {
		return nil, fmt.Errorf("bars: %d labels for %d values", len(b.Labels), len(b.Values))
	}
	low, high := 0.0, 0.0
	for i, v := range b.Values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("bars: the value of %q is %v", b.Labels[i], v)
		}
		low, high = min(low, v), max(high, v)
	}
	if low == high {
		high = 1
	}
	s := newSketch(b.Style)
	width := max(b.Style.design(chartWidth)-52, 80)
	pitch := min(width/float64(len(b.Labels)), 60)
	widest := 0.0
	for _, label := range b.Labels {
		widest = max(widest, setText(short(label, 36), 0.9*s.size).width)
	}
	var err error
	if widest <= 0.94*pitch {
		err = s.uprightBars(b, low, high, pitch)
	} else {
		err = s.lyingBars(b, low, high, max(width-widest, 80))
	}
	if err != nil {
		return nil, fmt.Errorf("bars: %w", err)
	}
	s.finish(fmt.Sprintf("Bar chart of %s, %d bars.", b.Y.title(0), len(b.Labels)))
	return s, nil
}

var barShade = grey(190)

func (s *sketch) uprightBars(b Bars, low, high, pitch float64) error {
	f := frame{width: pitch * float64(len(b.Labels)), height: 130}
	var err error
	if f.y, err = b.Y.fit(low, high, 6); err != nil {
		return err
	}
	f.x = ruler{max: float64(len(b.Labels)), step: math.Inf(1)}
	small := 0.9 * s.size
	numbers := 0.0
	for _, t := range f.y.ticks() {
		p := f.at(0, t)
		s.line(faint, p, f.at(f.x.max, t))
		s.textAt(p.plus(xy{-5, 0}), f.y.label(t), small, 1, 0.5)
		numbers = max(numbers, setText(f.y.label(t), small).width)
	}
	for i, v := range b.Values {
		zero, top := f.at(float64(i)+0.2, 0), f.at(float64(i)+0.8, v)
		s.bar(xy{zero.x, min(zero.y, top.y)}, xy{top.x, max(zero.y, top.y)})
		s.textAt(f.at(float64(i)+0.5, f.y.min).plus(xy{0, -4}), b.Labels[i], small, 0.5, 1)
	}
	s.line(line, f.at(0, 0), f.at(f.x.max, 0))
	title := b.Y.title(f.y.power)
	s.textUp(xy{-10 - numbers - s.size/2, f.height - setText(title, s.size).width/2}, title, s.size)
	s.textAt(xy{f.width, -8 - 1.2*s.size}, b.X.title(0), s.size, 1, 1)
	return nil
}

func (s *sketch) lyingBars(b Bars, low, high, width float64) error {
	const pitch = 13.0
	f := frame{width: width, height: pitch * float64(len(b.Labels))}
	var err error
	if f.x, err = b.Y.fit(low, high, int(width/40)); err != nil {
		return err
	}
	f.y = ruler{max: float64(len(b.Labels)), step: math.Inf(1)}
	small := 0.9 * s.size
	for _, t := range f.x.ticks() {
		p := f.at(t, 0)
		s.line(faint, p, f.at(t, f.y.max))
		s.textAt(p.plus(xy{0, -4}), f.x.label(t), small, 0.5, 1)
	}
	for i, v := range b.Values {
		row := f.y.max - float64(i) - 1 // the first on top
		zero, end := f.at(0, row+0.15), f.at(v, row+0.85)
		s.bar(xy{min(zero.x, end.x), zero.y}, xy{max(zero.x, end.x), end.y})
		s.textAt(f.at(f.x.min, row+0.5).plus(xy{-5, 0}), short(b.Labels[i], 36), small, 1, 0.5)
	}
	s.line(line, f.at(0, 0), f.at(0, f.y.max))
	s.textAt(xy{f.width, -6 - 1.2*s.size}, b.Y.title(f.x.power), s.size, 1, 1)
	return nil
}

func (s *sketch) bar(low, high xy) {
	if low.x == high.x || low.y == high.y {
		return
	}
	s.fill(barShade, rectPath(low, high))
	s.rect(hair, low, high)
}

// CellState says what a cell of a marks grid stands for.
type CellState uint8

// The states of a cell.
const (
	Marked CellState = iota // a share of the marks was won
	Blank                   // nothing was written
	Open                    // a person must still decide
	Absent                  // the sheet was not handed in
)

// Cell is one pupil's marks on one question.
type Cell struct {
	State CellState
	Share float64 // of the marks, 0 to 1
	Marks float64 // printed in the cell
}

// MarksGrid is the picture of a class: a row a pupil, a column a question, the darker the more marks were lost.
type MarksGrid struct {
	Pupils, Questions []string
	Cells             [][]Cell // by pupil, then by question
	Style             Style
}

const gridRow = 12.5 // points: 36 pupils stand within 170 mm

// NewMarksGrid lays the grid out. It fails when the cells do not match pupils and questions, or a share is not 0 to 1.
func NewMarksGrid(g MarksGrid) (Drawing, error) {
	if len(g.Pupils) == 0 || len(g.Questions) == 0 || len(g.Cells) != len(g.Pupils) {
		return nil, fmt.Errorf("marks grid: %d rows of cells for %d pupils and %d questions", len(g.Cells), len(g.Pupils), len(g.Questions))
	}
	s := newSketch(g.Style)
	small := 0.85 * s.size
	names, heads := 0.0, 0.0
	for _, p := range g.Pupils {
		names = max(names, setText(short(p, 26), small).width)
	}
	for _, q := range g.Questions {
		heads = max(heads, setText(short(q, 12), small).width)
	}
	room := g.Style.design(480) - names - 14
	column := min(max(heads+6, 20), room/float64(len(g.Questions)))
	turned := heads+4 > column
	for j, q := range g.Questions {
		middle := (float64(j) + 0.5) * column
		if turned {
			s.textUp(xy{middle, 5 + setText(short(q, 12), small).width/2}, short(q, 12), small)
		} else {
			s.textAt(xy{middle, 5}, short(q, 12), small, 0.5, 0)
		}
	}
	for i, row := range g.Cells {
		if len(row) != len(g.Questions) {
			return nil, fmt.Errorf("marks grid: %d cells for %d questions of %s", len(row), len(g.Questions), g.Pupils[i])
		}
		y := -float64(i) * gridRow
		s.textAt(xy{-6, y - gridRow/2}, short(g.Pupils[i], 26), small, 1, 0.5)
		for j, cell := range row {
			if !(cell.Share >= 0 && cell.Share <= 1) {
				return nil, fmt.Errorf("marks grid: share %v of %s on %s is not 0 to 1", cell.Share, g.Pupils[i], g.Questions[j])
			}
			s.cell(cell, xy{float64(j) * column, y - gridRow}, xy{float64(j+1) * column, y}, small)
		}
	}
	s.gridKey(xy{0, -float64(len(g.Pupils))*gridRow - 16}, small)
	s.finish(fmt.Sprintf("Marks of %d pupils on %d questions.", len(g.Pupils), len(g.Questions)))
	return s, nil
}

// cell draws one cell: full marks white, none dark, always with its number; the other states by signs of their own.
func (s *sketch) cell(c Cell, low, high xy, size float64) {
	middle := between(low, high, 0.5)
	text := ""
	switch c.State {
	case Marked:
		s.fill(grey(uint8(math.Round(150+105*c.Share))), rectPath(low, high))
		text = strconv.FormatFloat(c.Marks, 'g', 3, 64)
	case Blank:
		text = "–"
	case Open:
		text = "?"
	case Absent:
		s.line(faintHatch, low, high)
		s.line(faintHatch, xy{low.x, high.y}, xy{high.x, low.y})
	}
	s.rect(pen{width: 0.3, ink: black, faint: true}, low, high)
	s.textAt(middle, text, size, 0.5, 0.5)
}

// gridKey explains the cells below the grid.
func (s *sketch) gridKey(at xy, size float64) {
	for _, entry := range []struct {
		cell Cell
		text string
	}{
		{Cell{Share: 1, Marks: 2}, "all marks"},
		{Cell{Share: 0.5, Marks: 1}, "half"},
		{Cell{Share: 0, Marks: 0}, "none"},
		{Cell{State: Blank}, "blank"},
		{Cell{State: Open}, "to be decided"},
		{Cell{State: Absent}, "absent"},
	} {
		s.cell(entry.cell, at.minus(xy{0, 5}), at.plus(xy{14, 5}), size)
		t := setText(entry.text, size)
		s.place(t, at.plus(xy{18, 0}), 0, 0.5)
		at.x += 18 + t.width + 12
	}
}
