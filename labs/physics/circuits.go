package physics

import (
	"fmt"
	"math"
	"strings"

	"keelmark/labs/quantity"
)

const (
	ohmsLaw  = "Ohm's law"
	iec60028 = "IEC 60028"
	astmB258 = "ASTM B258"
	iec60228 = "IEC 60228, plain annealed copper"
	iec60063 = "IEC 60063"
	iso8820  = "ISO 8820-3"
)

func circuits() []*Function {
	return []*Function{
		resistances("series(R, …)", "resistance of resistors in series, a column or several", values.sum),
		resistances("parallel(R, …)", "resistance of resistors in parallel, a column or several", parallel),
		declare("wire_resistance(resistivity, length, area)", "resistance of a wire; the length is out and back", ohmsLaw).
			takes(resistance, resistivity, length, area).gives(of3(WireResistance)),
		declare("copper_resistance(length, area, T)", "resistance of annealed copper wire at -40 to 150 °C; the length is out and back", iec60028).
			takes(resistance, length, area, temperature).gives(of3(CopperResistance)),
		declare("awg_diameter(n)", "diameter of solid wire of gauge n, -3 (0000) to 56", astmB258).
			takes(length, plain).gives(of1(AWGDiameter)),
		declare("awg_area(n)", "cross-section of solid wire of gauge n, -3 (0000) to 56", astmB258).
			takes(area, plain).gives(of1(AWGArea)),
		declare("iec_wire(area, class)", "largest resistance per length at 20 °C of a copper conductor of a standard cross-section 0.5 to 35 mm^2; class 1 solid, 2 stranded, 5 flexible, 6 very flexible", iec60228).
			takes(perLength, area, plain).gives(of2(IECWire)),
		preferredFunction(),
		stepped(declare("next_fuse(I)", "smallest standard blade fuse not below I, up to 40 A", iso8820)).
			takes(current, current).gives(of1(NextFuse)),
	}
}

// resistances is a reduction of resistances, none below zero.
func resistances(signature, doc string, f func(values) float64) *Function {
	g := reduction(signature, doc, f)
	g.Source = ohmsLaw
	g.Rule = func(args []quantity.Type, _ []string) (quantity.Type, error) {
		if err := g.list(args); err != nil {
			return quantity.Type{}, err
		}
		if !resistance.fits(args[0]) {
			return quantity.Type{}, g.fault(0, "must be %s, not %s", resistance.words, called(args[0]))
		}
		return resistance.number(), nil
	}
	reduce := g.Call
	g.Call = func(args []quantity.Value) (quantity.Value, error) {
		xs, err := g.values(args)
		for i := 0; err == nil && i < xs.len(); i++ {
			err = notNegative("a resistance", xs.at(i))
		}
		if err != nil {
			return quantity.Value{}, err
		}
		return reduce(args)
	}
	return g
}

// parallel is 1/Σ(1/R); a resistance of 0 makes it 0.
func parallel(v values) float64 {
	return 1 / addUp(v.len(), func(i int) float64 { return 1 / v.at(i) })
}

// WireResistance returns resistivity·length/area in Ω, all positive, in Ω·m, m and m².
func WireResistance(resistivity, length, area float64) (float64, error) {
	if err := allPositive("resistivity, length, area", resistivity, length, area); err != nil {
		return 0, err
	}
	return resistivity * length / area, nil
}

// CopperResistance returns the resistance in Ω of annealed copper of the length (m) and cross-section (m²) at kelvin,
// -40 °C to 150 °C: 1/58 Ω·mm²/m at 20 °C, 0.00393 /K (IEC 60028). Outside it returns a *[RangeError].
func CopperResistance(length, area, kelvin float64) (float64, error) {
	t := kelvin - zeroCelsius
	if err := within("copper temperature", t, -40, 150, "°C", iec60028+", linear law"); err != nil {
		return 0, err
	}
	return WireResistance(1e-6/58*(1+0.00393*(t-20)), length, area)
}

// AWGDiameter returns the diameter in m of solid wire of the gauge n, a whole number from -3 (0000) to 56:
// 0.127 mm · 92^((36−n)/39) (ASTM B258).
func AWGDiameter(n float64) (float64, error) {
	if n != math.Trunc(n) {
		return 0, fmt.Errorf("a wire gauge is a whole number, not %.6g (%s): %w", n, astmB258, ErrRange)
	}
	if err := within("wire gauge", n, -3, 56, "", astmB258); err != nil {
		return 0, err
	}
	return 0.127e-3 * math.Pow(92, (36-n)/39), nil
}

// AWGArea returns the cross-section in m² of solid wire of the gauge n; see [AWGDiameter].
func AWGArea(n float64) (float64, error) {
	d, err := AWGDiameter(n)
	return math.Pi / 4 * d * d, err
}

// conductors are cross-sections in mm² with the largest resistance at 20 °C in Ω/km, solid or stranded (classes 1 and 2) and
// flexible (5 and 6): IEC 60228 tables 1 to 4, plain copper.
var conductors = []struct{ area, stiff, flexible float64 }{
	{0.5, 36.0, 39.0}, {0.75, 24.5, 26.0}, {1, 18.1, 19.5}, {1.5, 12.1, 13.3}, {2.5, 7.41, 7.98}, {4, 4.61, 4.95},
	{6, 3.08, 3.30}, {10, 1.83, 1.91}, {16, 1.15, 1.21}, {25, 0.727, 0.780}, {35, 0.524, 0.554},
}

// IECWire returns the largest resistance in Ω/m that IEC 60228 allows at 20 °C to a plain copper conductor of the standard
// cross-section area (m²) and class 1, 2, 5 or 6. It fails for any other.
func IECWire(area, class float64) (float64, error) {
	var sizes strings.Builder
	for _, c := range conductors {
		fmt.Fprintf(&sizes, " %g", c.area)
		if math.Abs(area*1e6/c.area-1) > 1e-9 {
			continue
		}
		switch class {
		case 1, 2:
			return c.stiff / 1000, nil
		case 5, 6:
			return c.flexible / 1000, nil
		default:
			return 0, fmt.Errorf("conductors are of class 1, 2, 5 or 6, not %g (%s): %w", class, iec60228, ErrRange)
		}
	}
	return 0, fmt.Errorf("%.6g mm² is no standard cross-section; there are%s mm² (%s): %w", area*1e6, sizes.String(), iec60228, ErrRange)
}

// fuses are the ratings in A of blade fuses of the standard size.
var fuses = []float64{1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40}

// NextFuse returns the smallest blade fuse rating in A that is not below i, 0 to 40 A (ISO 8820-3). A current that is a
// rating but for rounding counts as that rating.
func NextFuse(i float64) (float64, error) {
	if err := within("current for a blade fuse", i, 0, fuses[len(fuses)-1], "A", iso8820); err != nil {
		return 0, err
	}
	for _, rating := range fuses {
		if i <= rating*(1+1e-9) {
			return rating, nil
		}
	}
	return fuses[len(fuses)-1], nil
}
