package plot

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/plot/vg"

	"keelmark/labs"
)

// one and many make values as a sheet prints them.
func one(symbol, unit string, x float64) FigureValue {
	return FigureValue{SI: []float64{x}, Texts: []string{fmt.Sprintf("%.3g %s", x, unit)}, Symbol: symbol}
}

func many(unit string, xs ...float64) FigureValue {
	v := FigureValue{SI: xs}
	for _, x := range xs {
		v.Texts = append(v.Texts, fmt.Sprintf("%.3g %s", x, unit))
	}
	return v
}

func column(r *rand.Rand, n int, low, high float64) []float64 {
	xs := make([]float64, n)
	for i := range xs {
		xs[i] = low + (high-low)*r.Float64()
	}
	return xs
}

// spread draws from low to high, its logarithm even, so that extremes are common.
func spread(r *rand.Rand, low, high float64) float64 {
	return low * math.Pow(high/low, r.Float64())
}

// randomFigures draw a figure of each kind over more than a lab would.
var randomFigures = map[string]func(r *rand.Rand) Figure{
	"hang": func(r *rand.Rand) Figure {
		air := spread(r, 0.05, 90)
		return Figure{Values: map[string]FigureValue{"air": one("W_a", "N", air), "water": one("W_w", "N", air*r.Float64())}}
	},
	"float": func(r *rand.Rand) Figure {
		depth := spread(r, 0.02, 1)
		v := map[string]FigureValue{"length": one("L", "m", spread(r, 0.05, 3)), "depth": one("D", "m", depth), "draught": one("T", "m", depth*(0.02+0.98*r.Float64()))}
		if r.IntN(2) == 0 {
			v["breadth"] = one("B", "m", spread(r, 0.05, 1))
		}
		if r.IntN(2) == 0 {
			v["weight"] = one("W", "N", 1+9*r.Float64())
			v["upthrust"] = one("F_b", "N", 1+9*r.Float64())
		}
		return Figure{Values: v}
	},
	"beam": func(r *rand.Rand) Figure {
		n := 1 + r.IntN(5)
		return Figure{Values: map[string]FigureValue{"pivot": one("p", "m", r.Float64()), "length": one("", "m", 1),
			"load": many("N", column(r, n, 0.2, 8)...), "at": many("m", column(r, n, 0, 1)...)}}
	},
	"craft-side": func(r *rand.Rand) Figure { return randomCraft(r, "z") },
	"craft-top":  func(r *rand.Rand) Figure { return randomCraft(r, "y") },
	"circuit":    randomCircuit,
	"column": func(r *rand.Rand) Figure {
		n := 1 + r.IntN(5)
		return Figure{Values: map[string]FigureValue{"depth": many("m", column(r, n, 0, spread(r, 0.1, 40))...), "volume": many("m³", column(r, n, 5e-6, 90e-6)...)}}
	},
	"plate": func(r *rand.Rand) Figure {
		n := 3 + r.IntN(4)
		f := Figure{Values: map[string]FigureValue{"x": many("m", column(r, n, 0, 0.3)...), "y": many("m", column(r, n, 0, 0.3)...)}}
		if r.IntN(3) > 0 {
			f.Values["m"] = many("kg", column(r, n, 0.01, 0.2)...)
			f.Values["w"], f.Values["h"] = many("m", column(r, n, 0.01, 0.1)...), many("m", column(r, n, 0.01, 0.1)...)
		}
		return f
	},
	"heel": func(r *rand.Rand) Figure {
		depth := spread(r, 0.05, 0.6)
		return Figure{Values: map[string]FigureValue{"B": one("B", "m", spread(r, 0.1, 1)), "D": one("D", "m", depth), "KG": one("KG", "m", depth*r.Float64()),
			"heel": one("\\theta", "rad", r.Float64()*math.Pi/2), "draught": one("T", "m", depth*(0.05+0.9*r.Float64()))}}
	},
	"scale": func(r *rand.Rand) Figure {
		n := []int{10, 12, 20, 25, 30, 40, 50, 60, 75, 100}[r.IntN(10)]
		division := math.Pow10(r.IntN(5)-3) * []float64{1, 2, 5}[r.IntN(3)]
		from := division * 10 * float64(r.IntN(3)-1)
		to := from + division*float64(n)
		return Figure{Values: map[string]FigureValue{"from": one("", "V", from), "to": one("", "V", to), "division": one("", "V", division),
			"value": one("", "V", from+(to-from)*r.Float64()), "form": {Texts: []string{[]string{"dial", "linear", "upright"}[r.IntN(3)]}}}}
	},
	"disc": func(r *rand.Rand) Figure {
		return Figure{Values: map[string]FigureValue{"v": one("v", "m/s", spread(r, 0.05, 8)), "V": one("V", "m/s", float64(r.IntN(2))*spread(r, 0.05, 8)),
			"d": one("d", "m", 0.05), "thrust": one("T", "N", 2)}}
	},
	"run": func(r *rand.Rand) Figure {
		n := 2 + r.IntN(12)
		t := make([]float64, n)
		for i := 1; i < n; i++ {
			t[i] = t[i-1] + spread(r, 0.1, 10)
		}
		return Figure{Values: map[string]FigureValue{"t": many("s", t...), "v": many("m/s", column(r, n, -0.2, 1)...), "current": one("u", "m/s", r.Float64()-0.5)}}
	},
}

