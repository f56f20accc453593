package physics

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
)

// VoltmeterResistance is the resistance in Ω of a voltmeter for which none is given; an ammeter's is 0.
const VoltmeterResistance = 10e6

// Element is one element of a network, its values in coherent SI. Current is counted from Plus to Minus through it; a
// battery's is counted as it leaves at Plus.
type Element struct {
	Name           string
	Kind           string  // Resistor, Battery, Ammeter, Voltmeter, Motor or Lamp
	Plus, Minus    string  // node names; "0" is the reference
	Value          float64 // Ω for a resistor, V for a battery or a motor (its back-emf)
	HasValue       bool
	Inside         float64 // Ω, internal resistance of a battery, a motor or a meter
	HasInside      bool
	VTable, ITable []float64 // lamp: V and A, both rising from 0; the lamp conducts the same both ways
}

// Solution holds what the elements and nodes of a network carry: A, V and W by element, V by node. Power is what a battery
// delivers and what anything else takes up, so that the batteries' powers together equal all the others'.
type Solution struct {
	Current, Voltage, Power map[string]float64
	Potential               map[string]float64
}

// SolveNetwork finds currents, voltages, powers and potentials by modified nodal analysis (Ho, Ruehli and Brennan, IEEE
// Trans. Circuits Syst. 22 (1975) 504). Lamps are followed from segment to segment of their tables. It refuses, by name, a
// network without a node 0, a node that nothing connects to node 0, a loop of elements without resistance, a resistance
// below zero, and a lamp driven beyond its table.
func SolveNetwork(elements []Element) (*Solution, error) {
	c, err := newCircuit(elements)
	if err != nil {
		return nil, err
	}
	if err := c.connected(); err != nil {
		return nil, err
	}
	if err := c.noIdealLoop(); err != nil {
		return nil, err
	}
	x, err := c.operatingPoint()
	if err != nil {
		return nil, err
	}
	return c.read(x)
}

// circuit is a network made ready for its equations.
type circuit struct {
	elements []Element
	nodes    []string       // all but the reference
	index    map[string]int // of a node among the unknowns; -1 for the reference
	branch   []int          // of an element's current among the unknowns; -1 where it follows from the potentials
	unknowns int
	lamps    []*lamp // by element, nil for others
}

func newCircuit(elements []Element) (*circuit, error) {
	if len(elements) > maxElements {
		return nil, fmt.Errorf("a network holds at most %d elements, not %d", maxElements, len(elements))
	}
	c := &circuit{elements: elements, index: map[string]int{"0": -1}}
	c.branch, c.lamps = make([]int, len(elements)), make([]*lamp, len(elements))
	points := 0
	seen, grounded := map[string]bool{}, false
	for i, e := range elements {
		if seen[e.Name] {
			return nil, fmt.Errorf("two elements are called %s", e.Name)
		}
		seen[e.Name] = true
		if err := e.check(); err != nil {
			return nil, err
		}
		for _, n := range []string{e.Plus, e.Minus} {
			grounded = grounded || n == "0"
			if _, known := c.index[n]; !known {
				c.index[n] = len(c.nodes)
				c.nodes = append(c.nodes, n)
			}
		}
		if e.Kind == Lamp {
			if points += len(e.VTable); points > maxLampPoints {
				return nil, fmt.Errorf("lamp %s: the tables of a network's lamps hold at most %d points together", e.Name, maxLampPoints)
			}
			l, err := newLamp(e)
			if err != nil {
				return nil, err
			}
			c.lamps[i] = l
		}
	}
	if !grounded {
		return nil, fmt.Errorf("the network has no node 0: call one node 0, the reference of all potentials")
	}
	c.unknowns = len(c.nodes)
	for i, e := range elements {
		c.branch[i] = -1
		if e.emf() != 0 || e.ideal() {
			c.branch[i] = c.unknowns
			c.unknowns++
		}
	}
	return c, nil
}

