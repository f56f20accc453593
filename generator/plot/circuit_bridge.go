package plot

import (
	"math"
	"slices"
)

// bridge is five branches as an H: two uprights from u to v, parted at p and at q, and the bar from p to q.
type bridge struct{ up, pv, uq, qv, bar *branch }

// turned is the bridge seen from v.
func (b *bridge) turned() *bridge {
	return &bridge{b.pv.turned(), b.up.turned(), b.qv.turned(), b.uq.turned(), b.bar}
}

// joinBridge joins five edges that form a bridge between two nodes. It is asked when nothing is left to join in series or in
// parallel: then two nodes with three edges each, one of them shared, and the same two neighbours are a bridge. A bar that is
// more than a line would meet the parts on either side: that is left to be drawn between rails.
func joinBridge(edges *[]edge, from, to string) bool {
	meeting := map[string][]edge{} // the edges at a node, seen from it
	for _, e := range *edges {
		meeting[e.from] = append(meeting[e.from], e)
		meeting[e.to] = append(meeting[e.to], e.seenFrom(e.to))
	}
	for _, bar := range *edges {
		p, q := bar.from, bar.to
		inner := func(node string) bool { return node != from && node != to && len(meeting[node]) == 3 }
		if !inner(p) || !inner(q) || bar.branch.rows() > 1 || bar.branch.columns() > 1 {
			continue
		}
		outer := func(node, other string) []edge {
			return slices.DeleteFunc(slices.Clone(meeting[node]), func(e edge) bool { return e.to == other })
		}
		left, right := outer(p, q), outer(q, p)
		if right[0].to != left[0].to {
			slices.Reverse(right)
		}
		u, v := left[0].to, left[1].to
		if right[0].to != u || right[1].to != v {
			continue
		}
		if u == to || v == from { // so that the far end is where the current goes
			u, v = v, u
			slices.Reverse(left)
			slices.Reverse(right)
		}
		joined := &bridge{left[0].branch.turned(), left[1].branch, right[0].branch.turned(), right[1].branch, bar.branch}
		*edges = slices.DeleteFunc(*edges, func(e edge) bool { return e.from == p || e.to == p || e.from == q || e.to == q })
		*edges = append(*edges, edge{u, v, &branch{bridge: joined}})
		return true
	}
	return false
}

// columnsLeft is how many columns the left upright and the bar take.
func (b *bridge) columnsLeft() int {
	return max(b.up.columns(), b.pv.columns(), int(b.bar.width()/cellColumn)+1)
}

func (b *bridge) columns() int { return b.columnsLeft() + max(b.uq.columns(), b.qv.columns()) }

func (b *bridge) upper() float64 { return max(b.up.height(), b.uq.height()) }

func (b *bridge) height() float64 { return b.upper() + max(b.pv.height(), b.qv.height()) }

// rowsFirst is how many rows the first way takes laid flat, with the bar that stands on it.
func (b *bridge) rowsFirst() int {
	return max(b.up.rows(), b.pv.rows(), int(math.Ceil(b.bar.height()/rowPitch)))
}

func (b *bridge) rows() int { return b.rowsFirst() + max(b.uq.rows(), b.qv.rows()) }

func (b *bridge) before() float64 { return max(b.up.width(), b.uq.width()) }

func (b *bridge) width() float64 { return b.before() + max(b.pv.width(), b.qv.width()) }

// upright draws a bridge as an H from (x, top) to (x, bottom), its second upright to the right.
func (d *diagram) upright(b *bridge, x, top, bottom float64) {
	middle := top - (top-bottom)*b.upper()/b.height()
	right := x + float64(b.columnsLeft())*cellColumn
	d.wire(xy{x, top}, xy{right, top})
	d.wire(xy{x, bottom}, xy{right, bottom})
	d.stack(b.up, x, top, middle)
	d.stack(b.pv, x, middle, bottom)
	d.stack(b.uq, right, top, middle)
	d.stack(b.qv, right, middle, bottom)
	d.row(b.bar, xy{x, middle}, xy{right, middle}, 1)
}

// lying draws a bridge laid flat from one point to another, its second way above the first (way 1) or below it (-1).
func (d *diagram) lying(b *bridge, from, to xy, way float64) {
	middle := between(from, to, b.before()/b.width())
	off := xy{0, way * rowPitch * float64(b.rowsFirst())}
	d.wire(from, from.plus(off))
	d.wire(to, to.plus(off))
	d.row(b.up, from, middle, way)
	d.row(b.pv, middle, to, way)
	d.row(b.uq, from.plus(off), middle.plus(off), way)
	d.row(b.qv, middle.plus(off), to.plus(off), way)
	d.stack(b.bar, middle.x, middle.y, middle.plus(off).y)
}
