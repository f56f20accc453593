package plot

import "fmt"

// float draws a body afloat from the side, and with a breadth also from the end, with draught and freeboard, and the
// two forces as arrows to one scale.
func float(s *sketch, f *Figure) (string, error) {
	var length, depth, draught float64
	for _, key := range []struct {
		name  string
		value *float64
	}{{"length", &length}, {"depth", &depth}, {"draught", &draught}} {
		var err error
		if *key.value, err = f.positive(key.name); err != nil {
			return "", err
		}
	}
	if draught > depth {
		return "", fmt.Errorf("draught %g m is more than the depth %g m: the body sinks", draught, depth)
	}
	breadth := f.optional("breadth", 0)
	const between, dims = 60, 124 // points between the views, and for dimensions at both sides
	room := f.Style.design(360) - dims
	k := room / length
	if breadth > 0 {
		k = (room - between) / (length + breadth)
	}
	k = min(k, 110/depth)
	w, h, t := k*length, k*depth, k*draught
	end := w
	if breadth > 0 {
		end += between + k*breadth
	}
	const aside = 62 // water beyond the body
	s.fill(s.water(), rectPath(xy{-aside, -36}, xy{end + aside, t}))
	s.body(xy{}, xy{w, h}, 225)
	if breadth > 0 {
		low := xy{w + between, 0}
		s.body(low, xy{end, h}, 225)
		s.dimension(xy{low.x, h}, xy{end, h}, 12, f.caption("breadth", 0, "breadth"))
	}
	s.surface(-aside, 0, 10-aside, t)
	s.surface(end, end+aside, end+aside-10, t)
	if breadth > 0 {
		s.line(hair, xy{w, t}, xy{w + between, t})
	}
	s.line(dashed, xy{0, t}, xy{w, t})
	s.dimension(xy{0, h}, xy{w, h}, 12, f.caption("length", 0, "length"))
	s.dimension(xy{0, 0}, xy{0, t}, 16, f.caption("draught", 0, "draught"))
	s.dimension(xy{end, 0}, xy{end, h}, -26, f.caption("depth", 0, "depth"))

	weight := f.optional("weight", f.optional("upthrust", 1))
	upthrust := f.optional("upthrust", weight)
	scale := 40 / max(weight, upthrust)
	g, b := xy{w/2 - 5, h / 2}, xy{w/2 + 5, t / 2}
	s.dot(g, 1.6)
	s.dot(b, 1.6)
	s.arrow(thick, g, g.minus(xy{0, scale * weight}))
	s.arrow(thick, b, b.plus(xy{0, scale * upthrust}))
	s.label(g.minus(xy{0, scale * weight}), f.caption("weight", 0, "weight"), left, belowLeft, below)
	s.label(b.plus(xy{0, scale * upthrust}), f.caption("upthrust", 0, "upthrust"), aboveRight, right)
	return fmt.Sprintf("A body floats with draught %s of its depth %s; weight and upthrust as arrows.",
		f.shown("draught", 0), f.shown("depth", 0)), nil
}
