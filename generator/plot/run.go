package plot

import (
	"fmt"
	"math"
	"slices"
)

// drawRun draws speed against time, and below it the track: where the craft is at each of those times, the way being found
// from the speeds by the trapezium rule.
func drawRun(s *sketch, f *Figure) (string, error) {
	t, err := f.column("t", -1)
	if err != nil {
		return "", err
	}
	v, err := f.column("v", len(t))
	if err != nil {
		return "", err
	}
	way := make([]float64, len(t))
	for i := 1; i < len(t); i++ {
		if t[i] <= t[i-1] {
			return "", fmt.Errorf("times must rise: %s is not after %s", f.shown("t", i), f.shown("t", i-1))
		}
		way[i] = way[i-1] + (t[i]-t[i-1])*(v[i]+v[i-1])/2
	}
	if len(t) < 2 {
		return "", fmt.Errorf("a run needs two times or more")
	}
	second, metrePerSecond := f.unitOf("s", "t"), f.unitOf("m/s", "v")
	width := f.Style.design(340) - 52
	x, y := Axis{Label: "time $t$", Unit: second.Symbol}, Axis{Label: "speed $v$", Unit: metrePerSecond.Symbol}
	fr := frame{width: width, height: 0.42 * width}
	series := Series{X: make([]float64, len(t)), Y: make([]float64, len(t))}
	for i := range t {
		series.X[i], series.Y[i] = second.From(t[i]), metrePerSecond.From(v[i])
	}
	if fr.x, err = x.fit(series.X[0], series.X[len(t)-1], int(width/42)); err != nil {
		return "", err
	}
	if fr.y, err = y.fit(min(0, slices.Min(series.Y)), max(0, slices.Max(series.Y)), 6); err != nil {
		return "", err
	}
	s.axes(fr, x, y, true)
	s.series(fr, Series{X: series.X, Y: series.Y, Line: true})
	s.series(fr, series)
	if err := s.track(f, way, width, -62); err != nil {
		return "", err
	}
	return fmt.Sprintf("Speed against time at %d moments, and the way covered along the track.", len(t)), nil
}

// track draws the way from its least to its greatest value along a line at height y, a mark where the craft is at each
// time, and the current.
func (s *sketch) track(f *Figure, way []float64, width, y float64) error {
	r, err := Axis{}.fit(min(0, slices.Min(way)), max(0, slices.Max(way)), int(width/42))
	if err != nil {
		return fmt.Errorf("the craft does not move")
	}
	s.line(line, xy{0, y}, xy{width, y})
	every := r.every(width, 0.9*s.size)
	for _, m := range r.ticks() {
		p := xy{r.at(m, width), y}
		s.line(hair, p, p.minus(xy{0, 4}))
		if math.Mod(math.Round(m/r.step), every) == 0 {
			s.textAt(p.minus(xy{0, 6}), r.label(m), 0.9*s.size, 0.5, 1)
		}
	}
	s.textAt(xy{width, y - 9 - 1.1*s.size}, Axis{Label: "way $s$", Unit: "m"}.title(r.power), s.size, 1, 1)
	last := math.Inf(-1)
	for i, w := range way {
		p := xy{r.at(w, width), y}
		s.line(line, p, p.plus(xy{0, 9}))
		t := setText(f.shown("t", i), 0.85*s.size)
		if p.x-t.width/2 > last+4 {
			s.place(t, p.plus(xy{0, 11}), 0.5, 0)
			last = p.x + t.width/2
		}
	}
	if c := f.optional("current", 0); c != 0 {
		caption := setText(f.caption("current", 0, "current"), s.size)
		s.place(caption, xy{0, y - 36}, 0, 0.5)
		along := math.Copysign(12, c)
		for i := range 3 {
			m := xy{caption.width + 30 + 48*float64(i), y - 36}
			s.arrow(line, m.minus(xy{along, 0}), m.plus(xy{along, 0}))
		}
	}
	return nil
}
