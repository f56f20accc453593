package formula

import (
	"fmt"
	"math"

	"keelmark/labs/quantity"
)

// The rules of dimensions, one function an operator. Each gives the type of the result and "", or what is wrong; the
// type is then the likeliest one, which serves where dimensions do not matter (plain programs).

var temperature = quantity.Base(0, 0, 0, 0, 1)

func number(d quantity.Dim) quantity.Type { return quantity.Type{Kind: quantity.Number, Dim: d} }

// describe names a type as errors do: "N", "number", "column of cm".
func describe(t quantity.Type) string {
	unit := "number"
	switch {
	case t.Kind == quantity.Bool:
		return "a condition"
	case t.Kind == quantity.Name:
		return "a name"
	case t.Point:
		unit = "degC"
	case t.Dim != quantity.Dim{}:
		unit = fmt.Sprint(t.Dim)
	}
	if t.Kind == quantity.Column {
		return "column of " + unit
	}
	return unit
}

// spread is the kind of a op b: a column as soon as one of them is.
func spread(a, b quantity.Type) quantity.Kind { return max(a.Kind, b.Kind) }

// sumType is the type of a + b and a - b.
func sumType(o op, a, b quantity.Type) (t quantity.Type, fault string) {
	t = quantity.Type{Kind: spread(a, b), Dim: a.Dim, Point: a.Point != b.Point}
	switch {
	case a.Dim != b.Dim && o == add:
		return t, fmt.Sprintf("cannot add %s + %s", describe(a), describe(b))
	case a.Dim != b.Dim:
		return t, fmt.Sprintf("cannot subtract %s - %s", describe(a), describe(b))
	case o == add && a.Point && b.Point:
		t.Point = true
		return t, "cannot add two temperatures in degC; a difference is written in K, as in T + 5 K"
	case o == sub && b.Point && !a.Point:
		return t, "cannot subtract a temperature in degC from a difference"
	}
	return t, ""
}

// productType is the type of a*b and a/b. A point counts from absolute zero there, which is right in p*V/T; a multiple of
// a temperature in degC is meaningless.
func productType(o op, a, b quantity.Type) (t quantity.Type, fault string) {
	t.Kind = spread(a, b)
	var err error
	if o == mul {
		t.Dim, err = a.Dim.Mul(b.Dim)
	} else {
		t.Dim, err = a.Dim.Div(b.Dim)
	}
	switch {
	case err != nil:
		return t, err.Error()
	case (a.Point || b.Point) && t.Dim == temperature:
		return t, "cannot scale a temperature in degC; for degrees above freezing write T - 0 degC"
	}
	return t, ""
}

// powerType is the type of a^b, where b is written as num/den if it is a number in the source (den is otherwise 0).
func powerType(a, b quantity.Type, num, den int) (t quantity.Type, fault string) {
	t = quantity.Type{Kind: spread(a, b)}
	switch {
	case b.Dim != quantity.Dim{}:
		return t, fmt.Sprintf("an exponent is a plain number, not %s", describe(b))
	case a.Dim == quantity.Dim{}:
		return t, ""
	case den == 0:
		return t, fmt.Sprintf("%s to a power: the exponent must be a number such as 2, 0.5 or (1/3)", describe(a))
	}
	d, err := a.Dim.Pow(num, den)
	if err != nil {
		return t, err.Error()
	}
	t.Dim = d
	return t, ""
}

// rational reads n as an exponent num/den in lowest terms: 2, -1, 0.5, 1/3, with both parts bounded. ok is false for
// anything else.
func rational(n *node) (num, den int, ok bool) {
	switch {
	case n.bare():
		for den = 1; den <= maxExponent; den++ {
			if x := n.x * float64(den); math.Abs(x) <= maxExponent && x == math.Trunc(x) {
				return int(x), den, true
			}
		}
	case n.op == negate:
		num, den, ok = rational(n.args[0])
		return -num, den, ok
	case n.op == div:
		a, b, okA := rational(n.args[0])
		c, d, okB := rational(n.args[1])
		if num, den = a*d, b*c; okA && okB && den != 0 {
			if den < 0 {
				num, den = -num, -den
			}
			g := gcd(max(num, -num), den)
			if num, den = num/g, den/g; den <= maxExponent && max(num, -num) <= maxExponent {
				return num, den, true
			}
		}
	}
	return 0, 0, false
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// compareFault says why a and b cannot be compared, "" when they can.
func compareFault(sign string, a, b quantity.Type) string {
	switch {
	case a.Kind == quantity.Column || b.Kind == quantity.Column:
		return "a column has no single truth: compare its min( ) or max( )"
	case a.Dim != b.Dim:
		return fmt.Sprintf("cannot compare %s %s %s", describe(a), sign, describe(b))
	case a.Point != b.Point:
		return fmt.Sprintf("cannot compare a temperature in degC with a difference (%s %s %s)", describe(a), sign, describe(b))
	}
	return ""
}
