package page

import (
	"fmt"
	"slices"
	"strings"
)

// A column is where blocks are set: from x, w wide, as children of the structure element e.
type column struct {
	x, w float64
	e    *elem
	st   style
	lead float64
}

func (c column) indent(d float64) column {
	c.x, c.w = c.x+d, c.w-d
	return c
}

func (c column) in(e *elem) column {
	c.e = e
	return c
}

// blocks sets one block after the other.
func (s *setter) blocks(blocks []Block, c column) []slab {
	out := make([]slab, 0, 2*len(blocks))
	roomy, flowing := false, false // the block before wants space after it; is running text
	for _, b := range blocks {
		slabs := s.block(b, c)
		if shared, ok := b.(*Shared); ok {
			b = shared.Block
		}
		if len(slabs) == 0 {
			continue
		}
		if _, ok := b.(Display); ok && len(out) > 0 && flowing {
			out[len(out)-1].keep = true // a formula stays with the words that lead to it
		}
		if roomy {
			slabs[0].above = max(slabs[0].above, c.lead*0.75)
		}
		if p, ok := b.(Paragraph); ok && leadsIn(p) {
			slabs[len(slabs)-1].keep = true
		}
		out = append(out, slabs...)
		roomy, flowing = false, false
		switch b.(type) {
		case Table, Panel, Picture, Image, Quote, Ruled, Question:
			roomy = true
		case Paragraph, Display:
			flowing = true
		}
	}
	return out
}

// leadsIn tells whether a paragraph ends with a colon, and so belongs to what follows.
func leadsIn(p Paragraph) bool {
	if len(p.Text) == 0 {
		return false
	}
	t, ok := p.Text[len(p.Text)-1].(Text)
	return ok && strings.HasSuffix(strings.TrimSpace(t.S), ":")
}

func (s *setter) block(b Block, c column) []slab {
	gap := c.lead * 0.45
	var slabs []slab
	switch b := b.(type) {
	case *Shared:
		return s.once(b, c)
	case Together:
		return s.together(s.blocks(b.Body, c))
	case Heading:
		return s.heading(b, c)
	case Paragraph:
		slabs = s.paragraph(b.Text, c.st, c.lead, c.x, c.w, c.e.child("P"))
	case List:
		slabs = s.list(b, c)
	case Table:
		slabs = s.table(b, c)
	case Panel:
		slabs = s.panel(b, c)
		gap = c.lead * 0.7
	case Quote:
		slabs = s.quote(b, c)
	case Display:
		slabs = s.display(b, c)
	case Picture:
		slabs = s.picture(b, c)
		gap = c.lead * 0.6
	case Image:
		slabs = s.image(b, c)
		gap = c.lead * 0.6
	case Space:
		return []slab{{h: b.Height * millimetre}}
	case Ruled:
		slabs = s.ruled(b.Lines, c)
	case PageBreak:
		return []slab{{fresh: true}}
	case Question:
		slabs = s.question(b, c)
		gap = c.lead * 0.8
	default:
		s.fail(fmt.Errorf("page: a block of type %T cannot be set", b))
	}
	if len(slabs) > 0 {
		slabs[0].above = max(slabs[0].above, gap)
	}
	return slabs
}

// once sets a shared block, or finds it set already. Each body has its own elements in a tagged document, so there it is set
// each time.
func (s *setter) once(b *Shared, c column) []slab {
	if c.e != nil {
		return s.block(b.Block, c)
	}
	slabs, ok := s.shared[b]
	if !ok {
		slabs = s.block(b.Block, c)
		s.shared[b] = slabs
	}
	return slices.Clone(slabs) // callers change what goes before and after
}

// heading sizes in points at scale 1, by level.
var headings = []float64{15, 13, 11.5, 11}

