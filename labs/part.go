package labs

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"

	"keelmark/labs/text"
)

// Part is a lab cut down to what some of its questions need, as a follow-up sheet is. Tables, graph paper, plots and
// figures stay where a formula of these questions uses what they hold; a question without a formula may speak of what stands
// just before it, so for it stays what lies between, and what the question before it needs. What the template ties to no
// question stays too: prose, and figures of what no question uses. A nil Part is the whole lab.
type Part struct {
	lab     *Lab
	has     func(*Question) bool
	needed  map[string]bool // names that the formulas of its questions use
	used    map[string]bool // the same of all questions of the lab
	spoken  map[*Block]bool // kept whole for a question without a formula
	columns map[*ReadingsBlock][]*Value
	reads   map[*Value]bool // stands in one of the columns
	omitted map[ast.Node]bool
}

// Part cuts the lab down to the questions for which has is true.
func (l *Lab) Part(has func(*Question) bool) *Part {
	p := &Part{lab: l, has: has, needed: map[string]bool{}, used: map[string]bool{}, spoken: map[*Block]bool{},
		columns: map[*ReadingsBlock][]*Value{}, reads: map[*Value]bool{}, omitted: map[ast.Node]bool{}}
	var blocks []ast.Node
	// The walker returns no error, so Walk does not either.
	_ = ast.Walk(l.Body, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering && l.Blocks[n] != nil {
			blocks = append(blocks, n)
		}
		return ast.WalkContinue, nil
	})
	p.need(blocks)
	for _, n := range blocks {
		if b := l.Blocks[n]; b.Readings != nil {
			p.cutColumns(b)
		}
	}
	p.omit(blocks)
	return p
}

// Omits reports whether a node of the lab's body is left out.
func (p *Part) Omits(n ast.Node) bool { return p != nil && p.omitted[n] }

// Columns are the columns of a table of readings that are left, none where nothing of the table is needed.
func (p *Part) Columns(b *ReadingsBlock) []*Value {
	if p == nil {
		return b.Columns
	}
	return p.columns[b]
}

// Reads reports whether a measured value stands in one of the tables of readings that are left.
func (p *Part) Reads(v *Value) bool { return p == nil || p.reads[v] }

// need gathers the names that the questions use.
func (p *Part) need(blocks []ast.Node) {
	var before *Question // the last one with a formula
	var since []*Block   // that stand after it
	for _, n := range blocks {
		b := p.lab.Blocks[n]
		switch q := b.Question; {
		case q == nil:
			since = append(since, b)
		case q.Expr != nil:
			p.lab.uses(q, p.used)
			if p.has(q) {
				p.lab.uses(q, p.needed)
			}
			before, since = q, nil
		case p.has(q):
			if before != nil {
				p.lab.uses(before, p.needed)
			}
			for _, b := range since {
				p.spoken[b] = true
			}
		}
	}
}

// uses adds the names that the formula of a question uses, networks by their id; all but g, which no block shows.
func (l *Lab) uses(q *Question, all map[string]bool) {
	for _, use := range q.Uses {
		for _, name := range l.bases(use) {
			if name != "g" {
				all[name] = true
			}
		}
	}
}

// cutColumns leaves out the measured columns that only other questions use, and all of a table of which nothing is needed.
func (p *Part) cutColumns(b *Block) {
	var columns []*Value
	needed, used := p.spoken[b], false
	for _, v := range b.Readings.Columns {
		needed, used = needed || p.needed[v.Name], used || p.used[v.Name]
		if v.Source != Measured || p.spoken[b] || p.needed[v.Name] || !p.used[v.Name] {
			columns = append(columns, v)
		}
	}
	if used && !needed {
		return
	}
	p.columns[b.Readings] = columns
	for _, v := range columns {
		p.reads[v] = true
	}
}

// holds adds a name, and all that its value is computed from.
func (l *Lab) holds(name string, all map[string]bool) {
	if all[name] {
		return
	}
	all[name] = true
	for _, base := range l.bases(name)[1:] {
		l.holds(base, all)
	}
	v := l.Value(name)
	if v == nil || v.Source == Measured {
		return
	}
	if v.CalcExpr != nil {
		for _, used := range v.CalcExpr.Names() {
			l.holds(used, all)
		}
	}
	if v.Each != nil {
		l.holds(v.Each.Name, all)
	}
}

