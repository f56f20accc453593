package page

import (
	"math"
	"strings"
)

// A formulaBox is a formula laid out: letters, rules and paths around an origin at the left end of its baseline, y upwards.
type formulaBox struct {
	w, up, down float64
	letters     []letters
	paths       []path
	parts       []placed
	read        string // a plain reading of the formula
}

// placed is a part of a formula with its origin.
type placed struct {
	*formulaBox
	x, y float64
}

type letters struct {
	part *part
	size float64
	x, y float64
	text []byte
}

// A path is filled, or stroked when width is positive.
type path struct {
	segs  []seg
	width float64
}

type seg struct {
	op byte // 'm', 'l', 'c' or 'h'
	c  [6]float64
}

// numbers are how many of c the operator takes.
func (s *seg) numbers() int {
	switch s.op {
	case 'c':
		return 6
	case 'h':
		return 0
	}
	return 2
}

func (b *formulaBox) draw(p *pen, x, y float64) {
	for _, l := range b.letters {
		p.text(l.part, l.size, x+l.x, y-l.y, l.text)
	}
	for _, pa := range b.paths {
		if pa.width > 0 {
			p.setWidth(pa.width)
		}
		for _, s := range pa.segs {
			for i := 0; i < s.numbers(); i += 2 {
				p.xy(x+s.c[i], y-s.c[i+1])
			}
			p.buf = append(p.buf, s.op, ' ')
		}
		if pa.width > 0 {
			p.op("S")
		} else {
			p.op("f")
		}
	}
	for _, o := range b.parts {
		o.draw(p, x+o.x, y-o.y)
	}
}

// join adds o at x, y.
func (b *formulaBox) join(o *formulaBox, x, y float64) {
	b.parts = append(b.parts, placed{o, x, y})
	b.up, b.down = max(b.up, o.up+y), max(b.down, o.down-y)
	b.w = max(b.w, x+o.w)
}

// bar adds a filled rectangle with its lower left corner at x, y.
func (b *formulaBox) bar(x, y, w, h float64) {
	b.paths = append(b.paths, path{segs: []seg{
		{'m', [6]float64{x, y}}, {'l', [6]float64{x + w, y}}, {'l', [6]float64{x + w, y + h}}, {'l', [6]float64{x, y + h}}, {op: 'h'},
	}})
}

func (b *formulaBox) stroke(width float64, points ...float64) {
	pa := path{width: width}
	for i := 0; i < len(points); i += 2 {
		op := byte('l')
		if i == 0 {
			op = 'm'
		}
		pa.segs = append(pa.segs, seg{op, [6]float64{points[i], points[i+1]}})
	}
	b.paths = append(b.paths, pa)
}

// formula parses and lays out TeX at size pt.
func (s *setter) formula(src string, size float64, display bool) (*formulaBox, error) {
	nodes, err := parseTeX(src)
	if err != nil {
		return nil, err
	}
	m := mathSetter{s: s, base: size}
	return m.row(nodes, size, display), nil
}

// Reading writes a formula of the TeX subset as one line of plain text, as it is read out and copied:
// "(W_a − W_w)/g". The error is that of [CheckTeX].
func Reading(src string) (string, error) {
	s := &setter{doc: &Document{}, fonts: newFontSet(), sheet: &Sheet{}, scale: 1}
	box, err := s.formula(src, 11, true)
	if err != nil {
		return "", err
	}
	return box.read, nil
}

type mathSetter struct {
	s    *setter
	base float64
}

// axis is the height of fraction bars above the baseline, in em.
const axis = 0.27

func (m mathSetter) smaller(size float64) float64 { return max(size*0.72, m.base*0.55) }

// row sets nodes beside each other with the spaces their classes ask for.
func (m mathSetter) row(nodes row, size float64, display bool) *formulaBox {
	b := &formulaBox{up: size * 0.7, parts: make([]placed, 0, len(nodes))}
	last := class(255)
	var previous node
	var read strings.Builder
	x := 0.0
	for i, n := range nodes {
		if g, ok := n.(gap); ok {
			x += g.em * size
			if g.em > 0 {
				read.WriteByte(' ')
			}
			continue
		}
		c := classOf(n)
		if c == bin && (last == 255 || last == bin || last == rel || last == opening || last == punct || i == len(nodes)-1) {
			c = ord // a sign, not an operation
		}
		space := between(last, c)
		if size < m.base*0.9 && (c == bin || last == bin || c == rel || last == rel) {
			space /= 3
		}
		x += space * size
		o := m.node(n, size, display)
		if _, scripts := previous.(scripted); space > 3.5/18 || scripts && c == ord && space == 0 || last == operator && space > 0 {
			read.WriteByte(' ')
		}
		read.WriteString(o.read)
		b.join(o, x, 0)
		x += o.w
		last, previous = c, n
	}
	b.w = x
	b.read = read.String()
	return b
}

