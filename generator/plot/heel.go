package plot

import (
	"fmt"
	"math"
)

// heel draws a box-shaped raft from the end, heeled to the right about still water that it goes on displacing: G on its
// centre line, B where the water it pushes aside has its centre, M where the line of upthrust meets the centre line, and
// the righting lever GZ. At heel 0, M is found from BM = B²/(12·draught).
func heel(s *sketch, f *Figure) (string, error) {
	hull, kg, err := f.raft()
	if err != nil {
		return "", err
	}
	k := min(f.Style.design(340)-120, 240) / math.Hypot(hull.breadth, hull.depth)
	hull.breadth, hull.depth, hull.draught = k*hull.breadth, k*hull.depth, k*hull.draught
	corners, under := hull.afloat()
	g, b, m := hull.onCentreLine(k*kg), centroid(under), hull.metacentre(centroid(under))

	low, high := bounds(append([]xy{g, b}, corners...))
	low, high = low.minus(xy{40, 24}), high.plus(xy{40, 34})
	s.fill(s.water(), rectPath(low, xy{high.x, 0}))
	s.closed(grey(230), line, corners)
	s.closed(pen{ink: grey(205).ink, faint: true}, hair, under)
	s.line(dashed, xy{low.x, 0}, xy{high.x, 0})
	s.surface(low.x, low.x+24, low.x+10, 0)

	top := max(high.y, min(m.y, 190)+34)
	keel := hull.onCentreLine(0)
	axis := hull.onCentreLine(1).minus(keel)
	s.line(action, keel.minus(axis.times(12)), hull.onCentreLine(max(hull.depth+20, g.minus(keel).length(), min(m.minus(keel).length(), 200)+16)))
	if hull.angle > 1e-3 {
		s.line(dashed, xy{b.x, b.y - 14}, xy{b.x, top})
	}
	z := xy{b.x, g.y}
	s.line(thick, g, z)
	s.heelPoints(keel, g, b, m, z)
	s.centreMark(g, "G")
	if hull.angle > 0.03 {
		s.angleMark(keel, axis, f.caption("heel", 0, ""), min(hull.depth+14, 76))
	}
	return fmt.Sprintf("A raft heeled %s, seen from the end, with its centres and righting lever.", f.shown("heel", 0)), nil
}

// heelPoints names the keel and the centres, each on the side where the others are not.
func (s *sketch) heelPoints(keel, g, b, m, z xy) {
	zSide, mSide := right, aboveRight
	if z.x < g.x {
		zSide = left
	}
	if m.y < z.y {
		mSide = belowRight
	}
	for _, p := range []struct {
		at   xy
		name string
		near side
	}{{keel, "K", belowLeft}, {b, "B", belowRight}, {m, "M", mSide}, {z, "Z", zSide}} {
		if p.name == "M" && (m.y > 190 || m.minus(keel).length() > 200) || p.name == "Z" && z.minus(g).length() < 3 {
			continue // off the drawing, or where G is
		}
		s.dot(p.at, 1.7)
		s.label(p.at, "$"+p.name+"$", p.near)
	}
}

// raft reads the hull, in metres, and the height of its centre of mass.
func (f *Figure) raft() (hull heeledHull, kg float64, err error) {
	for _, key := range []struct {
		name  string
		value *float64
	}{{"B", &hull.breadth}, {"D", &hull.depth}} {
		if *key.value, err = f.positive(key.name); err != nil {
			return hull, 0, err
		}
	}
	if kg, err = f.number("KG"); err != nil {
		return hull, 0, err
	}
	if hull.angle, err = f.number("heel"); err != nil {
		return hull, 0, err
	}
	if hull.angle < 0 || hull.angle > math.Pi/2+1e-9 {
		return hull, 0, fmt.Errorf("heel must be 0 to 90 degrees, not %g", hull.angle*180/math.Pi)
	}
	hull.draught = hull.depth / 2
	if f.has("m") {
		length, err := f.positive("L")
		if err != nil {
			return hull, 0, fmt.Errorf("draught from m: %w", err)
		}
		hull.draught = f.optional("m", 0) / (f.optional("rho", 1000) * length * hull.breadth)
	}
	hull.draught = f.optional("draught", hull.draught)
	if !(hull.draught > 0 && hull.draught < hull.depth) {
		return hull, 0, fmt.Errorf("draught must lie between 0 and the depth, not %g of %g m", hull.draught, hull.depth)
	}
	return hull, kg, nil
}

