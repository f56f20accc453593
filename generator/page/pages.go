package page

import (
	"fmt"

	"rsc.io/qr"
)

// The frame of a page, in points.
const (
	qrSide     = 17 * millimetre
	qrTop      = 9 * millimetre
	footRule   = 15 * millimetre // from the paper's lower edge
	columnEnd  = 18 * millimetre
	laterStart = 22 * millimetre // of the column on pages after the first, without a QR code
	codeStart  = 33 * millimetre // with one
)

// start is the top of the column on pages after the first.
func (s *setter) start() float64 {
	if s.sheet.QR != "" {
		return codeStart
	}
	return laterStart
}

// columnHeight is the room on a page after the first.
func (s *setter) columnHeight() float64 { return s.height - columnEnd - s.start() }

// setSheet lays out one sheet and draws its pages.
func (s *setter) setSheet(sh *Sheet) {
	s.sheet, s.scale, s.shared = sh, 1, map[*Shared][]slab{}
	if s.doc.Large || sh.Large {
		s.scale = 16.0 / 11
	}
	if s.doc.Duplex && len(s.pages)%2 == 1 {
		s.newPage()
		s.endPage()
	}
	var root *elem
	if s.marks != nil {
		root = s.marks.root.child("Sect")
	}
	c := column{x: margin, w: s.width - 2*margin, e: root, st: s.body(), lead: s.leading()}
	headE := root.child("H1")
	subE := root.child("P")
	head := s.head(headE, subE)
	broken := s.deal(sh, c, head.h)
	s.counts = append(s.counts, len(broken))
	for i, pg := range broken {
		s.newPage()
		y := s.start()
		if i == 0 {
			head.draw(&s.pen, 0)
			y = head.h
		}
		s.furniture(i+1, len(broken))
		for k, sl := range pg {
			if k > 0 {
				y += sl.above
			}
			if sl.draw != nil {
				sl.draw(&s.pen, y)
			}
			y += sl.h
		}
		s.endPage()
	}
}

// deal sets the body of a sheet, or the fullest of its bodies that fits, and deals it out to pages; first is the top of the
// column on page 1.
func (s *setter) deal(sh *Sheet, c column, first float64) [][]slab {
	body := sh.Body
	if len(sh.Bodies) > 0 {
		body = s.fullest(sh, c, first)
	}
	return s.dealBody(body, sh, c, first)
}

// dealBody sets a body, with the box for the total after it, and deals it out to pages.
func (s *setter) dealBody(body []Block, sh *Sheet, c column, first float64) [][]slab {
	slabs := s.blocks(body, c)
	if sh.OutOf > 0 {
		slabs = s.tied(append(slabs, s.total(sh.OutOf, c)))
	}
	return s.fittest(slabs, first)
}

// fullest is the first body that fits on one page, or else the last. The sheets of a document are much alike, so the search
// starts where that for the sheet before ended. The body is set once more when it is taken, in the structure tree this time;
// what the trials tell is forgotten.
func (s *setter) fullest(sh *Sheet, c column, first float64) []Block {
	c.e = nil
	faults := len(s.faults)
	try := func(i int) (body []Block, fits bool) {
		body, err := sh.Bodies[i]()
		if err != nil {
			s.fail(err)
			return nil, false
		}
		pages := s.dealBody(body, sh, c, first)
		s.faults = s.faults[:faults]
		return body, len(pages) == 1
	}
	last := len(sh.Bodies) - 1
	at := min(s.detail, last)
	body, fits := try(at)
	for fuller := fits; fuller && at > 0; {
		var more []Block
		if more, fuller = try(at - 1); fuller {
			body, at = more, at-1
		}
	}
	for !fits && at < last && len(s.errs) == 0 {
		at++
		body, fits = try(at)
	}
	s.detail = at
	return body
}

func (s *setter) newPage() {
	s.pen.reset(s.height, s.doc.Plain)
	if s.marks != nil {
		s.marks.pages = append(s.marks.pages, nil)
		s.pen.marks = s.marks
	}
}

