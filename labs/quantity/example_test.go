package quantity_test

import (
	"fmt"

	"keelmark/labs/quantity"
)

// The outputs below hold the no-break spaces that the SI style prints.

// A comma before three digits has two senses; the unit asked for turns away readings of another dimension.
func ExampleRead() {
	readings, _ := quantity.Read("1,250 kn up")
	for _, r := range readings {
		fmt.Println(r, r.Direction, r.Convention)
	}
	_, why := quantity.Read("10 or 11 N")
	fmt.Println(why)
	// Output:
	// 1.250 kn up comma
	// 1.250 kN up comma
	// 1250 kn up point
	// 1250 kN up point
	// more than one answer: "or 11 N" stands after the first
}

func ExampleReadAs() {
	cubic, _ := quantity.ParseUnit("cm^3")
	for _, answer := range []string{"0,09 litres", "90", "90 cc", "2 gal", "90 cm"} {
		o := quantity.ReadAs(answer, cubic)
		fmt.Printf("%s: %s", answer, o.Verdict)
		for _, r := range o.Readings {
			fmt.Printf(" %.6g", cubic.From(r.SI(cubic)))
		}
		fmt.Println()
	}
	// Output:
	// 0,09 litres: ok 90
	// 90: ok 90
	// 90 cc: ok 90
	// 2 gal: ambiguous 7570.82 9092.18
	// 90 cm: unread
}

func ExampleFormatStep() {
	u, _ := quantity.ParseUnit("kg/m^3")
	fmt.Println(quantity.WithUnit(quantity.FormatStep(998.25, 0.1), u))
	fmt.Println(quantity.FormatFigures(-0.000123456, 3))
	// Output:
	// 998.2 kg/m³
	// −1.23 × 10⁻⁴
}
