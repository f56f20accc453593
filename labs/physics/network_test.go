package physics

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// network reads a netlist whose values are plain numbers with a unit, all in coherent SI.
func network(t *testing.T, text string) []Element {
	t.Helper()
	lines, err := ParseNetlist(text)
	if err != nil {
		t.Fatal(err)
	}
	number := func(s string) float64 {
		first, _, _ := strings.Cut(s, " ")
		x, err := strconv.ParseFloat(first, 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	column := func(s string) (xs []float64) {
		list, _, _ := strings.Cut(strings.TrimPrefix(s, "["), "]")
		for part := range strings.SplitSeq(list, ", ") {
			xs = append(xs, number(part))
		}
		return xs
	}
	var out []Element
	for _, l := range lines {
		e := Element{Name: l.Name, Kind: l.Kind, Plus: l.Plus, Minus: l.Minus}
		if e.HasValue = l.Value != ""; e.HasValue {
			e.Value = number(l.Value)
		}
		if e.HasInside = l.Inside != ""; e.HasInside {
			e.Inside = number(l.Inside)
		}
		if l.VTable != "" {
			e.VTable, e.ITable = column(l.VTable), column(l.ITable)
		}
		out = append(out, e)
	}
	return out
}

// Networks of the literature.
const (
	seriesThree = "B: battery a 0 12.0 V\nR1: resistor a b 1.00 ohm\nR2: resistor b c 6.00 ohm\nR3: resistor c 0 13.0 ohm"
	mixed       = "B: battery a 0 12.0 V\nR1: resistor a b 1.00 ohm\nR2: resistor b 0 6.00 ohm\nR3: resistor b 0 13.0 ohm"
	powers      = "B: battery a 0 36 V\nR1: resistor a b 20 ohm\nR2: resistor a b 20 ohm\nR3: resistor a b 10 ohm\nR4: resistor b 0 4 ohm"
	fourTens    = "B: battery a 0 50 V\nR1: resistor a b 10.00 ohm\nR2: resistor b c 10.00 ohm\nR3: resistor c 0 10.00 ohm\nR4: resistor c 0 10.00 ohm"
	branches    = "B: battery a 0 12 V\nL: resistor a 0 45 ohm\nM: resistor a 0 60 ohm\nR: resistor a 0 30 ohm"
	dim         = "B: battery a 0 120 V, inside 0.400 ohm\nL: resistor a 0 192 ohm\nM: resistor a 0 7.913232104121475 ohm"
	dimmer      = "B: battery a 0 120 V, inside 0.800 ohm\nL: resistor a 0 192 ohm\nM: resistor a 0 7.480519480519481 ohm"
	headlight   = "B: battery a 0 12.0 V\nL: resistor a b 4.8 ohm\nS: resistor b 0 0.06 ohm"
	five        = "B: battery a 0 9 V\nR1: resistor a b 20 ohm\nR2: resistor b c 20 ohm\nR3: resistor c d 20 ohm\nR4: resistor d e 20 ohm\nR5: resistor e 0 10 ohm"
	three       = "B: battery a 0 3 V\nR1: resistor a 0 10 ohm\nR2: resistor a 0 25 ohm\nR3: resistor a 0 15 ohm"
	watch       = "B: battery a 0 3.0000 V, inside 2.00 ohm\nR: resistor a 0 9998 ohm"
	cold        = "B: battery a 0 12.0 V\nL: resistor a 0 0.350 ohm"
	// R1 and R4, R2, R5 and R6, and R3 each carry one of three currents that meet at p.
	loops   = "V1: battery x 0 0.5 V\nR14: resistor x p 3 ohm\nV3: battery y 0 2.30 V\nR256: resistor y p 8 ohm\nR3: resistor p z 1 ohm\nV2: battery 0 z 0.6 V"
	weak    = "B: battery a 0 12.0 V, inside 0.500 ohm\nR: resistor a 0 0.500 ohm"
	good10  = "B: battery a 0 12.0 V, inside 0.100 ohm\nR: resistor a 0 10.0 ohm"
	good05  = "B: battery a 0 12.0 V, inside 0.100 ohm\nR: resistor a 0 0.500 ohm"
	starter = "B: battery a 0 12.0 V, inside 0.0100 ohm\nM: motor a 0 0 V, inside 0.0500 ohm"
	torch   = "B: battery a 0 1.58 V, inside 0.100 ohm\nL: resistor a 0 2.30 ohm"
	charger = "C: battery a 0 15.0 V\nB: battery a 0 12.0 V, inside 0.375 ohm"
)

func TestPublishedNetworks(t *testing.T) {
	for _, c := range []struct {
		id, source, net, what string
		want                  float64
		printed               string
	}{
		{"D01 I", cp + "Ex. 21.1", seriesThree, "current R2", 0.6, "0.600"},
		{"D01 P2", cp + "Ex. 21.1", seriesThree, "power R2", 2.16, "2.16"},
		{"D01 P", cp + "Ex. 21.1", seriesThree, "power B", 7.2, "7.20"},
		{"D02 I", cp + "Ex. 21.3", mixed, "current R1", 2.3505154639175254, "2.35"},
		{"D02 I2", cp + "Ex. 21.3", mixed, "current R2", 1.6082474226804127, "1.61"},
		{"D02 P2", cp + "Ex. 21.3", mixed, "power R2", 15.51875863534914, "15.5"},
		{"D03 P20", cp + "21.1", powers, "power R1", 20, "20"},
		{"D03 P10", cp + "21.1", powers, "power R3", 40, "40"},
		{"D03 P4", cp + "21.1", powers, "power R4", 64, "64"},
		{"D03 P", cp + "21.1", powers, "power B", 144, "144"},
		{"D06 I", up2 + "Ex. 10.5", fourTens, "current B", 2, "2.00"},
		{"D06 P", up2 + "Ex. 10.5", fourTens, "power B", 100, "100.00"},
		{"D04 I", hsp + "19.3", three, "current B", 0.62, "0.62"},
		{"D05 I", up2 + "Ex. 10.2", five, "current R3", 0.1, "0.1"},
		{"D05 P", up2 + "Ex. 10.2", five, "power B", 0.9, "0.9"},
		{"D07 left", hsp + "19.4", branches, "power L", 3.2, "3.2"},
		{"D07 middle", hsp + "19.4", branches, "power M", 2.4, "2.4"},
		{"D07 right", hsp + "19.4", branches, "power R", 4.8, "4.8"},
		{"D07 I", hsp + "19.4", branches, "current B", 0.8666666666666667, "0.87"},
		{"D08 bulb", cp + "21.1", dim, "power L", 67.6875, "67.7"},
		{"D08 motor", cp + "21.1", dim, "power M", 1642.3125, "1.64e3"},
		{"D13", cp + "21.1", headlight, "power B", 29.629629629629633, "29.6"},
		{"D14 bulb", up2 + "10.2", dimmer, "power L", 60.75, "60.8"},
		{"D14 motor", up2 + "10.2", dimmer, "power M", 1559.25, "1.56e3"},
		{"D16 I10", cp + "Ex. 21.4", good10, "current R", 1.188118811881188, "1.188"},
		{"D16 V10", cp + "Ex. 21.4", good10, "voltage B", 11.881188118811881, "11.9"},
		{"D16 V0.5", cp + "Ex. 21.4", good05, "voltage R", 10, "10.0"},
		{"D16 P0.5", up2 + "Ex. 10.1", good05, "power R", 200, "2.00e2"},
		{"D17 I", cp + "21.2", starter, "current M", 200, "200"},
		{"D17 V", cp + "21.2", starter, "voltage M", 10, "10.0"},
		{"D17 P", cp + "21.2", starter, "power M", 2000, "2.00e3"},
		{"D18 I", cp + "21.2", torch, "current L", 0.6583333333333334, "0.658"},
		{"D18 P", cp + "21.2", torch, "power L", 0.9968263888888891, "0.997"},
		{"D19", cp + "21.2", watch, "voltage R", 2.9994, "2.9994"},
		{"D21 I1", up2 + "Ex. 10.6", loops, "current R14", 0.2, "0.20"},
		{"D21 I2", up2 + "Ex. 10.6", loops, "current R256", 0.3, "0.30"},
		{"D21 I3", up2 + "Ex. 10.6", loops, "current R3", 0.5, "0.50"},
		{"D21 V2 delivers", up2 + "Ex. 10.6", loops, "power V2", 0.3, ""},
		{"D22 I", cp + "Ex. 21.4", weak, "current R", 12, "12.0"},
		{"D22 V", cp + "Ex. 21.4", weak, "voltage R", 6, "6.00"},
		{"D22 P", cp + "Ex. 21.4", weak, "power R", 72, "72.0"},
		{"D23 I", cp + "21.2 charging", charger, "current B", -8, "-8.00"},
		{"D30 P", cp + "Ex. 20.7", cold, "power L", 411.42857142857144, "411"},
		{"D30 I", cp + "Ex. 20.7", cold, "current L", 34.285714285714285, "34.3"},
	} {
		t.Run(c.id+" "+c.source, func(t *testing.T) {
			s, err := SolveNetwork(network(t, c.net))
			if err != nil {
				t.Fatal(err)
			}
			agree(t, s.of(c.what), c.want, c.printed, 0)
		})
	}
}

func (s *Solution) of(what string) float64 {
	kind, name, _ := strings.Cut(what, " ")
	return map[string]map[string]float64{"current": s.Current, "voltage": s.Voltage, "power": s.Power, "potential": s.Potential}[kind][name]
}

func TestMetersBarelyDisturb(t *testing.T) {
	s, err := SolveNetwork(network(t, "B: battery a 0 9 V\nA: ammeter a b\nR: resistor b 0 90 ohm\nV: voltmeter b 0"))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(s.Current["A"]-0.1-9/VoltmeterResistance) > 1e-12 || s.Voltage["A"] != 0 || math.Abs(s.Voltage["V"]-9) > 1e-12 {
		t.Errorf("ammeter %v A, voltmeter %v V", s.Current["A"], s.Voltage["V"])
	}
}

func TestRunningMotor(t *testing.T) {
	s, err := SolveNetwork(network(t, "B: battery a 0 12 V, inside 0.5 ohm\nM: motor a 0 2.4 V, inside 1.5 ohm"))
	if err != nil {
		t.Fatal(err)
	}
	// (12 - 2.4)/(0.5 + 1.5) by hand.
	if math.Abs(s.Current["M"]-4.8) > 1e-12 || math.Abs(s.Power["M"]-s.Power["B"]) > 1e-12 {
		t.Errorf("motor takes %v A, %v W; battery gives %v W", s.Current["M"], s.Power["M"], s.Power["B"])
	}
}

func TestLampsSettleOnTheirTables(t *testing.T) {
	// By hand: on the segment from (1 V, 0.2 A) to (3 V, 0.4 A), I = 0.1 + 0.1·V; with 3 V = V + 5·I, V = 2.5/1.5.
	s, err := SolveNetwork(network(t, "B: battery a 0 3 V\nR: resistor a b 5 ohm\nL: lamp b 0 [0, 1, 3] V [0, 0.2, 0.4] A"))
	if err != nil {
		t.Fatal(err)
	}
	if want := 2.5 / 1.5; math.Abs(s.Voltage["L"]-want) > 1e-12 || math.Abs(s.Current["L"]-(0.1+0.1*want)) > 1e-12 {
		t.Errorf("lamp at %v V, %v A", s.Voltage["L"], s.Current["L"])
	}
	// The lamp conducts the same both ways.
	s, err = SolveNetwork(network(t, "B: battery 0 a 3 V\nR: resistor a b 5 ohm\nL: lamp b 0 [1, 3] V [0.2, 0.4] A"))
	if err != nil || math.Abs(s.Voltage["L"]+2.5/1.5) > 1e-12 {
		t.Errorf("reversed lamp at %v V, %v", s.Voltage["L"], err)
	}
}

// Tellegen's theorem, and Kirchhoff's at every node: on any network whatever.
func TestTellegen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		elements := drawNetwork(t)
		s, err := SolveNetwork(elements)
		if err != nil {
			t.Fatalf("%v: %v", elements, err)
		}
		var given, taken, size float64
		into := map[string]float64{}
		largest := 0.0
		for _, e := range elements {
			i := s.Current[e.Name]
			largest = max(largest, math.Abs(i))
			if e.Kind == Battery {
				given += s.Power[e.Name]
				i = -i
			} else {
				taken += s.Power[e.Name]
			}
			size += math.Abs(s.Power[e.Name])
			into[e.Plus] -= i
			into[e.Minus] += i
		}
		if math.Abs(given-taken) > 1e-9*size+1e-12 {
			t.Fatalf("batteries give %g W, the rest takes %g W: %+v", given, taken, elements)
		}
		for node, sum := range into {
			if math.Abs(sum) > 1e-9*largest+1e-12 {
				t.Fatalf("node %s gathers %g A: %+v", node, sum, elements)
			}
		}
	})
}

