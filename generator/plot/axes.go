package plot

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Axis is a labelled axis, printed as quantity / unit: "depth $z$ / cm" is Label "depth $z$", Unit "cm". With
// Min == Max the range is chosen from the data; a range given is widened where data lie outside it.
type Axis struct {
	Label, Unit string
	Min, Max    float64
}

// ruler is an axis with its range and its ticks, which lie at whole multiples of step.
type ruler struct {
	min, max, step float64
	power          int // ticks are printed over 10 to this power, which then stands beside the unit
}

// niceStep is the smallest of 1, 2, 5 times a power of ten that is not below x (x > 0).
func niceStep(x float64) float64 {
	exp := math.Floor(math.Log10(x))
	for _, m := range []float64{1, 2, 5, 10} {
		if step := decimal(m, int(exp)); step >= x*(1-1e-9) {
			return step
		}
	}
	return decimal(2, int(exp)+1) // only where Log10 rounds the wrong way
}

// decimal is m·10^exp as the nearest float to its decimal text, so that steps add up as printed.
func decimal(m float64, exp int) float64 {
	x, _ := strconv.ParseFloat(fmt.Sprintf("%ge%d", m, exp), 64)
	return x
}

// fit chooses range and ticks for data from low to high, with at most ticks steps.
func (a Axis) fit(low, high float64, ticks int) (ruler, error) {
	given := a.Min != a.Max
	if given {
		low, high = min(low, a.Min, a.Max), max(high, a.Min, a.Max)
	}
	if math.IsInf(low, 0) || math.IsNaN(low) || math.IsInf(high, 0) || math.IsNaN(high) {
		return ruler{}, fmt.Errorf("axis %q has no finite range: give it points or a range", a.Label)
	}
	if !given {
		// A zero on the axis is worth a third of its length.
		if low > 0 && low <= high/3 {
			low = 0
		} else if high < 0 && high >= low/3 {
			high = 0
		}
		if low == high {
			low, high = low-max(math.Abs(low)/10, 1e-9), high+max(math.Abs(high)/10, 1e-9)
		}
	}
	if high-low < 1e-12*max(math.Abs(low), math.Abs(high)) || math.IsInf(high-low, 0) {
		return ruler{}, fmt.Errorf("axis %q: the range %g to %g cannot be divided", a.Label, low, high)
	}
	step := niceStep((high - low) / float64(ticks))
	r := ruler{min: low, max: high, step: step}
	if !given || low < min(a.Min, a.Max) {
		r.min = step * math.Floor(low/step+1e-9)
	}
	if !given || high > max(a.Min, a.Max) {
		r.max = step * math.Ceil(high/step-1e-9)
	}
	r.choosePower()
	return r, nil
}

func (r *ruler) choosePower() {
	largest := max(math.Abs(r.min), math.Abs(r.max))
	if largest >= 1e5 || largest < 1e-2 {
		r.power = 3 * int(math.Floor(math.Log10(largest)/3+1e-9))
	}
}

// at is the place of x along a length.
func (r ruler) at(x, length float64) float64 { return (x - r.min) / (r.max - r.min) * length }

// ticks are the multiples of step within the range.
func (r ruler) ticks() (ticks []float64) {
	for i := math.Ceil(r.min/r.step - 1e-6); i*r.step <= r.max+1e-6*r.step; i++ {
		ticks = append(ticks, i*r.step)
	}
	return ticks
}

// label is the text at a tick.
func (r ruler) label(x float64) string {
	step := r.step / math.Pow10(r.power)
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	s := strconv.FormatFloat(x/math.Pow10(r.power), 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return thinSpaced(strings.Replace(s, "-", "−", 1))
}

// every is 1, 2 or 5: of how many ticks along a length one is numbered, so that the numbers do not touch.
func (r ruler) every(length, size float64) float64 {
	widest := 0.0
	for _, t := range r.ticks() {
		widest = max(widest, setText(r.label(t), size).width)
	}
	pitch := r.step / (r.max - r.min) * length
	for _, n := range []float64{1, 2} {
		if n*pitch >= widest+0.6*size {
			return n
		}
	}
	return 5
}

// thinSpaced groups the digits of a long whole number.
func thinSpaced(s string) string {
	whole, fraction, found := strings.Cut(s, ".")
	digits := strings.TrimPrefix(whole, "−")
	if len(digits) < 5 {
		return s
	}
	sign := strings.TrimSuffix(whole, digits)
	var groups []string
	for len(digits) > 3 {
		groups = append([]string{digits[len(digits)-3:]}, groups...)
		digits = digits[:len(digits)-3]
	}
	whole = sign + strings.Join(append([]string{digits}, groups...), "\u2009")
	if found {
		return whole + "." + fraction
	}
	return whole
}

// title is the label of the axis: quantity / unit, with the power of ten of the ticks.
func (a Axis) title(power int) string {
	unit := a.Unit
	if power != 0 {
		unit = strings.TrimSpace("10" + raised(power) + " " + unit)
	}
	switch {
	case unit == "" || unit == "1":
		return a.Label
	case a.Label == "": // the pupil writes the quantity before it
		return unit
	case strings.ContainsAny(unit, "/ "):
		unit = "(" + unit + ")"
	}
	return a.Label + " / " + unit
}

func raised(n int) string {
	return strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶",
		"7", "⁷", "8", "⁸", "9", "⁹").Replace(strconv.Itoa(n))
}

// frame is the rectangle between two axes; its lower left corner is the origin of the sketch.
type frame struct {
	x, y          ruler
	width, height float64
}

func (f frame) at(x, y float64) xy { return xy{f.x.at(x, f.width), f.y.at(y, f.height)} }

// axes draws ticks, their numbers and the titles; with grid also light lines at the ticks.
func (s *sketch) axes(f frame, x, y Axis, grid bool) {
	if grid {
		for _, t := range f.x.ticks() {
			s.line(faint, f.at(t, f.y.min), f.at(t, f.y.max))
		}
		for _, t := range f.y.ticks() {
			s.line(faint, f.at(f.x.min, t), f.at(f.x.max, t))
		}
	}
	s.line(line, xy{0, f.height}, xy{}, xy{f.width, 0})
	small := 0.9 * s.size
	every := f.x.every(f.width, small)
	for _, t := range f.x.ticks() {
		p := f.at(t, f.y.min)
		s.line(hair, p, p.plus(xy{0, -3}))
		if math.Mod(math.Round(t/f.x.step), every) == 0 {
			s.textAt(p.plus(xy{0, -5}), f.x.label(t), small, 0.5, 1)
		}
	}
	widest := 0.0
	for _, t := range f.y.ticks() {
		p := f.at(f.x.min, t)
		s.line(hair, p, p.plus(xy{-3, 0}))
		s.textAt(p.plus(xy{-5, 0}), f.y.label(t), small, 1, 0.5)
		widest = max(widest, setText(f.y.label(t), small).width)
	}
	s.textAt(xy{f.width, -8 - 1.1*small}, x.title(f.x.power), s.size, 1, 1)
	s.textUp(xy{-10 - widest - s.size/2, f.height - setText(y.title(f.y.power), s.size).width/2}, y.title(f.y.power), s.size)
}
