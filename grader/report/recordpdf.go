package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"keelmark/generator/page"
	"keelmark/generator/plot"
	"keelmark/grader/stats"
)

// WritePDF writes the record: the class by skill, who is ready for the capstone, every pupil by skill, and totals by set.
func (r *Record) WritePDF(w io.Writer) error {
	sheet := page.Sheet{Title: "Record of the term", Subtitle: fmt.Sprintf("%s, %s", count(len(r.Sets), "set"), count(len(r.Pupils), "pupil")), Foot: "record"}
	sheet.Body = append(sheet.Body, r.skillTable()...)
	grids, err := r.grids()
	if err != nil {
		return err
	}
	sheet.Body = append(sheet.Body, grids...)
	sheet.Body = append(sheet.Body, r.readiness()...)
	sheet.Body = append(sheet.Body, r.totals()...)
	_, err = page.Write(w, &page.Document{Title: sheet.Title, Lang: "en-GB", Paper: "a4", Tagged: true, Sheets: []page.Sheet{sheet}})
	return err
}

func (r *Record) skillTable() []page.Block {
	t := page.Table{Small: true, Align: []byte("lrrrrl"), Head: cells("skill", "marks won", Secure, Unsteady, NotYet, "who is not there yet")}
	for _, c := range r.bySkill() {
		skill := bold(skillName(c.skill))
		if can := meanings()[c.skill]; can != "" {
			skill = join(skill, plain(": "+can))
		}
		row := [][]page.Inline{skill, plain(percent(stats.Figure(c.won) / stats.Figure(c.outOf)))}
		for _, level := range []string{Secure, Unsteady, NotYet} {
			row = append(row, plain(some(c.levels[level])))
		}
		t.Rows = append(t.Rows, append(row, plain(names(c.notYet, manyNames))))
	}
	return []page.Block{section("The class by skill"), t, para(plain(r.Rule))}
}

// readiness says who may start the capstone, and what is in the way of the others.
func (r *Record) readiness() []page.Block {
	blocks := []page.Block{section("Ready for the capstone")}
	unseen := r.unseenByAll()
	if len(unseen) > 0 {
		blocks = append(blocks, para(plain("No set has asked yet for: "+skillNames(unseen)+". Until then nobody is ready.")))
	}
	var ready []string
	t := page.Table{Small: true, Align: []byte("ll"), Head: cells("pupil", "in the way")}
	pupils := slices.Clone(r.Pupils)
	slices.SortStableFunc(pupils, func(a, b *PupilRecord) int { // the nearest first
		return cmp.Or(cmp.Compare(len(a.NotYet), len(b.NotYet)), cmp.Compare(len(a.Unsteady), len(b.Unsteady)))
	})
	for _, p := range pupils {
		if p.Ready {
			ready = append(ready, p.legible())
			continue
		}
		missed := slices.DeleteFunc(slices.Clone(p.Unseen), func(skill string) bool { return slices.Contains(unseen, skill) })
		var way []page.Inline
		for _, part := range []struct {
			what   string
			skills []string
		}{{NotYet, p.NotYet}, {Unsteady, p.Unsteady}, {"not seen, though others have", missed}} {
			if len(part.skills) > 0 {
				way = join(way, bold(part.what+": "), plain(skillNames(part.skills)+". "))
			}
		}
		if len(way) > 0 {
			t.Rows = append(t.Rows, [][]page.Inline{plain(strings.ReplaceAll(p.legible(), " ", "\u00a0")), way})
		}
	}
	if len(ready) > 0 {
		blocks = append(blocks, para(bold("Ready: "), plain(list(ready)+".")))
	}
	if len(t.Rows) > 0 {
		blocks = append(blocks, t)
	}
	return blocks
}

// grids show every pupil by skill: the share of marks in percent, a cross where nothing has been seen.
func (r *Record) grids() ([]page.Block, error) {
	skills := r.bySkill()
	if len(skills) == 0 {
		return nil, nil
	}
	g := plot.MarksGrid{Bare: true}
	for _, c := range skills {
		g.Questions = append(g.Questions, skillName(c.skill))
	}
	for _, p := range r.Pupils {
		row := make([]plot.Cell, len(skills))
		for j, c := range skills {
			row[j].State = plot.Absent
			if k := p.Skills[c.skill]; k != nil && k.OutOf > 0 {
				share := float64(k.Won) / float64(k.OutOf)
				row[j] = plot.Cell{Share: share, Marks: float64(int(100*share + 0.5))}
			}
		}
		g.Pupils, g.Cells = append(g.Pupils, p.legible()), append(g.Cells, row)
	}
	blocks := []page.Block{section("Pupils by skill")}
	for from := 0; from < len(g.Pupils); from += gridRows {
		part := g
		to := min(from+gridRows, len(g.Pupils))
		part.Pupils, part.Cells = g.Pupils[from:to], g.Cells[from:to]
		drawing, err := plot.NewMarksGrid(part)
		if err != nil {
			return nil, err
		}
		blocks = append(blocks, page.Picture{Drawing: drawing, Caption: plain("Marks won of each skill, in percent; crossed: nothing marked yet.")})
	}
	return blocks, nil
}

// totals stand sitting beside sitting.
func (r *Record) totals() []page.Block {
	key := page.Table{Small: true, Align: []byte("clll"), Head: cells("set", "lab", "made", "folder")}
	t := page.Table{Small: true, Align: []byte("ll"), Head: cells("pupil", "class")}
	for i, s := range r.Sets {
		number := strconv.Itoa(i + 1)
		title := s.Title
		if s.Sitting > 1 {
			title += fmt.Sprintf(" (sitting %d)", s.Sitting)
		}
		key.Rows = append(key.Rows, cells(number, title, s.Made, s.Dir))
		t.Head = append(t.Head, plain("set "+number))
		t.Align = append(t.Align, 'r')
	}
	for _, p := range r.Pupils {
		row := cells(p.legible(), p.Class)
		for _, total := range p.Totals {
			row = append(row, plain(total.String()))
		}
		t.Rows = append(t.Rows, row)
	}
	return []page.Block{section("Totals by set"), key, t}
}

// skillNames lists skills as they are printed.
func skillNames(skills []string) string {
	out := make([]string, len(skills))
	for i, skill := range skills {
		out[i] = skillName(skill)
	}
	return strings.Join(out, ", ")
}

// legible is the name on paper.
func (p *PupilRecord) legible() string { return page.Legible(p.Name, p.Student) }
