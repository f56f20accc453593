package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"keelmark/generator/page"
	"keelmark/generator/plot"
	"keelmark/grader"
	"keelmark/labs/classset"
)

// grid shows pupils by questions: the best pupil on top and the easiest question left, so that marks thin out to the
// lower right and whatever breaks the pattern is seen.
func (c *classReport) grid() ([]page.Block, error) {
	questions := slices.Clone(c.Questions)
	slices.SortStableFunc(questions, func(a, b Question) int { return cmp.Compare(b.Facility, a.Facility) })
	pupils := slices.Clone(c.sheets)
	slices.SortStableFunc(pupils, func(a, b *classset.SheetMarks) int {
		return cmp.Compare(b.Total*max(a.OutOf, 1), a.Total*max(b.OutOf, 1))
	})
	g := plot.MarksGrid{Style: c.style}
	for _, q := range questions {
		g.Questions = append(g.Questions, strconv.Itoa(q.Number))
	}
	caption := "Best total on top, easiest question left. A dark cell among light ones is one pupil’s gap; a dark column is a gap of the class."
	rows := 1
	if len(pupils) > gridMost {
		rows = (len(pupils) + gridRows - 1) / gridRows
		caption += fmt.Sprintf(" Each row is the mean of %d pupils with neighbouring totals; marks.csv has every pupil.", rows)
	}
	blocks := []page.Block{section("Pupils and questions")}
	place := 1
	for band := range slices.Chunk(pupils, rows) {
		g.Cells = append(g.Cells, bandCells(band, questions))
		if rows == 1 {
			g.Pupils = append(g.Pupils, nameOf(c.set, band[0]))
			g.Totals = append(g.Totals, grader.Total(band[0]))
		} else {
			g.Pupils = append(g.Pupils, fmt.Sprintf("%d. to %d.", place, place+len(band)-1))
		}
		place += len(band)
	}
	for from := 0; from < len(g.Pupils); from += gridRows {
		part := g
		to := min(from+gridRows, len(g.Pupils))
		part.Pupils, part.Cells = g.Pupils[from:to], g.Cells[from:to]
		if g.Totals != nil {
			part.Totals = g.Totals[from:to]
		}
		drawing, err := plot.NewMarksGrid(part)
		if err != nil {
			return nil, err
		}
		blocks = append(blocks, page.Picture{Drawing: drawing, Caption: plain(caption)})
	}
	return blocks, nil
}

// bandCells are the cells of a row: one pupil's marks, or the mean marks of several.
func bandCells(band []*classset.SheetMarks, questions []Question) []plot.Cell {
	cells := make([]plot.Cell, len(questions))
	for j, q := range questions {
		won, of, answers, blank, open := 0, 0, 0, 0, 0
		for _, m := range band {
			a := answerTo(m, q.ID)
			switch {
			case a == nil:
				continue
			case a.Open:
				open++
				continue
			case a.Verdict == classset.Blank && a.Marks == 0:
				blank++
			}
			answers++
			won, of = won+a.Marks, of+a.OutOf
		}
		switch {
		case answers == 0 && open > 0:
			cells[j].State = plot.Open
		case answers == 0:
			cells[j].State = plot.Absent
		case blank == answers:
			cells[j].State = plot.Blank
		case of > 0:
			cells[j] = plot.Cell{Share: float64(won) / float64(of), Marks: float64(won) / float64(answers)}
		}
	}
	return cells
}