func classOf(n node) class {
	switch n := n.(type) {
	case symbol:
		return n.class
	case wordNode:
		return n.class
	case scripted:
		return classOf(n.base)
	case big:
		return operator
	}
	return ord
}

// between is the space from class a to class b, in em.
func between(a, b class) float64 {
	switch {
	case a == 255:
		return 0
	case a == rel || b == rel:
		if a == b {
			return 0
		}
		return 5. / 18
	case a == bin || b == bin:
		return 4. / 18
	case a == punct:
		return 3. / 18
	case a == operator && b != opening && b != closing, b == operator && a != opening:
		return 3. / 18
	}
	return 0
}

func (m mathSetter) node(n node, size float64, display bool) *formulaBox {
	switch n := n.(type) {
	case symbol:
		return m.word(string(n.r), n.face, size)
	case wordNode:
		return m.word(n.s, sans, size)
	case row:
		return m.row(n, size, display)
	case fraction:
		return m.fraction(n, size, display)
	case radical:
		return m.radical(n, size, display)
	case scripted:
		return m.scripted(n, size, display)
	case accented:
		return m.accented(n, size, display)
	case fenced:
		return m.fenced(n, size, display)
	case grid:
		return m.grid(n, size)
	case big:
		k := 1.1
		if display {
			k = 1.5
		}
		o := m.word(string(n.r), serif, size*k)
		shift := -size * (k - 1) * 0.3
		b := &formulaBox{read: string(n.r)}
		b.join(o, 0, shift)
		return b
	}
	return &formulaBox{}
}

// wordKey is what the box of a word hangs on.
type wordKey struct {
	text string
	face int
	size float64
}

// word sets a string upright or slanted, as its face has it. The same letters come again and again and share a box.
func (m mathSetter) word(t string, face int, size float64) *formulaBox {
	key := wordKey{t, face, size}
	if b := m.s.words[key]; b != nil {
		return b
	}
	missing := m.s.missing
	b := m.wordAnew(t, face, size)
	if m.s.missing == missing { // a character that no face has is told of on every sheet
		if m.s.words == nil || len(m.s.words) >= maxShaped {
			m.s.words = map[wordKey]*formulaBox{}
		}
		m.s.words[key] = b
	}
	return b
}

func (m mathSetter) wordAnew(t string, face int, size float64) *formulaBox {
	b := &formulaBox{read: t}
	for _, r := range clean(t) {
		g := m.s.glyph(face, r)
		if k := len(b.letters); k > 0 && b.letters[k-1].part == g.part {
			b.letters[k-1].text = append(b.letters[k-1].text, g.code)
		} else {
			b.letters = append(b.letters, letters{part: g.part, size: size, x: b.w, text: []byte{g.code}})
		}
		b.w += g.w * size
		up, down := 0.7, 0.0
		switch {
		case strings.ContainsRune("acemnorsuvwxzαεικνοπστυω.·", r):
			up = 0.5
		case strings.ContainsRune("gpqyηγρμφχ,;", r):
			up, down = 0.5, 0.22
		case strings.ContainsRune("jQ()[]{}|/βζξψ∑∏∫", r):
			up, down = 0.74, 0.21
		}
		b.up, b.down = max(b.up, up*size), max(b.down, down*size)
	}
	return b
}

func (m mathSetter) fraction(f fraction, size float64, display bool) *formulaBox {
	part := size
	if !display {
		part = max(size*0.8, m.base*0.6)
	}
	num, den := m.row(f.num, part, false), m.row(f.den, part, false)
	t, clear := size*0.045, size*0.13
	if display {
		clear = size * 0.19
	}
	w := max(num.w, den.w) + size*0.2
	b := &formulaBox{read: readScript(num.read, f.num) + "/" + readScript(den.read, f.den)}
	b.bar(size*0.06, size*axis-t/2, w, t)
	b.join(num, size*0.06+(w-num.w)/2, size*axis+t/2+clear+num.down)
	b.join(den, size*0.06+(w-den.w)/2, size*axis-t/2-clear-den.up)
	b.w = w + size*0.12
	return b
}

// standsHigh tells whether r is a degree sign or primes, which stand high by themselves.
func standsHigh(r row) bool {
	for _, n := range r {
		if s, ok := n.(symbol); !ok || s.r != '°' && s.r != '′' {
			return false
		}
	}
	return len(r) > 0
}

