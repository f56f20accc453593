package plot

import (
	"math"
	"slices"
	"strings"
)

// side is a direction in which a label may stand from the point it names.
type side uint8

const (
	right side = iota
	aboveRight
	above
	aboveLeft
	left
	belowLeft
	below
	belowRight
)

// sides gives for each direction the unit step away from the point.
var sides = [8]xy{{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}}

// compass is the side nearest to a direction.
func compass(d xy) side {
	return side(int(math.Round(math.Atan2(d.y, d.x)/(math.Pi/4))+8) % 8)
}

// waiting is a label that names a point and will stand near it.
type waiting struct {
	at     xy
	reach  xy // half the size of what is named; the label stands outside it
	lines  []text
	size   xy // of all lines together
	prefer []side
}

// label asks for a label near a point, on one of the sides preferred if there is room, else on another, else further
// away with a leader. Places are found when everything else is drawn.
func (s *sketch) label(at xy, txt string, prefer ...side) { s.labelAround(at, xy{}, txt, prefer...) }

// labelAround is label for a thing of a size, of which reach is the half. The label may have several lines.
func (s *sketch) labelAround(at, reach xy, txt string, prefer ...side) {
	if txt == "" {
		return
	}
	for d := range side(8) {
		if !slices.Contains(prefer, d) {
			prefer = append(prefer, d)
		}
	}
	w := waiting{at: at, reach: reach, prefer: prefer}
	for _, l := range strings.Split(txt, "\n") {
		t := setText(l, s.size)
		w.lines = append(w.lines, t)
		w.size = xy{max(w.size.x, t.width), w.size.y + t.ascent + t.descent}
	}
	s.waiting = append(s.waiting, w)
}

// labelGaps are the distances tried, in points. From the third on the label gets a leader.
var labelGaps = []float64{3, 6, 12, 20, 30, 42, 56, 72, 90, 115, 145}

const leaderFrom = 12

func (s *sketch) placeLabels() {
	for _, w := range s.waiting {
		best, bestCost, gap := box{}, math.Inf(1), 0.0
	search:
		for _, g := range labelGaps {
			for i, d := range w.prefer {
				b := w.boxAt(d, g)
				cost := s.cost(b, w.at, g) + g + float64(i)
				if cost < bestCost {
					best, bestCost, gap = b, cost, g
				}
				if bestCost < 100 {
					break search
				}
			}
		}
		if gap >= leaderFrom {
			s.line(hair, w.at, best.grown(1).nearest(w.at))
		}
		for _, t := range w.lines {
			low := xy{best.low.x, best.high.y - t.ascent - t.descent}
			s.setAt(t, box{low, xy{low.x + t.width, best.high.y}})
			best.high.y = low.y
		}
	}
	s.waiting = nil
}

// cost counts what a label at b and its leader would overprint: other labels above all, then lines.
func (s *sketch) cost(b box, at xy, gap float64) (cost float64) {
	leader := segment{at, b.nearest(at)}
	for _, t := range s.taken {
		if t.grown(1).overlaps(b) || gap >= leaderFrom && t.grown(0.5).meets(leader) {
			cost += 10000
		}
	}
	b = b.grown(0.8)
	for _, o := range s.obstacles {
		if b.meets(o) {
			cost += 400
		}
	}
	return cost
}

// boxAt is the box of the label on a side of its point.
func (w waiting) boxAt(d side, gap float64) box {
	step := sides[d]
	if step.x != 0 && step.y != 0 {
		gap *= 0.8
	}
	half := w.size.times(0.5)
	centre := w.at.plus(xy{step.x * (gap + half.x + w.reach.x), step.y * (gap + half.y + w.reach.y)})
	return box{centre.minus(half), centre.plus(half)}
}

// setAt sets text into a box of its size.
func (s *sketch) setAt(t text, b box) {
	s.items = append(s.items, item{text: t, at: xy{b.low.x, b.low.y + t.descent}, pen: line})
	s.take(b)
}

func (s *sketch) take(b box) {
	s.taken = append(s.taken, b)
	s.cover(b.low, 0)
	s.cover(b.high, 0)
}

// textAt sets text at once, its box's middle (anchorX, anchorY = ½) or edge (0: left or lower, 1: right or upper) at p.
func (s *sketch) textAt(p xy, txt string, size, anchorX, anchorY float64) {
	t := setText(txt, size)
	s.place(t, p, anchorX, anchorY)
}

func (s *sketch) place(t text, p xy, anchorX, anchorY float64) {
	if len(t.runs) == 0 {
		return
	}
	low := p.minus(xy{anchorX * t.width, anchorY * (t.ascent + t.descent)})
	if anchorY == 0.5 { // the middle of figures and capitals, which have no descent
		low.y = p.y - 0.36*t.runs[0].size - t.descent
	}
	s.setAt(t, box{low, low.plus(xy{t.width, t.ascent + t.descent})})
}

// textUp sets text that reads upwards, centred at p.
func (s *sketch) textUp(p xy, txt string, size float64) {
	t := setText(txt, size)
	if len(t.runs) == 0 {
		return
	}
	half := xy{(t.ascent + t.descent) / 2, t.width / 2}
	s.items = append(s.items, item{text: t, at: xy{p.x + half.x - t.descent, p.y - half.y}, pen: line, upward: true})
	s.take(box{p.minus(half), p.plus(half)})
}
