package quantity

import (
	"fmt"
	"strings"
)

// named lists the dimensions that have a name of their own or a customary quotient, as formulas write them.
var named = map[Dim]string{
	{}:                        "1",
	Base(1, 1, -2):            "N",
	Base(-1, 1, -2):           "Pa",
	Base(2, 1, -2):            "J",
	Base(2, 1, -3):            "W",
	Base(2, 1, -3, -1):        "V",
	Base(2, 1, -3, -2):        "ohm",
	Base(0, 0, 1, 1):          "C",
	Base(-2, -1, 4, 2):        "F",
	Base(-2, -1, 3, 2):        "S",
	Base(0, 1, -2, -1):        "T",
	Base(2, 1, -2, -2):        "H",
	Base(0, 1, -2):            "N/m",
	Base(-2, 1, -2):           "N/m^3",
	Base(-1, 1, -1):           "Pa*s",
	Base(3, 1, -3, -2):        "ohm*m",
	Base(1, 1, -3, -2):        "ohm/m",
	Base(1, 1, -3, -1):        "V/m",
	Base(1, 1, -2, -1):        "N/A",
	Base(0, 1, -3):            "W/m^2",
	Base(1, 1, -3, 0, -1):     "W/m/K",
	Base(2, 0, -2, 0, -1):     "J/kg/K",
	Base(2, 1, -2, 0, -1):     "J/K",
	Base(2, 1, -2, 0, -1, -1): "J/mol/K",
}

var baseSymbols = [len(Dim{})]string{"m", "kg", "s", "A", "K", "mol", "cd"}

// String writes the dimension as the coherent SI unit that formulas use for it: "N", "kg/m^3", "m^0.5", "1". It is
// meant for messages: "cannot subtract N - kg".
func (d Dim) String() string {
	if name, ok := named[d]; ok {
		return name
	}
	var above, below []string
	for _, i := range [...]int{Mass, Length, Current, Time, Temperature, Amount, Luminous} {
		switch e := int(d[i]); {
		case e > 0:
			above = append(above, baseSymbols[i]+exponent(e))
		case e < 0:
			below = append(below, baseSymbols[i]+exponent(-e))
		}
	}
	if len(above) == 0 {
		above = []string{"1"}
	}
	return strings.Join(append([]string{strings.Join(above, "*")}, below...), "/")
}

// exponent writes a doubled exponent: nothing for one.
func exponent(doubled int) string {
	switch {
	case doubled == 2:
		return ""
	case doubled%2 == 0:
		return fmt.Sprintf("^%d", doubled/2)
	default:
		return fmt.Sprintf("^%.1f", float64(doubled)/2)
	}
}
