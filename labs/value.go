package labs

import (
	"math"

	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// Source says where a value comes from.
type Source uint8

// The sources of a value.
const (
	Drawn    Source = iota // from, to, step
	Picked                 // pick
	Computed               // calc, with each: for every element of a column
	Series                 // series
	Measured               // measure, at the bench
	Constant               // const
)

// Value is one line of `values`.
type Value struct {
	Name, What, Symbol string // Symbol in TeX; the default is made from the name
	Source             Source
	Type               quantity.Type
	Slot               int
	Show               Display
	Hidden             bool
	From, To, Step     float64          // Drawn, coherent SI (To, From points for temperatures)
	Picks              []quantity.Value // Picked
	Column             []float64        // Series, coherent SI
	Calc               *formula.Program // Computed; Constant; Measured: expect
	CalcExpr           *formula.Expr
	Each               *Value  // Computed for every element of this column; inside, that name is the element
	Noise              float64 // standard deviation added before rounding, coherent SI
	Measure            string  // the instrument
	Division           float64 // coherent SI
	Within             float64 // plausible deviation from expect, coherent SI; 0: the default
	Uncertainty        float64 // stated standard uncertainty, coherent SI; 0: Division/√12
	Rows               int     // Measured column
	Table              int     // Column: those of one number belong together row by row
	Place              Place

	uses   []*pseudo
	length int // of a column whose length the template tells, else 0
}

// StandardUncertainty is that of one reading of a Measured value, in coherent SI: as stated for the instrument, or that of
// a reading anywhere within one division (JCGM 100:2008, 4.3.7). It is 0 for any other value.
func (v *Value) StandardUncertainty() float64 {
	switch {
	case v.Source != Measured:
		return 0
	case v.Uncertainty > 0:
		return v.Uncertainty
	}
	return v.Division / math.Sqrt(12)
}
