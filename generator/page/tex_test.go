package page

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestTeXFaults(t *testing.T) {
	for _, tc := range []struct {
		src    string
		offset int
		msg    string
	}{
		{`a + \unknown b`, 4, `unknown command \unknown`},
		{`\frac{a}`, 8, `\frac needs an argument`},
		{`\frac{a}{b`, 8, `{ is never closed`},
		{`x}`, 1, `"}" without its beginning`},
		{`a & b`, 2, `"&" without its beginning`},
		{`x^2^3`, 3, `a second exponent`},
		{`x_1_2`, 3, `a second index`},
		{`x^`, 2, `^ needs an argument`},
		{`\left( x`, 0, `\left without \right`},
		{`\left< x \right>`, 5, `\left and \right take`},
		{`x \right)`, 2, `"\\right" without its beginning`},
		{`\begin{matrix} a \end{matrix}`, 0, `\begin takes {aligned} or {cases}`},
		{`\begin{cases} a`, 0, `\begin{cases} is not closed`},
		{`\begin{cases} a \end{aligned}`, 0, `\begin{cases} is not closed`},
		{`\sqrt[3 x`, 5, `[ is never closed`},
		{`\text{a`, 5, `{ is never closed`},
		{`\text{a $x$}`, 8, `\text holds words only`},
		{`\mathrm x`, 8, `\mathrm needs {…}`},
		{`a $ b`, 2, `a dollar sign`},
		{`a \`, 2, `a lone backslash`},
		{"a\xff", 0, `not valid UTF-8`},
		{strings.Repeat("{", 100), maxTeXDepth / 2, `nested more than 40 deep`},
		{strings.Repeat("x", maxTeX+1), maxTeX, `longer than 4000 bytes`},
	} {
		err := CheckTeX(tc.src)
		var te *TeXError
		if !errors.As(err, &te) || te.Offset != tc.offset || !strings.HasPrefix(te.Msg, tc.msg) {
			t.Errorf("%.40q: %v, want %q at %d", tc.src, err, tc.msg, tc.offset)
		}
	}
}

func testSetter() *setter {
	return &setter{doc: &Document{}, fonts: newFontSet(), sheet: &Sheet{}, scale: 1, width: 595.28, height: 841.89}
}

// Formulas are read out and copied as these lines.
func TestFormulaReadings(t *testing.T) {
	for src, want := range map[string]string{
		`\rho = \frac{W_a}{W_a - W_w}\,\rho_w`:                       "ρ = W_a/(W_a − W_w) ρ_w",
		`T = 2\pi\sqrt{\frac{k^2 + h^2}{g h}}`:                       "T = 2π√((k^2 + h^2)/(gh))",
		`\sqrt[3]{V} \approx 1.2 \times 10^{-3}`:                     "3√(V) ≈ 1.2 × 10^(−3)",
		`30^\circ \le x' \ge -2`:                                     "30° ≤ x′ ≥ −2",
		`\left(\frac{1}{2}\right)`:                                   "(1/2)",
		`\begin{cases} a & \text{if so} \\ b \end{cases}`:            "{a if so; b",
		`\begin{aligned} F &= m a \\ &= 3\,\mathrm{N} \end{aligned}`: "F = ma; = 3 N",
		`\Delta T \propto \vec F \cdot \hat{x} \to \bar v`:           "ΔT ∝ F⃗ · x̂ → v̄",
		`\overline{AB} \pm \sum m_i x_i`:                             "mean of AB ± ∑ m_i x_i",
		`20\degree, \mathrm{kg/m^3}`:                                 "20°,kg/m^3",
	} {
		read, err := Reading(src)
		if err != nil {
			t.Errorf("%s: %v", src, err)
		} else if read != want {
			t.Errorf("%s reads %q, want %q", src, read, want)
		}
	}
}

// A fraction stands on the axis: numerator wholly above denominator, the bar between them and at least as wide.
func TestFractionLayout(t *testing.T) {
	box, err := testSetter().formula(`\frac{abc}{x}`, 10, true)
	if err != nil {
		t.Fatal(err)
	}
	fraction := box.parts[0]
	num, den, bar := fraction.parts[0], fraction.parts[1], fraction.paths[0]
	top, bottom, left, right := bar.segs[2].c[1], bar.segs[0].c[1], bar.segs[0].c[0], bar.segs[1].c[0]
	if num.y-num.down <= top || den.y+den.up >= bottom {
		t.Errorf("numerator at %.2f, bar %.2f to %.2f, denominator at %.2f", num.y, bottom, top, den.y)
	}
	if num.x < left || den.x < left || right > box.w {
		t.Errorf("bar from %.2f to %.2f, numerator from %.2f, width %.2f", left, right, num.x, box.w)
	}
	if mid := (top + bottom) / 2; mid < 2 || mid > 3.5 {
		t.Errorf("the bar is %.2f above the baseline of 10 pt letters", mid)
	}
}

// Whatever is typed, parsing ends with a formula that can be laid out, or with a fault inside the source.
func TestTeXNeverPanics(t *testing.T) {
	pieces := rapid.SampledFrom([]string{"x", "2", "^", "_", "{", "}", `\frac`, `\sqrt`, "[", "]", `\left(`, `\right)`, `\begin{cases}`,
		`\end{cases}`, `\begin{aligned}`, `\end{aligned}`, "&", `\\`, `\text{a b}`, `\mathrm{kg}`, `\vec`, `\sum`, `\rho`, " ", "'", "√", `\`})
	rapid.Check(t, func(rt *rapid.T) {
		src := strings.Join(rapid.SliceOfN(pieces, 0, 40).Draw(rt, "pieces"), "")
		box, err := testSetter().formula(src, 11, rapid.Bool().Draw(rt, "display"))
		var te *TeXError
		switch {
		case err == nil && (box.w < 0 || box.up+box.down < 0):
			rt.Fatalf("%q is %.1f wide", src, box.w)
		case err != nil && (!errors.As(err, &te) || te.Offset < 0 || te.Offset > len(src)):
			rt.Fatalf("%q: fault %v", src, err)
		}
	})
}

func FuzzCheckTeX(f *testing.F) {
	f.Add(`\frac{W_a}{\sqrt[3]{x}}`)
	f.Add(`\begin{cases} a & b \\ c \end{cases}`)
	f.Fuzz(func(t *testing.T, src string) {
		var te *TeXError
		if err := CheckTeX(src); err != nil && !errors.As(err, &te) {
			t.Errorf("%v is no *TeXError", err)
		}
	})
}

// A column's head is read out with its symbol: the label of the cells below it in a fill-in sheet.
func TestHeadIsReadOut(t *testing.T) {
	s := testSetter()
	if got := textOf(s.shape([]Inline{Text{S: "pull "}, Math{`F_1`}, Text{S: " / N"}}, s.body())); got != "pull F_1 / N" {
		t.Errorf("%q", got)
	}
}
