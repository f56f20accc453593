package plot

import (
	"errors"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
)

// xy is a point of a sketch, in points (1/72 inch), y upwards, from an origin of the builder's choosing.
type xy struct{ x, y float64 }

func (p xy) plus(q xy) xy           { return xy{p.x + q.x, p.y + q.y} }
func (p xy) minus(q xy) xy          { return xy{p.x - q.x, p.y - q.y} }
func (p xy) times(k float64) xy     { return xy{p.x * k, p.y * k} }
func (p xy) length() float64        { return math.Hypot(p.x, p.y) }
func (p xy) turned() xy             { return xy{-p.y, p.x} } // a quarter turn anticlockwise
func (p xy) point() vg.Point        { return vg.Point{X: vg.Length(p.x), Y: vg.Length(p.y)} }
func fromPoint(p vg.Point) xy       { return xy{float64(p.X), float64(p.Y)} }
func polar(r, angle float64) xy     { return xy{r * math.Cos(angle), r * math.Sin(angle)} }
func between(p, q xy, k float64) xy { return p.plus(q.minus(p).times(k)) }

// unit is the direction of p; to the right where p has none.
func (p xy) unit() xy {
	if l := p.length(); l > 0 {
		return p.times(1 / l)
	}
	return xy{1, 0}
}

// pen is how a path is drawn. Labels keep clear of every pen but the faint ones.
type pen struct {
	width float64
	dash  []vg.Length
	ink   color.Color
	faint bool
}

var (
	black = color.Gray{0}
	white = color.Gray{255}

	hair   = pen{width: 0.4, ink: black}
	line   = pen{width: 0.8, ink: black}
	thick  = pen{width: 1.5, ink: black}
	dashed = pen{width: 0.5, ink: black, dash: []vg.Length{4, 2.5}}
	action = pen{width: 0.4, ink: black, dash: []vg.Length{7, 2, 1, 2}} // lines of action, centre lines
	faint  = pen{width: 0.4, ink: color.Gray{205}, faint: true}

	faintHatch = pen{width: 0.4, ink: color.Gray{110}, faint: true}
)

func grey(level uint8) pen { return pen{ink: color.Gray{level}, faint: true} }

// water is the tint of water: pale blue, or as pale a grey.
func (s *sketch) water() pen {
	if s.style.Plain {
		return grey(236)
	}
	return pen{ink: color.RGBA{226, 239, 247, 255}, faint: true}
}

// item is one step of a sketch: a path stroked or filled, or a line of text at its base line's left end.
type item struct {
	path   vg.Path
	fill   bool
	pen    pen
	text   text
	at     xy
	upward bool // text turned to read upwards
}

// sketch is a drawing in the making: a list of items, and the labels that still look for a place. A finished sketch is
// a Drawing; drawing it changes nothing.
type sketch struct {
	style         Style
	size          float64 // of letters, in points before Style.Scale
	items         []item
	obstacles     []segment
	taken         []box // by text
	waiting       []waiting
	low, high     xy // bounds
	width, height float64
	factor        float64
	alt           string
}

// maxPaper is the largest size of a drawing, in points: ten times what a sheet holds.
const maxPaper = 10000

func newSketch(style Style) *sketch {
	return &sketch{style: style, size: 9, items: make([]item, 0, 128), obstacles: make([]segment, 0, 256), // as many as a scale has
		low: xy{math.Inf(1), math.Inf(1)}, high: xy{math.Inf(-1), math.Inf(-1)}}
}

func (s *sketch) Size() (width, height vg.Length) { return vg.Length(s.width), vg.Length(s.height) }

// Alt describes the drawing in words.
func (s *sketch) Alt() string { return s.alt }

func (s *sketch) cover(p xy, margin float64) {
	s.low = xy{min(s.low.x, p.x-margin), min(s.low.y, p.y-margin)}
	s.high = xy{max(s.high.x, p.x+margin), max(s.high.y, p.y+margin)}
}

// stroke and fill add a path; labels will keep clear of it unless its pen is faint.
func (s *sketch) stroke(p pen, path vg.Path) { s.add(item{path: path, pen: p}) }
func (s *sketch) fill(p pen, path vg.Path)   { s.add(item{path: path, pen: p, fill: true}) }

func (s *sketch) add(it item) {
	s.items = append(s.items, it)
	for _, piece := range flatten(it.path) {
		s.cover(piece.a, it.pen.width/2)
		s.cover(piece.b, it.pen.width/2)
		if !it.pen.faint {
			s.obstacles = append(s.obstacles, piece)
		}
	}
}

func (s *sketch) line(p pen, points ...xy) { s.stroke(p, polyline(points...)) }

func (s *sketch) circle(p pen, centre xy, r float64) { s.stroke(p, circlePath(centre, r)) }

func (s *sketch) dot(centre xy, r float64) { s.fill(line, circlePath(centre, r)) }

func (s *sketch) rect(p pen, low, high xy) { s.stroke(p, rectPath(low, high)) }

// behind fills a path under everything drawn so far.
func (s *sketch) behind(p pen, path vg.Path) {
	s.fill(p, path)
	last := s.items[len(s.items)-1]
	copy(s.items[1:], s.items)
	s.items[0] = last
}

// body draws an outline over a light fill, so that what lies behind does not show through.
func (s *sketch) body(low, high xy, shade uint8) {
	s.fill(grey(shade), rectPath(low, high))
	s.rect(line, low, high)
}

