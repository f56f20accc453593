package plot

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

// Graph is graph paper to plot on: millimetres faint, every fifth and tenth stronger, exact on paper whatever the
// Style. Both axes need a range.
type Graph struct {
	X, Y  Axis
	Style Style
}

// A millimetre in points, and the largest graph paper.
const (
	mm          = 72 / 25.4
	graphWidth  = 150 // mm
	graphHeight = 120 // mm
)

// paperLines are the pens of graph paper: 1, 5 and 10 mm.
var paperLines = [3]pen{
	{width: 0.2, ink: color.Gray{200}, faint: true},
	{width: 0.4, ink: color.Gray{165}, faint: true},
	{width: 0.6, ink: color.Gray{120}, faint: true},
}

// NewGraph lays graph paper out. It fails where an axis has no range, or the width leaves less than 30 mm of paper.
func NewGraph(g Graph) (Drawing, error) {
	for _, a := range []Axis{g.X, g.Y} {
		if a.Min == a.Max {
			return nil, fmt.Errorf("graph paper: axis %q needs a range", a.Label)
		}
	}
	s := newSketch(Style{Plain: g.Style.Plain})
	s.size *= g.Style.scale()
	width := min(graphWidth, int(g.Style.room()/mm-6-8*g.Style.scale())/10*10) // numbers and title stand beside it
	if width < 30 {
		return nil, fmt.Errorf("graph paper: %.0f mm is too narrow for paper and numbers", g.Style.room()/mm)
	}
	var f frame
	var err error
	if f.x, f.width, err = paperAxis(g.X, width); err != nil {
		return nil, err
	}
	if f.y, f.height, err = paperAxis(g.Y, graphHeight); err != nil {
		return nil, err
	}
	s.paper(f.width, f.height)
	s.axes(f, g.X, g.Y, false)
	s.style.Width = vg.Length(math.Inf(1)) // never made to fit: it would not be exact
	return s.finish(fmt.Sprintf("Graph paper, %.0f by %.0f mm: %s against %s.", f.width/mm, f.height/mm, g.Y.title(f.y.power), g.X.title(f.x.power)))
}

// paperAxis lets a centimetre stand for 1, 2 or 5 times a power of ten, as small as the room in mm allows.
func paperAxis(a Axis, room int) (r ruler, length float64, err error) {
	r, err = Axis{Label: a.Label, Min: a.Min, Max: a.Max}.fit(a.Min, a.Max, room/10)
	if err != nil {
		return r, 0, fmt.Errorf("graph paper: %w", err)
	}
	first, last := math.Floor(r.min/r.step+1e-9), math.Ceil(r.max/r.step-1e-9)
	if int(last-first) > room/10 { // a range off the grid reaches into one more centimetre than it is long
		r.step = niceStep(r.step * 1.01)
		first, last = math.Floor(r.min/r.step+1e-9), math.Ceil(r.max/r.step-1e-9)
	}
	r.min, r.max = first*r.step, last*r.step
	return r, (last - first) * 10 * mm, nil
}

// paper rules a sheet of width and height (whole centimetres, in points), a stroke for each weight of line.
func (s *sketch) paper(width, height float64) {
	var paths [3]vg.Path
	rule := func(i int, from, to xy) {
		weight := 0
		if i%10 == 0 {
			weight = 2
		} else if i%5 == 0 {
			weight = 1
		}
		paths[weight].Move(from.point())
		paths[weight].Line(to.point())
	}
	for i := range int(math.Round(width/mm)) + 1 {
		x := float64(i) * mm
		rule(i, xy{x, 0}, xy{x, height})
	}
	for i := range int(math.Round(height/mm)) + 1 {
		y := float64(i) * mm
		rule(i, xy{0, y}, xy{width, y})
	}
	for weight, path := range paths {
		s.stroke(paperLines[weight], path)
	}
}
