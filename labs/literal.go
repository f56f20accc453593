package labs

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"keelmark/labs/quantity"
)

// literal is a number with its unit as a template writes it: 0.5 degC.
type literal struct {
	x     float64 // in unit
	unit  quantity.Unit
	text  string  // the unit as written, "1" for none
	digit float64 // one unit of the last digit written, in unit: 0.1 for 0.5
}

func (l literal) si() float64   { return l.unit.SI(l.x) }
func (l literal) span() float64 { return l.unit.Span(l.x) }

// typ is the type of the literal as a point on its scale, where it has one.
func (l literal) typ() quantity.Type {
	return quantity.Type{Dim: l.unit.Dim, Point: l.unit.Offset != 0}
}

var literalForm = regexp.MustCompile(`^([-+−]?)(\d+(?:\.(\d*))?|\.(\d+))(?:[eE]([-+]?\d{1,3}))?\s*(.*)$`)

// parseLiteral reads a number and its unit.
func parseLiteral(s string) (literal, error) {
	m := literalForm.FindStringSubmatch(strings.TrimSpace(s))
	if m == nil {
		return literal{}, fmt.Errorf("%.60q is not a number with its unit, such as 0.5 N", s)
	}
	l := literal{text: m[6]}
	if l.text == "" {
		l.text = "1"
	}
	number := strings.Replace(m[1], "−", "-", 1) + m[2]
	exponent := 0
	if m[5] != "" {
		number += "e" + m[5]
		exponent, _ = strconv.Atoi(m[5]) // three digits at most
	}
	var err error
	if l.x, err = strconv.ParseFloat(number, 64); err != nil {
		return literal{}, fmt.Errorf("%.60q is too large", s)
	}
	l.digit, _ = strconv.ParseFloat(fmt.Sprintf("1e%d", exponent-len(m[3])-len(m[4])), 64)
	if l.unit, err = quantity.ParseUnit(l.text); err == nil && math.IsInf(l.si(), 0) {
		err = fmt.Errorf("%.60q is too large", s)
	}
	return l, err
}

// parseWhole reads a whole number.
func parseWhole(s string) (int, error) { return strconv.Atoi(strings.TrimSpace(s)) }

// parseRange reads "0 N .. 5 N"; a unit after the second number only serves both.
func parseRange(s string) (low, high literal, err error) {
	a, b, ok := strings.Cut(s, "..")
	if !ok {
		return low, high, fmt.Errorf("%.60q is not a range such as 0 N .. 5 N", s)
	}
	if high, err = parseLiteral(b); err != nil {
		return low, high, err
	}
	if low, err = parseLiteral(a); err != nil {
		return low, high, err
	}
	if low.text == "1" && high.text != "1" {
		low.unit, low.text = high.unit, high.text
	}
	if low.unit.Dim != high.unit.Dim || (low.unit.Offset != 0) != (high.unit.Offset != 0) {
		return low, high, fmt.Errorf("the ends of a range are of one kind, not %s and %s", low.unit.Dim, high.unit.Dim)
	}
	if low.si() >= high.si() {
		return low, high, fmt.Errorf("a range runs upwards: %.60q does not", s)
	}
	return low, high, nil
}
