package plot

import (
	"fmt"
	"slices"
)

// waterColumn draws vessels open below, their tops at their depths, the trapped air in each to one scale: all are
// equally wide, so that heights of air compare as volumes do. Beside the depths the vessels are enlarged.
func waterColumn(s *sketch, f *Figure) (string, error) {
	depths, err := f.column("depth", -1)
	if err != nil {
		return "", err
	}
	volumes, err := f.column("volume", len(depths))
	if err != nil {
		return "", err
	}
	if slices.Min(depths) < 0 || slices.Min(volumes) <= 0 {
		return "", fmt.Errorf("depths must not be negative and volumes must be above 0")
	}
	vessel := f.optional("vessel", slices.Max(volumes))
	if vessel < slices.Max(volumes)*(1-1e-9) {
		return "", fmt.Errorf("the vessel is smaller than the air in it")
	}
	const vesselHeight, vesselWidth, reach = 44.0, 30.0, 150.0
	deepest := slices.Max(depths)
	k := 0.0
	if deepest > 0 {
		k = reach / deepest
	}
	pitch := max(min((f.Style.design(340)-70)/float64(len(depths)), 110), 66)
	end := 24 + pitch*float64(len(depths))
	s.fill(s.water(), rectPath(xy{0, -k*deepest - vesselHeight - 12}, xy{end, 0}))
	s.surface(0, end, 12, 0)
	for i, depth := range depths { // behind the vessels
		s.line(dashed, xy{0, -k * depth}, xy{30 + pitch*float64(i), -k * depth})
	}
	for i, depth := range depths {
		s.airVessel(xy{30 + pitch*float64(i), -k * depth}, vesselWidth, vesselHeight, volumes[i]/vessel,
			f.caption("volume", i, ""), f.caption("depth", i, ""))
	}
	if deepest > 0 {
		s.depthScale(f, k, deepest)
	}
	s.line(line, xy{0, 10}, xy{0, -k*deepest - vesselHeight - 12}, xy{end, -k*deepest - vesselHeight - 12}, xy{end, 10})
	return fmt.Sprintf("Trapped air at %d depths, drawn to scale: deeper air is smaller.", len(depths)), nil
}

// airVessel draws a vessel with its upper left corner at p; share is how much of it is air.
func (s *sketch) airVessel(p xy, width, height, share float64, volume, depth string) {
	low, high := xy{p.x, p.y - height}, xy{p.x + width, p.y}
	level := p.y - height*share
	s.fill(pen{ink: white}, rectPath(xy{p.x, level}, high))
	s.line(thick, low, p, high, xy{high.x, low.y})
	s.line(hair, xy{p.x, level}, xy{high.x, level})
	s.labelAround(xy{p.x + width/2, (low.y + high.y) / 2}, xy{width / 2, height / 2}, volume, above, right, below)
	s.labelAround(xy{p.x + width/2, (low.y + high.y) / 2}, xy{width / 2, height / 2}, depth, below, right)
}

// depthScale numbers the depth beside the column.
func (s *sketch) depthScale(f *Figure, k, deepest float64) {
	unit := f.unitOf("m", "depth")
	r, err := Axis{}.fit(0, unit.From(deepest), 6)
	if err != nil {
		return // a depth too small to divide has no scale
	}
	small := 0.9 * s.size
	widest := 0.0
	for _, t := range r.ticks() {
		if unit.SI(t) > deepest*(1+1e-9) {
			break
		}
		p := xy{0, -unit.SI(t) * k}
		s.line(hair, p, p.minus(xy{4, 0}))
		s.textAt(p.minus(xy{6, 0}), r.label(t), small, 1, 0.5)
		widest = max(widest, setText(r.label(t), small).width)
	}
	s.textUp(xy{-12 - widest - s.size/2, -k * deepest / 2}, Axis{Label: "depth", Unit: unit.Symbol}.title(r.power), s.size)
}
