package page

import (
	"math"
	"strconv"
)

// A pen writes the content stream of one page. Its coordinates are points from the top left corner, y downwards; the
// flip to the PDF's own happens as numbers are written.
type pen struct {
	buf    []byte
	height float64
	plain  bool // no colour at all: greys too become black

	width, grey float64 // state of the stream, -1: unknown
	marks       *marker // nil when the document is not tagged
	open        bool    // marked content is open
	within      *elem   // its element, nil for what is no part of the text
	fields      []*placedField
}

func (p *pen) reset(height float64, plain bool) {
	*p = pen{buf: p.buf[:0], height: height, plain: plain, width: -1, grey: 0}
}

// num appends v with at most two decimals and a space.
func (p *pen) num(v float64) { p.buf = appendNum(p.buf, v) }

func appendNum(b []byte, v float64) []byte {
	n := int64(math.Round(v * 100))
	if n < 0 {
		b = append(b, '-')
		n = -n
	}
	b = strconv.AppendInt(b, n/100, 10)
	if f := n % 100; f != 0 {
		b = append(b, '.', byte('0'+f/10))
		if f%10 != 0 {
			b = append(b, byte('0'+f%10))
		}
	}
	return append(b, ' ')
}

func (p *pen) op(s string) { p.buf = append(append(p.buf, s...), '\n') }

func (p *pen) xy(x, y float64) { p.num(x); p.num(p.height - y) }

// setGrey sets the colour of strokes, fills and letters: 0 is black, 1 white.
func (p *pen) setGrey(g float64) {
	if p.plain && g < 0.99 {
		g = 0
	}
	if g != p.grey {
		p.num(g)
		p.op("g")
		p.num(g)
		p.op("G")
		p.grey = g
	}
}

func (p *pen) setWidth(w float64) {
	if w != p.width {
		p.num(w)
		p.op("w")
		p.width = w
	}
}

// line strokes a straight line.
func (p *pen) line(x1, y1, x2, y2, width float64) {
	p.setWidth(width)
	p.xy(x1, y1)
	p.buf = append(p.buf, "m "...)
	p.xy(x2, y2)
	p.op("l S")
}

// frame strokes a rectangle given by its top left corner.
func (p *pen) frame(x, y, w, h, width float64) {
	p.setWidth(width)
	p.rect(x, y, w, h)
	p.op("re S")
}

func (p *pen) rect(x, y, w, h float64) {
	p.xy(x, y+h)
	p.num(w)
	p.num(h)
}

// text sets encoded bytes with their baseline's left end at x, y.
func (p *pen) text(pt *part, size, x, y float64, s []byte) {
	p.buf = append(p.buf, "BT /"...)
	p.buf = append(append(p.buf, pt.res...), ' ')
	p.num(size)
	p.buf = append(p.buf, "Tf "...)
	p.xy(x, y)
	p.buf = append(p.buf, "Td "...)
	p.buf = appendString(p.buf, s)
	p.op(" Tj ET")
}

// appendString appends a PDF literal string.
func appendString(b, s []byte) []byte {
	b = append(b, '(')
	for _, c := range s {
		switch c {
		case '(', ')', '\\':
			b = append(b, '\\', c)
		case '\r':
			b = append(b, '\\', 'r')
		default:
			b = append(b, c)
		}
	}
	return append(b, ')')
}
