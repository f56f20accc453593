package plot

import (
	"fmt"
	"strconv"
)

// Measures of a newton meter, in points: the scale runs down its tube, and what hangs sinks as far as the pointer.
const (
	meterTravel = 64 // from 0 to full scale
	meterWidth  = 18
	meterAbove  = 10 // tube above the zero and below full scale
	hangThread  = 16
	hangBody    = 26
)

// hang draws a body on a newton meter twice, in air and under water, both meters to one scale.
func hang(s *sketch, f *Figure) (string, error) {
	air, err := f.number("air")
	if err != nil {
		return "", err
	}
	water, err := f.number("water")
	if err != nil {
		return "", err
	}
	if air < 0 || water < 0 || max(air, water) == 0 {
		return "", fmt.Errorf("readings must not be negative, nor both 0: air %g N, water %g N", air, water)
	}
	unit := f.unitOf("N", "air")
	full := f.optional("full", unit.SI(niceStep(unit.From(max(air, water)))))
	if full < max(air, water) {
		return "", fmt.Errorf("full scale %g N is below a reading of %g N", full, max(air, water))
	}
	s.ceiling(-10, 220)
	s.meter(xy{30, 0}, air/full, unit.From(full), unit.Symbol, f.caption("air", 0, "in air"))
	bottom := s.meter(xy{170, 0}, water/full, unit.From(full), unit.Symbol, f.caption("water", 0, "in water"))
	s.vessel(xy{170, bottom})
	return fmt.Sprintf("A body hangs from a newton meter: in air it reads %s, under water %s.", f.shown("air", 0), f.shown("water", 0)), nil
}

// ceiling hatches above a horizontal line at height 0.
func (s *sketch) ceiling(x0, x1 float64) {
	s.line(line, xy{x0, 0}, xy{x1, 0})
	for x := x0 + 1; x < x1-3; x += 5 {
		s.line(faintHatch, xy{x, 0}, xy{x + 4, 4})
	}
}

// meter hangs a newton meter and a body from top; share is the reading as a share of full scale, which is printed at
// the end of the scale. It returns the height of the body's lower side.
func (s *sketch) meter(top xy, share, full float64, unit, label string) (bottom float64) {
	tubeTop := top.y - 8
	zero := tubeTop - meterAbove
	tubeEnd := zero - meterTravel - meterAbove
	s.line(line, top, xy{top.x, tubeTop})
	s.body(xy{top.x - meterWidth/2, tubeEnd}, xy{top.x + meterWidth/2, tubeTop}, 250)
	for i := range 51 { // fifty divisions
		y := zero - float64(i)/50*meterTravel
		long := 3.0
		if i%10 == 0 {
			long = 7
			number := strconv.FormatFloat(full*float64(i)/50, 'g', 4, 64)
			if i == 50 {
				number += " " + unit
			}
			s.textAt(xy{top.x - meterWidth/2 - 3, y}, number, 7, 1, 0.5)
		} else if i%5 == 0 {
			long = 5
		}
		s.line(pen{width: 0.25, ink: black}, xy{top.x - meterWidth/2, y}, xy{top.x - meterWidth/2 + long, y})
	}
	pointer := zero - share*meterTravel
	s.line(thick, xy{top.x - meterWidth/2 + 1, pointer}, xy{top.x + meterWidth/2 + 6, pointer})
	s.label(xy{top.x + meterWidth/2 + 6, pointer}, label, right)

	sunk := tubeEnd - share*meterTravel
	s.line(line, xy{top.x, tubeEnd}, xy{top.x, sunk - 6})
	s.stroke(line, arcPath(xy{top.x, sunk - 9}, 3, 1.6, -4.7))
	bodyTop := sunk - 12 - hangThread
	s.line(hair, xy{top.x, sunk - 12}, xy{top.x, bodyTop})
	bottom = bodyTop - hangBody
	s.body(xy{top.x - hangBody/2, bottom}, xy{top.x + hangBody/2, bodyTop}, 190)
	return bottom
}

// vessel stands around a body whose lower side is at p, the water covering it. It is drawn behind what hangs in it.
func (s *sketch) vessel(p xy) {
	const halfWidth, below, over = 36.0, 14.0, 8.0
	low := xy{p.x - halfWidth, p.y - below}
	surface := p.y + hangBody + over
	s.behind(s.water(), rectPath(low, xy{p.x + halfWidth, surface}))
	s.line(line, xy{low.x, surface + 9}, low, xy{p.x + halfWidth, low.y}, xy{p.x + halfWidth, surface + 9})
	s.surface(low.x, p.x+halfWidth, p.x+halfWidth-12, surface)
}
