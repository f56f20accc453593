package labs

import (
	"errors"
	"fmt"
	"strings"

	"keelmark/labs/formula"
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// Network is a netlist whose values are formulas.
type Network struct {
	ID    string
	Lines []physics.NetlistLine
	Parts []NetworkPart // by line
	Place Place

	names  []string // every declared name that the formulas use
	pseudo []*pseudo
}

// NetworkPart holds the formulas of one line of a netlist: value, inside, and a lamp's two columns; nil where the line has
// none.
type NetworkPart [4]*Formula

// Places in a NetworkPart.
const (
	partValue = iota
	partInside
	partVTable
	partITable
)

// Value is what the element is: volts of a battery or motor, ohms of a resistor; nil when not given.
func (p NetworkPart) Value() *Formula { return p[partValue] }

// Inside is the resistance inside the element; nil when not given.
func (p NetworkPart) Inside() *Formula { return p[partInside] }

// partSources are the formulas of a line, in the order of a NetworkPart, with the columns at which they start.
func partSources(l physics.NetlistLine) (sources [4]string, cols [4]int) {
	return [4]string{l.Value, l.Inside, l.VTable, l.ITable}, [4]int{l.ValueCol, l.InsideCol, l.VTableCol, l.ITableCol}
}

// partType is what formula k of an element of that kind must give.
func partType(element string, k int) (quantity.Kind, quantity.Dim) {
	switch {
	case k == partVTable:
		return quantity.Column, pseudoDims["voltage"]
	case k == partITable:
		return quantity.Column, pseudoDims["current"]
	case k == partValue && element != physics.Resistor:
		return quantity.Number, pseudoDims["voltage"]
	}
	return quantity.Number, resistanceDim
}

// pseudo is a name of the frame that is neither value nor answer: what an element or node of a network carries, or the
// standard uncertainty of a value or answer.
type pseudo struct {
	kind    string // current, voltage, power, potential; u
	network *Network
	part    string // element or node
	target  string // of u
	slot    int
}

var pseudoDims = map[string]quantity.Dim{
	"current":   quantity.Base(0, 0, 0, 1),
	"voltage":   quantity.Base(2, 1, -3, -1),
	"potential": quantity.Base(2, 1, -3, -1),
	"power":     quantity.Base(2, 1, -3),
}

var resistanceDim = quantity.Base(2, 1, -3, -2)

// typ is the type of the name; an uncertainty is a difference, even that of a temperature.
func (p *pseudo) typ(l *Lab) quantity.Type {
	if p.network != nil {
		return quantity.Type{Dim: pseudoDims[p.kind]}
	}
	t, _, _ := l.Lookup(p.target)
	return quantity.Type{Dim: t.Dim}
}

// network reads a network block. The names it gives are declared at once, so that formulas anywhere may use them.
func (r *reader) network(id string, b body) *Network {
	n := &Network{ID: id, Place: b.place}
	if !formula.IsName(id) {
		r.at(b.place, "a network needs an id, such as ```network N")
		return nil
	}
	if r.lab.networks[id] != nil {
		r.at(b.place, "there is another network %s", id)
		return nil
	}
	if len(r.lab.networks) >= maxNetworks {
		r.tooMany(b.place, maxNetworks, "networks")
		return nil
	}
	lines, err := physics.ParseNetlist(b.text)
	if err != nil {
		p := b.place
		var fault *physics.NetlistError
		if errors.As(err, &fault) {
			p = b.at(fault.Line, fault.Col)
		}
		r.formula(p, err)
		r.broken[id] = true
		return nil
	}
	n.Lines = lines
	r.lab.networks[id] = n
	nodes := map[string]bool{}
	for _, line := range lines {
		var part NetworkPart
		sources, cols := partSources(line)
		for k, source := range sources {
			if source == "" {
				continue
			}
			s := scalar{text: source, at: func(offset int) Place { return b.at(line.Line, cols[k]+offset) }}
			if part[k] = r.formulaAt(s); part[k] == nil {
				r.broken[id] = true
			}
		}
		n.Parts = append(n.Parts, part)
		for _, kind := range []string{"current", "voltage", "power"} {
			r.declarePseudo(&pseudo{kind: kind, network: n, part: line.Name})
		}
		for _, node := range []string{line.Plus, line.Minus} {
			if !nodes[node] {
				nodes[node] = true
				r.declarePseudo(&pseudo{kind: "potential", network: n, part: node})
			}
		}
	}
	n.names = []string{id}
	for _, part := range n.Parts {
		for _, f := range part {
			if f != nil {
				n.names = append(n.names, f.Expr.Names()...)
			}
		}
	}
	return n
}

func (r *reader) declarePseudo(p *pseudo) {
	name := "u(" + p.target + ")"
	if p.network != nil {
		name = fmt.Sprintf("%s(%s.%s)", p.kind, p.network.ID, p.part)
		p.network.pseudo = append(p.network.pseudo, p)
	}
	p.slot = r.lab.size
	r.lab.size++
	r.lab.names[name] = entry{slot: p.slot, pseudo: p}
}

// networkOf is the network in a name such as current(N.R1), "" in any other.
func networkOf(name string) string {
	_, inside, _ := strings.Cut(name, "(")
	id, _, found := strings.Cut(inside, ".")
	if !found {
		return "" // u(F), or no brackets at all
	}
	return id
}

// checkNetwork compiles the formulas of a network. It holds values only: an answer is not known before the pupil begins.
func (r *reader) checkNetwork(n *Network) {
	s := scope{Lab: r.lab, refuse: func(name string) string {
		if e := r.lab.names[name]; e.question != nil || e.pseudo != nil {
			return fmt.Sprintf("a network is made of values; %s is not one", name)
		}
		return ""
	}}
	for i, part := range n.Parts {
		for k, f := range part {
			kind, dim := partType(n.Lines[i].Kind, k)
			if !r.numeric(f, s, kind, dim) {
				r.broken[n.ID] = true
			}
		}
	}
}

// numeric compiles a formula that must give a number or a column of one dimension; nil is well.
func (r *reader) numeric(f *Formula, s scope, kind quantity.Kind, dim quantity.Dim) bool {
	if f == nil {
		return true
	}
	if f.Run = r.compile(f.Expr, s, false); f.Run == nil {
		return false
	}
	if err := mustBe(f.Run.Type(), kind, dim); err != nil {
		r.formula(f.Place, err)
		return false
	}
	return true
}

// mustBe says what is wrong with a type where one of a kind and dimension is needed.
func mustBe(t quantity.Type, kind quantity.Kind, dim quantity.Dim) error {
	switch {
	case t.Kind != kind && kind == quantity.Column:
		return fmt.Errorf("a column is needed here")
	case t.Kind != kind:
		return fmt.Errorf("one number is needed here")
	case t.Dim != dim:
		return fmt.Errorf("this is in %s, but %s is needed", t.Dim, dim)
	}
	return nil
}

// Elements gives the elements of a network with their values on the frame, in coherent SI.
func (n *Network) Elements(f Frame) ([]physics.Element, error) {
	elements := make([]physics.Element, len(n.Lines))
	for i, line := range n.Lines {
		values := make([]quantity.Value, len(n.Parts[i]))
		for k, f1 := range n.Parts[i] {
			if f1 == nil {
				continue
			}
			var err error
			if values[k], err = f1.Run.Eval(f); err != nil {
				return nil, fmt.Errorf("network %s, %s: %w", n.ID, line.Name, err)
			}
		}
		elements[i] = element(line, values)
	}
	return elements, nil
}

// element is a line of a netlist with the values of its formulas, in coherent SI.
func element(line physics.NetlistLine, values []quantity.Value) physics.Element {
	return physics.Element{
		Name: line.Name, Kind: line.Kind, Plus: line.Plus, Minus: line.Minus,
		Value: values[partValue].X, HasValue: line.Value != "",
		Inside: values[partInside].X, HasInside: line.Inside != "",
		VTable: values[partVTable].Col, ITable: values[partITable].Col,
	}
}

// solve puts what the network carries into the frame.
func (n *Network) solve(f Frame) error {
	elements, err := n.Elements(f)
	if err != nil {
		return err
	}
	s, err := physics.SolveNetwork(elements)
	if err != nil {
		return fmt.Errorf("network %s: %w", n.ID, err)
	}
	tables := map[string]map[string]float64{"current": s.Current, "voltage": s.Voltage, "power": s.Power, "potential": s.Potential}
	for _, p := range n.pseudo {
		f[p.slot].X = tables[p.kind][p.part]
	}
	return nil
}
