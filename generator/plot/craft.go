package plot

import (
	"fmt"
	"math"
	"slices"
	"strconv"
)

func craftSide(s *sketch, f *Figure) (string, error) { return craft(s, f, "z") }

func craftTop(s *sketch, f *Figure) (string, error) {
	if f.has("y") {
		return craft(s, f, "y")
	}
	return craft(s, f, "z")
}

// part is one part of a craft: where it is, and the values known of it (0: none).
type part struct {
	at           xy // m
	mass, volume float64
	thrust       float64
	angle        float64
}

// craft draws a craft's parts in the plane of x (bow to the right) and another direction (up the page), each with a
// volume as a cube of that size, each thrust with its line of action.
func craft(s *sketch, f *Figure, up string) (string, error) {
	parts, err := f.parts(up)
	if err != nil {
		return "", err
	}
	low, high := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	for _, p := range parts {
		half := math.Cbrt(max(p.volume, 0)) / 2
		low = xy{min(low.x, p.at.x-half), min(low.y, p.at.y-half)}
		high = xy{max(high.x, p.at.x+half), max(high.y, p.at.y+half)}
	}
	span := high.minus(low)
	k := min((f.Style.design(360)-150)/max(span.x, 1e-9), 150/max(span.y, 1e-9))
	if span.x == 0 && span.y == 0 {
		k = 1
	}
	margin := xy{14, 14}
	hullLow, hullHigh := low.times(k).minus(margin), high.times(k).plus(margin)
	s.fill(grey(247), rectPath(hullLow, hullHigh))
	s.rect(hair, hullLow, hullHigh)

	strongest := 0.0
	for _, p := range parts {
		strongest = max(strongest, math.Abs(p.thrust))
	}
	for _, p := range parts {
		s.part(p, k)
	}
	s.datum(hullLow, hullHigh, map[string]string{"craft-side": "z", "craft-top": "y"}[f.Kind]) // over the parts, which may lie on it
	for i, p := range parts {
		if p.thrust != 0 {
			tip := s.thrust(p, k, strongest, hullLow, hullHigh)
			s.label(tip, f.shown("thrust", i), aboveRight, belowRight, aboveLeft, belowLeft)
		}
	}
	for i, p := range parts {
		half := max(math.Cbrt(max(p.volume, 0))/2*k, 2)
		s.labelAround(p.at.times(k), xy{half, half}, f.partLabel("part", "m", i), above, below, right, left)
	}
	if err := s.centres(f, parts, k); err != nil {
		return "", err
	}
	if span != (xy{}) {
		s.scaleBar(f, k, hullLow)
	}
	view := "side"
	if f.Kind == "craft-top" {
		view = "top"
	}
	return fmt.Sprintf("A craft from the %s, with %d parts to scale.", view, len(parts)), nil
}

// parts reads the table of parts.
func (f *Figure) parts(up string) ([]part, error) {
	x, err := f.column("x", -1)
	if err != nil {
		return nil, err
	}
	n := len(x)
	if words := f.words("part"); len(words) != n {
		return nil, fmt.Errorf("%d parts have names, %d have a place x", len(words), n)
	}
	columns := map[string][]float64{}
	for _, key := range []string{up, "m", "V", "thrust", "angle"} {
		read := func() ([]float64, error) { return f.columnOr(key, n, 0) }
		if key == up {
			read = func() ([]float64, error) { return f.column(key, n) }
		}
		if columns[key], err = read(); err != nil {
			return nil, err
		}
	}
	parts := make([]part, n)
	for i := range parts {
		parts[i] = part{xy{x[i], columns[up][i]}, columns["m"][i], columns["V"][i],
			columns["thrust"][i], columns["angle"][i]}
	}
	return parts, nil
}

// part draws a cube of the part's volume, or a small disc where only its place is known.
func (s *sketch) part(p part, k float64) {
	at := p.at.times(k)
	if p.volume > 0 {
		half := math.Cbrt(p.volume) / 2 * k
		s.body(at.minus(xy{half, half}), at.plus(xy{half, half}), 220)
	}
	s.fill(pen{ink: white}, circlePath(at, 2))
	s.circle(line, at, 2)
}