// drawNetwork draws a chain of resistors that joins all nodes and any elements across it.
func drawNetwork(t *rapid.T) []Element {
	nodes := rapid.IntRange(2, 6).Draw(t, "nodes")
	ohms := rapid.Float64Range(0.1, 1000)
	var out []Element
	for k := 1; k < nodes; k++ {
		out = append(out, Element{Name: fmt.Sprint("C", k), Kind: Resistor, Plus: fmt.Sprint(k), Minus: fmt.Sprint(k - 1), Value: ohms.Draw(t, "ohm"), HasValue: true})
	}
	for k := range rapid.IntRange(1, 8).Draw(t, "more") {
		e := Element{Name: fmt.Sprint("E", k), Kind: rapid.SampledFrom(elementKinds).Draw(t, "kind")}
		plus := rapid.IntRange(0, nodes-1).Draw(t, "plus")
		minus := (plus + rapid.IntRange(1, nodes-1).Draw(t, "step")) % nodes
		e.Plus, e.Minus = fmt.Sprint(plus), fmt.Sprint(minus)
		switch e.Kind {
		case Resistor:
			e.Value, e.HasValue = ohms.Draw(t, "ohm"), true
		case Lamp:
			e.VTable, e.ITable = []float64{0, 1, 3, 1000}, []float64{0, 0.2, 0.4, 10}
		case Ammeter:
			e.Inside, e.HasInside = 0.1, true
		default:
			e.Value, e.HasValue = rapid.Float64Range(-20, 20).Draw(t, "volt"), true
			e.Inside, e.HasInside = rapid.Float64Range(0.01, 10).Draw(t, "inside"), true
		}
		out = append(out, e)
	}
	return out
}

