package plot

import (
	"fmt"
	"math"
	"strconv"
)

// A division on paper is at least this long, in points, so that half of one can be told by eye (half is 0.4 mm).
const leastDivision = 2.3

// gauge is a scale to be read: count divisions, the pointer at a share of the way.
type gauge struct {
	count     int
	share     float64
	unit      string
	numbered  int // every how many divisions a number stands
	offset    int // division 0 counted from the zero of the quantity, so that round values are numbered
	from, to  float64
	precision int // decimals of the numbers
}

// scale draws the scale of an instrument with its pointer where the value is.
func scale(s *sketch, f *Figure) (string, error) {
	g, err := f.gauge()
	if err != nil {
		return "", err
	}
	room := f.Style.design(340)
	form := "dial"
	if words := f.words("form"); len(words) > 0 {
		form = words[0]
	}
	switch form {
	case "dial":
		err = s.dial(g, room)
	case "linear":
		err = s.straight(g, room-30, 240, xy{1, 0})
	case "upright":
		err = s.straight(g, 300, 150, xy{0, 1})
	default:
		err = fmt.Errorf("form is dial, linear or upright, not %q", form)
	}
	return fmt.Sprintf("A scale from %s to %s with %d divisions; read its pointer.", g.number(0), g.number(g.count)+" "+g.unit, g.count), err
}

func (f *Figure) gauge() (g gauge, err error) {
	var value, from, to, division float64
	for _, key := range []struct {
		name string
		x    *float64
	}{{"value", &value}, {"from", &from}, {"to", &to}, {"division", &division}} {
		if *key.x, err = f.number(key.name); err != nil {
			return g, err
		}
	}
	if !(to > from) || !(division > 0) {
		return g, fmt.Errorf("a scale rises from %g to %g in divisions above 0, not %g", from, to, division)
	}
	n := (to - from) / division
	g.count = int(math.Round(n))
	if math.Abs(n-math.Round(n)) > 1e-6*n || g.count < 1 || n > 1000 {
		return g, fmt.Errorf("%g divisions from %s to %s: choose ends a whole number (at most 1000) of divisions apart", n, f.shown("from", 0), f.shown("to", 0))
	}
	g.share = (value - from) / (to - from)
	if g.share < -1e-9 || g.share > 1+1e-9 {
		return g, fmt.Errorf("the value %s is off the scale from %s to %s", f.shown("value", 0), f.shown("from", 0), f.shown("to", 0))
	}
	unit := f.unitOf("", "to")
	g.from, g.to, g.unit = unit.From(from), unit.From(to), unit.Symbol
	return g, nil
}

// choose fixes how many divisions lie between numbers, given the length of a division and the room a number needs.
func (g *gauge) choose(pitch, room float64) {
	g.numbered = g.count
	for _, n := range []int{1, 2, 5, 10, 20, 50, 100, 200, 500} {
		if float64(n)*pitch >= room {
			g.numbered = min(n, g.count)
			break
		}
	}
	g.offset = 0
	if n := g.from / (g.to - g.from) * float64(g.count); math.Abs(n-math.Round(n)) < 1e-6 {
		g.offset = int(math.Round(n))
	}
	step := (g.to - g.from) / float64(g.count) * float64(g.numbered)
	for g.precision = 0; g.precision < 9; g.precision++ {
		if p := math.Pow10(g.precision); math.Abs(step*p-math.Round(step*p)) < 1e-6 && (g.offset != 0 || math.Abs(g.from*p-math.Round(g.from*p)) < 1e-6) {
			break
		}
	}
}

// number is the number at division i.
func (g *gauge) number(i int) string {
	x := g.from + (g.to-g.from)*float64(i)/float64(g.count)
	s := strconv.FormatFloat(x, 'f', g.precision, 64)
	if s[0] == '-' {
		s = "−" + s[1:]
	}
	return thinSpaced(s)
}

// widest is the width of the widest number if one stood at each division.
func (g *gauge) widest(size float64) (w float64) {
	g.choose(1, 1)
	for _, i := range []int{0, 1, g.count} {
		w = max(w, setText(g.number(i), size).width)
	}
	return w
}

