package grader

import (
	"context"
	"testing"
)

// A sheet of eight questions, half of them wrong, is marked well within the 400 µs that 10,000 sheets of twelve questions
// in two seconds on two cores leave.
func BenchmarkMarker(b *testing.B) {
	set := testSet()
	m, err := NewMarker(testLab(b), set, nil, nil)
	if err != nil {
		b.Fatal(err)
	}
	written := map[string]map[string]string{"right": but(nil),
		"half wrong": but(map[string]string{"Fb": "5.17 N", "V_s": "77.1", "rho": "812 kg/m3", "area": "31.4"})}
	for name, text := range written {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := m.Mark(set.Sheets[0], text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Marking can be stopped.
func TestInterrupted(t *testing.T) {
	set := testSet()
	m, err := NewMarker(testLab(t), set, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := m.all(ctx, []job{{sheet: set.Sheets[0], paper: &Paper{Text: but(nil)}}}); err == nil {
		t.Error("an interrupted marking is no marking")
	}
}
