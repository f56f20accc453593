package plot

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

// printed splits a printed quantity ("−2.46 N", "1 200 cm³", "4.7 × 10³ Ω") into its number and unit.
func printed(s string) (number float64, unit string, ok bool) {
	cut := strings.IndexFunc(s, func(r rune) bool {
		return !unicode.IsDigit(r) && !unicode.IsSpace(r) && !strings.ContainsRune("+-−.×⁻⁺⁰¹²³⁴⁵⁶⁷⁸⁹", r)
	})
	if cut < 0 {
		cut = len(s)
	}
	text, unit := s[:cut], strings.TrimSpace(s[cut:])
	text, power, _ := strings.Cut(text, "×")
	exponent := 0.0
	if power != "" {
		var digits strings.Builder
		for _, r := range strings.TrimSpace(power) {
			if d, up := superscripts[r]; up {
				digits.WriteRune(d)
			}
		}
		e, err := strconv.Atoi(strings.NewReplacer("−", "-", "+", "").Replace(digits.String()))
		if err != nil {
			return 0, "", false
		}
		exponent = float64(e)
	}
	text = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return -1
		case r == '−':
			return '-'
		}
		return r
	}, text)
	number, err := strconv.ParseFloat(text, 64)
	return number * math.Pow(10, exponent), unit, err == nil
}

// unitOf is the unit a key's values are printed in and how many coherent SI units it is, from the first text that tells.
func (f *Figure) unitOf(key, si string) (unit string, size float64) {
	v := f.Values[key]
	for i, text := range v.Texts {
		if n, u, ok := printed(text); ok && n != 0 && i < len(v.SI) && v.SI[i]/n > 0 {
			// The printed number is rounded: the nearest 1, 2, … 9 times a power of ten is the unit, for metric ones.
			ratio := v.SI[i] / n
			if metric := math.Pow(10, math.Round(math.Log10(ratio))); math.Abs(ratio/metric-1) < 0.05 {
				ratio = metric
			}
			return u, ratio
		}
	}
	return si, 1
}
