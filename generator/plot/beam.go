package plot

import (
	"fmt"
	"math"
	"slices"
)

// beam draws a beam on its pivot: loads as arrows to one scale, positions to scale below it.
func beam(s *sketch, f *Figure) (string, error) {
	pivot, err := f.number("pivot")
	if err != nil {
		return "", err
	}
	loads, err := f.column("load", -1)
	if err != nil {
		return "", err
	}
	at, err := f.column("at", len(loads))
	if err != nil {
		return "", err
	}
	low, end := min(0, pivot, slices.Min(at)), max(0, pivot, slices.Max(at))
	over := (end - low) / 20
	if f.has("length") {
		end, over = f.optional("length", 0), 0
	}
	if end < max(pivot, slices.Max(at)) || end <= low {
		return "", fmt.Errorf("the beam ends at %g m, before a load or its pivot", end)
	}
	k := (f.Style.design(340) - 40) / (end - low + 2*over)
	const thickness = 7.0
	s.body(xy{k * (low - over), 0}, xy{k * (end + over), thickness}, 230)

	foot := polyline(xy{k * pivot, 0}, xy{k*pivot - 8, -14}, xy{k*pivot + 8, -14})
	foot.Close()
	s.fill(grey(200), foot)
	s.stroke(line, foot)
	s.ground(xy{k*pivot - 20, -14}, xy{k*pivot + 20, -14})

	largest := max(largestOf(loads), math.SmallestNonzeroFloat64)
	for i, load := range loads {
		foot := xy{k * at[i], thickness}
		tip := foot.plus(xy{0, 46 * math.Abs(load) / largest})
		if load >= 0 {
			s.arrow(thick, tip, foot)
		} else {
			s.arrow(thick, foot, tip)
		}
		s.label(tip, f.partLabel("names", "load", i), above, aboveLeft, aboveRight)
	}
	s.positions(f, k, pivot, at)
	return fmt.Sprintf("A beam on a pivot carries %d loads.", len(loads)), nil
}

// positions draws the distances from the zero of the beam that are to be printed, the nearest first, one below the other.
func (s *sketch) positions(f *Figure, k, pivot float64, at []float64) {
	type position struct {
		x     float64
		label string
	}
	all := []position{{pivot, f.caption("pivot", 0, "")}}
	for i, x := range at {
		all = append(all, position{x, f.caption("at", i, "")})
	}
	slices.SortStableFunc(all, func(a, b position) int {
		return int(math.Copysign(1, math.Abs(a.x)-math.Abs(b.x)))
	})
	y := -30.0
	for _, p := range all {
		if p.x == 0 || f.bare() || p.label == "" {
			continue
		}
		t := setText(p.label, s.size)
		from, to := xy{0, y}, xy{k * p.x, y}
		s.line(hair, xy{to.x, y - 3}, xy{to.x, y + 4})
		s.arrow(hair, from, to)
		s.place(t, xy{to.x + math.Copysign(4, p.x), y}, map[bool]float64{true: 0, false: 1}[p.x > 0], 0.5)
		y -= 13
	}
	if y < -30 {
		s.line(hair, xy{0, -2}, xy{0, y + 9})
	}
}
