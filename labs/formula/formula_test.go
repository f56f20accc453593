package formula

import (
	"keelmark/labs/quantity"
)

// bench is a scope for tests, with its values.
type bench struct {
	names []string
	types map[string]quantity.Type
	slots map[string]int
	frame []quantity.Value
}

func newBench() *bench {
	return &bench{types: map[string]quantity.Type{}, slots: map[string]int{}}
}

func (b *bench) set(name string, t quantity.Type, v quantity.Value) *bench {
	b.names = append(b.names, name)
	b.types[name] = t
	b.slots[name] = len(b.frame)
	b.frame = append(b.frame, v)
	return b
}

func (b *bench) number(name string, x float64, d quantity.Dim) *bench {
	return b.set(name, number(d), quantity.Value{X: x})
}

func (b *bench) Lookup(name string) (quantity.Type, int, bool) {
	t, ok := b.types[name]
	return t, b.slots[name], ok
}

func (b *bench) Names() []string { return b.names }

// Dimensions used in tests.
var (
	force   = quantity.Base(1, 1, -2)
	mass    = quantity.Base(0, 1)
	length  = quantity.Base(1)
	volume  = quantity.Base(3)
	density = quantity.Base(-3, 1)
)

// boatyard holds the values of a sinker weighed twice, a tether, and a column of readings.
func boatyard() *bench {
	b := newBench()
	b.number("g", 9.81, quantity.Base(1, 0, -2))
	b.number("Wa", 2.46, force).number("Ww", 1.55, force)
	b.number("rho_w", 998.2, density).number("ρ", 1000, density)
	b.number("m", 0.25, mass).number("d", 0.04, length).number("V", 9e-5, volume)
	b.number("n", 3, quantity.Dim{}).number("zero", 0, quantity.Dim{})
	b.set("T", quantity.Type{Dim: temperature, Point: true}, quantity.Value{X: 293.15})
	b.set("T2", quantity.Type{Dim: temperature, Point: true}, quantity.Value{X: 283.15})
	b.set("z", quantity.Type{Kind: quantity.Column, Dim: length}, quantity.Value{Col: []float64{0, 0.01, 0.02}})
	b.set("short", quantity.Type{Kind: quantity.Column, Dim: length}, quantity.Value{Col: []float64{0, 0.01}})
	b.set("metal", quantity.Type{Kind: quantity.Name}, quantity.Value{Name: "brass"})
	b.number("current(N.R1)", 0.5, quantity.Base(0, 0, 0, 1)).number("u(Wa)", 0.003, force)
	return b
}
