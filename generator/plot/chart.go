package plot

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

// Series is one set of points, with error bars of ±ErrY where that is not nil, or a line through them.
type Series struct {
	Name   string // in the legend, where several series have names
	X, Y   []float64
	ErrY   []float64
	Line   bool     // joined by a line, no markers
	Labels []string // beside the points; nil: none
	Marker int      // which of the distinct markers, or of the distinct dashes of a line
}

// Chart is a plot of points and lines.
type Chart struct {
	X, Y   Axis
	Series []Series
	Style  Style
}

const chartWidth = 340 // points, of a chart whose Style gives no width

// NewChart lays a plot out. It fails where the lengths of a series do not match, a number is not finite, or there is
// neither a point nor a range to choose an axis from.
func NewChart(c Chart) (Drawing, error) {
	low, high := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	for _, series := range c.Series {
		if err := series.check(); err != nil {
			return nil, fmt.Errorf("plot: series %q: %w", series.Name, err)
		}
		for i, x := range series.X {
			e := 0.0
			if series.ErrY != nil {
				e = math.Abs(series.ErrY[i])
			}
			low = xy{min(low.x, x), min(low.y, series.Y[i]-e)}
			high = xy{max(high.x, x), max(high.y, series.Y[i]+e)}
		}
	}
	width := max(c.Style.design(chartWidth)-52, 80)
	f := frame{width: width, height: 0.6 * width}
	var err error
	if f.x, err = c.X.fit(low.x, high.x, int(width/42)); err != nil {
		return nil, fmt.Errorf("plot: %w", err)
	}
	if f.y, err = c.Y.fit(low.y, high.y, int(f.height/24)); err != nil {
		return nil, fmt.Errorf("plot: %w", err)
	}
	s := newSketch(c.Style)
	s.axes(f, c.X, c.Y, true)
	for _, series := range c.Series {
		s.series(f, series)
	}
	s.legend(f, c.Series)
	return s.finish(fmt.Sprintf("Plot of %s against %s, %d series.", c.Y.title(f.y.power), c.X.title(f.x.power), len(c.Series)))
}

func (s Series) check() error {
	if len(s.X) != len(s.Y) || s.ErrY != nil && len(s.ErrY) != len(s.Y) || s.Labels != nil && len(s.Labels) != len(s.Y) {
		return fmt.Errorf("%d values of x, %d of y, %d error bars, %d labels", len(s.X), len(s.Y), len(s.ErrY), len(s.Labels))
	}
	for i := range s.X {
		sum := s.X[i] + s.Y[i]
		if s.ErrY != nil {
			sum += s.ErrY[i]
		}
		if math.IsNaN(sum) || math.IsInf(sum, 0) {
			return fmt.Errorf("point %d is not finite", i+1)
		}
	}
	return nil
}

func (s *sketch) series(f frame, series Series) {
	if series.Line {
		var path vg.Path
		for i, x := range series.X {
			if p := f.at(x, series.Y[i]).point(); i == 0 {
				path.Move(p)
			} else {
				path.Line(p)
			}
		}
		s.stroke(lineStyle(series.Marker), path)
		return
	}
	for i, x := range series.X {
		p := f.at(x, series.Y[i])
		if series.ErrY != nil {
			up := xy{0, math.Abs(series.ErrY[i]) / (f.y.max - f.y.min) * f.height}
			s.line(hair, p.minus(up), p.plus(up))
			for _, end := range []xy{p.minus(up), p.plus(up)} {
				s.line(hair, end.minus(xy{2.5, 0}), end.plus(xy{2.5, 0}))
			}
		}
		s.marker(p, series.Marker)
		if series.Labels != nil {
			s.textAt(p.plus(xy{4, 3}), series.Labels[i], 0.9*s.size, 0, 0)
		}
	}
}

// lineStyle tells lines apart by their dashes.
func lineStyle(n int) pen {
	p := pen{width: 0.9, ink: black}
	p.dash = [][]vg.Length{nil, {5, 3}, {8, 2.5, 1.5, 2.5}, {1.5, 2}}[((n%4)+4)%4]
	return p
}

// marker draws one of six markers that stay distinct in a grey copy.
func (s *sketch) marker(p xy, n int) {
	const r = 2.6
	closed := func(ink color.Gray, points ...xy) {
		for i := range points {
			points[i] = p.plus(points[i])
		}
		path := polyline(points...)
		path.Close()
		s.fill(pen{ink: ink}, path)
		s.stroke(line, path)
	}
	switch ((n % 6) + 6) % 6 {
	case 0:
		s.line(line, p.plus(xy{-r, -r}), p.plus(xy{r, r}))
		s.line(line, p.plus(xy{-r, r}), p.plus(xy{r, -r}))
	case 1:
		s.fill(pen{ink: white}, circlePath(p, r))
		s.circle(line, p, r)
	case 2:
		closed(black, xy{-r, -r}, xy{r, -r}, xy{r, r}, xy{-r, r})
	case 3:
		closed(white, xy{-1.2 * r, -r}, xy{1.2 * r, -r}, xy{0, 1.2 * r})
	case 4:
		s.line(line, p.plus(xy{-1.3 * r, 0}), p.plus(xy{1.3 * r, 0}))
		s.line(line, p.plus(xy{0, -1.3 * r}), p.plus(xy{0, 1.3 * r}))
	default:
		closed(white, xy{-1.3 * r, 0}, xy{0, -1.3 * r}, xy{1.3 * r, 0}, xy{0, 1.3 * r})
	}
}

// legend stands above the frame, where no point can be, as soon as two series have names.
func (s *sketch) legend(f frame, all []Series) {
	named := 0
	for _, series := range all {
		if series.Name != "" {
			named++
		}
	}
	if named < 2 {
		return
	}
	at := xy{0, f.height + 14}
	for _, series := range all {
		if series.Name == "" {
			continue
		}
		t := setText(short(series.Name, 40), s.size)
		if at.x > 0 && at.x+26+t.width > f.width {
			at = xy{0, at.y + 1.5*s.size}
		}
		if series.Line {
			s.line(lineStyle(series.Marker), at, at.plus(xy{20, 0}))
		} else {
			s.marker(at.plus(xy{10, 0}), series.Marker)
		}
		s.place(t, at.plus(xy{25, 0}), 0, 0.5)
		at.x += 25 + t.width + 18
	}
}