func (e *Element) check() error {
	if !slices.Contains(elementKinds, e.Kind) {
		return fmt.Errorf("%s: %q is no kind of element", e.Name, e.Kind)
	}
	if e.Plus == e.Minus {
		return fmt.Errorf("%s has both ends at node %s", e.Name, e.Plus)
	}
	if needs := e.Kind == Resistor || e.Kind == Battery || e.Kind == Motor; needs && !e.HasValue {
		return fmt.Errorf("%s needs a value", e.Name)
	}
	if r := e.resistance(); !(r >= 0) || math.IsInf(r, 0) {
		return fmt.Errorf("%s: a resistance cannot be %g Ω", e.Name, r)
	}
	if math.IsNaN(e.Value) || math.IsInf(e.Value, 0) {
		return fmt.Errorf("%s: its value is not a number", e.Name)
	}
	return nil
}

// resistance is the element's own, in Ω; a lamp's is in its table.
func (e *Element) resistance() float64 {
	switch {
	case e.Kind == Resistor:
		return e.Value
	case e.Kind == Voltmeter && !e.HasInside:
		return VoltmeterResistance
	default:
		return e.Inside
	}
}

func (e *Element) emf() float64 {
	if e.Kind == Battery || e.Kind == Motor {
		return e.Value
	}
	return 0
}

// ideal elements fix a voltage whatever current flows.
func (e *Element) ideal() bool { return e.Kind != Lamp && e.resistance() == 0 }

// connected refuses nodes that no element joins, over any path, to node 0.
func (c *circuit) connected() error {
	var adrift []string
	ways := c.ways("0", func(Element) bool { return true })
	for _, n := range c.nodes {
		if ways[n] == nil {
			adrift = append(adrift, n)
		}
	}
	if adrift == nil {
		return nil
	}
	return fmt.Errorf("nothing connects %s to node 0, so the potential there is undefined", nodeList(adrift))
}

// noIdealLoop refuses loops of elements without resistance: the current round them is undefined, or without bound.
func (c *circuit) noIdealLoop() error {
	for i, e := range c.elements {
		if !e.ideal() {
			continue
		}
		earlier := map[string]bool{}
		for _, other := range c.elements[:i] {
			earlier[other.Name] = other.ideal()
		}
		if loop := c.ways(e.Minus, func(o Element) bool { return earlier[o.Name] })[e.Plus]; loop != nil {
			names := strings.Join(append(loop, e.Name), ", ")
			return fmt.Errorf("%s form a loop without resistance: the current round it has no limit; give one of them an inside resistance", names)
		}
	}
	return nil
}

// ways finds, for every node that can be reached from one over the elements that use allows, the names of those along a
// shortest way.
func (c *circuit) ways(from string, use func(Element) bool) map[string][]string {
	ways := map[string][]string{from: {}}
	for queue := []string{from}; len(queue) > 0; queue = queue[1:] {
		here := queue[0]
		for _, e := range c.elements {
			next := e.Plus
			if here == e.Plus {
				next = e.Minus
			} else if here != e.Minus {
				continue
			}
			if _, been := ways[next]; been || !use(e) {
				continue
			}
			ways[next] = append(slices.Clone(ways[here]), e.Name)
			queue = append(queue, next)
		}
	}
	return ways
}

func nodeList(names []string) string {
	if len(names) == 1 {
		return "node " + names[0]
	}
	return "nodes " + strings.Join(names, ", ")
}

// linear solves the network with every lamp on its present segment.
func (c *circuit) linear() (*mat.VecDense, error) {
	a, b := mat.NewDense(c.unknowns, c.unknowns, nil), mat.NewVecDense(c.unknowns, nil)
	add := func(row, col int, v float64) {
		if row >= 0 && col >= 0 {
			a.Set(row, col, a.At(row, col)+v)
		}
	}
	for i, e := range c.elements {
		p, m, k := c.index[e.Plus], c.index[e.Minus], c.branch[i]
		if k >= 0 { // unknown current from plus to minus: V+ - V- - r·I = emf
			r := e.resistance()
			add(p, k, 1)
			add(m, k, -1)
			add(k, p, 1)
			add(k, m, -1)
			add(k, k, -r)
			b.SetVec(k, e.emf())
			continue
		}
		g, offset := c.conductance(i)
		add(p, p, g)
		add(m, m, g)
		add(p, m, -g)
		add(m, p, -g)
		if p >= 0 {
			b.SetVec(p, b.AtVec(p)-offset)
		}
		if m >= 0 {
			b.SetVec(m, b.AtVec(m)+offset)
		}
	}
	x := mat.NewVecDense(c.unknowns, nil)
	if err := x.SolveVec(a, b); err != nil {
		return nil, c.tooFarApart()
	}
	return x, nil
}

