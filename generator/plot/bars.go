package plot

import (
	"fmt"
	"math"
)

// Bars is a bar chart: a bar a label. X names the labels, Y measures the bars. Bars stand upright while their labels
// fit below them, else they lie.
type Bars struct {
	X, Y   Axis
	Labels []string
	Values []float64
	Style  Style
}

// NewBars lays a bar chart out. It fails without bars, where labels and values do not match in number, and for values
// that are not finite.
func NewBars(b Bars) (Drawing, error) {
	if len(b.Labels) == 0 || len(b.Labels) != len(b.Values) {
		return nil, fmt.Errorf("bars: %d labels for %d values", len(b.Labels), len(b.Values))
	}
	low, high := 0.0, 0.0
	for i, v := range b.Values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("bars: the value of %q is %v", b.Labels[i], v)
		}
		low, high = min(low, v), max(high, v)
	}
	if low == high {
		high = 1
	}
	s := newSketch(b.Style)
	width := max(b.Style.design(chartWidth)-52, 80)
	pitch := min(width/float64(len(b.Labels)), 60)
	widest := 0.0
	for _, label := range b.Labels {
		widest = max(widest, setText(short(label, 36), 0.9*s.size).width)
	}
	var err error
	if widest <= 0.94*pitch {
		err = s.uprightBars(b, low, high, pitch)
	} else {
		err = s.lyingBars(b, low, high, max(width-widest, 80))
	}
	if err != nil {
		return nil, fmt.Errorf("bars: %w", err)
	}
	return s.finish(fmt.Sprintf("Bar chart of %s, %d bars.", b.Y.title(0), len(b.Labels)))
}

var barShade = grey(190)

func (s *sketch) uprightBars(b Bars, low, high, pitch float64) error {
	f := frame{width: pitch * float64(len(b.Labels)), height: 130}
	var err error
	if f.y, err = b.Y.fit(low, high, 6); err != nil {
		return err
	}
	f.x = ruler{max: float64(len(b.Labels)), step: math.Inf(1)}
	small := 0.9 * s.size
	numbers := 0.0
	for _, t := range f.y.ticks() {
		p := f.at(0, t)
		s.line(faint, p, f.at(f.x.max, t))
		s.textAt(p.plus(xy{-5, 0}), f.y.label(t), small, 1, 0.5)
		numbers = max(numbers, setText(f.y.label(t), small).width)
	}
	for i, v := range b.Values {
		zero, top := f.at(float64(i)+0.2, 0), f.at(float64(i)+0.8, v)
		s.bar(xy{zero.x, min(zero.y, top.y)}, xy{top.x, max(zero.y, top.y)})
		s.textAt(f.at(float64(i)+0.5, f.y.min).plus(xy{0, -4}), b.Labels[i], small, 0.5, 1)
	}
	s.line(line, f.at(0, 0), f.at(f.x.max, 0))
	title := b.Y.title(f.y.power)
	s.textUp(xy{-10 - numbers - s.size/2, f.height - setText(title, s.size).width/2}, title, s.size)
	s.textAt(xy{f.width, -8 - 1.2*s.size}, b.X.title(0), s.size, 1, 1)
	return nil
}

func (s *sketch) lyingBars(b Bars, low, high, width float64) error {
	const pitch = 13.0
	f := frame{width: width, height: pitch * float64(len(b.Labels))}
	var err error
	if f.x, err = b.Y.fit(low, high, int(width/40)); err != nil {
		return err
	}
	f.y = ruler{max: float64(len(b.Labels)), step: math.Inf(1)}
	small := 0.9 * s.size
	for _, t := range f.x.ticks() {
		p := f.at(t, 0)
		s.line(faint, p, f.at(t, f.y.max))
		s.textAt(p.plus(xy{0, -4}), f.x.label(t), small, 0.5, 1)
	}
	for i, v := range b.Values {
		row := f.y.max - float64(i) - 1 // the first on top
		zero, end := f.at(0, row+0.15), f.at(v, row+0.85)
		s.bar(xy{min(zero.x, end.x), zero.y}, xy{max(zero.x, end.x), end.y})
		s.textAt(f.at(f.x.min, row+0.5).plus(xy{-5, 0}), short(b.Labels[i], 36), small, 1, 0.5)
	}
	s.line(line, f.at(0, 0), f.at(0, f.y.max))
	s.textAt(xy{f.width, -6 - 1.2*s.size}, b.Y.title(f.x.power), s.size, 1, 1)
	return nil
}

func (s *sketch) bar(low, high xy) {
	if low.x == high.x || low.y == high.y {
		return
	}
	s.fill(barShade, rectPath(low, high))
	s.rect(hair, low, high)
}
