package quantity

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// A decimal is a number as people write it: digits × 10^exp, exactly. digits has no leading zeros; it is empty for zero.
type decimal struct {
	neg    bool
	digits string
	exp    int
}

// shortest gives the shortest decimal that reads back as x, which must be finite. It is what a person would call x:
// 2.15, not the 2.149999999999999911… that the computer holds.
func shortest(x float64) decimal {
	text := strconv.FormatFloat(math.Abs(x), 'e', -1, 64)
	mantissa, power, _ := strings.Cut(text, "e")
	exp, _ := strconv.Atoi(power)
	whole, fraction, _ := strings.Cut(mantissa, ".")
	d := decimal{neg: x < 0, digits: whole + fraction, exp: exp - len(fraction)}
	if x == 0 {
		d.digits, d.exp = "", 0
	}
	return d
}

// order is the power of ten of the first digit; 0 for zero.
func (d decimal) order() int {
	if d.digits == "" {
		return 0
	}
	return d.exp + len(d.digits) - 1
}

// round gives the multiple of 10^place nearest to d, half to even, with its digits written out to that place.
func (d decimal) round(place int) decimal {
	drop := place - d.exp
	switch {
	case d.digits == "":
		return decimal{exp: place}
	case drop <= 0:
		d.digits += strings.Repeat("0", -drop)
		d.exp = place
		return d
	case drop > len(d.digits):
		return decimal{exp: place}
	}
	kept, lost := d.digits[:len(d.digits)-drop], d.digits[len(d.digits)-drop:]
	half := "5" + strings.Repeat("0", drop-1)
	odd := kept != "" && (kept[len(kept)-1]-'0')%2 == 1
	if lost > half || lost == half && odd {
		kept = increment(kept)
	}
	return decimal{neg: d.neg && kept != "", digits: kept, exp: place}
}

// increment adds one to a string of digits.
func increment(digits string) string {
	b := []byte(digits)
	for i := len(b) - 1; i >= 0; i-- {
		if b[i] < '9' {
			b[i]++
			return string(b)
		}
		b[i] = '0'
	}
	return "1" + string(b)
}

// figures rounds d to n significant figures. A carry (9.96 to two figures) still leaves n of them.
func (d decimal) figures(n int) decimal {
	r := d.round(d.order() - n + 1)
	if len(r.digits) > n {
		r = r.round(r.exp + 1)
	}
	return r
}

// float is the float64 nearest to d.
func (d decimal) float() float64 {
	if d.digits == "" {
		return 0
	}
	x, _ := strconv.ParseFloat(d.digits+"e"+strconv.Itoa(d.exp), 64)
	if d.neg {
		x = -x
	}
	return x
}

// rat is d exactly.
func (d decimal) rat() *big.Rat {
	r := new(big.Rat)
	if d.digits != "" {
		r.SetString(d.digits + "e" + strconv.Itoa(d.exp))
	}
	if d.neg {
		r.Neg(r)
	}
	return r
}

// RoundTo rounds x to a whole multiple of step, half to even on the shortest decimal text of both: 2.15 to 0.1 is 2.2
// (NIST SP 811 (2008) B.7.1). A step that is not positive, and an x that is not finite, leave x as it is.
func RoundTo(x, step float64) float64 {
	if !(step > 0) || math.IsInf(step, 0) || math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	s := shortest(step)
	if y, ok := roundFast(x, step, s); ok {
		return y
	}
	return roundExactly(x, step, s)
}

// roundFast is roundExactly where floating point is certain to give the same: away from a half, with whole numbers and
// powers of ten that float64 holds exactly, so that the one operation left rounds as the decimal text would.
func roundFast(x, step float64, s decimal) (y float64, ok bool) {
	const most, clear = 1 << 30, 1e-4
	n := math.Round(x / step)
	if math.Abs(n) > most || math.Abs(math.Abs(x/step-n)-0.5) < clear || len(s.digits) > 6 || s.exp < -22 || s.exp > 22 {
		return 0, false
	}
	size, err := strconv.Atoi(s.digits)
	if err != nil || n == 0 {
		return 0, err == nil
	}
	if whole := n * float64(size); s.exp < 0 {
		y = whole / math.Pow10(-s.exp)
	} else {
		y = whole * math.Pow10(s.exp)
	}
	return y, true
}

// roundExactly rounds in decimal; s is the shortest text of step.
func roundExactly(x, step float64, s decimal) float64 {
	d := shortest(x)
	if s.digits == "1" {
		return d.round(s.exp).float()
	}
	if math.Abs(x/step) > 1<<53 {
		return x // finer than x is known
	}
	size := s.rat()
	n := roundHalfEven(new(big.Rat).Quo(d.rat(), size))
	y, _ := size.Mul(size, new(big.Rat).SetInt(n)).Float64()
	return y
}

// roundHalfEven gives the whole number nearest to r.
func roundHalfEven(r *big.Rat) *big.Int {
	two := big.NewInt(2)
	n, rest := new(big.Int).DivMod(r.Num(), r.Denom(), new(big.Int)) // rest ≥ 0
	switch rest.Mul(rest, two).Cmp(r.Denom()) {
	case 1:
		n.Add(n, big.NewInt(1))
	case 0:
		n.Add(n, big.NewInt(int64(n.Bit(0))))
	}
	return n
}

// RoundFigures rounds x to n significant figures, half to even on its shortest decimal text. n below 1 counts as 1.
func RoundFigures(x float64, n int) float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	return shortest(x).figures(max(n, 1)).float()
}
