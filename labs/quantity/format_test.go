package quantity

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// NIST SP 811 (2008) B.7.1, its examples in order; then the half-even cases of common laboratory guides.
func TestRoundFigures(t *testing.T) {
	for _, c := range []struct {
		x    float64
		n    int
		want float64
		text string
	}{
		{6.9749515, 2, 7.0, "7.0"}, {6.9749515, 3, 6.97, "6.97"}, {6.9749515, 5, 6.9750, "6.9750"}, {6.9749515, 7, 6.974952, "6.974 952"}, {6.9749505, 7, 6.974950, "6.974 950"},
		{3.965, 3, 3.96, "3.96"}, {3.955, 3, 3.96, "3.96"}, {2.15, 2, 2.2, "2.2"}, {2.25, 2, 2.2, "2.2"}, {9.96, 2, 10, "10"}, {0.0996, 2, 0.1, "0.10"},
		{1200, 2, 1200, "1200"}, {12345, 3, 12300, "12 300"}, {123456, 3, 123000, "1.23 × 10⁵"}, {101325, 6, 101325, "101 325"}, {0, 3, 0, "0"},
		{-0.5, 1, -0.5, "−0.5"}, {0.00091, 2, 0.00091, "9.1 × 10⁻⁴"}, {0.0091, 2, 0.0091, "0.0091"}, {6.02214076e23, 3, 6.02e23, "6.02 × 10²³"}, {5, 0, 5, "5"},
	} {
		if got := RoundFigures(c.x, c.n); got != c.want {
			t.Errorf("%v to %d figures = %v, want %v", c.x, c.n, got, c.want)
		}
		if got := FormatFigures(c.x, c.n); got != plainSpaces(c.text) {
			t.Errorf("%v to %d figures = %q, want %q", c.x, c.n, got, c.text)
		}
	}
}

// plainSpaces turns the spaces of a table into those the SI style prints.
func plainSpaces(s string) string {
	var out []rune
	runes := []rune(s)
	for i, r := range runes {
		switch {
		case r == ' ' && (runes[i+1] == '×' || runes[i-1] == '×'):
			out = append(out, '\u00a0')
		case r == ' ':
			out = append(out, '\u2009')
		default:
			out = append(out, r)
		}
	}
	return string(out)
}

func TestRoundToAndFormatStep(t *testing.T) {
	for _, c := range []struct {
		x, step, want float64
		text          string
	}{
		{2.15, 0.1, 2.2, "2.2"}, {2.25, 0.1, 2.2, "2.2"}, {126.5, 1, 126, "126"}, {127.5, 1, 128, "128"}, {3.965, 0.01, 3.96, "3.96"}, {0.905, 0.01, 0.9, "0.90"},
		{1.13, 0.25, 1.25, "1.13"}, {1.125, 0.25, 1, "1.12"}, {1.375, 0.25, 1.5, "1.38"}, {7.3, 5, 5, "7"}, {7.5, 5, 10, "8"}, {12, 10, 10, "12"}, {-0.004, 0.01, 0, "0.00"}, {-2.46, 0.01, -2.46, "−2.46"},
		{1234.5, 0.1, 1234.5, "1234.5"}, {12345.67, 0.01, 12345.67, "12 345.67"}, {998.2067, 0.1, 998.2, "998.2"}, {0.00012345, 1e-8, 0.00012345, "1.2345 × 10⁻⁴"}, {0.3, 0.1, 0.3, "0.3"},
		{0.7, 0.00001, 0.7, "0.700 00"}, {2.5, 0, 2.5, "2"}, {1e300, 0.1, 1e300, ""},
	} {
		if got := RoundTo(c.x, c.step); got != c.want {
			t.Errorf("%v to %v = %v, want %v", c.x, c.step, got, c.want)
		}
		if got := FormatStep(c.x, c.step); c.text != "" && got != plainSpaces(c.text) {
			t.Errorf("%v with the decimals of %v = %q, want %q", c.x, c.step, got, c.text)
		}
	}
	for _, x := range []float64{math.Inf(1), math.NaN()} {
		if got := RoundTo(x, 0.1); got == got && got != x {
			t.Errorf("%v became %v", x, got)
		}
	}
}

func TestRoundingLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e6, 1e6).Draw(t, "x")
		step := rapid.SampledFrom([]float64{0.001, 0.01, 0.02, 0.05, 0.1, 0.25, 0.5, 1, 2, 5, 10}).Draw(t, "step")
		y := RoundTo(x, step)
		if math.Abs(y-x) > step/2*(1+1e-9)+1e-15*math.Abs(x) {
			t.Fatalf("%v to %v = %v: further than half a step", x, step, y)
		}
		if again := RoundTo(y, step); again != y {
			t.Fatalf("%v rounds on to %v", y, again)
		}
		if RoundTo(-x, step) != -y {
			t.Fatalf("%v and its opposite round apart", x)
		}
	})
}

// The short cut in floating point gives the very number that rounding in decimal gives, or leaves it to it.
func TestRoundFast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		step := rapid.SampledFrom([]float64{1e-8, 0.001, 0.01, 0.02, 0.05, 0.1, 0.125, 0.25, 0.5, 1, 2, 2.5, 5, 10, 300, 1e20}).Draw(t, "step")
		x := step * (rapid.Float64Range(-1e9, 1e9).Draw(t, "steps") + rapid.SampledFrom([]float64{0, 0.4999, 0.5, 0.5002}).Draw(t, "beside"))
		s := shortest(step)
		if y, ok := roundFast(x, step, s); ok && y != roundExactly(x, step, s) {
			t.Fatalf("%v to %v: %v, in decimal %v", x, step, y, roundExactly(x, step, s))
		}
	})
}

func TestWithUnit(t *testing.T) {
	for _, c := range []struct{ number, unit, want string }{
		{"0.91", "N", "0.91\u00a0N"}, {"30", "deg", "30°"}, {"21.5", "degC", "21.5\u00a0°C"}, {"75", "%", "75\u00a0%"}, {"3", "1", "3"}, {"998", "kg/m^3", "998\u00a0kg/m³"},
	} {
		if got := WithUnit(c.number, parse(t, c.unit)); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestDim(t *testing.T) {
	force, length := Base(1, 1, -2), Base(1)
	if moment, err := force.Mul(length); err != nil || moment != Base(2, 1, -2) {
		t.Errorf("N m = %v, %v", moment, err)
	}
	if stiffness, err := force.Div(length); err != nil || stiffness.String() != "N/m" {
		t.Errorf("N/m = %v, %v", stiffness, err)
	}
	root, err := length.Pow(1, 2)
	if err != nil || root.String() != "m^0.5" {
		t.Errorf("root of m = %v, %v", root, err)
	}
	if square, err := root.Pow(2, 1); err != nil || square != length {
		t.Errorf("its square = %v, %v", square, err)
	}
	if _, err := root.Pow(1, 2); !errors.Is(err, ErrDimension) {
		t.Errorf("the fourth root of a metre: %v", err)
	}
	if _, err := length.Pow(1, 0); !errors.Is(err, ErrDimension) {
		t.Errorf("power 1/0: %v", err)
	}
	if _, err := length.Pow(64, 1); !errors.Is(err, ErrOverflow) {
		t.Errorf("m^64: %v", err)
	}
	if _, err := Base(63).Mul(Base(1)); !errors.Is(err, ErrOverflow) {
		t.Errorf("m^63 m: %v", err)
	}
	for want, d := range map[string]Dim{"1": {}, "N": force, "kg": Base(0, 1), "kg/m^3": Base(-3, 1), "m/s^2": Base(1, 0, -2), "1/s": Base(0, 0, -1), "kg*m/s": Base(1, 1, -1), "ohm": Base(2, 1, -3, -2)} {
		if d.String() != want {
			t.Errorf("%v, want %s", d, want)
		}
		if u, err := ParseUnit(want); err != nil || u.Dim != d || u.Scale != 1 {
			t.Errorf("%s is parsed as %+v, %v", want, u, err)
		}
	}
}

func BenchmarkRoundTo(b *testing.B) {
	for b.Loop() {
		RoundTo(2.345678, 0.05)
	}
}

func BenchmarkFormatFigures(b *testing.B) {
	for b.Loop() {
		FormatFigures(12345.678, 6)
	}
}
