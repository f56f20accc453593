package pupils

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"keelmark/labs"
	"keelmark/labs/quantity"
)

// hand is how one pupil writes numbers: a pupil keeps to one decimal mark and has favourite forms.
type hand struct {
	rng     *rand.Rand
	comma   bool // decimal comma
	figures int  // usual number of significant figures
	units   int  // 0 never writes a unit, 1 sometimes, 2 always
}

func newHand(rng *rand.Rand) *hand {
	return &hand{rng: rng, comma: rng.IntN(4) == 0, figures: 3 + rng.IntN(2), units: rng.IntN(3)}
}

// write writes si (coherent SI) as the answer to q and gives back the number written, in coherent SI. Unless varied, the
// pupil writes plainly, so that a slip is seen as it is.
func (h *hand) write(si float64, q *labs.Question, varied bool) (text string, written float64) {
	unit := q.Show.Unit
	x := unit.From(si)
	if q.Stepped {
		return strconv.FormatFloat(x, 'g', 12, 64), si
	}
	figures := h.figures
	if q.SFHigh > 0 {
		figures = min(figures, q.SFHigh)
	}
	rounded := quantity.RoundFigures(x, figures)
	return h.number(rounded, figures, varied) + h.unit(q), unit.SI(rounded)
}

// number writes x to a number of figures: plainly, or now and then in powers of ten.
func (h *hand) number(x float64, figures int, varied bool) string {
	if x == 0 {
		return "0"
	}
	exponent := int(math.Floor(math.Log10(math.Abs(x))))
	var s string
	if varied && h.rng.IntN(8) == 0 || exponent < -4 || exponent > 6 {
		mantissa := strconv.FormatFloat(x/math.Pow(10, float64(exponent)), 'f', figures-1, 64)
		form := []string{"x10^", "e", "·10^", " × 10^"}[h.rng.IntN(4)]
		s = mantissa + form + strconv.Itoa(exponent)
	} else {
		s = strconv.FormatFloat(x, 'f', max(0, figures-1-exponent), 64)
	}
	if h.comma && !threeAfterPoint(s) {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// threeAfterPoint tells numbers such as 1.234: with a comma they would have two readings, and a careful pupil avoids that.
func threeAfterPoint(s string) bool {
	whole, digits, ok := strings.Cut(s, ".")
	return ok && len(digits) == 3 && strings.Trim(whole, "-0") != ""
}

// unit writes the unit in one of the ways pupils do, or leaves it to the print on the sheet.
func (h *hand) unit(q *labs.Question) string {
	if q.Show.Text == "1" || q.UnitMark == 0 && (h.units == 0 || h.units == 1 && h.rng.IntN(2) == 0) {
		return ""
	}
	forms := []string{" " + q.Show.Text, " " + q.Show.Unit.Symbol, q.Show.Unit.Symbol}
	if words := inWords[q.Show.Text]; words != "" {
		forms = append(forms, " "+words)
	}
	return forms[h.rng.IntN(len(forms))]
}

var inWords = map[string]string{
	"N": "newtons", "cm": "centimetres", "g": "grams", "kg": "kilograms", "V": "volts", "A": "amps", "ohm": "ohms", "W": "watts",
	"m": "metres", "s": "seconds", "mA": "milliamps", "kg/m^3": "kilograms per cubic metre", "m/s": "metres per second",
	"cm^3": "cubic centimetres", "deg": "degrees", "J": "joules", "h": "hours",
}
