package plot

import (
	"math"

	"keelmark/labs/quantity"
)

// unitOf is the unit that the values of the keys are printed in, as the first text that has one tells; a unit of the symbol
// and size of the coherent SI unit when none does.
func (f *Figure) unitOf(si string, keys ...string) quantity.Unit {
	for _, key := range keys {
		if unit, ok := f.Values[key].unit(); ok {
			return unit
		}
	}
	return quantity.Unit{Symbol: si, Scale: 1}
}

// unit is the unit of the first text that has one.
func (v FigureValue) unit() (quantity.Unit, bool) {
	for i, text := range v.Texts {
		if i >= len(v.SI) {
			break
		}
		readings, _ := quantity.Read(text)
		best, off := quantity.Unit{}, math.Inf(1)
		for _, r := range readings { // "1,234 N" has two meanings: the one that is this value counts
			if d := math.Abs(r.Unit.SI(r.Number) - v.SI[i]); r.HasUnit && d < off {
				best, off = r.Unit, d
			}
		}
		if !math.IsInf(off, 1) {
			return best, true
		}
	}
	return quantity.Unit{}, false
}