// tooFarApart names the elements of the smallest resistance and of the largest, ideal ones apart: where these differ by too
// many powers of ten, what the equations give is rounding.
func (c *circuit) tooFarApart() error {
	least, most := "", ""
	low, high := math.Inf(1), 0.0
	for i, e := range c.elements {
		r := e.resistance()
		if c.lamps[i] != nil {
			g, _ := c.conductance(i)
			r = 1 / g
		}
		if r > 0 && r < low {
			low, least = r, e.Name
		}
		if r > high {
			high, most = r, e.Name
		}
	}
	if least == most {
		return fmt.Errorf("the values of the network are too large or too small for a solution to be trusted")
	}
	return fmt.Errorf("the resistances of %s (%.3g Ω) and %s (%.3g Ω) are too far apart for a solution to be trusted", least, low, most, high)
}

// conductance gives I = g·V + offset of an element whose current follows from its voltage.
func (c *circuit) conductance(i int) (g, offset float64) {
	if l := c.lamps[i]; l != nil {
		return l.chord()
	}
	return 1 / c.elements[i].resistance(), 0
}

func (c *circuit) voltage(x *mat.VecDense, i int) float64 {
	return c.potential(x, c.elements[i].Plus) - c.potential(x, c.elements[i].Minus)
}

func (c *circuit) potential(x *mat.VecDense, node string) float64 {
	if k := c.index[node]; k >= 0 {
		return x.AtVec(k)
	}
	return 0
}

// read turns the unknowns into the solution, and refuses a lamp beyond its table.
func (c *circuit) read(x *mat.VecDense) (*Solution, error) {
	s := &Solution{map[string]float64{}, map[string]float64{}, map[string]float64{}, map[string]float64{"0": 0}}
	for _, n := range c.nodes {
		s.Potential[n] = c.potential(x, n)
	}
	for i, e := range c.elements {
		v := c.voltage(x, i)
		var current float64
		if k := c.branch[i]; k >= 0 {
			current = x.AtVec(k)
		} else {
			g, offset := c.conductance(i)
			current = g*v + offset
		}
		if e.Kind == Battery {
			current = -current
		}
		if l := c.lamps[i]; l != nil {
			if err := within("voltage at lamp "+e.Name, math.Abs(v), 0, l.last(), "V", "its table"); err != nil {
				return nil, err
			}
		}
		s.Voltage[e.Name], s.Current[e.Name], s.Power[e.Name] = v, current, v*current
	}
	if !c.balanced(s) {
		return nil, c.tooFarApart()
	}
	return s, nil
}

// balanced proves that at every node as much current arrives as leaves, to a millionth of the largest or a tenth of a
// picoampere for each volt: where resistances are too far apart, rounding of the potentials is all that drives a current
// through the small ones.
func (c *circuit) balanced(s *Solution) bool {
	gathers, largest, volts := make([]float64, len(c.nodes)), 0.0, 0.0
	for _, e := range c.elements {
		i := s.Current[e.Name]
		if e.Kind == Battery {
			i = -i
		}
		largest, volts = max(largest, math.Abs(i)), max(volts, math.Abs(s.Potential[e.Plus]), math.Abs(s.Potential[e.Minus]))
		if p := c.index[e.Plus]; p >= 0 {
			gathers[p] -= i
		}
		if m := c.index[e.Minus]; m >= 0 {
			gathers[m] += i
		}
	}
	return !slices.ContainsFunc(gathers, func(sum float64) bool { return !(math.Abs(sum) <= 1e-6*largest+1e-13*volts) })
}