// Batteries that hold each other's balance drive no current, and what rounding leaves of it is no fault.
func TestBalancedBatteries(t *testing.T) {
	for _, volts := range []string{"0.7", "6", "8.1", "1234.5"} {
		s, err := SolveNetwork(network(t, "B1: battery a 0 "+volts+" V, inside 0.3 ohm\nB2: battery b 0 "+volts+" V, inside 0.7 ohm\nR: resistor a b 0.1 ohm\nS: resistor a b 0.9 ohm"))
		if err != nil || math.Abs(s.Current["R"]) > 1e-9 {
			t.Errorf("%s V: %v, %v", volts, s, err)
		}
	}
}

func TestRefusedNetworks(t *testing.T) {
	for _, c := range []struct{ net, says string }{
		{"B: battery a b 9 V\nR: resistor a b 9 ohm", "no node 0"},
		{"B: battery a 0 9 V\nR: resistor b c 9 ohm", "nodes b, c"},
		{"B1: battery a 0 9 V\nB2: battery a 0 6 V", "B1, B2 form a loop"},
		{"B: battery a 0 9 V\nA: ammeter a 0", "B, A form a loop"},
		{"B: battery a 0 9 V\nR: resistor b a 0 ohm\nA: ammeter b 0\nX: resistor a 0 5 ohm", "B, R, A form a loop"},
		{"B: battery a 0 9 V\nR: resistor a 0 -9 ohm", "R: a resistance cannot be -9"},
		{"B: battery a 0 9 V\nL: lamp a 0 [0, 1, 3] V [0, 0.2, 0.4] A", "lamp L 9 V is outside 0 V to 3 V"},
		{"B: battery a 0 9 V\nL: lamp a 0 [0, 3, 1] V [0, 0.2, 0.4] A", "must rise"},
		{"B: battery a 0 9 V\nL: lamp a 0 [0, 3] V [0, 0.2, 0.4] A", "as many currents as voltages"},
		{"B: battery a 0 9 V\nL1: lamp a b [0, 1] V [0, 1e12] A\nL2: lamp b 0 [0, 100] V [0, 1e-10] A", "the resistances of L1 (1e-12 Ω) and L2 (1e+12 Ω) are too far apart"},
		{"B: battery a 0 9 V\nR: resistor a b 1e-15 ohm\nS: resistor b 0 100 ohm\nT: resistor b 0 5 ohm", "the resistances of R (1e-15 Ω) and S (100 Ω) are too far apart"},
	} {
		if _, err := SolveNetwork(network(t, c.net)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q gave %v, want %q", c.net, err, c.says)
		}
	}
}

func BenchmarkSolveNetwork(b *testing.B) {
	elements := []Element{
		{Name: "B1", Kind: Battery, Plus: "a", Minus: "0", Value: 12, HasValue: true, Inside: 0.4, HasInside: true},
		{Name: "B2", Kind: Battery, Plus: "c", Minus: "0", Value: 9, HasValue: true},
		{Name: "R1", Kind: Resistor, Plus: "a", Minus: "b", Value: 10, HasValue: true},
		{Name: "R2", Kind: Resistor, Plus: "b", Minus: "c", Value: 22, HasValue: true},
		{Name: "R3", Kind: Resistor, Plus: "b", Minus: "0", Value: 47, HasValue: true},
	}
	for b.Loop() {
		if _, err := SolveNetwork(elements); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRightingArm(b *testing.B) {
	box, err := NewBox(0.6, 0.4, 0.2, 12, 1000)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := box.RightingArm(0.06, 0, 0.4); err != nil {
			b.Fatal(err)
		}
	}
}