// arrow draws a line with a filled head at its far end.
func (s *sketch) arrow(p pen, from, to xy) {
	d := to.minus(from)
	head := min(3+3*p.width, 0.7*d.length())
	if head <= 0 {
		return
	}
	back := to.minus(d.unit().times(head))
	side := d.unit().turned().times(head * 0.33)
	s.line(p, from, back)
	path := polyline(to, back.plus(side), back.minus(side))
	path.Close()
	s.fill(pen{ink: p.ink, faint: p.faint}, path)
}

// dimension draws a dimension line from a to b, shifted sideways (to the left of the way from a to b, negative: to the
// right), with extension lines and a label.
func (s *sketch) dimension(a, b xy, shift float64, label string) {
	side := b.minus(a).unit().turned()
	off := side.times(shift)
	over := side.times(math.Copysign(2.5, shift))
	gap := side.times(math.Copysign(1.5, shift))
	for _, end := range []xy{a, b} {
		s.line(hair, end.plus(gap), end.plus(off).plus(over))
	}
	p, q := a.plus(off), b.plus(off)
	along := q.minus(p).unit()
	if q.minus(p).length() >= 16 {
		m := between(p, q, 0.5)
		s.arrow(hair, m, p)
		s.arrow(hair, m, q)
	} else { // too short for heads inside: they point at it from outside
		s.arrow(hair, p.minus(along.times(9)), p)
		s.arrow(hair, q.plus(along.times(9)), q)
		s.line(hair, p, q)
	}
	towards := compass(side.times(math.Copysign(1, shift)))
	s.label(between(p, q, 0.5), label, towards)
}

// ground hatches below a horizontal line from a to b.
func (s *sketch) ground(a, b xy) {
	s.line(line, a, b)
	for x := a.x + 3; x <= b.x; x += 5 {
		s.line(faintHatch, xy{x, a.y}, xy{x - 4, a.y - 4})
	}
}

// surface draws a free water surface from x0 to x1 with the usual mark on it at x.
func (s *sketch) surface(x0, x1, x, y float64) {
	s.line(hair, xy{x0, y}, xy{x1, y})
	mark := polyline(xy{x - 3.5, y + 6}, xy{x + 3.5, y + 6}, xy{x, y + 0.6})
	mark.Close()
	s.stroke(hair, mark)
	s.line(hair, xy{x - 3, y - 2}, xy{x + 3, y - 2})
	s.line(hair, xy{x - 1.5, y - 3.8}, xy{x + 1.5, y - 3.8})
}

// finish finds a place for the waiting labels and fixes the size of the drawing. A sketch wider than its room is made to
// fit as a whole. It fails where values of too different size left something without a place on paper.
func (s *sketch) finish(alt string) (Drawing, error) {
	s.placeLabels()
	s.alt = alt
	const margin = 2
	s.low, s.high = s.low.minus(xy{margin, margin}), s.high.plus(xy{margin, margin})
	s.factor = min(s.style.scale(), s.style.room()/(s.high.x-s.low.x))
	s.width, s.height = s.factor*(s.high.x-s.low.x), s.factor*(s.high.y-s.low.y)
	if !(s.width < maxPaper && s.height < maxPaper) { // or not a number
		return nil, errors.New("these values are too large, or too different in size, to be drawn to one scale")
	}
	return s, nil
}

// Draw implements Drawing. It sets colour, width and dash only where they change: that halves the size of a plot.
func (s *sketch) Draw(c vg.Canvas) {
	var ink color.Color
	width := -1.0
	var dash []vg.Length
	c.SetLineDash(nil, 0)
	for i := range s.items {
		it := &s.items[i]
		if it.pen.ink != ink {
			ink = it.pen.ink
			c.SetColor(ink)
		}
		switch {
		case it.text.runs != nil:
			s.drawText(c, it)
		case it.fill:
			c.Fill(s.onPage(it.path))
		default:
			if it.pen.width != width {
				width = it.pen.width
				c.SetLineWidth(vg.Length(width * s.factor))
			}
			if !slices.Equal(it.pen.dash, dash) {
				dash = it.pen.dash
				c.SetLineDash(s.scaled(dash), 0)
			}
			c.Stroke(s.onPage(it.path))
		}
	}
}

func (s *sketch) scaled(dash []vg.Length) []vg.Length {
	out := make([]vg.Length, len(dash))
	for i, d := range dash {
		out[i] = d * vg.Length(s.factor)
	}
	return out
}

func (s *sketch) drawText(c vg.Canvas, it *item) {
	at := it.at.minus(s.low).times(s.factor)
	if it.upward {
		c.Push()
		defer c.Pop()
		c.Translate(at.point())
		c.Rotate(math.Pi / 2)
		at = xy{}
	}
	for _, r := range it.text.runs {
		c.FillString(r.face.at(r.size*s.factor), at.plus(xy{0, r.rise * s.factor}).point(), r.text)
		at.x += r.width * s.factor
	}
}

// onPage is the path in the coordinates of the canvas.
func (s *sketch) onPage(path vg.Path) vg.Path {
	out := make(vg.Path, len(path))
	for i, c := range path {
		c.Pos = fromPoint(c.Pos).minus(s.low).times(s.factor).point()
		c.Radius *= vg.Length(s.factor)
		if c.Control != nil {
			control := make([]vg.Point, len(c.Control))
			for j, q := range c.Control {
				control[j] = fromPoint(q).minus(s.low).times(s.factor).point()
			}
			c.Control = control
		}
		out[i] = c
	}
	return out
}
