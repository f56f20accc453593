package labs

import (
	"errors"
	"fmt"

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

// NetworkPart holds the formulas of one line of a netlist; nil where the line has none.
type NetworkPart struct{ Value, Inside, VTable, ITable *Formula }

// formulas gives the formulas of the part.
func (p NetworkPart) formulas() []*Formula {
	var all []*Formula
	for _, f := range []*Formula{p.Value, p.Inside, p.VTable, p.ITable} {
		if f != nil {
			all = append(all, f)
		}
	}
	return all
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
	lines, err := physics.ParseNetlist(b.text)
	if err != nil {
		p := b.place
		var fault *physics.NetlistError
		if errors.As(err, &fault) {
			p = b.at(fault.Line, fault.Col)
		}
		r.formula(p, err)
		return nil
	}
	n.Lines = lines
	r.lab.networks[id] = n
	nodes := map[string]bool{}
	for _, line := range lines {
		part := func(source string, col int) *Formula {
			if source == "" {
				return nil
			}
			s := scalar{text: source, at: func(offset int) Place { return b.at(line.Line, col+offset) }}
			if e := r.parse(s); e != nil {
				return &Formula{Expr: e, Place: s.place()}
			}
			r.broken[id] = true
			return nil
		}
		n.Parts = append(n.Parts, NetworkPart{
			part(line.Value, line.ValueCol), part(line.Inside, line.InsideCol),
			part(line.VTable, line.VTableCol), part(line.ITable, line.ITableCol),
		})
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
		for _, f := range part.formulas() {
			n.names = append(n.names, f.Expr.Names()...)
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

// checkNetwork compiles the formulas of a network. It holds values only: an answer is not known before the pupil begins.
func (r *reader) checkNetwork(n *Network) {
	volts := pseudoDims["voltage"]
	s := scope{Lab: r.lab, refuse: func(name string) string {
		if e := r.lab.names[name]; e.question != nil || e.pseudo != nil {
			return fmt.Sprintf("a network is made of values; %s is not one", name)
		}
		return ""
	}}
	for i, part := range n.Parts {
		value := volts
		if n.Lines[i].Kind == physics.Resistor {
			value = resistanceDim
		}
		ok := r.numeric(part.Value, s, quantity.Number, value)
		ok = r.numeric(part.Inside, s, quantity.Number, resistanceDim) && ok
		ok = r.numeric(part.VTable, s, quantity.Column, volts) && ok
		ok = r.numeric(part.ITable, s, quantity.Column, pseudoDims["current"]) && ok
		if !ok {
			r.broken[n.ID] = true
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
	t := f.Run.Type()
	switch {
	case t.Kind != kind && kind == quantity.Column:
		r.formula(f.Place, fmt.Errorf("a column is needed here"))
	case t.Kind != kind:
		r.formula(f.Place, fmt.Errorf("one number is needed here"))
	case t.Dim != dim:
		r.formula(f.Place, fmt.Errorf("this is in %s, but %s is needed", t.Dim, dim))
	default:
		return true
	}
	return false
}

// Elements gives the elements of a network with their values on the frame, in coherent SI.
func (n *Network) Elements(f Frame) ([]physics.Element, error) {
	elements := make([]physics.Element, len(n.Lines))
	for i, line := range n.Lines {
		e := physics.Element{Name: line.Name, Kind: line.Kind, Plus: line.Plus, Minus: line.Minus}
		part := n.Parts[i]
		values := make([]quantity.Value, 4)
		for k, f1 := range []*Formula{part.Value, part.Inside, part.VTable, part.ITable} {
			if f1 == nil {
				continue
			}
			var err error
			if values[k], err = f1.Run.Eval(f); err != nil {
				return nil, fmt.Errorf("network %s, %s: %w", n.ID, line.Name, err)
			}
		}
		e.Value, e.HasValue = values[0].X, part.Value != nil
		e.Inside, e.HasInside = values[1].X, part.Inside != nil
		e.VTable, e.ITable = values[2].Col, values[3].Col
		elements[i] = e
	}
	return elements, nil
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
