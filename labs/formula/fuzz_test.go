package formula

import (
	"errors"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"keelmark/labs/quantity"

	"pgregory.net/rapid"
)

// FuzzFormula tries any text as a formula: what parses is printed, parsed again and found the same; checking never
// panics; what is checked never fails on dimensions; what comes out is finite; every variant compiles plain.
func FuzzFormula(f *testing.F) {
	for _, s := range []string{
		"Wa - Ww", "(Wa - Ww)/(rho_w*g)", "-2^2", "5 N / A", "[1, 2] cm*2", "if(Wa > 0, sqrt(n), 1)", "1 < n <= 5",
		"density(brass)*V", "current(N.R1)", "u(Wa)", "ρ × V ≤ 3 kg", "T - 5 degC", "pi*d^2/4", "2 m*(d + d)", "!(n > 1) || n < 2",
	} {
		f.Add(s)
	}
	yard := boatyard()
	f.Fuzz(func(t *testing.T, src string) { law(t, src, yard) })
}

// law checks what must hold of any text.
func law(t interface {
	Errorf(format string, args ...any)
}, src string, yard *bench) {
	e, err := Parse(src)
	if err != nil {
		var fe *Error
		if !errors.As(err, &fe) || fe.Col < 1 || fe.Col > utf8.RuneCountInString(src)+1 {
			t.Errorf("%q: a fault without a place: %v", src, err)
		}
		return
	}
	again, err := Parse(e.String())
	if err != nil || !same(e.root, again.root) {
		t.Errorf("%q printed as %q: %v", src, e, err)
	}
	_ = e.TeX(nil)
	p, err := e.Compile(yard, nil)
	if err != nil {
		return
	}
	v, err := p.Eval(yard.frame)
	if errors.Is(err, quantity.ErrDimension) {
		t.Errorf("%q passed the check and failed on dimensions: %v", src, err)
	}
	for _, x := range append(v.Col, v.X) {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Errorf("%q gives %v", src, v)
		}
	}
	if plain, e2 := e.CompilePlain(yard, nil); e2 != nil {
		t.Errorf("%q compiles, but not plain: %v", src, e2)
	} else if w, e3 := plain.Eval(yard.frame); (err == nil) != (e3 == nil) || err == nil && w.X != v.X {
		t.Errorf("%q is %v (%v), but %v (%v) as plain numbers", src, v.X, err, w.X, e3)
	}
	if len(src) > 200 {
		return
	}
	for _, variant := range e.Variants(yard.same) {
		if _, err := variant.Expr.CompilePlain(yard, nil); err != nil && p.Type().Kind == quantity.Number {
			t.Errorf("%q: variant %s %s: %v", src, variant.Kind, variant.Expr, err)
		}
	}
}

// same gives the names of the same type.
func (b *bench) same(name string) (others []string) {
	for _, n := range b.names {
		if t, ok := b.types[name]; ok && b.types[n] == t {
			others = append(others, n)
		}
	}
	return others
}

// TestRandomFormulas grows formulas from the grammar, which reaches further than random text.
func TestRandomFormulas(t *testing.T) {
	yard := boatyard()
	rapid.Check(t, func(t *rapid.T) {
		law(t, grow(t, 4), yard)
	})
}

func grow(t *rapid.T, depth int) string {
	leaves := []string{"Wa", "Ww", "m", "d", "n", "zero", "T", "z", "g", "pi", "2", "0", "1.5e-2", "3 N", "-2 degC", "5 K", "[1, 2, 3] cm",
		"density(metal)", "u(Wa)", "rho_w"}
	forms := []string{"A + A", "A - A", "A*A", "A/A", "(A)^2", "(A)^(1/2)", "-A", "(A)", "sqrt(A)", "if(A > A, A, A)", "sum(A)", "max(A, A)",
		"A < A <= A", "!(A)", "A && A", "A || A", "[A, A]", "sin(A)"}
	if depth == 0 || rapid.IntRange(0, 3).Draw(t, "stop") == 0 {
		return rapid.SampledFrom(leaves).Draw(t, "leaf")
	}
	var b strings.Builder
	for _, r := range rapid.SampledFrom(forms).Draw(t, "form") {
		if r == 'A' {
			b.WriteString(grow(t, depth-1))
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}
