package formula

import "testing"

func TestTeX(t *testing.T) {
	values := map[string]string{"Wa": `2.46\,\text{N}`, "Ww": `1.55\,\text{N}`, "rho_w": `998.2\,\text{kg/m³}`,
		"g": `9.81\,\text{m/s²}`, "n": "3", "d": `0.040\,\text{m}`, "F": `−2.0\,\text{N}`}
	for _, c := range []struct{ src, symbols, numbers string }{
		{"Wa - Ww", `\text{Wa} - \text{Ww}`, `2.46\,\text{N} - 1.55\,\text{N}`},
		{"(Wa - Ww)/(rho_w*g)", `\frac{\text{Wa} - \text{Ww}}{\rho_{w}\,g}`,
			`\frac{2.46\,\text{N} - 1.55\,\text{N}}{998.2\,\text{kg/m³} \times 9.81\,\text{m/s²}}`},
		{"pi*d^2/4", `\frac{\pi\,d^{2}}{4}`, `\frac{\pi \times \left(0.040\,\text{m}\right)^{2}}{4}`},
		{"2*n", `2\,n`, `2 \times 3`},
		{"n*2", `n \times 2`, `3 \times 2`},
		{"Wa/Ww*d", `\frac{\text{Wa}}{\text{Ww}}\,d`, `\frac{2.46\,\text{N}}{1.55\,\text{N}} \times 0.040\,\text{m}`},
		{"Wa*(d/n)", `\text{Wa}\,\frac{d}{n}`, `2.46\,\text{N} \times \frac{0.040\,\text{m}}{3}`},
		{"(Wa + Ww)*d", `\left(\text{Wa} + \text{Ww}\right)\,d`, `\left(2.46\,\text{N} + 1.55\,\text{N}\right) \times 0.040\,\text{m}`},
		{"Wa - (Ww - F)", `\text{Wa} - \left(\text{Ww} - F\right)`,
			`2.46\,\text{N} - \left(1.55\,\text{N} - \left(−2.0\,\text{N}\right)\right)`},
		{"n*F", `n\,F`, `3 \times \left(−2.0\,\text{N}\right)`},
		{"(d/n)^2", `\left(\frac{d}{n}\right)^{2}`, `\left(\frac{0.040\,\text{m}}{3}\right)^{2}`},
		{"sqrt(d/n)", `\sqrt{\frac{d}{n}}`, `\sqrt{\frac{0.040\,\text{m}}{3}}`},
		{"n^(1/3)", `\sqrt[3]{n}`, `\sqrt[3]{3}`},
		{"n^n^2", `n^{n^{2}}`, `3^{3^{2}}`},
		{"(-2)^n", `\left(-2\right)^{n}`, `\left(-2\right)^{3}`},
		{"-d", `-d`, `-0.040\,\text{m}`},
		{"abs(F)", `\left|F\right|`, `\left|−2.0\,\text{N}\right|`},
		{"density(brass)*V_s", `\text{density}\left(\text{brass}\right)\,V_{s}`, `\text{density}\left(\text{brass}\right)\,V_{s}`},
		{"density(foam_xps)", `\text{density}\left(\text{foam xps}\right)`, `\text{density}\left(\text{foam xps}\right)`},
		{"F*sin(alpha)", `F\,\text{sin}\left(\alpha\right)`, `−2.0\,\text{N} \times \text{sin}\left(\alpha\right)`},
		{"5 N / n", `\frac{5\,\text{N}}{n}`, `\frac{5\,\text{N}}{3}`},
		{"30 %", `30\,\text{%}`, `30\,\text{%}`},
		{"1.2e-3*n", `1.2 \times 10^{-3} \times n`, `1.2 \times 10^{-3} \times 3`},
		{"current(N.R1)*R1", `I_{\text{R1}}\,R_{1}`, `I_{\text{R1}}\,R_{1}`},
		{"u(rho)", `u\left(\rho\right)`, `u\left(\rho\right)`},
		{"1 < n <= 5", `1 < n \le 5`, `1 < 3 \le 5`},
		{"if(n > 2, 1, n)", `\begin{cases}1 & \text{if } n > 2 \\ n & \text{otherwise}\end{cases}`,
			`\begin{cases}1 & \text{if } 3 > 2 \\ 3 & \text{otherwise}\end{cases}`},
		{"sum(m*x)/sum(m)", `\frac{\sum m\,x}{\sum m}`, `\frac{\sum m\,x}{\sum m}`},
		{"sum(m)*x", `\left(\sum m\right)\,x`, `\left(\sum m\right)\,x`},
	} {
		e, err := Parse(c.src)
		if err != nil {
			t.Fatal(err)
		}
		if got := e.TeX(nil); got != c.symbols {
			t.Errorf("%s in symbols:\n%s\nwant\n%s", c.src, got, c.symbols)
		}
		if got := e.TeX(func(n string) string { return values[n] }); got != c.numbers {
			t.Errorf("%s in numbers:\n%s\nwant\n%s", c.src, got, c.numbers)
		}
	}
}

func TestSymbol(t *testing.T) {
	for name, want := range map[string]string{
		"V": "V", "rho_w": `\rho_{w}`, "ρ_w": `\rho_{w}`, "R1": "R_{1}", "Wa": `\text{Wa}`, "R_lead": `R_{\text{lead}}`,
		"d_12": "d_{12}", "our_old_foam": `\text{our}_{\text{old foam}}`, "Delta_x": `\Delta_{x}`, "x_": "x", "pi": `\pi`,
		"voltage(N.R1)": `U_{\text{R1}}`, "potential(a)": `V_{\text{a}}`, "u(V_s)": `u\left(V_{s}\right)`,
	} {
		if got := Symbol(name); got != want {
			t.Errorf("Symbol(%s) = %s, want %s", name, got, want)
		}
	}
}
