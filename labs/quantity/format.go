package quantity

import (
	"math"
	"strconv"
	"strings"
)

// How the SI writes numbers (SI Brochure, 9th ed., 5.4.3 and 5.4.4): digits in threes by a thin space, no comma, and
// the unit after a space that no line may break.
const (
	thinSpace = "\u2009"
	noBreak   = "\u00a0"
	minus     = "−"
)

// Bounds between plain and scientific notation. Pupils of twelve read 12 300 more easily than 1.23 × 10⁴.
const (
	smallestOrder = -3 // below 0.001: scientific
	largestOrder  = 8  // from 10⁹ on: scientific
	vagueOrder    = 4  // from 10⁵ on, if some of the zeros before the point would not be significant
)

// FormatStep writes x, already in the unit shown, with as many decimals as step has: thin spaces in long numbers
// (U+2009), true minus, and "× 10⁻⁴" with Unicode superscripts for numbers below 0.001 or from 10⁹ on. It rounds half to
// even on the decimal text; a value that rounds to zero has no sign. step 0.25 gives two decimals, step 5 or 10 none.
func FormatStep(x, step float64) string {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	place := 0
	if step > 0 && !math.IsInf(step, 0) {
		place = min(shortest(step).exp, 0)
	}
	d := shortest(x).round(place)
	if d.digits == "" && place < -6 {
		return "0"
	}
	if d.digits != "" && (d.order() < smallestOrder || d.order() > largestOrder) {
		return d.scientific()
	}
	return d.plain()
}

// FormatFigures writes x to n significant figures in the same style. Where zeros before the decimal point would be
// taken for figures it keeps the plain form up to 99 999 and is scientific beyond.
func FormatFigures(x float64, n int) string {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	if x == 0 {
		return "0"
	}
	d := shortest(x).figures(max(n, 1))
	order := d.order()
	if order < smallestOrder || order > largestOrder || d.exp > 0 && order > vagueOrder {
		return d.scientific()
	}
	return d.plain()
}

// plain writes d without a power of ten.
func (d decimal) plain() string {
	whole, fraction := d.digits, ""
	if d.exp >= 0 {
		if whole != "" {
			whole += strings.Repeat("0", d.exp)
		}
	} else {
		if short := -d.exp - len(whole); short > 0 {
			whole = strings.Repeat("0", short) + whole
		}
		whole, fraction = whole[:len(whole)+d.exp], whole[len(whole)+d.exp:]
	}
	if whole == "" {
		whole = "0"
	}
	return d.sign() + join(whole, fraction)
}

// scientific writes d as a number from 1 to 10 and a power of ten.
func (d decimal) scientific() string {
	return d.sign() + join(d.digits[:1], d.digits[1:]) + noBreak + "×" + noBreak + "10" + superscript(d.order())
}

func (d decimal) sign() string {
	if d.neg {
		return minus
	}
	return ""
}

// join sets the digits before and after the point in threes; four digits stay together.
func join(whole, fraction string) string {
	if len(whole) > 4 {
		first := (len(whole)-1)%3 + 1
		groups := []string{whole[:first]}
		for i := first; i < len(whole); i += 3 {
			groups = append(groups, whole[i:i+3])
		}
		whole = strings.Join(groups, thinSpace)
	}
	if fraction == "" {
		return whole
	}
	if len(fraction) > 4 {
		var groups []string
		for i := 0; i < len(fraction); i += 3 {
			groups = append(groups, fraction[i:min(i+3, len(fraction))])
		}
		fraction = strings.Join(groups, thinSpace)
	}
	return whole + "." + fraction
}

var raise = strings.NewReplacer("0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹", "-", "⁻")

// superscript writes a whole number in raised digits.
func superscript(n int) string { return raise.Replace(strconv.Itoa(n)) }

// WithUnit joins a formatted number and a unit: a no-break space before the symbol, none before the degree, minute and
// second of plane angle, and nothing for the unit of a bare number.
func WithUnit(number string, u Unit) string {
	switch u.Symbol {
	case "":
		return number
	case "°":
		return number + u.Symbol
	}
	return number + noBreak + u.Symbol
}
