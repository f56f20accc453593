package physics

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
)

// lamp is a two-pole given by a table of voltages and currents, straight between its points and odd about 0.
type lamp struct {
	v, i    []float64 // rising, mirrored about 0
	segment int       // the lamp is taken to be between points segment and segment+1
}

func newLamp(e Element) (*lamp, error) {
	if len(e.VTable) != len(e.ITable) || len(e.VTable) < 2 {
		return nil, fmt.Errorf("lamp %s: its table needs as many currents as voltages, two or more; it has %d and %d", e.Name, len(e.ITable), len(e.VTable))
	}
	v, i := e.VTable, e.ITable
	if v[0] == 0 && i[0] == 0 {
		v, i = v[1:], i[1:]
	}
	l := &lamp{v: []float64{0}, i: []float64{0}}
	for k := range v {
		if !(v[k] > l.v[k]) || !(i[k] > l.i[k]) || math.IsInf(v[k]+i[k], 0) {
			return nil, fmt.Errorf("lamp %s: voltages and currents must rise from 0 together, but point %d is %g V, %g A after %g V, %g A", e.Name, k+1, v[k], i[k], l.v[k], l.i[k])
		}
		l.v, l.i = append(l.v, v[k]), append(l.i, i[k])
	}
	l.v, l.i = mirrored(l.v), mirrored(l.i)
	l.segment = len(v)
	return l, nil
}

// mirrored puts the negatives of all but the first before xs, in rising order.
func mirrored(xs []float64) []float64 {
	var all []float64
	for _, x := range slices.Backward(xs[1:]) {
		all = append(all, -x)
	}
	return append(all, xs...)
}

func (l *lamp) last() float64 { return l.v[len(l.v)-1] }

// chord gives the present segment as I = g·V + offset.
func (l *lamp) chord() (g, offset float64) {
	k := l.segment
	g = (l.i[k+1] - l.i[k]) / (l.v[k+1] - l.v[k])
	return g, l.i[k] - g*l.v[k]
}

// reach is the share of the way from a to b, 0 to 1, that stays on the present segment; the outer segments have no end.
func (l *lamp) reach(a, b float64) float64 {
	edge := l.v[l.segment+1]
	if b < a {
		edge = l.v[l.segment]
	}
	if (b-edge)*(b-a) <= 0 || b < a && l.segment == 0 || b > a && l.segment == len(l.v)-2 {
		return 1
	}
	return (edge - a) / (b - a)
}

// operatingPoint walks from rest towards the solution of the present segments and turns to the next segment wherever a
// lamp comes to the end of its own (Katzenelson, Bell Syst. Tech. J. 44 (1965) 1605). Rising tables have one solution, and
// the walk reaches it in a finite number of steps.
func (c *circuit) operatingPoint() (*mat.VecDense, error) {
	points := 1
	for _, l := range c.lamps {
		if l != nil {
			points += len(l.v)
		}
	}
	at := make([]float64, len(c.elements)) // voltage of each lamp on the way
	for range 10 * points * points {
		x, err := c.linear()
		if err != nil {
			return nil, err
		}
		share := 1.0
		for i, l := range c.lamps {
			if l != nil {
				share = min(share, l.reach(at[i], c.voltage(x, i)))
			}
		}
		if share == 1 {
			return x, nil
		}
		for i, l := range c.lamps {
			if l == nil {
				continue
			}
			goal := c.voltage(x, i)
			if l.reach(at[i], goal) == share {
				if goal > at[i] {
					l.segment++
				} else {
					l.segment--
				}
			}
			at[i] += share * (goal - at[i])
		}
	}
	var names []string
	for i, l := range c.lamps {
		if l != nil {
			names = append(names, c.elements[i].Name)
		}
	}
	return nil, fmt.Errorf("no voltage was found at which the lamps of the network settle: look at the tables of %s", strings.Join(names, ", "))
}
