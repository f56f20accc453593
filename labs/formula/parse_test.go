package formula

import (
	"errors"
	"strings"
	"testing"
	"unicode/utf8"
)

// The canonical form of each formula; "=" stands for the formula itself.
func TestCanonicalForm(t *testing.T) {
	for _, c := range [][2]string{
		// precedence and brackets
		{"Wa-Ww", "Wa - Ww"},
		{"a*b+c/d", "a*b + c/d"},
		{"(a*b)/(c*d)", "a*b/(c*d)"},
		{"a-(b-c)", "a - (b - c)"},
		{"(a-b)-c", "a - b - c"},
		{"a/(b/c)", "="},
		{"((a))", "a"},
		{"-2^2", "="},
		{"(-2)^2", "="},
		{"2^-1", "="},
		{"2^3^2", "="},
		{"(2^3)^2", "="},
		{"-(a + b)", "="},
		{"-a*b", "="},
		{"a*-b", "a*(-b)"},
		{"a - -2", "a - (-2)"},
		{"--2", "="},
		{"!(a < b) && c > d || e == f", "="},
		{"a < b && (c > d || e == f)", "="},
		{"1 N<Wa<=5 N", "1 N < Wa <= 5 N"},
		{"a == b == c", "="},
		// numbers and units
		{"9.81 m/s^2*2", "9.81 m/s^2 * 2"},
		{"9.81 m/s^2 * rho", "="},
		{"2 N*m/s", "="},
		{"5 N / A", "="},
		{"5N", "5 N"},
		{"30%", "30 %"},
		{"45 deg", "="},
		{"1.68e-8 ohm*m", "="},
		{"1 lb/ft^3", "="},
		{"5 m^-1", "="},
		{"2 m*(a + b)", "2 m * (a + b)"},
		{"12 V*max(I)", "12 V * max(I)"},
		{"2 m/s/sqrt(a)", "2 m/s / sqrt(a)"},
		{"(5 N)^2", "="},
		{"1.20e3", "="},
		{".5", "="},
		{"-5 degC", "="},
		{"2 - 5 degC", "="},
		{"sqrt(2 m) * 3", "sqrt(2 m)*3"},
		// typeset signs
		{"a − b × c ÷ d · e", "a - b*c/d*e"},
		{"a ≤ b", "a <= b"},
		// columns
		{"[1,2,3]", "[1, 2, 3]"},
		{"[1, -2, 3] N", "="},
		{"[1, 2] N / 2", "="},
		{"[a, b + c]", "="},
		// names and calls
		{"ρ*Δ_x1*rho_w", "="},
		{"density(brass)*V", "="},
		{"if(a > b,a,b)", "if(a > b, a, b)"},
		{"current( N . R1 ) + u(rho)", "current(N.R1) + u(rho)"},
		{"potential(N.0) - potential(2)", "="},
		{"u*current", "="},
		{"f()", "="},
		{" a\t+\nb ", "a + b"},
	} {
		in, want := c[0], c[1]
		if want == "=" {
			want = in
		}
		e, err := Parse(in)
		if err != nil {
			t.Errorf("%s: %v", in, err)
			continue
		}
		if got := e.Source(); got != in {
			t.Errorf("the source of %s is %s", in, got)
		}
		if got := e.String(); got != want {
			t.Errorf("%s printed as %s, want %s", in, got, want)
		}
		again, err := Parse(e.String())
		if err != nil || !same(e.root, again.root) {
			t.Errorf("%s: %s does not give the same tree (%v)", in, e, err)
		}
	}
}

// same reports whether two trees are equal but for columns.
func same(a, b *node) bool {
	if a.op != b.op || a.text != b.text || a.x != b.x || a.suf != b.suf || strings.Join(a.signs, " ") != strings.Join(b.signs, " ") || len(a.args) != len(b.args) {
		return false
	}
	for i := range a.args {
		if !same(a.args[i], b.args[i]) {
			return false
		}
	}
	return true
}

// fault splits a test's input at the mark « that stands before the fault.
func fault(marked string) (src string, col int) {
	before, after, _ := strings.Cut(marked, "«")
	return before + after, utf8.RuneCountInString(before) + 1
}

