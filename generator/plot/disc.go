package plot

import (
	"fmt"
	"math"
)

// disc draws the stream tube through a propeller disc seen from the side, the water running to the right. The tube is
// to scale for the ideal disc: along it speed times cross-section stays the same, the speed being V + v(1 + x/√(R²+x²))
// (a uniform disc's on its axis). The arrows V, V + v and V + 2v are to one scale.
func disc(s *sketch, f *Figure) (string, error) {
	v, err := f.positive("v")
	if err != nil {
		return "", err
	}
	ahead := f.optional("V", 0)
	if ahead < 0 {
		return "", fmt.Errorf("the speed of the craft must not be negative")
	}
	const radius, before, after = 42.0, 1.5, 2.8 // points; radii ahead of and behind the disc
	tube := func(x float64) float64 {
		speed := ahead + v*(1+x/math.Hypot(1, x))
		return radius * math.Sqrt((ahead+v)/speed)
	}
	const steps = 48
	for _, side := range []float64{1, -1} {
		points := make([]xy, steps+1)
		for i := range points {
			x := -before + (before+after)*float64(i)/steps
			points[i] = xy{radius * x, side * tube(x)}
		}
		s.line(line, points...)
	}
	s.line(action, xy{-radius * (before + 1.3), 0}, xy{radius * (after + 1.3), 0})
	s.fill(grey(200), ellipsePath(xy{}, 4, radius))
	s.stroke(line, ellipsePath(xy{}, 4, radius))

	scale := 56 / (ahead + 2*v)
	for _, a := range []struct {
		at    xy
		speed float64
		label string
	}{
		{xy{-radius * (before + 1.2), 14}, ahead, f.caption("V", 0, "$V$")},
		{xy{7, 14}, ahead + v, "$V$ + $v$"},
		{xy{radius * (after - 0.6), 14}, ahead + 2*v, "$V$ + 2$v$"},
	} {
		if a.speed > 0 {
			tip := a.at.plus(xy{scale * a.speed, 0})
			s.arrow(thick, a.at, tip)
			s.label(between(a.at, tip, 0.5), a.label, above, below)
		}
	}
	s.label(xy{radius * 0.1, -radius * 0.45}, f.caption("v", 0, "$v$"), right, belowRight)
	if f.has("thrust") {
		s.arrow(thick, xy{-4, -10}, xy{-50, -10})
		s.label(xy{-50, -10}, f.caption("thrust", 0, "thrust"), below, belowLeft, left)
	}
	if f.has("d") {
		s.dimension(xy{0, -radius}, xy{0, radius}, -1.6*radius, f.caption("d", 0, "$d$"))
	}
	return fmt.Sprintf("Water flows through a propeller disc and leaves as a narrower, faster jet: %s is added at the disc.", f.shown("v", 0)), nil
}