func (s *setter) heading(h Heading, c column) []slab {
	level := min(max(h.Level, 1), len(headings))
	size := headings[level-1] * s.scale
	e := c.e.child(fmt.Sprintf("H%d", level))
	slabs := s.paragraph(h.Text, style{face: sansBold, size: size}, size*1.25, c.x, c.w, e)
	for i := range slabs {
		slabs[i].keep = true
	}
	if len(slabs) > 0 {
		slabs[0].above = c.lead * 0.95
		last := &slabs[len(slabs)-1]
		last.h += c.lead * 0.1
	}
	return slabs
}

func (s *setter) list(l List, c column) []slab {
	var out []slab
	e := c.e.child("L")
	indent := 18 * s.scale
	for i, item := range l.Items {
		li := e.child("LI")
		lbl, body := li.child("Lbl"), li.child("LBody")
		slabs := s.blocks(item, c.indent(indent).in(body))
		if len(slabs) == 0 {
			slabs = []slab{{h: c.lead}}
		}
		slabs[0].above = c.lead * 0.2
		number := l.Start + i
		x, base := c.x, c.lead*0.5+c.st.size*0.25
		slabs[0].with(func(p *pen, y float64) {
			p.setGrey(0)
			switch {
			case l.Tick:
				p.begin(nil)
				side := c.st.size * 0.8
				p.frame(x+1, y+base-side, side, side, 0.7)
			case l.Ordered:
				p.begin(lbl)
				st := c.st
				st.face = sansBold
				s.label(p, fmt.Sprintf("%d.", number), st, x, y+base, 0)
			default:
				p.begin(lbl)
				s.label(p, "•", c.st, x+4*s.scale, y+base, 0)
			}
			p.end()
		})
		out = append(out, slabs...)
	}
	return out
}

// panel draws a ruled frame round its title and body. A long one may go over a page break: each of its strips carries
// its own piece of the frame.
func (s *setter) panel(b Panel, c column) []slab {
	pad := 9 * s.scale
	inner := column{x: c.x + pad, w: c.w - 2*pad, e: c.e.child("Sect"), st: c.st, lead: c.lead}
	var slabs []slab
	if b.Title != "" {
		st := style{face: sansBold, size: c.st.size}
		slabs = s.paragraph([]Inline{Text{S: b.Title}}, st, c.lead, inner.x, inner.w, inner.e.child("H2"))
		for i := range slabs {
			slabs[i].keep = true
		}
	}
	slabs = append(slabs, s.blocks(b.Body, inner)...)
	for i := range slabs {
		first, last := i == 0, i == len(slabs)-1
		in, top, h := slabs[i].draw, slabs[i].above, slabs[i].h
		if first {
			top = pad * 0.6
		}
		slabs[i].above = 0
		slabs[i].h = top + h
		if last {
			slabs[i].h += pad * 0.7
		}
		full := slabs[i].h
		slabs[i].draw = func(p *pen, y float64) {
			p.begin(nil)
			p.setGrey(0)
			p.line(c.x, y, c.x, y+full, 0.9)
			p.line(c.x+c.w, y, c.x+c.w, y+full, 0.9)
			if first {
				p.line(c.x, y, c.x+c.w, y, 0.9)
			}
			if last {
				p.line(c.x, y+full, c.x+c.w, y+full, 0.9)
			}
			p.end()
			if in != nil {
				in(p, y+top)
			}
		}
	}
	return s.together(slabs)
}

// together ties slabs that are no more than half a page, so that breaking before them costs little.
func (s *setter) together(slabs []slab) []slab {
	if height(slabs) < s.columnHeight()/2 {
		keepAll(slabs)
	}
	return slabs
}

func (s *setter) quote(b Quote, c column) []slab {
	in := c.indent(16 * s.scale)
	in.e = c.e.child("BlockQuote")
	slabs := s.blocks(b.Body, in)
	for i := range slabs {
		h, above := slabs[i].h, slabs[i].above
		if i == 0 {
			above = 0
		}
		slabs[i].with(func(p *pen, y float64) {
			p.begin(nil)
			p.setGrey(0.5)
			p.line(c.x+5*s.scale, y-above, c.x+5*s.scale, y+h, 1.2)
			p.end()
		})
	}
	return slabs
}