func randomCraft(r *rand.Rand, up string) Figure {
	n := 1 + r.IntN(8)
	f := Figure{Values: map[string]FigureValue{"x": many("m", column(r, n, -0.1, 0.4)...), up: many("m", column(r, n, -0.1, 0.2)...),
		"m": many("kg", column(r, n, 0.02, 0.5)...), "V": many("m³", column(r, n, 1e-5, 6e-4)...)}}
	thrust := make([]float64, n)
	for i := range thrust {
		if r.IntN(3) == 0 {
			thrust[i] = 2*r.Float64() - 1
		}
		f.Parts = append(f.Parts, []string{"float", "battery", "motor to starboard", "frame", "camera"}[r.IntN(5)])
	}
	f.Values["thrust"] = FigureValue{SI: thrust}
	if r.IntN(2) == 0 {
		f.Values["show"] = FigureValue{Texts: []string{"G", "B"}}
	}
	return f
}

// randomCircuit grows a battery and a resistor by splitting branches in series and in parallel, and sometimes bridges it.
func randomCircuit(r *rand.Rand) Figure {
	kinds := []string{"resistor", "resistor", "resistor", "ammeter", "voltmeter", "motor", "lamp"}
	es := []CircuitElement{{"B1", "battery", "a", "0", "B_1 = 12 V, inside 0.4 Ω"}, {"R1", "resistor", "a", "0", "R_1 = 47 Ω"}}
	if r.IntN(3) == 0 { // a bridge, of which any part may be split up
		es[1].Minus = "p"
		es = append(es, CircuitElement{"R91", "resistor", "p", "0", "R_91 = 220 Ω"}, CircuitElement{"R92", "resistor", "a", "q", "R_92 = 330 Ω"},
			CircuitElement{"R93", "resistor", "q", "0", "R_93 = 470 Ω"}, CircuitElement{"V9", "voltmeter", "p", "q", ""})
	}
	for i := range r.IntN(7) {
		kind := kinds[r.IntN(len(kinds))]
		e := CircuitElement{Name: fmt.Sprintf("E%d", i+2), Kind: kind, Text: fmt.Sprintf("R_%d = %d Ω", i+2, 1+r.IntN(999))}
		split := &es[r.IntN(len(es))]
		if r.IntN(2) == 0 {
			e.Plus, e.Minus = split.Plus, split.Minus
		} else {
			e.Plus, e.Minus = fmt.Sprintf("n%d", i), split.Minus
			split.Minus = e.Plus
		}
		es = append(es, e)
	}
	if r.IntN(4) == 0 {
		es = append(es, CircuitElement{"R99", "resistor", es[0].Minus, es[len(es)-1].Plus, "R_99 = 1 Ω"})
		if last := es[len(es)-1]; last.Plus == last.Minus {
			es = es[:len(es)-1]
		}
	}
	return Figure{Circuit: &Circuit{Elements: es}}
}

func TestFiguresKeepLabelsApart(t *testing.T) {
	for kind, random := range randomFigures {
		t.Run(kind, func(t *testing.T) {
			r := rand.New(rand.NewPCG(7, uint64(len(kind))))
			for i := range 400 {
				f := random(r)
				f.Kind = kind
				f.Style = Style{Width: []vg.Length{0, 493}[r.IntN(2)], Scale: []float64{1, 16.0 / 11}[r.IntN(2)], Plain: r.IntN(2) == 0}
				d, err := New(f)
				if err != nil {
					t.Fatalf("draw %d: %v", i, err)
				}
				rec := draw(t, d)
				if pairs := rec.overlaps(); len(pairs) > 0 {
					t.Errorf("draw %d: labels overprint: %q", i, pairs)
				}
				if kind == "circuit" { // its letters stand in circles
					if rec.meet() {
						t.Errorf("draw %d: one element lies on another", i)
					}
				} else {
					for _, text := range rec.struck() {
						t.Errorf("draw %d: a line crosses %q", i, text)
					}
				}
				if f.Style.Plain && rec.colours > 0 {
					t.Errorf("draw %d: a plain drawing has a colour", i)
				}
				if w, _ := d.Size(); w > 494 {
					t.Errorf("draw %d: %v wide", i, w)
				}
				if rec.outside(d) {
					t.Errorf("draw %d: something lies outside the drawing", i)
				}
			}
		})
	}
}

func TestEveryKindIsTried(t *testing.T) {
	for kind := range builders {
		if randomFigures[kind] == nil {
			t.Errorf("figure %s has no random draws", kind)
		}
	}
}

func TestKindsAreThoseOfTheSchema(t *testing.T) {
	for _, kind := range labs.FigureKinds {
		if builders[kind.Name] == nil {
			t.Errorf("figure %s cannot be drawn", kind.Name)
		}
	}
	if len(builders) != len(labs.FigureKinds) {
		t.Errorf("%d kinds are drawn, %d are in the schema", len(builders), len(labs.FigureKinds))
	}
}

// Whatever the numbers, a figure is an error or a drawing with finite coordinates.
func TestWildValues(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	wild := func() float64 {
		x := math.Pow(10, float64(r.IntN(601)-300)) * (1 + r.Float64())
		return x * []float64{1, 1, 1, -1, 0}[r.IntN(5)]
	}
	drawn := 0
	for _, kind := range labs.FigureKinds {
		if kind.Name == "circuit" {
			continue
		}
		for range 300 {
			f := Figure{Kind: kind.Name, Values: map[string]FigureValue{}, Parts: []string{"a", "b"}}
			for _, key := range kind.Keys {
				switch {
				case key.Holds == labs.HoldsColumn:
					f.Values[key.Key] = many("m", wild(), wild())
				case key.Holds == labs.HoldsNumber && (key.Required || r.IntN(2) == 0):
					f.Values[key.Key] = one("x", "m", wild())
				}
			}
			if d, err := New(f); err == nil {
				draw(t, d)
				drawn++
			}
		}
	}
	if drawn < 100 {
		t.Errorf("only %d of the figures were drawn: the test tries nothing", drawn)
	}
}
