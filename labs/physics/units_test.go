package physics

import (
	"math"
	"testing"

	"keelmark/labs/quantity"
)

// The conversions a bench needs, as UCUM and NIST SP 811 (2008) B.8 give them.
func TestPublishedConversions(t *testing.T) {
	for _, c := range []struct {
		id, from, to string
		want         float64
	}{
		{"H08", "in", "mm", 25.4},
		{"H09", "lb", "kg", 0.45359237},
		{"H10", "lbf", "N", 4.4482216152605},
		{"H11", "psi", "Pa", 6894.757293168361},
		{"H12", "gal", "L", 3.785411784},
		{"H13", "kgf", "N", 9.80665},
		{"H14", "atm", "Pa", 101325},
		{"H15", "kn", "m/s", 0.5144444444444444},
		{"H16", "mi/h", "m/s", 0.44704},
		{"H17", "ft^3", "L", 28.316846592},
		{"H18", "g/cm^3", "kg/m^3", 1000},
		{"H19", "hp", "W", 745.69987158227022},
		{"H20", "W*h", "J", 3600},
		{"H21", "A*h", "C", 3600},
		{"H22", "mil", "um", 25.4},
		{"H23", "P", "Pa*s", 0.1},
		{"H24", "bar", "kPa", 100},
		{"H25", "nmi", "m", 1852},
		{"H26", "oz", "g", 28.349523125},
		{"H27", "dyn", "N", 1e-5},
		{"H28", "ft", "m", 0.3048},
		{"H29", "in^2", "cm^2", 6.4516},
		{"H30", "in^3", "mL", 16.387064},
		{"H32", "lbf*ft", "N*m", 1.3558179483314004},
		{"H33", "cal", "J", 4.184},
		{"mmHg, conventional", "mmHg", "Pa", 133.322387415},
		// UCUM functional tests 3-102 to 3-112 but for the number 6.3.
		{"UCUM 3-102", "mm", "m", 0.001},
		{"UCUM 3-103", "mm", "cm", 0.1},
		{"UCUM 3-104", "s*m^-1", "s/m", 1},
		{"UCUM 3-105", "s*mm^-1", "s*m^-1", 1000},
		{"UCUM 3-106", "s*mm^-2", "s*m^-2", 1e6},
		{"UCUM 3-112", "ms/m", "s/m", 0.001},
		{"UCUM 3-118", "in", "m", 0.0254},
	} {
		t.Run(c.id+" "+c.from, func(t *testing.T) {
			from, err := quantity.ParseUnit(c.from)
			if err != nil {
				t.Fatal(err)
			}
			to, err := quantity.ParseUnit(c.to)
			if err != nil {
				t.Fatal(err)
			}
			if got := to.From(from.SI(1)); from.Dim != to.Dim || math.Abs(got-c.want) > 4e-16*c.want {
				t.Errorf("1 %s = %.17g %s, want %.17g", c.from, got, c.to, c.want)
			}
		})
	}
}

// NIST SP 811 B.9: points on a scale have an offset, differences have none.
func TestPublishedTemperatures(t *testing.T) {
	unit := func(s string) quantity.Unit {
		u, err := quantity.ParseUnit(s)
		if err != nil {
			t.Fatal(err)
		}
		return u
	}
	for _, c := range []struct {
		from string
		x    float64
		to   string
		want float64
	}{{"degF", 68, "degC", 20}, {"degC", 37, "degF", 98.6}, {"degC", 25, "K", 298.15}} {
		if got := unit(c.to).From(unit(c.from).SI(c.x)); math.Abs(got-c.want) > 1e-12*c.want {
			t.Errorf("%g %s = %.15g %s, want %g", c.x, c.from, got, c.to, c.want)
		}
	}
	if got := unit("K").FromSpan(unit("degF").Span(9)); math.Abs(got-5) > 1e-15 {
		t.Errorf("a difference of 9 °F is %g K, want 5", got)
	}
}