func (s *setter) display(b Display, c column) []slab {
	size := c.st.size * 1.05
	box, err := s.formula(b.TeX, size, true)
	if err == nil && box.w > c.w {
		s.fault("a formula wider than the column was made smaller")
		box, err = s.formula(b.TeX, size*c.w/box.w*0.98, true)
	}
	if err != nil {
		s.fail(err)
		return nil
	}
	e := c.e.child("Formula")
	if e != nil {
		e.alt = box.read
	}
	return []slab{{h: box.up + box.down + 4, draw: func(p *pen, y float64) {
		p.begin(e)
		p.setGrey(0)
		p.spanned(box.read, func() { box.draw(p, c.x+(c.w-box.w)/2, y+2+box.up) })
		p.end()
	}}}
}

// fault records what Pages reports.
func (s *setter) fault(format string, args ...any) {
	s.faults = append(s.faults, s.sheetName()+": "+fmt.Sprintf(format, args...))
}

func (s *setter) picture(b Picture, c column) []slab {
	vw, vh := b.Drawing.Size()
	w, h := vw.Points(), vh.Points()
	k := s.shrink(w, h, c.w, "a picture")
	e := c.e.child("Figure")
	if a, ok := b.Drawing.(interface{ Alt() string }); ok && e != nil {
		e.alt = clean(a.Alt())
	}
	pic := slab{h: h * k, draw: func(p *pen, y float64) {
		p.begin(e)
		cv := newCanvas(s, p, c.x+(c.w-w*k)/2, y+h*k, k)
		b.Drawing.Draw(cv)
		cv.close()
		p.end()
	}}
	return s.captioned(pic, b.Caption, c)
}

// shrink is the factor that makes a picture fit the column and the page.
func (s *setter) shrink(w, h, column float64, what string) float64 {
	k := min(1, column/w, (s.columnHeight()-4*s.leading())/h)
	if k < 0.999 {
		s.fault("%s of %.0f × %.0f mm was made smaller to fit", what, w/millimetre, h/millimetre)
	}
	return k
}

func (s *setter) captioned(pic slab, caption []Inline, c column) []slab {
	if len(caption) == 0 {
		return []slab{pic}
	}
	st := style{face: sans, size: c.st.size * 0.85}
	lines := s.lines(s.shape(caption, st), st, st.size*1.3, c.in(c.e.child("Caption")), 0.5)
	if len(lines) > 0 {
		lines[0].above = 4
	}
	return keepAll(append([]slab{pic}, lines...))
}

func (s *setter) image(b Image, c column) []slab {
	bm, err := s.bitmap(b)
	if err != nil {
		s.fail(err)
		return nil
	}
	// A picture is as wide as 150 dots an inch make it, at most the column.
	w, h := float64(bm.w)*72/150, float64(bm.h)*72/150
	k := min(1, c.w/w, s.columnHeight()*0.6/h)
	e := c.e.child("Figure")
	if e != nil {
		e.alt = clean(b.Alt)
	}
	return []slab{{h: h * k, draw: func(p *pen, y float64) {
		p.begin(e)
		p.bitmap(bm, c.x+(c.w-w*k)/2, y, w*k, h*k)
		p.end()
	}}}
}

// rulePitch is the distance of lines to write on.
const rulePitch = 8.5 * millimetre

// ruled sets lines to write on.
func (s *setter) ruled(n int, c column) []slab {
	slabs := make([]slab, max(n, 0))
	for i := range slabs {
		slabs[i] = slab{h: rulePitch, draw: func(p *pen, y float64) {
			p.begin(nil)
			p.setGrey(0.35)
			p.line(c.x, y+rulePitch-1, c.x+c.w, y+rulePitch-1, hair)
			p.end()
		}}
	}
	return slabs
}
