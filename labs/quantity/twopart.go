package quantity

import (
	"math"
	"strings"
	"unicode"
)

// pairs lists the units that people write one after the other, the larger first: 1 min 30 s.
var pairs = map[string][]string{
	"d": {"h"}, "h": {"min"}, "min": {"s"}, "m": {"cm", "mm"}, "cm": {"mm"}, "km": {"m"}, "kg": {"g"}, "ft": {"in"}, "yd": {"ft"}, "lb": {"oz"}, "L": {"mL"},
}

// readTwoPart reads what follows a whole number as "min 30 s". It gives nothing when that is not what is written.
func readTwoPart(numbers []numeral, rest string) []Reading {
	i := strings.IndexFunc(rest, unicode.IsDigit)
	if i <= 0 || len(numbers) != 1 || numbers[0].value != math.Trunc(numbers[0].value) {
		return nil
	}
	first := strings.TrimSuffix(strings.TrimRight(rest[:i], " ,"), " and")
	seconds, tail, why := readNumber(rest[i:])
	if why != "" || len(seconds) != 1 || seconds[0].value < 0 {
		return nil
	}
	for _, large := range readUnit(strings.TrimSpace(first)) {
		for _, small := range readUnit(strings.TrimSpace(tail)) {
			for _, symbol := range pairs[large.Unit.Symbol] {
				ratio := small.Unit.Scale / large.Unit.Scale
				if small.Unit.Symbol != symbol || seconds[0].value*ratio >= 1 {
					continue
				}
				r := numbers[0].reading()
				r.Number += math.Copysign(seconds[0].value*ratio, r.Number)
				r.HasUnit, r.Unit = true, large.Unit
				r.Digit = seconds[0].digit * ratio
				r.Low, r.High = 0, 0
				if r.Digit > 0 && r.Number != 0 {
					r.High = int(math.Floor(math.Log10(math.Abs(r.Number)/r.Digit))) + 1
					r.Low = r.High
				}
				r.Note = "both parts added"
				return []Reading{r}
			}
		}
	}
	return nil
}
