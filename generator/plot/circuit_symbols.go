package plot

import (
	"math"
	"strings"
	"unicode/utf8"
)

// symbol is a graphical symbol of IEC 60617. It is drawn around a point, plus at the near end of the direction given.
type symbol struct {
	half float64 // from the middle to where the wire begins
	side float64 // from the middle to its edge, across the wire
	draw func(s *sketch, at, along xy)
}

var symbols = map[string]symbol{
	"resistor":  {13, 4.5, drawResistor},
	"battery":   {2, 9, drawBattery},
	"ammeter":   {9, 9, letterSymbol("A")},
	"voltmeter": {9, 9, letterSymbol("V")},
	"motor":     {9, 9, letterSymbol("M")},
	"lamp":      {9, 9, drawLamp},
}

// drawResistor: a rectangle (04-01-01).
func drawResistor(s *sketch, at, along xy) {
	a, b := along.times(13), along.turned().times(4.5)
	path := polyline(at.plus(a).plus(b), at.plus(a).minus(b), at.minus(a).minus(b), at.minus(a).plus(b))
	path.Close()
	s.stroke(line, path)
}

// drawBattery: the longer line is the positive pole (06-15-01), which a small sign repeats.
func drawBattery(s *sketch, at, along xy) {
	side := along.turned()
	plus, minus := at.minus(along.times(2)), at.plus(along.times(2))
	s.line(line, plus.plus(side.times(9)), plus.minus(side.times(9)))
	s.line(thick, minus.plus(side.times(4.5)), minus.minus(side.times(4.5)))
	sign := plus.minus(along.times(4.5)).plus(side.times(6))
	s.line(hair, sign.minus(along.times(2)), sign.plus(along.times(2)))
	s.line(hair, sign.minus(side.times(2)), sign.plus(side.times(2)))
}

// letterSymbol: an indicating instrument (08-02-01) or a machine (06-04-01), a letter in a circle.
func letterSymbol(letter string) func(s *sketch, at, along xy) {
	return func(s *sketch, at, _ xy) {
		s.circle(line, at, 9)
		s.textAt(at, letter, 10, 0.5, 0.5)
	}
}

// drawLamp: a cross in a circle (08-10-01).
func drawLamp(s *sketch, at, along xy) {
	s.circle(line, at, 9)
	for _, turn := range []float64{math.Pi / 4, -math.Pi / 4} {
		d := polar(9, math.Atan2(along.y, along.x)+turn)
		s.line(line, at.minus(d), at.plus(d))
	}
}

// elementLabel is the symbol of an element's name and its text, which may be its value alone or begin with a symbol of
// its own. A long text goes on in a second line after its comma.
func elementLabel(e *CircuitElement) string {
	name, value, named := strings.Cut(e.Text, " = ")
	switch {
	case e.Text == "":
		return symbolOf(e.Name)
	case !named:
		name, value = symbolOf(e.Name), e.Text
	case !strings.Contains(name, "$"):
		name = symbolOf(name)
	}
	if first, second, ok := strings.Cut(value, ", "); ok && utf8.RuneCountInString(e.Text) > 14 {
		value = first + "\n" + second
	}
	return name + " = " + value
}
