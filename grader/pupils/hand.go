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
	if !varied {
		return h.number(rounded, figures, false) + h.unit(q), unit.SI(rounded)
	}
	if other, ok := h.otherUnit(q); ok { // 0.0912 kg for 91.2 g
		rounded := quantity.RoundFigures(other.From(si), figures)
		return h.around(q, h.number(rounded, figures, true)+" "+other.Symbol), other.SI(rounded)
	}
	return h.around(q, h.number(rounded, figures, true)+h.unit(q)), unit.SI(rounded)
}

// around puts now and then the words and signs around an answer that pupils put there.
func (h *hand) around(q *labs.Question, text string) string {
	forms := []string{"%s", "%s", "%s", "%s", "≈ %s", "~%s", "approx. %s", "about %s", " %s ", "= %s", q.ID + " = %s", "%s."}
	return strings.Replace(forms[h.rng.IntN(len(forms))], "%s", text, 1)
}

// number writes x to a number of figures: plainly, or, varied, in one of the ways of pupils around the world.
func (h *hand) number(x float64, figures int, varied bool) string {
	if x == 0 {
		return "0"
	}
	exponent := int(math.Floor(math.Log10(math.Abs(x))))
	var s string
	if varied && h.rng.IntN(8) == 0 || exponent < -4 || exponent > 6 {
		mantissa := strconv.FormatFloat(x/math.Pow(10, float64(exponent)), 'f', figures-1, 64)
		power := strconv.Itoa(exponent)
		s = []string{mantissa + "x10^" + power, mantissa + "e" + power, mantissa + "·10^" + power, mantissa + " × 10" + raised.Replace(power)}[h.rng.IntN(4)]
	} else {
		s = strconv.FormatFloat(x, 'f', max(0, figures-1-exponent), 64)
	}
	if h.comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	if !varied {
		return s
	}
	switch h.rng.IntN(8) {
	case 0:
		s = wide.Replace(s)
	case 1:
		s = strings.Replace(s, "-", "−", 1)
	case 2:
		if rest, ok := strings.CutPrefix(s, "0."); ok {
			s = "." + rest
		}
	}
	return s
}

var (
	raised = strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹")
	wide   = strings.NewReplacer("0", "０", "1", "１", "2", "２", "3", "３", "4", "４", "5", "５", "6", "６", "7", "７", "8", "８", "9", "９", ".", "．")
)

// otherUnit is, now and then, another unit that pupils take for the answer to q, who then write it.
func (h *hand) otherUnit(q *labs.Question) (quantity.Unit, bool) {
	names := otherUnits[q.Show.Text]
	if len(names) == 0 || h.rng.IntN(8) != 0 {
		return quantity.Unit{}, false
	}
	u, err := quantity.ParseUnit(names[h.rng.IntN(len(names))])
	return u, err == nil
}

var otherUnits = map[string][]string{
	"N": {"mN", "kN"}, "g": {"kg"}, "kg": {"g"}, "cm": {"mm", "m"}, "m": {"cm", "mm"}, "cm^3": {"mL", "m^3", "L"}, "cm^2": {"mm^2", "m^2"},
	"mA": {"A"}, "A": {"mA"}, "V": {"mV"}, "ohm": {"kohm"}, "W": {"mW", "kW"}, "kPa": {"Pa"}, "kg/m^3": {"g/cm^3"}, "N*cm": {"N*m"},
	"m/s": {"cm/s", "km/h"}, "h": {"min"}, "J": {"kJ"},
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
