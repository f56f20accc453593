package plot

import (
	"math"
	"slices"
)

// Room that parts of a diagram need, in points.
const (
	cellWidth  = 72 // of an element in a horizontal run
	cellHeight = 50 // of an element in an upright run
	cellColumn = 76 // between upright runs: symbol and label
	rowPitch   = 38 // between horizontal runs in parallel
	tail       = 10 // wire before parallel parts fork
)

// diagram is a circuit being drawn; the wires are kept for finding the junctions.
type diagram struct {
	*sketch
	wires []segment
}

func (d *diagram) wire(points ...xy) {
	for i := 1; i < len(points); i++ {
		if points[i] != points[i-1] {
			d.wires = append(d.wires, segment{points[i-1], points[i]})
		}
	}
	d.line(line, points...)
}

// width and height are what a branch needs laid flat and upright.
func (b *branch) width() (w float64) {
	switch {
	case b.series != nil:
		for _, c := range b.series {
			w += c.width()
		}
		return w
	case b.parallel != nil:
		for _, c := range b.parallel {
			w = max(w, c.width())
		}
		return w + 2*tail
	case b.bridge != nil:
		return b.bridge.width() + 2*tail
	}
	return cellWidth
}

func (b *branch) height() (h float64) {
	switch {
	case b.series != nil:
		for _, c := range b.series {
			h += c.height()
		}
		return h
	case b.parallel != nil:
		for _, c := range b.parallel {
			h = max(h, c.height())
		}
		return h + 2*tail
	case b.bridge != nil:
		return b.bridge.height() + 2*tail
	}
	return cellHeight
}

// columns is how many columns a branch takes upright; rows how many rows laid flat.
func (b *branch) columns() (n int) {
	if b.bridge != nil {
		return b.bridge.columns()
	}
	for _, c := range b.series {
		n = max(n, c.columns())
	}
	for _, c := range b.parallel {
		n += c.columns()
	}
	return max(n, 1)
}

func (b *branch) rows() (n int) {
	if b.bridge != nil {
		return b.bridge.rows()
	}
	for _, c := range b.series {
		n = max(n, c.rows())
	}
	for _, c := range b.parallel {
		n += c.rows()
	}
	return max(n, 1)
}

// dropHeight is what a branch needs between two rails, as drop draws it.
func (b *branch) dropHeight() float64 {
	switch {
	case b.series != nil:
		_, down, _ := b.split()
		return down.dropHeight()
	case b.parallel != nil:
		columns, last := b.columnsAndLast()
		h := last.dropHeight()
		for _, c := range columns {
			h = max(h, c.height())
		}
		return h
	case b.bridge != nil:
		return b.bridge.height()
	}
	return cellHeight
}

// loop draws the source upright at the left and the rest of the circuit between its two rails.
func (d *diagram) loop(source, rest *branch) {
	h := max(rest.dropHeight(), cellHeight) + 20
	d.stack(source, 0, 0, -h)
	x := 0.0
	if rest.series == nil {
		x = 1.1 * cellColumn
		d.wire(xy{0, 0}, xy{x, 0})
		d.wire(xy{0, -h}, xy{x, -h})
	}
	d.drop(rest, x, 0, -h)
}

// split parts a series into what lies along the upper rail, what goes down at its end, and what returns along the
// lower one.
func (b *branch) split() (over []*branch, down *branch, under []*branch) {
	n := len(b.series)
	at := n - 1
	for i, c := range b.series {
		if c.element == nil {
			at = i
		}
	}
	if b.series[at].element != nil && n > 3 {
		at = n / 2
	}
	return b.series[:at], b.series[at], b.series[at+1:]
}

// columnsAndLast parts parallel branches into upright columns and the one that may reach further to the right: a series.
func (b *branch) columnsAndLast() (columns []*branch, last *branch) {
	columns = slices.Clone(b.parallel)
	slices.SortStableFunc(columns, func(x, y *branch) int { return len(x.series) - len(y.series) })
	return columns[:len(columns)-1], columns[len(columns)-1]
}

// drop draws a branch from the upper rail at (x, top) to the lower one, growing to the right.
func (d *diagram) drop(b *branch, x, top, bottom float64) {
	switch {
	case b.series != nil:
		over, down, under := b.split()
		w := max((&branch{series: over}).width(), (&branch{series: under}).width())
		if len(over) == 0 && len(under) == 0 {
			w = 0
		}
		d.row(&branch{series: over}, xy{x, top}, xy{x + w, top}, 1)
		d.row(&branch{series: under}, xy{x + w, bottom}, xy{x, bottom}, -1)
		d.drop(down, x+w, top, bottom)
	case b.parallel != nil:
		columns, last := b.columnsAndLast()
		for _, c := range columns {
			d.stack(c, x, top, bottom)
			next := x + float64(c.columns())*cellColumn
			d.wire(xy{x, top}, xy{next, top})
			d.wire(xy{x, bottom}, xy{next, bottom})
			x = next
		}
		d.drop(last, x, top, bottom)
	case b.bridge != nil:
		d.upright(b.bridge, x, top, bottom)
	default:
		d.element(b, xy{x, top}, xy{x, bottom})
	}
}

