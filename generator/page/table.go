package page

import "strings"

// A cell is a table cell made ready.
type cell struct {
	words []word
	w     float64
	point float64 // width up to the decimal point
	field string
	lines []line
	e     *elem
}

// tableSizes are the letter sizes tried, from the first that is allowed, until a table fits its column.
var tableSizes = []float64{10.5, 9.5, 8.5, 7.5, 6.5, 5.5}

// table sets a table; numbers in '.' columns stand with their decimal points below each other. It never splits unless it
// is longer than a page; then its head is set again on each page.
func (s *setter) table(t Table, c column) []slab {
	columns := len(t.Head)
	for _, r := range t.Rows {
		columns = max(columns, len(r))
	}
	if columns == 0 {
		return nil
	}
	sizes := tableSizes
	if t.Small {
		sizes = sizes[2:]
	}
	var l *tableLayout
	for i, size := range sizes {
		l = s.layTable(t, c, columns, size*s.scale)
		if l.fits || i == len(sizes)-1 {
			if i > 0 {
				s.note("a table of %d columns was set smaller to fit the page", columns)
			}
			break
		}
	}
	if !l.fits {
		s.fault("a table of %d columns is wider than the page; its words are cut", columns)
	}
	return l.slabs(t)
}

type tableLayout struct {
	s      *setter
	c      column
	e      *elem
	st     style
	lead   float64
	pad    float64
	head   []cell
	rows   [][]cell
	align  []byte
	widths []float64 // of the columns without padding
	point  []float64 // the decimal point from the left of the column's numbers
	number []float64 // width of the column's numbers, aligned
	fits   bool
	fill   float64
}

func (s *setter) layTable(t Table, c column, columns int, size float64) *tableLayout {
	l := &tableLayout{s: s, c: c, st: style{face: sans, size: size}, lead: size * 1.32, pad: size * 0.55,
		fill: t.FillHeight * millimetre * min(s.scale, 1.2)}
	l.align = append([]byte(nil), t.Align...)
	for len(l.align) < columns {
		l.align = append(l.align, 'l')
	}
	bold := l.st
	bold.face = sansBold
	for _, h := range t.Head {
		l.head = append(l.head, s.cell(h, bold))
	}
	for i, r := range t.Rows {
		cells := make([]cell, columns)
		for j := range cells {
			if j < len(r) {
				cells[j] = s.cell(r[j], l.st)
			}
			if i < len(t.Fields) && j < len(t.Fields[i]) {
				cells[j].field = t.Fields[i][j]
			}
		}
		l.rows = append(l.rows, cells)
	}
	l.measure(columns)
	return l
}

func (s *setter) cell(runs []Inline, st style) cell {
	words := s.shape(runs, st)
	return cell{words: words, w: widthOf(words), point: pointOf(words)}
}

// pointOf is the width of words up to the first decimal point, or of the leading number without one.
func pointOf(words []word) float64 {
	x := 0.0
	for i := range words {
		for _, a := range words[i].atoms {
			if a.math != nil || !strings.ContainsRune(words[i].textual, '.') {
				x += a.w
				continue
			}
			for _, c := range a.text {
				if c == '.' && a.part.first == 32 {
					return x
				}
				x += a.part.advance(c) * a.st.size
			}
		}
		if words[i].blank != nil {
			return x
		}
		if i < len(words)-1 {
			x += words[i].space
		}
	}
	return x
}

// measure finds the widths of columns: natural ones when they fit, else columns of words give way.
func (l *tableLayout) measure(columns int) {
	l.widths, l.point, l.number = make([]float64, columns), make([]float64, columns), make([]float64, columns)
	least := make([]float64, columns)
	need := func(j int, ce *cell) {
		l.widths[j] = max(l.widths[j], ce.w)
		for k := 0; k < len(ce.words); {
			w := ce.words[k].w
			for ; k+1 < len(ce.words) && ce.words[k].tied; k++ {
				w += ce.words[k].space + ce.words[k+1].w
			}
			k++
			least[j] = max(least[j], w)
		}
	}
	for j := range l.head {
		need(j, &l.head[j])
	}
	for j := 0; j < columns; j++ {
		right := 0.0
		for _, r := range l.rows {
			need(j, &r[j])
			l.point[j] = max(l.point[j], r[j].point)
			right = max(right, r[j].w-r[j].point)
		}
		if l.align[j] == '.' {
			l.number[j] = l.point[j] + right
			l.widths[j] = max(l.widths[j], l.number[j])
			least[j] = max(least[j], l.number[j])
		}
	}
	room := l.c.w - float64(columns)*2*l.pad
	l.fits = sum(least) <= room
	l.widths = share(l.widths, least, room)
	if l.fill > 0 { // a table to write in takes the whole width
		if spare := room - sum(l.widths); spare > 0 {
			for j := range l.widths {
				l.widths[j] += spare / float64(columns)
			}
		}
	}
}

// share narrows natural widths until they fit into room, none below its least unless all must.
func share(natural, least []float64, room float64) []float64 {
	total := sum(natural)
	if total <= room {
		return natural
	}
	out := make([]float64, len(natural))
	if low := sum(least); low >= room {
		for j := range out {
			out[j] = least[j] * room / low
		}
		return out
	}
	k := (room - sum(least)) / (total - sum(least))
	for j := range out {
		out[j] = least[j] + (natural[j]-least[j])*k
	}
	return out
}