// readScript brackets a part of more than one piece, except a number or a word.
func readScript(s string, r row) string {
	digits := strings.Trim(s, "0123456789.") == ""
	if len(r) > 1 && !digits {
		return "(" + s + ")"
	}
	return bracketed(s)
}

// bracketed puts brackets round what would be misread in one line.
func bracketed(s string) string {
	if strings.ContainsAny(s, " +−/·×") {
		return "(" + s + ")"
	}
	return s
}

func (m mathSetter) radical(r radical, size float64, display bool) *formulaBox {
	body := m.row(r.body, size, display)
	t := size * 0.045
	top := max(body.up, size*0.7) + size*0.12
	low := max(body.down, size*0.05)
	tall := top + low
	hook := size*0.3 + tall*0.16
	b := &formulaBox{read: "√(" + body.read + ")"}
	x := 0.0
	if len(r.index) > 0 {
		idx := m.row(r.index, m.smaller(m.smaller(size)), false)
		b.join(idx, 0, tall*0.5-low+size*0.05)
		x = max(0, idx.w-hook*0.42)
		b.read = idx.read + "√(" + body.read + ")"
	}
	b.stroke(t, x, tall*0.42-low, x+hook*0.2, tall*0.5-low, x+hook*0.55, -low, x+hook, top, x+hook+body.w+size*0.1, top)
	b.stroke(t*2, x+hook*0.2, tall*0.5-low, x+hook*0.55, -low+t)
	b.join(body, x+hook+size*0.03, 0)
	b.w = x + hook + body.w + size*0.14
	b.up, b.down = max(b.up, top+t), max(b.down, low)
	return b
}

func (m mathSetter) scripted(n scripted, size float64, display bool) *formulaBox {
	base := m.node(n.base, size, display)
	b := &formulaBox{read: base.read}
	if len(n.sub) == 0 && standsHigh(n.sup) {
		o := m.row(n.sup, size, false)
		b.join(base, 0, 0)
		b.join(o, base.w+size*0.04, 0)
		b.read += o.read
		return b
	}
	small := m.smaller(size)
	sup, sub := m.row(n.sup, small, false), m.row(n.sub, small, false)
	if len(n.sub) > 0 {
		b.read += "_" + readScript(sub.read, n.sub)
	}
	if len(n.sup) > 0 {
		b.read += "^" + readScript(sup.read, n.sup)
	}
	if _, ok := n.base.(big); ok && display {
		w := max(base.w, sup.w, sub.w)
		b.join(base, (w-base.w)/2, 0)
		if len(n.sup) > 0 {
			b.join(sup, (w-sup.w)/2, base.up+size*0.15+sup.down)
		}
		if len(n.sub) > 0 {
			b.join(sub, (w-sub.w)/2, -base.down-size*0.12-sub.up)
		}
		return b
	}
	b.join(base, 0, 0)
	w := base.w
	if len(n.sup) > 0 {
		rise := max(size*0.38, base.up-small*0.38)
		b.join(sup, base.w+size*0.06, rise)
		w = base.w + size*0.06 + sup.w
	}
	if len(n.sub) > 0 {
		drop := max(size*0.16, base.down+small*0.05)
		if len(n.sup) > 0 {
			drop = max(drop, size*0.22)
		}
		b.join(sub, base.w+size*0.01, -drop)
		w = max(w, base.w+size*0.01+sub.w)
	}
	b.w = w + size*0.04
	return b
}

func (m mathSetter) accented(a accented, size float64, display bool) *formulaBox {
	body := m.row(a.body, size, display)
	b := &formulaBox{read: bracketed(body.read)}
	ink := m.word(body.read, serifItalic, size).up
	b.join(body, 0, 0)
	y, t := max(ink, min(body.up, size*0.7))+size*0.1, size*0.045
	if m.tall(a.body) {
		y = body.up + size*0.1
	}
	lean := size * 0.06 // italic letters lean to the right
	mid, half := body.w/2+lean, max(size*0.2, body.w/2-size*0.05)
	switch a.kind {
	case '→':
		b.stroke(t, mid-half, y+size*0.06, mid+half, y+size*0.06)
		b.stroke(t, mid+half-size*0.1, y+size*0.13, mid+half, y+size*0.06, mid+half-size*0.1, y-size*0.01)
		b.read += "⃗"
	case '^':
		b.stroke(t, mid-size*0.16, y, mid, y+size*0.13, mid+size*0.16, y)
		b.read += "̂"
	case '-':
		b.stroke(t, mid-size*0.2, y+size*0.03, mid+size*0.2, y+size*0.03)
		b.read += "̄"
	default:
		b.stroke(t, 0, y+size*0.03, body.w+lean, y+size*0.03)
		b.read = "mean of " + body.read
	}
	b.up = max(b.up, y+size*0.16)
	return b
}

