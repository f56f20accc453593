package labs

import (
	"os"
	"strings"
	"testing"

	"keelmark/labs/formula"
)

func TestFigureTableIsInTheGuide(t *testing.T) {
	guide, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(guide), FigureTable()) {
		t.Errorf("DEVELOPERS.md does not hold the figure kinds as they are now; replace that section by:\n%s", FigureTable())
	}
}

func TestFigureKindsAreSound(t *testing.T) {
	for _, kind := range FigureKinds {
		if got, ok := FigureKindNamed(kind.Name); !ok || got.Shows != kind.Shows {
			t.Errorf("%s is not found by its name", kind.Name)
		}
		seen := map[string]bool{}
		for _, key := range append(kind.Keys, FigureLabels) {
			if seen[key.Key] || key.Meaning == "" {
				t.Errorf("%s: key %s stands twice or has no meaning", kind.Name, key.Key)
			}
			seen[key.Key] = true
			if key.Like != "" && !seen[key.Like] {
				t.Errorf("%s: %s is like %s, which does not stand before it", kind.Name, key.Key, key.Like)
			}
		}
	}
	if _, ok := FigureKindNamed("boat"); ok {
		t.Error("there is a kind boat")
	}
}

// TestLabels: only a value given by name and a literal may stand as text in a drawing; what is computed, hidden or read at
// the bench may not, since it may be what a question asks for.
func TestLabels(t *testing.T) {
	l, err := Parse("x.md", []byte(template("", "  R: {const: 6 ohm}\n  H: {const: 5 ohm, hidden: true}\n  M: {measure: meter, division: 0.1 ohm, expect: 5 ohm}\n",
		"The resistor has {{R}}.\n\n```readings r\ncolumns: [M]\n```\n\n"+ask("i", "answer: 2*R\nunit: ohm"))))
	if err != nil {
		t.Fatal(err)
	}
	for source, want := range map[string]string{
		"R": "6\u00a0Ω", "12 V": "12\u00a0V", "-5 cm": "−5\u00a0cm", "15 deg": "15°", "0.4 ohm": "0.4\u00a0Ω",
		"2*R": "", "R + 1 ohm": "", "H": "", "M": "", "i": "", "density(brass)": "",
	} {
		e, err := formula.Parse(source)
		if err != nil {
			t.Fatal(err)
		}
		var si float64
		if numbers, unit, ok := e.Literal(); ok {
			si = unit.SI(numbers[0])
		} else {
			si = 6
		}
		if got := l.Labels(&Formula{Expr: e}, []float64{si}); got[0] != want {
			t.Errorf("label of %s is %q, want %q", source, got[0], want)
		}
	}
}