func (g *gauge) hasNumber(i int) bool { return (i+g.offset)%g.numbered == 0 }

// tick is the length of the mark at division i: long at numbers, middling halfway between or at fives, else short.
func (g *gauge) tick(i int) float64 {
	switch {
	case g.hasNumber(i):
		return 11
	case g.numbered%2 == 0 && (i+g.offset)%(g.numbered/2) == 0, g.numbered > 10 && (i+g.offset)%5 == 0:
		return 8
	}
	return 5
}

func (g *gauge) pen(i int) pen {
	if g.hasNumber(i) {
		return line
	}
	return pen{width: 0.45, ink: black}
}

// dial is three quarters of a circle, numbers outside, the needle within the marks.
func (s *sketch) dial(g gauge, room float64) error {
	const sweep = 1.5 * math.Pi
	const start = 1.25 * math.Pi
	radius := max(58, leastDivision*float64(g.count)/sweep)
	if radius > room/2-30 {
		return fmt.Errorf("%d divisions do not fit on a dial of this size: at most %.0f", g.count, (room/2-30)*sweep/leastDivision)
	}
	g.choose((radius+12)*sweep/float64(g.count), max(22, g.widest(s.size)+5))
	direction := func(share float64) xy { return polar(1, start-sweep*share) }
	s.stroke(line, arcPath(xy{}, radius, start-sweep, sweep))
	for i := range g.count + 1 {
		d := direction(float64(i) / float64(g.count))
		s.line(g.pen(i), d.times(radius), d.times(radius-g.tick(i)))
		if g.hasNumber(i) {
			t := setText(g.number(i), s.size)
			out := radius + 4 + math.Abs(d.x)*t.width/2 + math.Abs(d.y)*s.size/2
			s.place(t, d.times(out), 0.5, 0.5)
		}
	}
	needle := direction(g.share)
	s.needle(xy{}.minus(needle.times(radius*0.12)), needle.times(radius-2), 2.2)
	s.fill(line, circlePath(xy{}, 3.5))
	s.textAt(xy{0, -0.45 * radius}, g.unit, 1.2*s.size, 0.5, 0.5)
	s.circle(hair, xy{}, radius+12+g.widest(s.size))
	return nil
}

// needle tapers from its root to a point.
func (s *sketch) needle(root, tip xy, width float64) {
	side := tip.minus(root).unit().turned().times(width / 2)
	path := polyline(root.plus(side), tip, root.minus(side))
	path.Close()
	s.fill(line, path)
}

// straight is a scale along a direction, at most room and at least least long where its divisions allow.
func (s *sketch) straight(g gauge, room, least float64, along xy) error {
	length := max(min(least, room), leastDivision*float64(g.count))
	if length > room {
		return fmt.Errorf("%d divisions do not fit on a straight scale: at most %.0f", g.count, room/leastDivision)
	}
	across := xy{along.y, -along.x} // numbers stand on this side: below, or to the right
	widest := g.widest(s.size)
	g.choose(length/float64(g.count), math.Abs(along.x)*(widest+14)+math.Abs(along.y)*2*s.size)
	s.line(line, xy{}, along.times(length))
	for i := range g.count + 1 {
		p := along.times(length * float64(i) / float64(g.count))
		s.line(g.pen(i), p, p.plus(across.times(g.tick(i))))
		if g.hasNumber(i) {
			s.textAt(p.plus(across.times(14)), g.number(i), s.size, (1-across.x)/2, 0.5+math.Abs(across.y)/2)
		}
	}
	pointer := along.times(length * g.share)
	back := pointer.minus(across.times(13))
	s.needle(back, pointer.plus(across.times(1)), 6)
	if along.x > 0 {
		s.textAt(xy{length, -32}, g.unit, s.size, 1, 0.5)
	} else {
		s.textAt(xy{14, length + 14}, g.unit, s.size, 0, 0.5)
	}
	low, high := xy{-16, -42}, xy{length + 16, 22}
	if along.y > 0 {
		low, high = xy{-24, -16}, xy{28 + widest, length + 26}
	}
	s.rect(hair, low, high)
	return nil
}
