package page

import (
	"fmt"
	"strings"
)

// Boxes to answer in, in points at scale 1.
const (
	boxWidth  = 60 * millimetre
	boxHeight = 10 * millimetre
	unitSpace = 20 * millimetre // right of the box, for its unit or a small box for it
)

// question sets number, question, hint, working and answer box as slabs that stay together.
func (s *setter) question(q Question, c column) []slab {
	e := c.e.child("Sect")
	indent := 20 * s.scale
	in := c.indent(indent).in(e)
	slabs := s.blocks(q.Ask, in)
	if len(slabs) == 0 {
		slabs = []slab{{h: c.lead}}
	}
	slabs[0].above = 0
	base := c.lead*0.5 + c.st.size*0.25
	lbl := e.child("P")
	if e != nil { // the number is read before the question
		e.kids = append([]kid{{elem: lbl}}, e.kids[:len(e.kids)-1]...)
	}
	slabs[0].with(func(p *pen, y float64) {
		p.begin(lbl)
		st := c.st
		st.face = sansBold
		s.label(p, fmt.Sprint(q.Number), st, c.x, y+base, 0)
		p.end()
	})
	if len(q.Hint) > 0 {
		hint := in
		hint.st.size *= 0.92
		hint.st.face = sansItalic
		slabs = append(slabs, s.blocks(q.Hint, hint)...)
	}
	switch {
	case q.Working <= 0:
	case q.Ruled:
		slabs = append(slabs, s.ruled(int(q.Working*millimetre/rulePitch), in)...)
		slabs = append(slabs, slab{h: 5 * s.scale}) // the box stands clear of the last line
	default:
		working := slab{h: q.Working * millimetre}
		if q.Box.Kind != "" { // else the marks stand beside its end
			working.give = mostGiven * working.h
		}
		slabs = append(slabs, working)
	}
	tip := s.tip(q)
	switch q.Box.Kind {
	case "":
	case "number", "unit":
		slabs = append(slabs, s.answerBox(q, in, tip))
	case "choice":
		slabs = append(slabs, s.choices(q, in, tip)...)
	case "lines":
		slabs = append(slabs, s.answerLines(q, in, tip)...)
	default:
		s.fail(fmt.Errorf("question %d: a box of kind %q is unknown: use number, unit, choice or lines", q.Number, q.Box.Kind))
	}
	for i := range slabs {
		slabs[i].question = q.Number
	}
	s.addMarks(&slabs[len(slabs)-1], q, e)
	if height(slabs) <= s.columnHeight() {
		return keepAll(slabs)
	}
	// Too long for any page: the question may break, but its end stays with the box.
	s.fault("question %d is longer than a page", q.Number)
	rest := 0.0
	for i := len(slabs) - 2; i >= 0; i-- {
		rest += slabs[i+1].h + slabs[i+1].above
		slabs[i].keep = slabs[i].keep || rest < s.columnHeight()/2
	}
	return slabs
}

// addMarks prints the marks in the right margin beside the last strip.
func (s *setter) addMarks(sl *slab, q Question, e *elem) {
	if q.Marks <= 0 {
		return
	}
	m, h := e.child("P"), sl.h
	sl.with(func(p *pen, y float64) {
		p.begin(m)
		at := y + h - 4*s.scale
		if q.Box.Kind == "number" || q.Box.Kind == "unit" {
			at = y + h - s.boxHeight()/2 + 4*s.scale
		}
		s.label(p, fmt.Sprintf("[%d]", q.Marks), style{face: sans, size: 10 * min(s.scale, 1.3)}, s.width-margin*0.42, at, 1)
		p.end()
	})
}

func (s *setter) boxHeight() float64 { return boxHeight * s.scale }

// tip is the question in one line, for screen readers.
func (s *setter) tip(q Question) string {
	if s.marks == nil {
		return ""
	}
	t := fmt.Sprintf("Question %d: %s", q.Number, s.plainBlocks(q.Ask))
	if q.Box.Kind == "number" && q.Box.Unit != "" {
		t += " Answer in " + clean(q.Box.Unit) + "."
	}
	return t
}

// field places a form field, if the document has any.
func (s *setter) field(p *pen, fd placedField, e *elem) {
	if !s.doc.Forms || fd.name == "" {
		return
	}
	fd.elem = e
	p.fields = append(p.fields, &fd)
}

