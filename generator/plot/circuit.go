package plot

import (
	"fmt"
	"slices"
	"strings"
)

// Circuit is the netlist of a circuit diagram.
type Circuit struct {
	Elements []CircuitElement
}

// CircuitElement is one element: kind resistor, battery, ammeter, voltmeter, motor or lamp, between two nodes, with the
// text printed beside it: its value ("47 Ω"), or with a symbol of its own ("R_1 = 47 Ω"); its name alone when empty.
type CircuitElement struct{ Name, Kind, Plus, Minus, Text string }

// branch is a part of a circuit between two nodes: one element, parts in series, parts in parallel, or a bridge.
type branch struct {
	element  *CircuitElement
	flipped  bool // the element's plus is at the far end
	series   []*branch
	parallel []*branch
	bridge   *bridge
}

// turned is the branch seen from its other end.
func (b *branch) turned() *branch {
	out := &branch{element: b.element, flipped: !b.flipped}
	for i := len(b.series) - 1; i >= 0; i-- {
		out.series = append(out.series, b.series[i].turned())
	}
	for _, c := range b.parallel {
		out.parallel = append(out.parallel, c.turned())
	}
	if b.bridge != nil {
		out.bridge = b.bridge.turned()
	}
	return out
}

// inSeries and inParallel join two branches, without nesting like in like.
func inSeries(a, b *branch) *branch {
	return &branch{series: append(flat(a, a.series), flat(b, b.series)...)}
}

func inParallel(a, b *branch) *branch {
	return &branch{parallel: append(flat(a, a.parallel), flat(b, b.parallel)...)}
}

func flat(b *branch, children []*branch) []*branch {
	if children == nil {
		return []*branch{b}
	}
	return append([]*branch(nil), children...)
}

// edge is a branch between two named nodes.
type edge struct {
	from, to string
	branch   *branch
}

// seenFrom is the edge with the node given at its near end.
func (e edge) seenFrom(node string) edge {
	if e.from == node {
		return e
	}
	return edge{e.to, e.from, e.branch.turned()}
}

// reduce joins edges in series, in parallel and in bridges until one is left between the two nodes; ok is false for
// circuits that are not made of these alone.
func reduce(edges []edge, from, to string) (tree *branch, ok bool) {
	edges = append([]edge(nil), edges...)
	for joinParallel(&edges) || joinSeries(&edges, from, to) || joinBridge(&edges, from, to) {
	}
	if len(edges) != 1 {
		return nil, false
	}
	e := edges[0].seenFrom(from)
	return e.branch, e.from == from && e.to == to
}

func joinParallel(edges *[]edge) bool {
	for i, a := range *edges {
		for j := i + 1; j < len(*edges); j++ {
			if b := (*edges)[j].seenFrom(a.from); b.from == a.from && b.to == a.to {
				(*edges)[i].branch = inParallel(a.branch, b.branch)
				*edges = append((*edges)[:j], (*edges)[j+1:]...)
				return true
			}
		}
	}
	return false
}

func joinSeries(edges *[]edge, from, to string) bool {
	meeting := map[string][]int{}
	for i, e := range *edges {
		meeting[e.from] = append(meeting[e.from], i)
		meeting[e.to] = append(meeting[e.to], i)
	}
	for _, e := range *edges { // in the order of the netlist, so that the diagram is always the same
		for _, node := range []string{e.from, e.to} {
			at := meeting[node]
			if node == from || node == to || len(at) != 2 || at[0] == at[1] {
				continue
			}
			first, second := (*edges)[at[0]], (*edges)[at[1]].seenFrom(node)
			if first.to != node {
				first = edge{first.to, first.from, first.branch.turned()}
			}
			(*edges)[at[0]] = edge{first.from, second.to, inSeries(first.branch, second.branch)}
			*edges = append((*edges)[:at[1]], (*edges)[at[1]+1:]...)
			return true
		}
	}
	return false
}

// circuit draws a netlist: the first battery upright at the left, the rest to its right as the tree of series and
// parallel parts and bridges that it is; any other network as elements between horizontal rails, a rail a node.
func circuit(s *sketch, f *Figure) (string, error) {
	if f.Circuit == nil || len(f.Circuit.Elements) == 0 {
		return "", fmt.Errorf("the network is missing or has no elements")
	}
	elements := slices.Clone(f.Circuit.Elements)
	first := 0
	var edges []edge
	var names []string
	for i := range elements {
		e := &elements[i]
		if _, ok := symbols[e.Kind]; !ok {
			return "", fmt.Errorf("element %s: no symbol for the kind %q", e.Name, e.Kind)
		}
		if f.bare() {
			e.Text = ""
		}
		if e.Plus == e.Minus {
			return "", fmt.Errorf("element %s has both ends at node %s", e.Name, e.Plus)
		}
		if e.Kind == "battery" && elements[first].Kind != "battery" {
			first = i
		}
		edges = append(edges, edge{e.Plus, e.Minus, &branch{element: e}})
		names = append(names, e.Kind+" "+e.Name+" from "+e.Plus+" to "+e.Minus)
	}
	source := edges[first]
	rest := append(append([]edge(nil), edges[:first]...), edges[first+1:]...)
	d := &diagram{sketch: s}
	if tree, ok := reduce(rest, source.from, source.to); ok {
		d.loop(source.branch, tree)
	} else {
		d.rails(edges, source)
	}
	d.junctions()
	return "Circuit diagram: " + strings.Join(names, ", ") + ".", nil
}
