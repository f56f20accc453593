package plot

import (
	"math"

	"keelmark/labs/quantity"
)

// unitOf is the unit that a key's values are printed in, as the first text that has one tells; a unit of the symbol and
// size of the coherent SI unit when none does.
func (f *Figure) unitOf(key, si string) quantity.Unit {
	v := f.Values[key]
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
			return best
		}
	}
	return quantity.Unit{Symbol: si, Scale: 1}
}
