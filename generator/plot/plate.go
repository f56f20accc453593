package plot

import (
	"fmt"
	"math"
)

// plate draws a flat shape's parts on a light grid with both axes to one scale; its centre of mass is the pupil's.
func plate(s *sketch, f *Figure) (string, error) {
	x, err := f.column("x", -1)
	if err != nil {
		return "", err
	}
	n := len(x)
	columns := map[string][]float64{"x": x}
	if columns["y"], err = f.column("y", n); err != nil {
		return "", err
	}
	for _, key := range []string{"m", "w", "h"} {
		if columns[key], err = f.columnOr(key, n, 0); err != nil {
			return "", err
		}
	}
	unit := f.unitOf("m", "x", "y", "w", "h")
	size := unit.Scale
	low, high := xy{}, xy{}
	for i := range n {
		at, half := xy{x[i], columns["y"][i]}, xy{math.Abs(columns["w"][i]) / 2, math.Abs(columns["h"][i]) / 2}
		a, b := at.minus(half), at.plus(half)
		low, high = xy{min(low.x, a.x), min(low.y, a.y)}, xy{max(high.x, b.x), max(high.y, b.y)}
	}
	fr, err := squareFrame(low.times(1/size), high.times(1/size), f.Style.design(340)-60, 230)
	if err != nil {
		return "", err
	}
	s.axes(fr, Axis{Label: "$x$", Unit: unit.Symbol}, Axis{Label: "$y$", Unit: unit.Symbol}, true)
	if !f.has("m") {
		return s.outline(fr, size, columns)
	}
	heaviest := max(largestOf(columns["m"]), math.SmallestNonzeroFloat64)
	k := fr.width / (fr.x.max - fr.x.min) / size
	for i := range n {
		at := fr.at(x[i]/size, columns["y"][i]/size)
		half := xy{columns["w"][i], columns["h"][i]}.times(k / 2)
		s.platePart(at, half, columns["m"][i], heaviest)
		s.label(at, f.partLabel("part", "m", i), above, right, below, left)
	}
	return fmt.Sprintf("A flat shape of %d parts on a grid of %s.", n, unit.Symbol), nil
}

// outline draws a shape given by its corners.
func (s *sketch) outline(fr frame, size float64, columns map[string][]float64) (string, error) {
	corners := make([]xy, len(columns["x"]))
	for i, x := range columns["x"] {
		corners[i] = fr.at(x/size, columns["y"][i]/size)
	}
	if len(corners) < 3 {
		return "", fmt.Errorf("an outline needs three corners or more; parts need m")
	}
	s.closed(grey(225), thick, corners)
	return fmt.Sprintf("A flat shape with %d corners on a grid.", len(corners)), nil
}

// platePart draws a part: a rectangle, or without a size a disc whose area goes with its mass. What is cut out is white.
func (s *sketch) platePart(at, half xy, mass, heaviest float64) {
	path := circlePath(at, 13*math.Sqrt(math.Abs(mass)/heaviest))
	if half.x > 0 && half.y > 0 {
		path = rectPath(at.minus(half), at.plus(half))
	}
	if mass < 0 {
		s.fill(pen{ink: white}, path)
		s.stroke(dashed, path)
	} else {
		s.fill(grey(225), path)
		s.stroke(line, path)
	}
	s.dot(at, 1.3)
}

// squareFrame is a frame whose two axes have one scale and one step.
func squareFrame(low, high xy, width, height float64) (frame, error) {
	span := high.minus(low)
	if span.x == 0 && span.y == 0 {
		span = xy{1, 1}
		high = low.plus(span)
	}
	step := niceStep(max(span.x/width, span.y/height) * 30)
	axis := func(low, high float64) ruler {
		r := ruler{min: step * math.Floor(low/step+1e-9), max: step * math.Ceil(high/step-1e-9), step: step}
		if r.max <= r.min {
			r.max = r.min + step
		}
		r.choosePower()
		return r
	}
	f := frame{x: axis(low.x, high.x), y: axis(low.y, high.y)}
	spanX, spanY := f.x.max-f.x.min, f.y.max-f.y.min
	if math.IsInf(spanX+spanY, 0) || math.IsNaN(spanX+spanY) {
		return frame{}, fmt.Errorf("the parts are too far apart to draw")
	}
	k := min(width/spanX, height/spanY)
	f.width, f.height = k*spanX, k*spanY
	return f, nil
}
