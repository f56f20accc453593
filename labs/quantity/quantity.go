// Package quantity holds numbers with dimensions: the SI dimensions and their exact arithmetic, units and how people
// write them, numbers and how people write them, and the way the SI writes both. It never guesses: a text with two
// sensible readings gives both, and one with none says why. Start with [ParseUnit], [Read] and
// [FormatFigures].
package quantity

import (
	"errors"
	"fmt"
)

// ErrDimension is wrapped by every error about dimensions that do not fit together.
var ErrDimension = errors.New("dimensions do not fit")

// ErrOverflow tells that an exponent of a dimension left the range that Dim can hold.
var ErrOverflow = errors.New("exponent of a dimension is too large")

// Dim holds the exponents of length, mass, time, electric current, temperature, amount of substance and luminous
// intensity, each doubled so that square roots are exact. The zero Dim is a plain number. Plane angle is a plain number.
type Dim [7]int8

// The base dimensions, as indices into a Dim.
const (
	Length = iota
	Mass
	Time
	Current
	Temperature
	Amount
	Luminous
)

// Base returns the dimension with the whole exponents given, in the order of the constants; missing ones are 0.
func Base(exponents ...int8) (d Dim) {
	for i, e := range exponents {
		d[i] = 2 * e
	}
	return d
}

// Mul returns the dimension of a product. ErrOverflow when an exponent cannot be held.
func (d Dim) Mul(e Dim) (Dim, error) { return d.combine(e, 1) }

// Div returns the dimension of a quotient. ErrOverflow when an exponent cannot be held.
func (d Dim) Div(e Dim) (Dim, error) { return d.combine(e, -1) }

func (d Dim) combine(e Dim, sign int) (Dim, error) {
	for i := range d {
		sum := int(d[i]) + sign*int(e[i])
		if sum < -128 || sum > 127 {
			return Dim{}, ErrOverflow
		}
		d[i] = int8(sum)
	}
	return d, nil
}

// Pow returns the dimension raised to num/den. It fails where the result has no exact half-integer exponents, or an
// exponent too large to hold.
func (d Dim) Pow(num, den int) (Dim, error) {
	if den == 0 {
		return Dim{}, fmt.Errorf("power %d/0: %w", num, ErrDimension)
	}
	for i := range d {
		p := int64(d[i]) * int64(num)
		if p%int64(den) != 0 {
			return Dim{}, fmt.Errorf("%v to the power %d/%d: %w", d, num, den, ErrDimension)
		}
		p /= int64(den)
		if p < -128 || p > 127 {
			return Dim{}, ErrOverflow
		}
		d[i] = int8(p)
	}
	return d, nil
}

// Kind is what sort of thing a value of a formula is.
type Kind uint8

// The kinds.
const (
	Number Kind = iota // one number, with a dimension
	Column             // a list of numbers of one dimension
	Bool               // true or false, held as 1 or 0
	Name               // a name such as brass or E12
)

// Type is what is known of a value before anything is evaluated. Point marks a temperature on a scale (in kelvin from
// absolute zero once evaluated) as against a difference; only numbers and columns of dimension temperature have it.
type Type struct {
	Kind  Kind
	Dim   Dim
	Point bool
}

// Value is a value at run time, in coherent SI units; its Type is known from checking. Only the field of its kind is
// set: X for Number and Bool, Col for Column, Name for Name.
type Value struct {
	X    float64
	Col  []float64
	Name string
}

// Quantity is a single number with its dimension, in coherent SI units (a temperature point in kelvin).
type Quantity struct {
	Value float64
	Dim   Dim
	Point bool
}