// tall tells whether a row holds more than letters.
func (m mathSetter) tall(r row) bool {
	for _, n := range r {
		if _, ok := n.(symbol); !ok {
			return true
		}
	}
	return false
}

func (m mathSetter) fenced(f fenced, size float64, display bool) *formulaBox {
	body := m.row(f.body, size, display)
	b := &formulaBox{}
	half := max(body.up-size*axis, body.down+size*axis, size*0.48) + size*0.04
	x := m.delimiter(b, f.left, 0, half, size)
	b.join(body, x, 0)
	x += body.w
	x += m.delimiter(b, f.right, x, half, size)
	b.w = x
	b.read = body.read
	if f.left != 0 {
		b.read = string(f.left) + b.read
	}
	if f.right != 0 {
		b.read += string(f.right)
	}
	b.up, b.down = max(b.up, half+size*axis), max(b.down, half-size*axis)
	return b
}

// delimiter draws a fence of the given half height round the axis, and returns its width.
func (m mathSetter) delimiter(b *formulaBox, r rune, x, half, size float64) float64 {
	lo, hi, mid := size*axis-half, size*axis+half, size*axis
	t := size * 0.055
	w := size*0.24 + half*0.06
	near, far := x+w*0.85, x+w*0.2 // the ends and the belly of a left fence
	if r == ')' || r == ']' || r == '}' {
		near, far = x+w*0.15, x+w*0.8
	}
	switch r {
	case 0:
		return 0
	case '|':
		b.stroke(t, x+w/2, lo, x+w/2, hi)
	case '[', ']':
		b.stroke(t, near, lo, far, lo, far, hi, near, hi)
	case '(', ')':
		thick := math.Copysign(t*1.6, near-far)
		b.paths = append(b.paths, path{segs: []seg{
			{'m', [6]float64{near, lo}},
			{'c', [6]float64{far, lo + half*0.45, far, hi - half*0.45, near, hi}},
			{'c', [6]float64{far + thick, hi - half*0.45, far + thick, lo + half*0.45, near, lo}}, {op: 'h'},
		}})
	case '{', '}':
		spine := (near + far) / 2
		b.paths = append(b.paths, path{width: t, segs: []seg{
			{'m', [6]float64{near, hi}},
			{'c', [6]float64{spine, hi, spine, hi - size*0.1, spine, hi - size*0.25}},
			{'l', [6]float64{spine, mid + size*0.2}},
			{'c', [6]float64{spine, mid + size*0.05, spine, mid, far, mid}},
			{'c', [6]float64{spine, mid, spine, mid - size*0.05, spine, mid - size*0.2}},
			{'l', [6]float64{spine, lo + size*0.25}},
			{'c', [6]float64{spine, lo + size*0.1, spine, lo, near, lo}},
		}})
	}
	return w
}

// grid sets aligned (columns right, left, right …) and cases (columns left, behind a brace).
func (m mathSetter) grid(g grid, size float64) *formulaBox {
	var cells [][]*formulaBox
	var widths []float64
	for _, r := range g.rows {
		var line []*formulaBox
		for j, c := range r {
			nodes := c
			if !g.cases && j%2 == 1 {
				nodes = append(row{row{}}, c...) // a relation at the cell's start keeps its space
			}
			o := m.row(nodes, size, !g.cases)
			line = append(line, o)
			if j == len(widths) {
				widths = append(widths, 0)
			}
			widths[j] = max(widths[j], o.w)
		}
		cells = append(cells, line)
	}
	inner := &formulaBox{}
	y := 0.0
	var read []string
	for i, line := range cells {
		up, down := size*0.75, size*0.25
		for _, c := range line {
			up, down = max(up, c.up), max(down, c.down)
		}
		if i > 0 {
			y -= up + size*0.3
		}
		x := 0.0
		var words []string
		for j, c := range line {
			at := x
			if !g.cases && j%2 == 0 {
				at += widths[j] - c.w
			}
			inner.join(c, at, y)
			x += widths[j]
			if g.cases {
				x += size
			} else if j%2 == 1 {
				x += size * 1.5
			}
			words = append(words, strings.Fields(c.read)...)
		}
		read = append(read, strings.Join(words, " "))
		y -= down
	}
	b := &formulaBox{read: strings.Join(read, "; ")}
	shift := (inner.down-inner.up)/2 + size*axis
	x := 0.0
	if g.cases {
		x = m.delimiter(b, '{', 0, (inner.up+inner.down)/2+size*0.05, size)
		b.read = "{" + b.read
	}
	b.join(inner, x, shift)
	return b
}
