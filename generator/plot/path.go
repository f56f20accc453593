package plot

import (
	"math"

	"gonum.org/v1/plot/vg"
)

func polyline(points ...xy) vg.Path {
	path := make(vg.Path, 0, len(points)+1)
	for i, p := range points {
		if i == 0 {
			path.Move(p.point())
		} else {
			path.Line(p.point())
		}
	}
	return path
}

func rectPath(low, high xy) vg.Path {
	path := polyline(low, xy{high.x, low.y}, high, xy{low.x, high.y})
	path.Close()
	return path
}

func circlePath(centre xy, r float64) vg.Path {
	path := polyline(centre.plus(xy{r, 0}))
	path.Arc(centre.point(), vg.Length(r), 0, 2*math.Pi)
	path.Close()
	return path
}

func arcPath(centre xy, r, start, sweep float64) vg.Path {
	path := polyline(centre.plus(polar(r, start)))
	path.Arc(centre.point(), vg.Length(r), start, sweep)
	return path
}

// segment is a straight piece of a path.
type segment struct{ a, b xy }

// flatten cuts a path into straight pieces, close enough for keeping labels away and for bounds.
func flatten(path vg.Path) (pieces []segment) {
	var start, at xy
	to := func(p xy) { pieces = append(pieces, segment{at, p}); at = p }
	for _, c := range path {
		p := fromPoint(c.Pos)
		switch c.Type {
		case vg.MoveComp:
			start, at = p, p
		case vg.LineComp:
			to(p)
		case vg.ArcComp:
			steps := int(math.Ceil(math.Abs(c.Angle) / (math.Pi / 12)))
			for i := range steps + 1 {
				to(p.plus(polar(float64(c.Radius), c.Start+c.Angle*float64(i)/float64(max(steps, 1)))))
			}
		case vg.CurveComp:
			from := at
			for i := 1; i <= 8; i++ {
				to(bezier(from, c.Control, p, float64(i)/8))
			}
		case vg.CloseComp:
			to(start)
		}
	}
	return pieces
}

// bezier is the point at t of a curve with one or two control points.
func bezier(from xy, control []vg.Point, to xy, t float64) xy {
	points := []xy{from}
	for _, c := range control {
		points = append(points, fromPoint(c))
	}
	points = append(points, to)
	for n := len(points) - 1; n > 0; n-- { // de Casteljau
		for i := range n {
			points[i] = between(points[i], points[i+1], t)
		}
	}
	return points[0]
}

// box is an upright rectangle.
type box struct{ low, high xy }

func (b box) overlaps(c box) bool {
	return b.low.x < c.high.x && c.low.x < b.high.x && b.low.y < c.high.y && c.low.y < b.high.y
}

func (b box) grown(by float64) box {
	return box{b.low.minus(xy{by, by}), b.high.plus(xy{by, by})}
}

// nearest is the point of the box nearest to p.
func (b box) nearest(p xy) xy {
	return xy{min(max(p.x, b.low.x), b.high.x), min(max(p.y, b.low.y), b.high.y)}
}

// clip cuts a segment to its part inside the box (Liang and Barsky); ok is false where nothing is left.
func (b box) clip(s segment) (inside segment, ok bool) {
	d := s.b.minus(s.a)
	t0, t1 := 0.0, 1.0
	for _, edge := range [4][2]float64{
		{-d.x, s.a.x - b.low.x}, {d.x, b.high.x - s.a.x},
		{-d.y, s.a.y - b.low.y}, {d.y, b.high.y - s.a.y},
	} {
		p, q := edge[0], edge[1]
		switch {
		case p == 0:
			if q < 0 {
				return segment{}, false
			}
		case p < 0:
			t0 = max(t0, q/p)
		default:
			t1 = min(t1, q/p)
		}
	}
	return segment{between(s.a, s.b, t0), between(s.a, s.b, t1)}, t0 <= t1
}

// meets tells whether the segment passes through the box.
func (b box) meets(s segment) bool {
	_, ok := b.clip(s)
	return ok
}

// ellipsePath is an ellipse with half axes a and b, as four Bézier
// curves, off by less than 0.03 %.
func ellipsePath(centre xy, a, b float64) vg.Path {
	const k = 0.5522847498 // 4(√2−1)/3
	at := func(x, y float64) vg.Point { return centre.plus(xy{a * x, b * y}).point() }
	var path vg.Path
	path.Move(at(1, 0))
	path.CubeTo(at(1, k), at(k, 1), at(0, 1))
	path.CubeTo(at(-k, 1), at(-1, k), at(-1, 0))
	path.CubeTo(at(-1, -k), at(-k, -1), at(0, -1))
	path.CubeTo(at(k, -1), at(1, -k), at(1, 0))
	path.Close()
	return path
}
