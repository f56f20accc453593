package formula

import (
	"errors"
	"math"
	"strings"
	"testing"

	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// run compiles and evaluates on the boatyard's values.
func run(src string) (quantity.Value, quantity.Type, error) {
	b := boatyard()
	e, err := Parse(src)
	if err != nil {
		return quantity.Value{}, quantity.Type{}, err
	}
	p, err := e.Compile(b, nil)
	if err != nil {
		return quantity.Value{}, quantity.Type{}, err
	}
	v, err := p.Eval(b.frame)
	return v, p.Type(), err
}

func TestEval(t *testing.T) {
	none := quantity.Dim{}
	for _, c := range []struct {
		src  string
		want float64
		dim  quantity.Dim
	}{
		{"Wa - Ww", 0.91, force},
		{"(Wa - Ww)/(rho_w*g)", 0.91 / (998.2 * 9.81), volume},
		{"-2^2", -4, none},
		{"2^3^2", 512, none},
		{"(-2)^3", -8, none},
		{"2^-1", 0.5, none},
		{"d^2*pi/4", 0.0016 * math.Pi / 4, quantity.Base(2)},
		{"V^(1/3)", math.Cbrt(9e-5), length},
		{"V^(2/3)/d^2", math.Cbrt(9e-5*9e-5) / 0.0016, none},
		{"sqrt(d)*d^0.5", 0.04, length},
		{"d^-1", 25, quantity.Base(-1)},
		{"d^-(2/-2)", 0.04, length},
		{"(d^2)^-0.5", 25, quantity.Base(-1)},
		{"n^n", 27, none},
		{"9.81 m/s^2 * m", 9.81 * 0.25, force},
		{"50 g", 0.05, mass},
		{"30 %", 0.3, none},
		{"sin(30 deg)", 0.5, none},
		{"if(Wa > Ww, 1, 2)", 1, none},
		{"if(zero == 0, 7, 1/zero)", 7, none},
		{"if(zero != 0 && 1/zero > 1, 1, 2)", 2, none},
		{"if(zero == 0 || 1/zero > 1, 1, 2)", 1, none},
		{"if(!(Wa < Ww), 3 N, 4 N)", 3, force},
		{"sum(z)", 0.03, length},
		{"sum(z*z + [1, 2, 3] m^2)", 6.0005, quantity.Base(2)},
		{"max(-z)", 0, length},
		{"mean([d, 2*d, 3*d])", 0.08, length},
		{"sum([0, 1, 2]^2)", 5, none},
		{"sum(2^[1, 2])", 6, none},
		{"density(metal)*V - density(brass)*V", 0, mass},
		{"current(N.R1) + 1 A", 1.5, quantity.Base(0, 0, 0, 1)},
		{"u(Wa)", 0.003, force},
		{"ρ*V", 0.09, mass},
	} {
		v, typ, err := run(c.src)
		if err != nil {
			t.Errorf("%s: %v", c.src, err)
			continue
		}
		if math.Abs(v.X-c.want) > 1e-12*max(1, math.Abs(c.want)) || typ != number(c.dim) {
			t.Errorf("%s = %v %v, want %v %v", c.src, v.X, typ, c.want, c.dim)
		}
	}
}

func TestConditions(t *testing.T) {
	for src, want := range map[string]bool{
		"Ww > 0":              true,
		"0 < Ww < Wa":         true,
		"Wa > Ww > 2 N":       false,
		"0.1 + 0.2 == 0.3":    true, // equal but for binary rounding
		"0.1 + 0.2 > 0.3":     false,
		"0.1 + 0.2 <= 0.3":    true,
		"0.3 m != 30 cm":      false,
		"T > T2":              true,
		"T > 293 K":           true, // a literal in K serves as a point
		"T == 20 degC":        true,
		"T - T2 == 10 K":      true, // and as a difference
		"T - 5 K > T2":        true,
		"-5 degC == 268.15 K": true,
		"!(1 > 2)":            true,
		"1 > 2 || 2 > 1":      true,
		"1 > 2 && 2 > 1":      false,
	} {
		v, typ, err := run(src)
		if err != nil || typ.Kind != quantity.Bool || (v.X == 1) != want {
			t.Errorf("%s = %v (%v), want %v", src, v.X, err, want)
		}
	}
}

func TestTemperatures(t *testing.T) {
	for src, want := range map[string]struct {
		x     float64
		point bool
	}{
		"T - T2":             {10, false},
		"T + 5 K":            {298.15, true},
		"5 K + T":            {298.15, true},
		"T - (T - T2)":       {283.15, true},
		"T - 0 degC":         {20, false},
		"2*(T - T2)":         {20, false},
		"mean([8, 10] degC)": {282.15, true},
	} {
		v, typ, err := run(src)
		if err != nil || math.Abs(v.X-want.x) > 1e-9 || typ.Dim != temperature || typ.Point != want.point {
			t.Errorf("%s = %v %+v (%v), want %+v", src, v.X, typ, err, want)
		}
	}
	if v, _, err := run("T*V/T2"); err != nil || math.Abs(v.X-9e-5*293.15/283.15) > 1e-15 {
		t.Errorf("a ratio of absolute temperatures: %v %v", v.X, err)
	}
}

func TestCheckErrors(t *testing.T) {
	for _, c := range [][2]string{
		{"Wa «- Ww/g", "cannot subtract N - kg"},
		{"Wa «+ 1", "cannot add N + number"},
		{"1 + (z «+ Wa)", "cannot add column of m + N"},
		{"0 «+ Wa", "cannot add number + N"},
		{"Wa «> m", "cannot compare N > kg"},
		{"Wa «== 1", "cannot compare N == number"},
		{"z «> 0", "compare its min( ) or max( )"},
		{"T «+ T2", "cannot add two temperatures"},
		{"5 K «- T", "cannot subtract a temperature"},
		{"2«*T", "cannot scale a temperature"},
		{"«-T", "cannot change the sign of a temperature"},
		{"T «> 5", "cannot compare degC > number"},
		{"T «> 0", "cannot compare degC > number"},
		{"T «> T - T2", "cannot compare a temperature in degC with a difference"},
		{"2«^Wa", "an exponent is a plain number, not N"},
		{"Wa«^n", "the exponent must be a number such as"},
		{"Wa«^99", "the exponent must be a number such as"},
		{"d«^(1/3)", "power 1/3"},
		{"(Wa > Ww) «+ 1", "a condition is not a number"},
		{"if(«Wa, 1, 2)", "a condition is needed here, such as a > b, not N"},
		{"if(«metal, 1, 2)", "not a name"},
		{"«if(n > 1, metal, 2)", "the two values of if differ: a name and number"},
		{"metal «+ 1", "metal is a name, not a number"},
		{"«if(Wa > Ww, 1, m)", "the two values of if differ: number and kg"},
		{"«if(Wa > Ww, z, d)", "differ: column of m and m"},
		{"[Wa, «m]", "a column of N cannot hold kg"},
		{"[«z, z]", "a column inside a column"},
		{"Wa - «Wv", "unknown name Wv, did you mean Wa?"},
		{"«rho_W", "did you mean rho_w?"},
		{"«xyzzy", "unknown name xyzzy"},
		{"«sqrt + 1", "sqrt is a function: write sqrt( )"},
		{"«V(3)", "V is a value, not a function"},
		{"1 + «squrt(2)", "unknown function squrt, did you mean sqrt?"},
		{"«sqrt(1, 2)", "sqrt(x) takes"},
		{"«density(unobtainium)", "unobtainium"},
		{"«5 N/m * 2", "is m the unit or the value m? For the value write 5 N / m; for the unit rename the value"},
		{"«4 J/g/K", "write 4 J / g/K"},
	} {
		src, col := fault(c[0])
		_, _, err := run(src)
		check(t, c[0], col, err, c[1])
	}
}

func TestRunErrors(t *testing.T) {
	for _, c := range [][2]string{
		{"1 + Wa«/(Ww - Ww)", "division by zero"},
		{"(Ww - Wa)«^0.5", "no finite value"},
		{"1e300«*1e300", "too large"},
		{"1/(1e300«*1e300)", "too large"},
		{"n - «sqrt(zero - 1)", "sqrt"},
		{"z «+ short", "columns of different length: 3 and 2"},
		{"sum(d«/z)", "division by zero"},
		{"«water_density(90 degC)", "40"},
	} {
		src, col := fault(c[0])
		_, _, err := run(src)
		check(t, c[0], col, err, c[1])
	}
	if _, _, err := run("water_density(90 degC)"); !errors.Is(err, physics.ErrRange) {
		t.Errorf("the cause of a range error is lost: %v", err)
	}
}

func TestPlain(t *testing.T) {
	b := boatyard()
	for src, want := range map[string]float64{
		"Wa - Ww/g":         2.46 - 1.55/9.81,
		"Wa + 1":            3.46,
		"2^Wa":              math.Pow(2, 2.46),
		"Wa^n":              math.Pow(2.46, 3),
		"sin(Wa)":           math.Sin(2.46),
		"atan2(Wa, m)":      math.Atan2(2.46, 0.25),
		"if(Wa > m, Wa, m)": 2.46,
		"max(Wa, m)":        2.46,
		"sqrt(Wa - m)":      math.Sqrt(2.21),
		"2*T":               586.3,
	} {
		e, err := Parse(src)
		if err != nil {
			t.Fatal(err)
		}
		p, err := e.CompilePlain(b, nil)
		if err != nil {
			t.Errorf("%s: %v", src, err)
			continue
		}
		v, err := p.Eval(b.frame)
		if err != nil || math.Abs(v.X-want) > 1e-12*want || p.Type() != (quantity.Type{}) {
			t.Errorf("%s = %v (%v), want %v", src, v.X, err, want)
		}
	}
	for _, c := range [][2]string{
		{"Wa - «Wv", "unknown name"},
		{"«blub(Wa)", "unknown function"},
		{"(Wa > m) «+ 1", "a condition is not a number"},
		{"«sqrt(Wa > m)", "must be a number"},
	} {
		src, col := fault(c[0])
		e, err := Parse(src)
		if err == nil {
			_, err = e.CompilePlain(b, nil)
		}
		check(t, c[0], col, err, c[1])
	}
}

func TestStepped(t *testing.T) {
	for src, want := range map[string]bool{
		"round(n)": true, "round(n)*1 cm": true, "-floor(n)": true, "if(n > 1, ceil(n), floor(n))": true,
		"round(n) + n": false, "n*round(n)": false, "n": false, "nearest(n, 1, 2)": true,
	} {
		e, err := Parse(src)
		if err != nil {
			t.Fatal(err)
		}
		p, err := e.Compile(boatyard(), nil)
		if err != nil {
			t.Fatal(err)
		}
		if p.Stepped() != want {
			t.Errorf("Stepped of %s is %v", src, !want)
		}
	}
}

func TestIntermediates(t *testing.T) {
	b := boatyard()
	e, err := Parse("(Wa - Ww)/(rho_w*g) + if(n > 5, n, 0)*V")
	if err != nil {
		t.Fatal(err)
	}
	p, err := e.Compile(b, nil)
	if err != nil {
		t.Fatal(err)
	}
	// the difference, the product, the quotient, and the product with V; the sum is the result itself
	want := []float64{0.91, 998.2 * 9.81, 0.91 / (998.2 * 9.81), 0}
	if p.Intermediates() != len(want) {
		t.Fatalf("%d intermediates, want %d", p.Intermediates(), len(want))
	}
	for i, x := range want {
		if got := p.IntermediateValue(b.frame, i); math.Abs(got-x) > 1e-12*math.Abs(x) {
			t.Errorf("intermediate %d is %v, want %v", i, got, x)
		}
	}
	v, err := p.EvalNudged(b.frame, 0, 0.01)
	if w := 0.91 * 1.01 / (998.2 * 9.81); err != nil || math.Abs(v.X-w) > 1e-15 {
		t.Errorf("nudged: %v (%v), want %v", v.X, err, w)
	}
	v, err = p.EvalNudged(b.frame, 1, 0.01)
	if w := 0.91 / (998.2 * 9.81 * 1.01); err != nil || math.Abs(v.X-w) > 1e-15 {
		t.Errorf("nudged: %v (%v), want %v", v.X, err, w)
	}
	if e, _ := Parse("if(n > 5, sqrt(n)*2, 1)"); e != nil {
		p, err := e.Compile(b, nil)
		if err != nil {
			t.Fatal(err)
		}
		if x := p.IntermediateValue(b.frame, 0); !math.IsNaN(x) {
			t.Errorf("an intermediate of a branch not taken is %v", x)
		}
	}
}

func TestEvalAllocatesNothing(t *testing.T) {
	b := boatyard()
	for _, src := range []string{"(Wa - Ww)/(rho_w*g)", "if(Wa > Ww, sqrt(n)*2, 1)", "water_density(T)*g*V", "density(metal)*V"} {
		e, err := Parse(src)
		if err != nil {
			t.Fatal(err)
		}
		p, err := e.Compile(b, nil)
		if err != nil {
			t.Fatal(err)
		}
		if n := testing.AllocsPerRun(100, func() { _, _ = p.Eval(b.frame) }); n != 0 {
			t.Errorf("%s allocates %v times", src, n)
		}
	}
}

// The sixth operation of six, and how fast: under 100 ns is the goal.
func BenchmarkEval(b *testing.B) {
	yard := boatyard()
	e, err := Parse("(Wa - Ww)/(rho_w*g*d^2) - 2 mm")
	if err != nil || strings.Count(e.String(), "/") != 1 {
		b.Fatal(err)
	}
	p, err := e.Compile(yard, nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		_, _ = p.Eval(yard.frame)
	}
}