// thrust draws a part's thrust to scale, and its line of action across the craft.
func (s *sketch) thrust(p part, k, strongest float64, low, high xy) (tip xy) {
	at := p.at.times(k)
	along := polar(1, p.angle)
	tip = at.plus(along.times(50 * p.thrust / strongest))
	reach := high.minus(low).length()
	clipped, ok := box{low.minus(xy{18, 18}), high.plus(xy{18, 18})}.clip(segment{at.minus(along.times(reach)), at.plus(along.times(reach))})
	if ok {
		s.line(action, clipped.a, clipped.b)
	}
	s.arrow(thick, at, tip)
	return tip
}

// datum draws the two axes that distances are measured from, where they pass through the craft or beside it.
func (s *sketch) datum(low, high xy, up string) {
	corner := low.minus(xy{26, 20})
	s.arrow(hair, corner, corner.plus(xy{22, 0}))
	s.arrow(hair, corner, corner.plus(xy{0, 22}))
	s.textAt(corner.plus(xy{25, 0}), "$x$", s.size, 0, 0.5)
	s.textAt(corner.plus(xy{0, 25}), "$"+up+"$", s.size, 0.5, 0)
	if low.x <= 0 && 0 <= high.x && low.y <= 0 && 0 <= high.y {
		s.line(hair, xy{-5, 0}, xy{5, 0})
		s.line(hair, xy{0, -5}, xy{0, 5})
		s.label(xy{}, "datum", belowRight, belowLeft)
	}
}

// centres marks the centres asked for: G of the masses, B of the volumes.
func (s *sketch) centres(f *Figure, parts []part, k float64) error {
	for _, mark := range f.words("show") {
		var sum float64
		var moment xy
		for _, p := range parts {
			weight := p.mass
			if mark == "B" {
				weight = p.volume
			}
			sum += weight
			moment = moment.plus(p.at.times(weight))
		}
		if !(sum > 0) {
			return fmt.Errorf("show: %s needs the %s of the parts", mark, map[bool]string{true: "volumes V", false: "masses m"}[mark == "B"])
		}
		s.centreMark(moment.times(k/sum), mark)
	}
	return nil
}

// centreMark is a circle with two black quarters for a centre of mass, an open one with a cross for other centres.
func (s *sketch) centreMark(p xy, name string) {
	const r = 4.5
	s.fill(pen{ink: white}, circlePath(p, r))
	s.circle(line, p, r)
	if name == "G" {
		for _, start := range []float64{0, math.Pi} {
			quarter := polyline(p, p.plus(polar(r, start)))
			quarter.Arc(p.point(), r, start, math.Pi/2)
			quarter.Close()
			s.fill(line, quarter)
		}
	} else {
		s.line(hair, p.minus(xy{r, 0}), p.plus(xy{r, 0}))
		s.line(hair, p.minus(xy{0, r}), p.plus(xy{0, r}))
	}
	s.label(p, "$"+name+"$", aboveRight, aboveLeft, belowRight, belowLeft)
}

// scaleBar draws a bar of a round length in the unit of x.
func (s *sketch) scaleBar(f *Figure, k float64, corner xy) {
	unit := f.unitOf("m", "x")
	length := niceStep(unit.From(30 / k))
	w := unit.SI(length) * k
	at := corner.plus(xy{20, -20})
	for i := range 2 {
		low := at.plus(xy{w / 2 * float64(i), 0})
		high := low.plus(xy{w / 2, 3})
		if i == 0 {
			s.fill(line, rectPath(low, high))
		}
		s.rect(hair, low, high)
	}
	s.textAt(at.plus(xy{w + 4, 1.5}), strconv.FormatFloat(length, 'g', -1, 64)+" "+unit.Symbol, 8, 0, 0.5)
}

// largestOf is the largest magnitude of a column.
func largestOf(col []float64) float64 {
	return max(math.Abs(slices.Max(col)), math.Abs(slices.Min(col)))
}
