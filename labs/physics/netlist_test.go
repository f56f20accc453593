package physics

import (
	"errors"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
)

func TestParseNetlist(t *testing.T) {
	const text = `# the tether
B1: battery a 0 12 V, inside 0.4 ohm
  R1: resistor a b max(R_lead, 1 ohm)

V1: voltmeter b 0
A1: ammeter b c 0.1 ohm
Ω2: ammeter b c, inside r_A
L1: lamp c 0 [0, 1, 3] V [0, 0.2, 0.4] A
L2: lamp c 0 Vs  Is
`
	want := []NetlistLine{
		{Line: 2, Name: "B1", Kind: Battery, Plus: "a", Minus: "0", Value: "12 V", ValueCol: 17, Inside: "0.4 ohm", InsideCol: 30},
		{Line: 3, Name: "R1", Kind: Resistor, Plus: "a", Minus: "b", Value: "max(R_lead, 1 ohm)", ValueCol: 20},
		{Line: 5, Name: "V1", Kind: Voltmeter, Plus: "b", Minus: "0", ValueCol: 18},
		{Line: 6, Name: "A1", Kind: Ammeter, Plus: "b", Minus: "c", ValueCol: 17, Inside: "0.1 ohm", InsideCol: 17},
		{Line: 7, Name: "Ω2", Kind: Ammeter, Plus: "b", Minus: "c", ValueCol: 16, Inside: "r_A", InsideCol: 25},
		{Line: 8, Name: "L1", Kind: Lamp, Plus: "c", Minus: "0", VTable: "[0, 1, 3] V", VTableCol: 14, ITable: "[0, 0.2, 0.4] A", ITableCol: 26},
		{Line: 9, Name: "L2", Kind: Lamp, Plus: "c", Minus: "0", VTable: "Vs", VTableCol: 14, ITable: "Is", ITableCol: 18},
	}
	got, err := ParseNetlist(text)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// Each text marks its fault with ▸ before the character complained of.
func TestNetlistFaults(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"▸", "empty"},
		{"R1 ▸resistor a 0 10 ohm", "colon"},
		{"R1: ▸resister a 0 10 ohm", "no kind of element"},
		{"R1: resistor ▸= 0 10 ohm", "the node at its plus"},
		{"R1: resistor a ▸a 10 ohm", "both ends"},
		{"R1: resistor a 0 ▸", "needs a value"},
		{"R1: resistor a 0 10 ohm, ▸inside 1 ohm", "no inside"},
		{"B1: battery a 0 9 V, ▸with 1 ohm", "expected `inside`"},
		{"B1: battery a 0 9 V, inside ▸", "a resistance after"},
		{"L1: lamp a 0 [0, 1] V▸", "two columns"},
		{"R1: resistor a 0 10 ohm\n▸R1: resistor a 0 10 ohm", "already on line 1"},
	} {
		before, after, _ := strings.Cut(c.text, "▸")
		_, err := ParseNetlist(before + after)
		var fault *NetlistError
		if !errors.As(err, &fault) || !strings.Contains(fault.Msg, c.says) {
			t.Errorf("%q gave %v, want %q", c.text, err, c.says)
			continue
		}
		line := 1 + strings.Count(before, "\n")
		col := 1 + utf8.RuneCountInString(before[strings.LastIndex(before, "\n")+1:])
		if fault.Line != line || fault.Col != col {
			t.Errorf("%q is faulted at %d:%d, want %d:%d", c.text, fault.Line, fault.Col, line, col)
		}
	}
}

func FuzzParseNetlist(f *testing.F) {
	f.Add("B1: battery a 0 12 V, inside 0.4 ohm\nL1: lamp c 0 [0, 1] V [0, 0.2] A")
	f.Add("R: resistor a b (((")
	f.Fuzz(func(t *testing.T, text string) {
		lines, err := ParseNetlist(text)
		if err == nil {
			for _, l := range lines {
				if l.Name == "" || l.Plus == l.Minus {
					t.Errorf("accepted %+v", l)
				}
			}
			return
		}
		var fault *NetlistError
		if !errors.As(err, &fault) || fault.Line < 1 || fault.Col < 1 || fault.Line > 1+strings.Count(text, "\n") {
			t.Errorf("%q: %+v", text, err)
		}
	})
}