// shows gives the names that a table, plot or figure shows, and those behind them.
func (l *Lab) shows(b *Block) map[string]bool {
	all := map[string]bool{}
	formulas := func(list ...*Formula) {
		for _, f := range list {
			if f == nil {
				continue
			}
			for _, name := range f.Expr.Names() {
				l.holds(name, all)
			}
		}
	}
	switch {
	case b.Table != nil:
		for _, v := range b.Table.Columns {
			l.holds(v.Name, all)
		}
	case b.Plot != nil:
		formulas(b.Plot.X, b.Plot.Y, b.Plot.LineY)
	case b.Figure != nil:
		for _, list := range b.Figure.Values {
			formulas(list...)
		}
		if b.Figure.Network != nil {
			for _, name := range b.Figure.Network.names {
				l.holds(name, all)
			}
		}
	}
	return all
}

// keeps reports whether a block stays; above are the tables of readings that stand before it, with whether each stays. A
// block is not tied where no question of the lab uses anything in it.
func (p *Part) keeps(b *Block, above []bool) (keep, tied bool) {
	switch {
	case p.spoken[b]:
		return true, true
	case b.Question != nil:
		return p.has(b.Question), true
	case b.Readings != nil:
		return p.columns[b.Readings] != nil, true
	case b.Grid != nil: // for what is read above it
		return slices.Contains(above, true), len(above) > 0
	}
	for name := range p.lab.shows(b) {
		keep, tied = keep || p.needed[name], tied || p.used[name]
	}
	return keep, tied
}

// omit leaves out the blocks that are not needed, sections in which nothing is left, and lines that only lead up to a block
// left out.
func (p *Part) omit(blocks []ast.Node) {
	kept, left := map[ast.Node]bool{}, map[ast.Node]bool{} // children of the body in which a block is kept, left out
	var readings []bool                                    // of every table of readings so far: whether it is kept
	for _, n := range blocks {
		b := p.lab.Blocks[n]
		keep, tied := p.keeps(b, readings)
		if b.Readings != nil {
			readings = append(readings, keep)
		}
		if !tied {
			continue
		}
		top := n
		for top.Parent() != p.lab.Body {
			top = top.Parent()
		}
		if keep {
			kept[top] = true
		} else {
			left[top], p.omitted[n] = true, true
		}
	}
	for n := p.lab.Body.FirstChild(); n != nil; n = n.NextSibling() {
		if heading, ok := n.(*ast.Heading); ok {
			p.omitSection(heading, kept, left)
		}
		if next := n.NextSibling(); next != nil && p.omitted[next] && p.leadsUp(n) {
			p.omitted[n] = true
		}
	}
}

// omitSection leaves out a section of which only blocks that are left out make anything of the questions.
func (p *Part) omitSection(heading *ast.Heading, kept, left map[ast.Node]bool) {
	section := []ast.Node{heading}
	drop := false
	for n := heading.NextSibling(); n != nil; n = n.NextSibling() {
		if h, ok := n.(*ast.Heading); ok && h.Level <= heading.Level {
			break
		}
		if kept[n] || p.tells(n) {
			return
		}
		drop = drop || left[n]
		section = append(section, n)
	}
	if drop {
		for _, n := range section {
			p.omitted[n] = true
		}
	}
}

// tells reports whether prose gives a value that is needed.
func (p *Part) tells(n ast.Node) (needed bool) {
	_ = ast.Walk(n, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if hole, ok := n.(*text.Placeholder); ok && entering {
			if known, err := p.lab.find(hole.Source); err == nil {
				for _, name := range known.expr.Names() {
					needed = needed || p.needed[name]
				}
			}
		}
		return ast.WalkContinue, nil
	})
	return needed
}

// leadsUp reports whether a paragraph is words that the block after it goes on from: "Fully under water, the meter reads". A
// formula, a picture or a whole sentence stands by itself.
func (p *Part) leadsUp(n ast.Node) bool {
	if n.Kind() != ast.KindParagraph || p.tells(n) {
		return false
	}
	words := strings.TrimRight(string(n.Lines().Value(p.lab.BodySource)), " \t\n*_")
	last, _ := utf8.DecodeLastRuneInString(words)
	return unicode.IsLetter(last) || last == ':' || last == ','
}