// stack draws a branch upright from (x, top) to (x, bottom).
func (d *diagram) stack(b *branch, x, top, bottom float64) {
	switch {
	case b.series != nil:
		stretch := (top - bottom) / b.height()
		for _, c := range b.series {
			next := top - stretch*c.height()
			d.stack(c, x, top, next)
			top = next
		}
	case b.parallel != nil:
		d.wire(xy{x, top}, xy{x, top - tail})
		d.wire(xy{x, bottom}, xy{x, bottom + tail})
		top, bottom = top-tail, bottom+tail
		for i, c := range b.parallel {
			d.stack(c, x, top, bottom)
			if i < len(b.parallel)-1 {
				next := x + float64(c.columns())*cellColumn
				d.wire(xy{x, top}, xy{next, top})
				d.wire(xy{x, bottom}, xy{next, bottom})
				x = next
			}
		}
	case b.bridge != nil:
		d.wire(xy{x, top}, xy{x, top - tail})
		d.wire(xy{x, bottom}, xy{x, bottom + tail})
		d.upright(b.bridge, x, top-tail, bottom+tail)
	default:
		d.element(b, xy{x, top}, xy{x, bottom})
	}
}

// row draws a branch along a horizontal way from one point to another, parallel parts above it (way 1) or below (-1).
func (d *diagram) row(b *branch, from, to xy, way float64) {
	along := to.minus(from)
	switch {
	case b.parallel != nil:
		step := along.unit().times(tail)
		d.wire(from, from.plus(step))
		d.wire(to.minus(step), to)
		from, to = from.plus(step), to.minus(step)
		for i, c := range b.parallel {
			d.row(c, from, to, way)
			if i < len(b.parallel)-1 {
				up := xy{0, way * rowPitch * float64(c.rows())}
				d.wire(from, from.plus(up))
				d.wire(to, to.plus(up))
				from, to = from.plus(up), to.plus(up)
			}
		}
	case b.bridge != nil:
		step := along.unit().times(tail)
		d.wire(from, from.plus(step))
		d.wire(to.minus(step), to)
		d.lying(b.bridge, from.plus(step), to.minus(step), way)
	case b.element != nil:
		d.element(b, from, to)
	case len(b.series) == 0:
		d.wire(from, to)
	default:
		share := along.times(1 / b.width())
		for _, c := range b.series {
			next := from.plus(share.times(c.width()))
			d.row(c, from, next, way)
			from = next
		}
	}
}

// rails draws any network: every node a horizontal rail, every element an upright between two.
func (d *diagram) rails(edges []edge, source edge) {
	order := []string{source.from}
	for _, e := range edges {
		for _, node := range []string{e.from, e.to} {
			if node != source.to && !slices.Contains(order, node) {
				order = append(order, node)
			}
		}
	}
	order = append(order, source.to)
	ends := make([][]float64, len(order))
	for i, e := range edges {
		x := float64(i) * cellColumn
		rank := func(node string) int { return slices.Index(order, node) }
		a, b := rank(e.from), rank(e.to)
		branch := e.branch
		if a > b {
			branch = branch.turned()
		}
		// The symbol stands in the first gap: further rails that the wire crosses do not run through it.
		top, end := -float64(min(a, b))*cellHeight, -float64(max(a, b))*cellHeight
		d.element(branch, xy{x, top}, xy{x, top - cellHeight})
		d.wire(xy{x, top - cellHeight}, xy{x, end})
		ends[a], ends[b] = append(ends[a], x), append(ends[b], x)
	}
	for i, xs := range ends {
		y := -float64(i) * cellHeight
		for j := 1; j < len(xs); j++ {
			d.wire(xy{xs[j-1], y}, xy{xs[j], y})
		}
	}
}

// element draws an element's symbol in the middle of the way between two points, with wires to both and its label.
func (d *diagram) element(b *branch, from, to xy) {
	middle := between(from, to, 0.5)
	along := to.minus(from).unit()
	if b.flipped {
		along = along.times(-1)
	}
	symbol := symbols[b.element.Kind]
	lead := to.minus(from).unit().times(symbol.half)
	d.wire(from, middle.minus(lead))
	d.wire(middle.plus(lead), to)
	symbol.draw(d.sketch, middle, along)

	reach := xy{symbol.half, symbol.side}
	prefer := []side{above, below}
	if math.Abs(along.y) > 0.5 {
		reach = xy{symbol.side, symbol.half}
		prefer = []side{right, left}
	}
	d.labelAround(middle, reach, elementLabel(b.element), prefer...)
}

// junctions puts a dot where three or more wires meet.
func (d *diagram) junctions() {
	type place struct{ x, y int64 }
	count := map[place]int{}
	var order []xy
	for _, w := range d.wires {
		for _, p := range []xy{w.a, w.b} {
			key := place{int64(math.Round(p.x * 100)), int64(math.Round(p.y * 100))}
			if count[key]++; count[key] == 3 {
				order = append(order, p)
			}
		}
	}
	for _, p := range order {
		d.dot(p, 1.8)
	}
}
