package plot

import (
	"fmt"
	"strings"
	"testing"
)

// shape prints a tree of series (-) and parallel (|) parts and bridges (H: left upright, right upright, bar); a turned element has a stroke after it.
func (b *branch) shape() string {
	join := func(children []*branch, sign string) string {
		var parts []string
		for _, c := range children {
			parts = append(parts, c.shape())
		}
		return "(" + strings.Join(parts, sign) + ")"
	}
	switch {
	case b.series != nil:
		return join(b.series, "-")
	case b.parallel != nil:
		return join(b.parallel, "|")
	case b.bridge != nil:
		return "H" + join([]*branch{b.bridge.up, b.bridge.pv, b.bridge.uq, b.bridge.qv, b.bridge.bar}, " ")
	case b.flipped:
		return b.element.Name + "'"
	}
	return b.element.Name
}

func netlist(text string) (es []CircuitElement) {
	for _, line := range strings.Split(text, ";") {
		var e CircuitElement
		fmt.Sscan(line, &e.Name, &e.Kind, &e.Plus, &e.Minus)
		es = append(es, e)
	}
	return es
}

func TestReduce(t *testing.T) {
	for _, c := range []struct{ net, want string }{
		{"R1 resistor a 0", "R1"},
		{"R1 resistor a b; R2 resistor b 0", "(R1-R2)"},
		{"R1 resistor b a; R2 resistor b 0", "(R1'-R2)"},
		{"R1 resistor a b; R2 resistor b 0; R3 resistor 0 b", "(R1-(R2|R3'))"},
		{"R1 resistor a b; R2 resistor c b; B2 battery c 0; R3 resistor b 0", "(R1-((R2'-B2)|R3))"},
		{"A1 ammeter a b; R1 resistor b c; V1 voltmeter b c; R2 resistor c 0", "(A1-(R1|V1)-R2)"},
		{"R1 resistor a b; R2 resistor a c; R3 resistor b 0; R4 resistor c 0; R5 resistor b c", "H(R1 R3 R2 R4 R5)"},
		{"R5 resistor c b; R4 resistor 0 c; R3 resistor b 0; R2 resistor c a; R1 resistor a b", "H(R2' R4' R1 R3 R5)"},
		{"V1 voltmeter p q; R4 resistor q d; R3 resistor c q; R2 resistor p d; R1 resistor c p; A1 ammeter a c; L1 lamp d 0", "(A1-H(R1 R2 R3 R4 V1)-L1)"},
		{"L1 lamp d 0; A1 ammeter c a; R1 resistor d p; R2 resistor p c; R3 resistor d q; R4 resistor q c; V1 voltmeter p q", "(A1'-H(R2' R1' R4' R3' V1)-L1)"},
		{"R1 resistor a p; R6 resistor a p; R2 resistor p r; R7 resistor r 0; R3 resistor a q; R4 resistor q 0; V1 voltmeter p q", "H((R1|R6) (R2-R7) R3 R4 V1)"},
		{"R1 resistor a p; R2 resistor p 0; R3 resistor a q; R4 resistor q 0; R5 resistor p r; V1 voltmeter r q", "H(R1 R2 R3 R4 (R5-V1))"},
		{"R1 resistor a p; R2 resistor p 0; R3 resistor a q; R4 resistor q 0; R5 resistor p q; V1 voltmeter p q", ""},                                  // a bar of two
		{"R1 resistor a p; R2 resistor p 0; R3 resistor a q; R4 resistor q 0; R5 resistor a r; R6 resistor r 0; R7 resistor p q; R8 resistor q r", ""}, // two bars
		{"R1 resistor a b", ""}, // leads nowhere
	} {
		var edges []edge
		es := netlist(c.net)
		for i := range es {
			edges = append(edges, edge{es[i].Plus, es[i].Minus, &branch{element: &es[i]}})
		}
		got := ""
		if tree, ok := reduce(edges, "a", "0"); ok {
			got = tree.shape()
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.net, got, c.want)
		}
	}
}