func (s *setter) endPage() {
	p := &s.pen
	s.pages = append(s.pages, finishedPage{content: append([]byte(nil), p.buf...), fields: p.fields})
}

// head is the top of page 1: title, subtitle, the line for the name.
func (s *setter) head(title, subtitle *elem) slab {
	sh := s.sheet
	w := s.width - 2*margin
	if sh.QR != "" {
		w -= qrSide + 6*millimetre
	}
	ts := style{face: sansBold, size: 20 * s.scale}
	slabs := s.paragraph([]Inline{Text{S: sh.Title}}, ts, ts.size*1.15, margin, w, title)
	small := style{face: sans, size: 10 * s.scale, grey: 0.25}
	if sh.Subtitle != "" {
		sub := s.paragraph([]Inline{Text{S: sh.Subtitle}}, small, small.size*1.35, margin, w, subtitle)
		sub[0].above = 2 * s.scale
		slabs = append(slabs, sub...)
	}
	if sh.Note != "" {
		st := style{face: sansItalic, size: 10 * s.scale}
		note := s.paragraph([]Inline{Text{S: sh.Note}}, st, st.size*1.35, margin, w, subtitle)
		note[0].above = 2 * s.scale
		slabs = append(slabs, note...)
	}
	top := 13 * millimetre
	h := top + height(slabs)
	if sh.Name != "" || sh.NameLine {
		if sh.QR != "" {
			h = max(h, qrTop+qrSide+3*millimetre)
		}
		line := s.nameLine(subtitle)
		line.above = 3 * millimetre
		slabs = append(slabs, line)
		above := max(line.above, h-top-height(slabs[:len(slabs)-1]))
		slabs[len(slabs)-1].above = above
	} else if sh.QR != "" {
		h = max(h, codeStart-3*millimetre)
	}
	full := max(h, top+height(slabs)) + 3*millimetre
	return slab{h: full + 4*millimetre*s.scale, draw: func(p *pen, y float64) {
		drawAll(p, slabs, y+top)
		p.begin(nil)
		p.setGrey(0)
		p.line(margin, y+full, s.width-margin, y+full, 0.9)
		p.end()
	}}
}

// nameLine holds name, class and date, or lines to write them on.
func (s *setter) nameLine(e *elem) slab {
	h := 9 * millimetre * min(s.scale, 1.25)
	return slab{h: h, draw: func(p *pen, y float64) {
		base := y + h - 3
		st := style{face: sans, size: 10 * s.scale}
		bold := style{face: sansBold, size: 11 * s.scale}
		w := s.width - 2*margin
		x := margin
		gaps := []float64{8, 8, 0}
		stops := []float64{margin + w*0.56, margin + w*0.77, margin + w}
		known := []string{s.sheet.Name, s.sheet.Class, ""}
		for i, what := range []string{"Name", "Class", "Date"} {
			p.begin(e)
			p.setGrey(0)
			from := x + s.label(p, what+":", st, x, base, 0) + 5*s.scale
			p.end()
			p.begin(e)
			if known[i] != "" {
				s.fitted(p, known[i], bold, from, base, stops[i]-from-8)
			} else {
				p.setGrey(0)
				p.line(from, base+2, stops[i]-gaps[i], base+2, hair)
			}
			p.end()
			x = stops[i]
		}
	}}
}

// fitted sets a text on one line of w, smaller when it must be, and cut with dots when even that is not enough.
func (s *setter) fitted(p *pen, t string, st style, x, y, w float64) {
	words := s.shape([]Inline{Text{S: t}}, st)
	if full := widthOf(words); full > w {
		st.size *= max(0.65, w/full)
		words = s.shape([]Inline{Text{S: t}}, st)
		if r := []rune(clean(t)); widthOf(words) > w {
			n := len(r)
			for n > 1 && s.widthOfText(string(r[:n])+"…", st) > w {
				n = n * 15 / 16
			}
			words = s.shape([]Inline{Text{S: string(r[:n]) + "…"}}, st)
			s.note("a text of %d characters was cut to fit its line", len(r))
		}
	}
	p.setLine(words, x, y)
}

