package labs

import (
	"keelmark/labs/quantity"
	"math"
	"slices"
	"strings"
	"testing"
)

// weighTwice is the lab of the manual with values as a sheet of its would have them.
func weighTwice(t *testing.T) (*Lab, Frame) {
	t.Helper()
	l, err := Load("testdata/weigh-twice.md")
	if err != nil {
		t.Fatal(err)
	}
	f := l.NewFrame(9.81)
	f[l.Value("T").Slot].X = 273.15 + 16
	f[l.Value("metal").Slot].Name = "brass"
	f[l.Value("V").Slot].X = 92e-6
	for _, v := range l.Order {
		if v.Source == Computed {
			if f[v.Slot], err = l.Compute(v, f, nil); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := l.Solve(f); err != nil {
		t.Fatal(err)
	}
	return l, f
}

func TestWeighTwice(t *testing.T) {
	l, f := weighTwice(t)
	for name, want := range map[string]float64{
		"rho_w": 998.9, // 998.943 kg/m³ (Tanaka et al. 2001) to 0.1
		"Fb":    0.90,
		"V_s":   0.90 / 998.9 / 9.81,
	} {
		_, slot, ok := l.Lookup(name)
		if !ok || math.Abs(f[slot].X-want) > 1e-9*want {
			t.Errorf("%s = %v, want %v", name, f[slot].X, want)
		}
	}
	if c, err := l.Met(f); c != nil || err != nil {
		t.Errorf("Met: %v, %v", c, err)
	}
	for source, want := range map[string]string{
		"Wa": "7.67 N", "Wa bare": "7.67", "Wa in gf": "782 gf", "2*Wa": "15.3 N", "T": "16.0 °C", "rho_w": "998.9 kg/m³", "metal": "brass", "5 in": "0.127 m",
	} {
		got, err := l.Fill(source, f)
		if got = strings.ReplaceAll(got, "\u00a0", " "); err != nil || got != want {
			t.Errorf("{{%s}} is %q, %v; want %q", source, got, err, want)
		}
	}
	got, err := l.Solution(l.Question("V_s"), f)
	want := []string{
		`V_{s} = \frac{\text{Fb}}{\rho_w\,g}`,
		`V_{s} = \frac{0.900\,\text{N}}{998.9\,\text{kg/m³} \times 9.81\,\text{m/s²}}`,
		`V_{s} = 91.8\,\text{cm³}`,
	}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("worked solution: %q, %v", got, err)
	}
}

// TestBuiltIn: every lab of the program reads without a fault and has the name it is found by.
func TestBuiltIn(t *testing.T) {
	names := Names()
	if len(names) < 24 {
		t.Errorf("%d labs are built in, want at least 24", len(names))
	}
	for _, name := range names {
		l, err := Load(name)
		if err != nil {
			t.Errorf("%s:\n%v", name, err)
			continue
		}
		if l.Name != name {
			t.Errorf("%s calls itself %s", name, l.Name)
		}
	}
}

// Counts and steps of a series are shown as they are; a slip that is neither is shown to three figures like any number.
func TestExactDisplay(t *testing.T) {
	kiloohm, err := quantity.ParseUnit("kohm")
	if err != nil {
		t.Fatal(err)
	}
	d := Display{Unit: kiloohm, Exact: true}
	for x, want := range map[float64]string{14e3: "14", 4.7e3: "4.7", 0.33e3: "0.33", 1023e3: "1023", 14e3 / 1.1: "12.7", 0: "0"} {
		if got := d.Number(x); got != want {
			t.Errorf("%g is shown as %q, want %q", x, got, want)
		}
	}
}