func drawCircuit(t *testing.T, net string) *record {
	t.Helper()
	d, err := New(Figure{Kind: "circuit", Circuit: &Circuit{Elements: netlist(net)}})
	if err != nil {
		t.Fatal(err)
	}
	return draw(t, d)
}

func TestJunctions(t *testing.T) {
	for net, want := range map[string]int{
		"B1 battery a 0; R1 resistor a b; R2 resistor b 0":                                                                                                       0,
		"B1 battery a 0; R1 resistor a 0; R2 resistor a 0":                                                                                                       2,
		"B1 battery a 0; R1 resistor a b; R2 resistor b 0; V1 voltmeter b 0":                                                                                     2,
		"B1 battery a 0; B2 battery c 0; R1 resistor a b; R2 resistor c b; R3 resistor b 0":                                                                      2,
		"B1 battery a 0; R1 resistor a b; R2 resistor a c; R3 resistor b 0; R4 resistor c 0; R5 resistor b c":                                                    4,
		"B1 battery a 0; R1 resistor a p; R2 resistor p 0; R3 resistor a q; R4 resistor q 0; R5 resistor a r; R6 resistor r 0; R7 resistor p q; R8 resistor q r": 8,
		"B1 battery a 0; A1 ammeter a b; R1 resistor b c; V1 voltmeter b c; R2 resistor c 0; M1 motor c 0; L1 lamp c 0; R3 resistor c 0":                         8,
	} {
		dots := 0
		for _, f := range drawCircuit(t, net).fills {
			if len(f.pieces) > 20 {
				dots++
			}
		}
		if dots != want {
			t.Errorf("%s: %d junctions, want %d", net, dots, want)
		}
	}
}

// A battery's long line, its plus, is up where the netlist's plus is.
func TestPolarity(t *testing.T) {
	for net, plusUp := range map[string][]bool{
		"B1 battery a 0; R1 resistor a 0":                 {true},
		"B1 battery a 0; B2 battery b 0; R1 resistor a b": {true, true},
		"B1 battery a 0; B2 battery 0 b; R1 resistor a b": {true, false},
		"R1 resistor a 0; B1 battery a 0":                 {true},
		"B1 battery a 0; R1 resistor a 0; B2 battery 0 a": {true, false},
	} {
		r := drawCircuit(t, net)
		var long, short []segment
		for _, s := range r.strokes {
			p := s.pieces[0]
			if len(s.pieces) != 1 || p.a.y != p.b.y {
				continue
			}
			switch l := p.b.minus(p.a).length(); {
			case s.width == thick.width:
				short = append(short, p)
			case s.width == line.width && l > 17.9 && l < 18.1:
				long = append(long, p)
			}
		}
		if len(long) != len(plusUp) || len(short) != len(plusUp) {
			t.Fatalf("%s: %d long and %d short lines", net, len(long), len(short))
		}
		for i, up := range plusUp {
			if (long[i].a.y > short[i].a.y) != up {
				t.Errorf("%s: plus of battery %d up is %v", net, i+1, !up)
			}
		}
	}
}

func TestElementLabels(t *testing.T) {
	for _, c := range []struct {
		element CircuitElement
		want    string
	}{
		{CircuitElement{Name: "R1"}, "$R_{1}$"},
		{CircuitElement{Name: "R1", Text: "47 Ω"}, "$R_{1}$ = 47 Ω"},
		{CircuitElement{Name: "R1", Text: "R_lead = 0.4 Ω"}, `$R_{\mathrm{lead}}$ = 0.4 Ω`},
		{CircuitElement{Name: "B1", Text: "12 V, inside 0.4 Ω"}, "$B_{1}$ = 12 V\ninside 0.4 Ω"},
	} {
		if got := elementLabel(&c.element); got != c.want {
			t.Errorf("%+v: %q, want %q", c.element, got, c.want)
		}
	}
}
