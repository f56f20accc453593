package stats

import (
	"math"
	"testing"
)

// The worked example of Cohen's kappa at https://en.wikipedia.org/wiki/Cohen%27s_kappa: two readers, 50 proposals, 20 times
// both yes, 15 times both no, 5 and 10 times apart: kappa 0.4. With two classes weights change nothing.
func TestKappa(t *testing.T) {
	var first, second []float64
	for _, c := range []struct {
		count int
		a, b  float64
	}{{20, 1, 1}, {5, 1, 0}, {10, 0, 1}, {15, 0, 0}} {
		for range c.count {
			first, second = append(first, c.a), append(second, c.b)
		}
	}
	a, err := Agree(first, second)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "kappa", a.Kappa, 0.4, 1e-12)
	near(t, "exact agreement", a.Exact, 0.7, 1e-12)
	near(t, "mean difference", a.Mean, 0.1, 1e-12)
	near(t, "within one", a.Within, 1, 1e-12)
}

// With several classes kappa is what its definition by the table of classes gives, summed here cell by cell.
func TestKappaIsItsDefinition(t *testing.T) {
	first := []float64{0, 1, 2, 3, 4, 2, 1, 0, 4, 3, 2, 2}
	second := []float64{0, 1, 3, 3, 4, 1, 1, 1, 2, 3, 2, 4}
	var observed, chance float64
	for i := range first {
		observed += (first[i] - second[i]) * (first[i] - second[i]) / 12
		for j := range second {
			chance += (first[i] - second[j]) * (first[i] - second[j]) / 144
		}
	}
	a, err := Agree(first, second)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "kappa", a.Kappa, 1-observed/chance, 1e-12)
}

func TestAgreementUndefined(t *testing.T) {
	for name, c := range map[string]struct{ first, second []float64 }{
		"nothing":           {nil, nil},
		"one mark only":     {[]float64{2, 2, 2}, []float64{2, 2, 2}},
		"one answer, equal": {[]float64{3}, []float64{3}},
	} {
		a, err := Agree(c.first, c.second)
		if err != nil || a.Kappa.Defined() {
			t.Errorf("%s: kappa %v, error %v", name, a.Kappa, err)
		}
		if len(c.first) > 0 && a.Exact != 1 {
			t.Errorf("%s: exact agreement %v", name, a.Exact)
		}
		if len(c.first) == 0 && !math.IsNaN(float64(a.Exact)) {
			t.Errorf("%s: exact agreement %v", name, a.Exact)
		}
	}
	if _, err := Agree([]float64{1}, nil); err == nil {
		t.Error("lists of unequal length: no error")
	}
}