// angleMark is the arc from the upright to a direction, around a point.
func (s *sketch) angleMark(centre, axis xy, label string, radius float64) {
	angle := math.Pi/2 - math.Atan2(axis.y, axis.x)
	s.line(hair, centre, centre.plus(xy{0, radius + 8}))
	s.stroke(hair, arcPath(centre, radius, math.Pi/2, -angle))
	s.label(centre.plus(polar(radius, math.Pi/2-angle/2)), label, above, aboveRight)
}

// heeledHull is a box from the end, in points; the water's surface is at height 0 and the middle of the keel line at
// the origin of its own coordinates before it turns clockwise by angle.
type heeledHull struct {
	breadth, depth, draught, angle float64
	sunk                           float64 // height of the middle of the keel over the water
}

// turned is a point of the hull, given by its distances from the middle of the keel, on the page.
func (h *heeledHull) turned(x, y float64) xy {
	sin, cos := math.Sincos(h.angle)
	return xy{x*cos + y*sin, -x*sin + y*cos + h.sunk}
}

func (h *heeledHull) onCentreLine(y float64) xy { return h.turned(0, y) }

// afloat sinks the hull until it displaces what it does upright, and returns its outline and the part under water.
func (h *heeledHull) afloat() (corners, under []xy) {
	low, high := -2*(h.breadth+h.depth), 2*(h.breadth+h.depth)
	for range 60 {
		h.sunk = (low + high) / 2
		b := h.breadth / 2
		corners = []xy{h.turned(-b, 0), h.turned(b, 0), h.turned(b, h.depth), h.turned(-b, h.depth)}
		under = belowZero(corners)
		if area(under) > h.breadth*h.draught {
			low = h.sunk
		} else {
			high = h.sunk
		}
	}
	return corners, under
}

// metacentre is where the vertical through b meets the centre line.
func (h *heeledHull) metacentre(b xy) xy {
	if h.angle < 1e-3 {
		return b.plus(xy{0, h.breadth * h.breadth / (12 * h.draught)})
	}
	return h.onCentreLine(b.x / math.Sin(h.angle))
}

// belowZero cuts a polygon at height 0 and keeps what lies below (Sutherland and Hodgman).
func belowZero(polygon []xy) (below []xy) {
	for i, p := range polygon {
		q := polygon[(i+1)%len(polygon)]
		if p.y <= 0 {
			below = append(below, p)
		}
		if p.y <= 0 != (q.y <= 0) {
			below = append(below, between(p, q, p.y/(p.y-q.y)))
		}
	}
	return below
}

// area is the area of a polygon that runs anticlockwise.
func area(polygon []xy) (a float64) {
	for i, p := range polygon {
		q := polygon[(i+1)%len(polygon)]
		a += (p.x*q.y - q.x*p.y) / 2
	}
	return a
}

func centroid(polygon []xy) (c xy) {
	for i, p := range polygon {
		q := polygon[(i+1)%len(polygon)]
		c = c.plus(p.plus(q).times((p.x*q.y - q.x*p.y) / 6))
	}
	return c.times(1 / area(polygon))
}

func bounds(points []xy) (low, high xy) {
	low, high = points[0], points[0]
	for _, p := range points {
		low, high = xy{min(low.x, p.x), min(low.y, p.y)}, xy{max(high.x, p.x), max(high.y, p.y)}
	}
	return low, high
}

// closed fills and outlines a polygon.
func (s *sketch) closed(fill, outline pen, points []xy) {
	if len(points) < 3 {
		return
	}
	path := polyline(points...)
	path.Close()
	s.fill(fill, path)
	s.stroke(outline, path)
}