// check tests that err is an *Error at the mark with the words wanted.
func check(t *testing.T, marked string, col int, err error, want string) {
	t.Helper()
	var e *Error
	switch {
	case !errors.As(err, &e):
		t.Errorf("%s: error %v, want %q", marked, err, want)
	case e.Col != col || !strings.Contains(e.Msg, want):
		t.Errorf("%s: column %d: %s\nwant column %d: …%s…", marked, e.Col, e.Msg, col, want)
	}
}

func TestParseErrors(t *testing.T) {
	for _, c := range [][2]string{
		{"«", "the formula is empty"},
		{"a +«", "a value is missing at the end"},
		{"a «b", "an operator is missing before b"},
		{"2 «(b)", "an operator is missing before ("},
		{"2*«/b", "a value is missing before /"},
		{"«(a + b", "never closed"},
		{"a + b«)", ") closes a bracket that was not opened"},
		{"1«,5 N", "decimals are written with a point"},
		{"2*(1«,5 N)", "decimals are written with a point"},
		{"«, 2", "a value is missing before ,"},
		{"f(a, «)", "a value is missing before )"},
		{"a «= b", "= compares as =="},
		{"a «& b", "write &&"},
		{"a «# b", `"#" has no meaning`},
		{"ρ + «§", `"§" has no meaning`},
		{"a < b «> c", "points one way"},
		{"a != b «!= c", "points one way"},
		{"a == b < c «> d", "points one way"},
		{"5 «blob", "blob"},
		{"5 «ton", "more than one size; write t (1000 kg) or lb"},
		{"3 «m/t_run", "t_run is no unit; for a value of that name write 3 m / t_run"},
		{"Wa - 1025 «kg/m^3*g*V_s", "write 1025 kg/m^3*g * V_s"},
		{"1000 «kg/m3", "kg/m3 is no unit here; a power is written kg/m^3"},
		{"9.81 «m/s2", "a power is written m/s^2"},
		{"2 «x", "a product is written 2*x"},
		{"a + «if(b, c)", "if takes a condition and two values"},
		{"«current(a + b)", "takes a part of a network"},
		{"«u(3 N)", "takes the name of a value"},
		{"a«.b", "a point stands only in"},
		{"«[]", "at least one value"},
		{"[1, «a] N", "bare numbers"},
		{"«1e999", "too large"},
		{strings.Repeat("(", 100) + "«" + "(1" + strings.Repeat(")", 101), "nested more than 100"},
	} {
		src, col := fault(c[0])
		_, err := Parse(src)
		check(t, c[0], col, err, c[1])
	}
	if _, err := Parse(strings.Repeat("1+", maxLength) + "1"); err == nil || !strings.Contains(err.Error(), "too long") {
		t.Errorf("a very long formula: %v", err)
	}
}

func TestSnippet(t *testing.T) {
	e := &Error{Src: "ρ\t+ Wb", Col: 5}
	if got, want := e.Snippet(), "  ρ + Wb\n      ^"; got != want {
		t.Errorf("snippet:\n%s\nwant:\n%s", got, want)
	}
}

func TestNames(t *testing.T) {
	for src, want := range map[string]string{
		"rho*g*V + g*pi":                  "rho g V",
		"density(brass)*2":                "brass",
		"current(N.R1)*R + u( rho ) - pi": "current(N.R1) R u(rho)",
		"3 m*4 - 2 N*m":                   "",
	} {
		e, err := Parse(src)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(e.Names(), " "); got != want {
			t.Errorf("names of %s: %q, want %q", src, got, want)
		}
	}
}

func TestIsSum(t *testing.T) {
	for src, want := range map[string]bool{"Wa - Ww": true, "-(a + b) - 2 N": true, "a": true, "a*b": false, "a - b/c": false, "abs(a - b)": false} {
		e, err := Parse(src)
		if err != nil {
			t.Fatal(err)
		}
		if e.IsSum() != want {
			t.Errorf("IsSum of %s is %v", src, !want)
		}
	}
}