func sum(v []float64) float64 {
	t := 0.0
	for _, x := range v {
		t += x
	}
	return t
}

// slabs makes a slab of every row.
func (l *tableLayout) slabs(t Table) []slab {
	l.e = l.c.e.child("Table")
	var out []slab
	if len(l.head) > 0 {
		out = append(out, l.row(l.head, true, true, len(l.rows) == 0))
	}
	for i := range l.rows {
		out = append(out, l.row(l.rows[i], false, i == 0 && len(l.head) == 0, i == len(l.rows)-1))
	}
	if height(out) <= l.s.columnHeight() {
		return keepAll(out)
	}
	first := 0
	if len(l.head) > 0 {
		out[0].keep = true
		first = 1
		head := l.repeated()
		for i := range out[1:] {
			out[1+i].repeat = &head
		}
	}
	if len(out) > first+2 {
		out[first].keep, out[len(out)-2].keep = true, true
	}
	return out
}

// repeated is the head as it is set again on later pages, for the eye only.
func (l *tableLayout) repeated() slab {
	again := *l
	again.e = nil
	for j := range again.head {
		again.head[j].e = nil
	}
	return again.row(again.head, true, true, false)
}

// row sets one row with its rules: strong ones above and below the table and below the head, faint ones between rows,
// and a full grid when the table is to be written in.
func (l *tableLayout) row(cells []cell, head, first, last bool) slab {
	cells = append([]cell(nil), cells...)
	tr := l.e.child("TR")
	lines := 1
	up, down := l.lead*0.5+l.st.size*0.25, l.lead*0.5-l.st.size*0.25
	for j := range cells {
		ce := &cells[j]
		ce.words = split(ce.words, l.widths[j]+0.1)
		ce.lines = breakLines(ce.words, l.widths[j]+0.1)
		lines = max(lines, len(ce.lines))
		u, d := extent(ce.words)
		up, down = max(up, u), max(down, d)
		if ce.e = tr.child("TD"); ce.e != nil && head {
			ce.e.tag, ce.e.head = "TH", true
		}
	}
	lead := up + down
	h := float64(lines)*lead + l.lead*0.35
	if !head {
		h = max(h, l.fill)
	}
	return slab{h: h, draw: func(p *pen, y float64) {
		l.rules(p, y, h, head, first, last)
		x := l.c.x
		for j := range cells {
			l.drawCell(p, &cells[j], j, x, y, h, up, lead, head)
			x += l.widths[j] + 2*l.pad
		}
	}}
}

func (l *tableLayout) drawCell(p *pen, ce *cell, j int, x, y, h, up, lead float64, head bool) {
	top := y + (h-float64(max(len(ce.lines), 1))*lead)/2
	if head {
		top = y + h - l.lead*0.175 - float64(len(ce.lines))*lead
	}
	if len(ce.lines) > 0 {
		p.begin(ce.e)
		for k, ln := range ce.lines {
			at := x + l.pad
			switch spare := l.widths[j] - ln.w; l.align[j] {
			case 'r':
				at += spare
			case 'c':
				at += spare / 2
			case '.':
				if head || len(ce.lines) > 1 {
					at += spare / 2
				} else {
					at += (l.widths[j]-l.number[j])/2 + l.point[j] - ce.point
				}
			}
			p.setLine(ce.words[ln.from:ln.to], at, top+up+float64(k)*lead)
		}
		p.end()
	}
	if ce.field != "" {
		w := l.widths[j] + 2*l.pad
		var form *elem
		if ce.e != nil {
			form = ce.e.child("Form")
		}
		tip := "row of the table"
		if j < len(l.head) {
			tip = textOf(l.head[j].words)
		}
		l.s.field(p, placedField{name: ce.field, tip: tip + ": " + ce.field, x: x + 1, y: y + 1, w: w - 2, h: h - 2}, form)
	}
}

// textOf reads words out, a symbol before letters of its own word.
func textOf(words []word) string {
	var b strings.Builder
	for i, w := range words {
		if i > 0 {
			b.WriteByte(' ')
		}
		for _, a := range w.atoms {
			if a.math != nil {
				b.WriteString(a.read)
			}
		}
		b.WriteString(w.textual)
	}
	return b.String()
}

func (l *tableLayout) rules(p *pen, y, h float64, head, first, last bool) {
	w := sum(l.widths) + float64(len(l.widths))*2*l.pad
	x := l.c.x
	p.begin(nil)
	p.setGrey(0)
	if first {
		p.line(x, y, x+w, y, 0.9)
	}
	switch {
	case head || l.fill > 0 && !last:
		p.line(x, y+h, x+w, y+h, 0.5)
	case last:
		p.line(x, y+h, x+w, y+h, 0.9)
	default:
		p.setGrey(0.75)
		p.line(x, y+h, x+w, y+h, 0.3)
	}
	if l.fill > 0 {
		p.setGrey(0)
		for j := 0; j <= len(l.widths); j++ {
			p.line(x, y, x, y+h, 0.5)
			if j < len(l.widths) {
				x += l.widths[j] + 2*l.pad
			}
		}
	}
	p.end()
}
