package page

import (
	"fmt"
	"slices"
)

// Lengths are in points.
const (
	millimetre = 72 / 25.4
	margin     = 18 * millimetre
	hair       = 0.4 // the width of rules
)

// A setter sets one document.
type setter struct {
	press         *Press
	doc           *Document
	fonts         *fontSet
	width, height float64 // of the paper
	marks         *marker

	sheet   *Sheet
	scale   float64 // 1, or 16/11 in large print
	pen     pen
	pages   []finishedPage
	counts  []int
	notes   []Note
	lacking []lack // a sheet with characters that no face has
	faults  []string
	errs    []error
	bitmaps []*bitmap

	shared  map[*Shared][]slab // of this sheet
	shaped  map[shapeKey][]word
	words   map[wordKey]*formulaBox // of formulas
	key     []byte                  // scratch of shape
	missing int                     // characters met that no face has
	detail  int                     // which body of the sheet before was taken
}

// A finishedPage is a page's content stream.
type finishedPage struct {
	content []byte
	fields  []*placedField
}

func (s *setter) body() style      { return style{face: sans, size: 11 * s.scale} }
func (s *setter) leading() float64 { return 15 * s.scale }

func (s *setter) fail(err error) { s.errs = append(s.errs, err) }

// note tells the maker something, once a sheet.
func (s *setter) note(format string, args ...any) {
	n := Note{Sheet: s.sheetName(), Text: fmt.Sprintf(format, args...)}
	if !slices.Contains(s.notes, n) {
		s.notes = append(s.notes, n)
	}
}

func (s *setter) sheetName() string {
	if s.sheet.Code != "" {
		return s.sheet.Code
	}
	return s.sheet.Title
}

// A slab is a strip of the column that no page break parts.
type slab struct {
	above float64 // space before it, dropped at the top of a page
	h     float64
	give  float64 // what h may lose to save a page: working space
	keep  bool    // stays on one page with the next slab
	fresh bool    // starts a new page
	// question is the number of the question the slab belongs to, 0: none.
	question int
	// repeat is set again above the slab when it starts a page: the head of a long table.
	repeat *slab
	draw   func(p *pen, y float64) // y is the slab's top
}

// keepAll ties slabs together.
func keepAll(slabs []slab) []slab {
	for i := range slabs {
		slabs[i].keep = i < len(slabs)-1
	}
	return slabs
}

// height is what slabs take below each other.
func height(slabs []slab) float64 {
	h := 0.0
	for i := range slabs {
		h += slabs[i].h
		if i > 0 {
			h += slabs[i].above
		}
	}
	return h
}

// drawAll draws slabs below each other from y.
func drawAll(p *pen, slabs []slab, y float64) {
	for i := range slabs {
		if i > 0 {
			y += slabs[i].above
		}
		if slabs[i].draw != nil {
			slabs[i].draw(p, y)
		}
		y += slabs[i].h
	}
}

// with adds drawing to a slab, after its own.
func (sl *slab) with(draw func(p *pen, y float64)) {
	first := sl.draw
	sl.draw = func(p *pen, y float64) {
		if first != nil {
			first(p, y)
		}
		draw(p, y)
	}
}

// paragraph sets runs in the column x, w, a slab a line. No first or last line stands alone.
func (s *setter) paragraph(runs []Inline, st style, leading, x, w float64, e *elem) []slab {
	return s.lines(s.shape(runs, st), st, leading, column{x: x, w: w, e: e}, 0)
}

// lines sets words in a column; align moves each line right by that share of what it leaves free.
func (s *setter) lines(words []word, st style, leading float64, c column, align float64) []slab {
	w := c.w
	words = split(words, w)
	lines := breakLines(words, w)
	slabs := make([]slab, len(lines))
	for i, ln := range lines {
		ws := words[ln.from:ln.to]
		up, down := extent(ws)
		base := max(leading*0.5+st.size*0.25, up+1)
		h := base + max(leading*0.5-st.size*0.25, down+1)
		slabs[i] = slab{h: h, keep: i == 0 && len(lines) > 1 || i == len(lines)-2, draw: func(p *pen, y float64) {
			p.begin(c.e)
			p.setLine(ws, c.x+(w-ln.w)*align, y+base)
			p.end()
		}}
	}
	return slabs
}

// label sets a short text at once, outside the flow. align moves it left by that share of its width.
func (s *setter) label(p *pen, t string, st style, x, y, align float64) float64 {
	words := s.shape([]Inline{Text{S: t}}, st)
	w := widthOf(words)
	p.setLine(words, x-w*align, y)
	return w
}

// widthOfText is the width of a short text on one line.
func (s *setter) widthOfText(t string, st style) float64 {
	return widthOf(s.shape([]Inline{Text{S: t}}, st))
}