// answerBox is the box at the right with its unit, or a second, small box for the unit.
func (s *setter) answerBox(q Question, c column, tip string) slab {
	e, unit := c.e.child("Form"), c.e.child("P")
	h, space := s.boxHeight(), unitSpace*s.scale
	st := s.body()
	if q.Box.Kind == "number" {
		space = max(space, s.widthOfText(q.Box.Unit, st)+10*s.scale)
	}
	w := min(boxWidth*s.scale, c.w-space)
	x := c.x + c.w - space - w
	unitForm := (*elem)(nil)
	if q.Box.Kind == "unit" {
		unitForm = c.e.child("Form")
	}
	return slab{above: 3 * s.scale, h: h, draw: func(p *pen, y float64) {
		p.begin(nil)
		p.setGrey(0)
		p.frame(x, y, w, h, 0.8)
		if q.Box.Kind == "unit" {
			p.frame(x+w+6*s.scale, y, space-6*s.scale, h, 0.8)
			s.label(p, "unit", style{face: sans, size: 6.5 * s.scale, grey: 0.35}, x+w+9*s.scale, y+8*s.scale, 0)
		}
		p.end()
		if q.Box.Kind == "number" && q.Box.Unit != "" {
			p.begin(unit)
			s.label(p, q.Box.Unit, st, x+w+6*s.scale, y+h/2+st.size*0.35, 0)
			p.end()
		}
		s.field(p, placedField{name: q.ID, tip: tip, x: x + 1, y: y + 1, w: w - 2, h: h - 2}, e)
		if q.Box.Kind == "unit" && q.ID != "" {
			s.field(p, placedField{name: q.ID + "_unit", tip: tip + " Unit.", x: x + w + 6*s.scale + 1, y: y + 9*s.scale,
				w: space - 6*s.scale - 2, h: h - 10*s.scale}, unitForm)
		}
	}}
}

// choices sets lettered choices with a box to tick before each; in a fill-in sheet one choice field follows them.
func (s *setter) choices(q Question, c column, tip string) []slab {
	e := c.e.child("L")
	side := c.st.size * 0.85
	in := c.indent(side + 26*s.scale)
	var slabs []slab
	var options []string
	for i, ch := range q.Box.Choices {
		letter := string(rune('A' + i%26))
		options = append(options, s.plainInlines(ch))
		li := e.child("LI")
		lbl, body := li.child("Lbl"), li.child("LBody")
		lines := s.paragraph(ch, c.st, c.lead, in.x, in.w, body)
		if len(lines) == 0 {
			lines = []slab{{h: c.lead}}
		}
		lines[0].above = c.lead * 0.3
		base := c.lead*0.5 + c.st.size*0.25
		lines[0].with(func(p *pen, y float64) {
			if !s.doc.Forms { // there the choice is made in a field
				p.begin(nil)
				p.setGrey(0)
				p.frame(c.x, y+base-side+0.5, side, side, 0.8)
				p.end()
			}
			p.begin(lbl)
			st := c.st
			st.face = sansBold
			s.label(p, letter, st, c.x+side+8*s.scale, y+base, 0)
			p.end()
		})
		slabs = append(slabs, lines...)
	}
	if s.doc.Forms && q.ID != "" {
		form := c.e.child("Form")
		h := 20 * s.scale
		slabs = append(slabs, slab{above: 4, h: h, draw: func(p *pen, y float64) {
			p.begin(nil)
			p.setGrey(0)
			p.frame(c.x, y, boxWidth*1.5, h, 0.8)
			p.end()
			s.field(p, placedField{name: q.ID, tip: tip, options: options, x: c.x + 1, y: y + 1, w: boxWidth*1.5 - 2, h: h - 2}, form)
		}})
	}
	return slabs
}

// answerLines are ruled lines for an explanation; in a fill-in sheet one field of several lines, framed.
func (s *setter) answerLines(q Question, c column, tip string) []slab {
	n := max(q.Box.Lines, 1)
	if !s.doc.Forms || q.ID == "" {
		return s.ruled(n, c)
	}
	form := c.e.child("Form")
	h := float64(n) * rulePitch
	return []slab{{above: 4, h: h, draw: func(p *pen, y float64) {
		p.begin(nil)
		p.setGrey(0)
		p.frame(c.x, y, c.w, h, 0.8)
		p.end()
		s.field(p, placedField{name: q.ID, tip: tip, lines: true, x: c.x + 1, y: y + 1, w: c.w - 2, h: h - 2}, form)
	}}}
}

// plainBlocks and plainInlines give the words alone.
func (s *setter) plainBlocks(blocks []Block) string {
	var out []string
	for _, b := range blocks {
		switch b := b.(type) {
		case Paragraph:
			out = append(out, s.plainInlines(b.Text))
		case List:
			for _, it := range b.Items {
				out = append(out, s.plainBlocks(it))
			}
		case Display:
			out = append(out, s.plainInlines([]Inline{Math(b)}))
		}
	}
	return strings.Join(out, " ")
}

func (s *setter) plainInlines(runs []Inline) string {
	var b strings.Builder
	for _, r := range runs {
		switch r := r.(type) {
		case Text:
			b.WriteString(clean(r.S))
		case Math:
			if box, err := s.formula(r.TeX, 10, false); err == nil {
				b.WriteString(box.read)
			}
		case Break:
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}
