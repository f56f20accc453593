package physics

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"keelmark/labs/quantity"
)

// eSeries are the tenfold preferred values of one decade, IEC 60063.
var eSeries = map[string][]float64{
	"E6":  {10, 15, 22, 33, 47, 68},
	"E12": {10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82},
	"E24": {10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91},
}

// Preferred returns the value of the series E6, E12 or E24 nearest to r > 0 in ratio (IEC 60063), in the unit of r.
func Preferred(series string, r float64) (float64, error) {
	if err := positive("a value to round to a series", r); err != nil {
		return 0, err
	}
	around, err := PreferredValues(series, r/2, r*2)
	if err != nil {
		return 0, err
	}
	best := around[0]
	for _, v := range around[1:] {
		if math.Abs(math.Log(v/r)) < math.Abs(math.Log(best/r)) {
			best = v
		}
	}
	return best, nil
}

// PreferredValues returns the values of the series E6, E12 or E24 from low to high, ends included (IEC 60063). It fails for
// another series, for low not above 0, and beyond 1e-12 to 1e12.
func PreferredValues(series string, low, high float64) ([]float64, error) {
	decade, ok := eSeries[series]
	if !ok {
		return nil, unknownSymbol("preferred", series, slices.Sorted(maps.Keys(eSeries)))
	}
	if !(low >= 1e-12) || !(high <= 1e12) {
		return nil, fmt.Errorf("preferred values are taken from 1e-12 to 1e12, not from %.6g to %.6g (%s): %w", low, high, iec60063, ErrRange)
	}
	const slack = 1e-9
	var out []float64
	for d := math.Floor(math.Log10(low)) - 1; math.Pow(10, d) <= high; d++ {
		for _, v := range decade {
			if v = tenfold(v, int(d)-1); v >= low*(1-slack) && v <= high*(1+slack) {
				out = append(out, v)
			}
		}
	}
	return out, nil
}

// tenfold is v·10^n, rounded once: powers of ten up to 10^22 are exact in a float64.
func tenfold(v float64, n int) float64 {
	if n < 0 {
		return v / math.Pow10(-n)
	}
	return v * math.Pow10(n)
}

func preferredFunction() *Function {
	f := stepped(declare("preferred(series, R)", "value of the series E6, E12 or E24 nearest to R in ratio", iec60063))
	f.Symbols = func(i int) bool { return i == 0 }
	f.Rule = func(args []quantity.Type, names []string) (quantity.Type, error) {
		if err := f.arity(len(args)); err != nil {
			return quantity.Type{}, err
		}
		if args[0].Kind != quantity.Name {
			return quantity.Type{}, f.fault(0, "must be the name of a series, such as E12")
		}
		if _, known := eSeries[names[0]]; !known && names[0] != "" {
			return quantity.Type{}, unknownSymbol(f.Name, names[0], slices.Sorted(maps.Keys(eSeries)))
		}
		return args[1], f.size(args, 1)
	}
	return f.gives(func(x []quantity.Value) (float64, error) { return Preferred(x[0].Name, x[1].X) })
}
