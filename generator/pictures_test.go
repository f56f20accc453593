package generator

import (
	"strings"
	"testing"

	"keelmark/labs"
)

// TestCircuitTellsNoAnswer: a resistor computed from others stands by its name alone, a battery with what is inside it.
func TestCircuitTellsNoAnswer(t *testing.T) {
	source := strings.Replace(basin, "```question U\n", "```network N\nB1: battery a 0 12 V, inside 0.4 ohm\nR1: resistor a b 47 ohm\n"+
		"R2: resistor b 0 series(10 ohm, 20 ohm)\n```\n\n```figure circuit\nnetwork: N\n```\n\n```question U\n", 1)
	lab, err := labs.Parse("basin.md", []byte(source))
	if err != nil {
		t.Fatal(err)
	}
	w := &writer{renderer: &renderer{lab: lab}, frame: lab.NewFrame(9.81)}
	var network *labs.Network
	for _, b := range lab.Blocks {
		if b.Figure != nil {
			network = b.Figure.Network
		}
	}
	c, err := w.circuit(network)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"12\u00a0V, inside 0.4\u00a0Ω", "47\u00a0Ω", ""} {
		if got := c.Elements[i].Text; got != want {
			t.Errorf("%s is labelled %q, want %q", c.Elements[i].Name, got, want)
		}
	}
}