// total is the box for the sum of marks.
func (s *setter) total(outOf int, c column) slab {
	h, w := 9*millimetre*s.scale, 22*millimetre*s.scale
	e := c.e.child("P")
	return slab{above: c.lead, h: h, draw: func(p *pen, y float64) {
		st := s.body()
		st.face = sansBold
		p.begin(e)
		base := y + h/2 + st.size*0.35
		after := fmt.Sprintf("/ %d", outOf)
		x := c.x + c.w - s.widthOfText(after, st)
		s.label(p, "Total", st, x-w-14*s.scale, base, 1)
		s.label(p, after, st, x, base, 0)
		p.frame(x-w-6*s.scale, y, w, h, 0.8)
		p.end()
	}}
}

// furniture draws what stands on every page: QR code, sheet code, running head, foot.
func (s *setter) furniture(page, of int) {
	p, sh := &s.pen, s.sheet
	p.begin(nil)
	defer p.end()
	small := style{face: sans, size: 8 * s.scale, grey: 0.25}
	right := s.width - margin
	if sh.QR != "" {
		s.drawQR(fmt.Sprintf("%s%d", sh.QR, page), right-qrSide, qrTop, qrSide)
	}
	code := readable(sh.Code)
	if code != "" && sh.QR != "" {
		st := style{face: mono, size: 8.5 * s.scale}
		beyond := max(s.widthOfText(code, st)-qrSide, 0) / 2 // in large print it is wider than the QR code
		s.label(p, code, st, right-qrSide/2-beyond, qrTop+qrSide+st.size, 0.5)
	}
	if page > 1 {
		t := sh.Title
		if sh.Name != "" {
			t += " · " + sh.Name
		}
		w := s.width - 2*margin - qrSide - 20
		s.fitted(p, t, small, margin, 15*millimetre, w)
	}
	y := s.height - footRule
	p.setGrey(0)
	p.line(margin, y, right, y, hair)
	base := y + 3 + small.size
	s.fitted(p, sh.Foot, small, margin, base, (right-margin)*0.42)
	if code != "" {
		cs := small
		cs.face = mono
		s.label(p, code, cs, s.width/2, base, 0.5)
	}
	s.label(p, fmt.Sprintf("page %d of %d", page, of), small, right, base, 1)
	if page == 1 && s.doc.Forms && sh.Code != "" {
		var e *elem
		if s.marks != nil {
			e = s.marks.root.child("Form")
		}
		s.field(p, placedField{name: "sheet", tip: "Sheet code", fixed: code, readOnly: true,
			x: s.width/2 - codeField/2, y: base + 4, w: codeField, h: 12}, e)
	}
}

// codeField is the width of the field with a sheet's code: eight of the widest letters of Helvetica at 9 points, the
// hyphen, and 2 points on either side.
const codeField = 8*0.944*9 + 0.333*9 + 4

// readable groups a sheet's code by fours.
func readable(code string) string {
	code = clean(code)
	if len(code) == 8 {
		return code[:4] + "-" + code[4:]
	}
	return code
}

// drawQR draws the code as runs of black cells. Nothing is drawn when the text is too long for a QR code.
func (s *setter) drawQR(text string, x, y, side float64) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		s.fail(fmt.Errorf("the text of the QR code: %w", err))
		return
	}
	p := &s.pen
	p.setGrey(0)
	unit := side / float64(c.Size)
	for row := 0; row < c.Size; row++ {
		for col := 0; col < c.Size; {
			n := col
			for n < c.Size && c.Black(n, row) {
				n++
			}
			if n > col {
				p.rect(x+float64(col)*unit, y+float64(row)*unit, float64(n-col)*unit, unit)
				p.buf = append(p.buf, "re "...)
			}
			col = n + 1
		}
	}
	p.op("f")
}
