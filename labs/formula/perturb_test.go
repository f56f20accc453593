package formula

import (
	"slices"
	"strings"
	"testing"
)

// Each formula with all its variants, in order.
func TestVariants(t *testing.T) {
	same := func(name string) []string {
		if name == "Ww" {
			return []string{"Ww", "Wb"}
		}
		return nil
	}
	for src, want := range map[string]string{
		"Wa - Ww": `plus-for-minus Wa + Ww | swap-difference Ww - Wa | other-name Wa - Wb | sign -(Wa - Ww)`,
		"m*g":     `factor-lost g | factor-twice m*m*g | g-forgotten m | g-twice m*g*g | sign -(m*g)`,
		"F/(rho*g)": `factor-lost 1/rho/g | factor-twice F*F/rho/g | factor-lost F/g | factor-twice F/rho/rho/g |
			g-forgotten F/rho | g-twice F/rho/g/g | upside-down rho*g/F | sign -(F/(rho*g))`,
		"a + b":           `minus-for-plus a - b | sign -(a + b)`,
		"a^2":             `square-forgotten a | sign -a^2`,
		"sqrt(a)":         `root-forgotten a | sign -sqrt(a)`,
		"a^(1/3)":         `root-forgotten a | sign -a^(1/3)`,
		"sin(a)":          `degrees-as-radians sin(a*(180/pi)) | sign -sin(a)`,
		"atan(a)":         `degrees-as-radians atan(a)/(180/pi) | sign -atan(a)`,
		"parallel(a, b)":  `series-for-parallel series(a, b) | sign -parallel(a, b)`,
		"series(a, b)":    `parallel-for-series parallel(a, b) | sign -series(a, b)`,
		"if(a > b, a, 2)": `sign -if(a > b, a, 2)`,
		"pi*d^2": `factor-lost d^2 | factor-twice pi*pi*d^2 | factor-lost pi | factor-twice pi*d^2*d^2 |
			square-forgotten pi*d | half pi*(d/2)^2 | double pi*(2*d)^2 | sign -(pi*d^2)`,
		"-a": `sign --a`,
	} {
		e, err := Parse(src)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, v := range e.Variants(same) {
			got = append(got, string(v.Kind)+" "+v.Expr.String())
		}
		if g, w := strings.Join(got, " | "), strings.Join(strings.Fields(want), " "); g != w {
			t.Errorf("variants of %s:\n%s\nwant\n%s", src, g, w)
		}
		if e.String() != src {
			t.Errorf("%s has become %s", src, e)
		}
	}
}

func TestVariantParts(t *testing.T) {
	e, err := Parse("m*g*(a - b)")
	if err != nil {
		t.Fatal(err)
	}
	vs := e.Variants(nil)
	for _, want := range []Variant{
		{Kind: GForgotten, At: "g"},
		{Kind: FactorLost, At: "a - b"},
		{Kind: SwapDifference, At: "a - b", To: "b - a"},
	} {
		if !slices.ContainsFunc(vs, func(v Variant) bool { return v.Kind == want.Kind && v.At == want.At && v.To == want.To }) {
			t.Errorf("no variant %+v among %v", want, vs)
		}
	}
}

func BenchmarkVariants(b *testing.B) {
	e, err := Parse("(Wa - Ww)/(rho_w*g*d^2) - V/d^2")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		e.Variants(nil)
	}
}
