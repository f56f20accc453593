package plot

import (
	"fmt"
	"math"
	"strconv"
)

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
	Totals            []string // by pupil, to the right of the cells; none when nil
	Bare              bool     // without the key to the cells, where the caption explains them
	Style             Style
}

const gridRow = 12.5 // points: 36 pupils stand within 170 mm

// NewMarksGrid lays the grid out. It fails when cells or totals do not match pupils and questions, or a share is not 0 to 1.
func NewMarksGrid(g MarksGrid) (Drawing, error) {
	if len(g.Pupils) == 0 || len(g.Questions) == 0 || len(g.Cells) != len(g.Pupils) {
		return nil, fmt.Errorf("marks grid: %d rows of cells for %d pupils and %d questions", len(g.Cells), len(g.Pupils), len(g.Questions))
	}
	if g.Totals != nil && len(g.Totals) != len(g.Pupils) {
		return nil, fmt.Errorf("marks grid: %d totals for %d pupils", len(g.Totals), len(g.Pupils))
	}
	s := newSketch(g.Style)
	small := 0.85 * s.size
	names, heads, totals := 0.0, 0.0, 0.0
	for _, t := range g.Totals {
		totals = max(totals, 6+setText(t, small).width)
	}
	for _, p := range g.Pupils {
		names = max(names, setText(short(p, 26), small).width)
	}
	for _, q := range g.Questions {
		heads = max(heads, setText(short(q, 20), small).width)
	}
	room := g.Style.design(480) - names - totals - 14
	column := min(max(heads+6, 20), room/float64(len(g.Questions)))
	turned := heads+4 > column
	for j, q := range g.Questions {
		middle := (float64(j) + 0.5) * column
		if turned {
			s.textUp(xy{middle, 5 + setText(short(q, 20), small).width/2}, short(q, 20), small)
		} else {
			s.textAt(xy{middle, 5}, short(q, 20), small, 0.5, 0)
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
		if g.Totals != nil {
			s.textAt(xy{float64(len(row))*column + 6, y - gridRow/2}, g.Totals[i], small, 0, 0.5)
		}
	}
	if !g.Bare {
		s.gridKey(xy{0, -float64(len(g.Pupils))*gridRow - 16}, small)
	}
	return s.finish(fmt.Sprintf("Marks of %d pupils on %d questions.", len(g.Pupils), len(g.Questions)))
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
