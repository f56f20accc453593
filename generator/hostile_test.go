package generator

import (
	"strings"
	"testing"

	"keelmark/labs"
	"keelmark/labs/formula"
)

// lab makes a template of its values, its text and a question about W and m.
func hostileLab(values, body string) string {
	return "---\ntitle: A\ntopic: balance\nlevel: core\nminutes: 5\ncautions: [a]\nvalues:\n" +
		"  W: {from: 1 N, to: 5 N, step: 0.1 N}\n  m: {from: 1 kg, to: 3 kg, step: 0.1 kg}\n" + values +
		"---\n\n{{W}} {{m}}\n\n" + body + "\n\n```question q\nask: What?\nanswer: W/m\nunit: N/kg\n```\n"
}

// TestHostileLabs: templates within the bounds of reading that are still extreme are checked to the end. want is part of
// the fault found, "" where there is none to find.
func TestHostileLabs(t *testing.T) {
	column := "  z: {series: 1 N .. 200 N step 1 N}\n"
	figure := func(kind, keys string) string { return "```figure " + kind + "\n" + keys + "\n```" }
	for name, c := range map[string]struct{ values, body, want string }{
		"deep quotes":            {body: strings.Repeat(">", 4000) + " x"},
		"deep lists":             {body: strings.Repeat("- ", 2000) + "x"},
		"open brackets":          {body: strings.Repeat(strings.Repeat("[", 4000)+"\n\n", 5)},
		"stars":                  {body: strings.Repeat(strings.Repeat("**a*", 1000)+"\n\n", 5)},
		"dollars":                {body: strings.Repeat("$$a ", 1000), want: "more than 20 are hardly meant"},
		"deep TeX":               {body: "$" + strings.Repeat(`\frac{1}{`, 300) + "x" + strings.Repeat("}", 300) + "$", want: "nested more than"},
		"deep braces":            {body: "$" + strings.Repeat(`{ `, 900) + "x" + strings.Repeat("}", 900) + "$", want: "nested more than"},
		"long TeX":               {body: "$" + strings.Repeat("x+", 1900) + "x$"},
		"pages":                  {body: strings.Repeat("# h\n\n", 3000), want: "more than 20 are hardly meant"},
		"a word without end":     {body: strings.Repeat("w", 4000)},
		"directions":             {body: strings.Repeat("\u202e\u200b", 500)},
		"a grid of a million":    {values: "  x: {from: 0 N, to: 1 N, step: 1e-6 N}\n"},
		"the smallest steps":     {values: "  x: {from: 0 N, to: 1e-320 N, step: 1e-323 N}\n"},
		"all columns":            {values: column, body: "```table\ncolumns: [" + strings.Repeat("z, ", 199) + "z]\n```"},
		"a figure of a column":   {values: column, body: figure("beam", "pivot: 1 m\nload: z\nat: z*1 m/N"), want: "at has 200 numbers"},
		"the largest numbers":    {body: figure("beam", "pivot: 1e308 m\nload: [W, 1e308 N]\nat: [-1.5e308 m, 1.5e308 m]"), want: "too large"},
		"divisions without end":  {body: figure("scale", "value: W\nfrom: 0 N\nto: 10 N\ndivision: 1e-320 N"), want: "divisions"},
		"a range too narrow":     {body: "```grid\nx: 1 N .. 1.0000000000000002 N\ny: 0 N .. 1 N\n```", want: "cannot be divided"},
		"points too far":         {values: column, body: "```plot\npoints: {x: z, y: z*1e305-1e307 N}\n```"},
		"a plot that overflows":  {values: column, body: "```plot\npoints: {x: z, y: z*1e307}\n```", want: "too large"},
		"a device for a picture": {body: "![x](/dev/zero)", want: "must lie in the template's own folder"},
		"a folder for a picture": {body: "![x](.)", want: "it is a folder"},
		"lamps":                  {body: "```network N\nB: battery a 0 W*1 V/N\nL: lamp a 0 " + "[0" + strings.Repeat(",1", 120) + "] V [0" + strings.Repeat(",1", 120) + "] A\n```\n\n```question i\nask: What?\nanswer: current(N.B)\nunit: A\n```", want: "cannot be computed"},
		"an open symbol":         {values: `  x: {from: 0 N, to: 1 N, step: 0.1 N, symbol: '\frac{1}{x'}` + "\n", want: `x.md:10:57: $\frac{1}{x$: { is never closed`},
		"a symbol too long":      {values: "  x: {from: 1 N, to: 2 N, step: 0.1 N, symbol: '" + strings.Repeat("x", 3000) + "'}\n", body: "{{x}}\n\n```question two\nask: What?\nanswer: x + x*W/x\nunit: N\n```", want: "x.md:17:4: the worked solution of question two"},
		"a last digit too far":   {values: "  x: {calc: W/3, show: 1e-300 N}\n", want: "read back"},
	} {
		t.Run(name, func(t *testing.T) {
			l, err := labs.Parse("x.md", []byte(hostileLab(c.values, c.body)))
			if err != nil {
				t.Fatalf("%.500v", err)
			}
			got := Check(l, 9).Faults
			if c.want == "" && len(got) > 0 || !strings.Contains(got.Error(), c.want) {
				t.Errorf("want %q, got %.500v", c.want, got)
			}
		})
	}
}

// TestManySlips: a formula that can go wrong in more ways than are looked for is a fault of the lab.
func TestManySlips(t *testing.T) {
	values, names := "", ""
	for _, a := range strings.Split("abcdefhijklnoprtuvxy", "") {
		values += "  " + a + ": {from: 1 N, to: 9 N, step: 0.1 N}\n"
		names += " + " + a
	}
	shown := strings.ReplaceAll(names, " + ", " {{")
	shown = strings.ReplaceAll(shown+" ", " {{", "}} {{")[2:]
	l, err := labs.Parse("x.md", []byte(hostileLab(values, strings.TrimSuffix(shown, " ")+"}}\n\n```question s\nask: What?\nanswer: W"+names+"\nunit: N\n```")))
	if err != nil {
		t.Fatal(err)
	}
	if n := len(l.Question("s").Expr.Variants(func(string) []string { return strings.Fields(strings.ReplaceAll(names, "+", "")) })); n != formula.MaxVariants {
		t.Errorf("%d variants, want %d and no more", n, formula.MaxVariants)
	}
	if got := Check(l, 1).Faults; !strings.Contains(got.Error(), "in more than 300 ways") {
		t.Errorf("got %v", got)
	}
}

// FuzzLab: whatever the template, reading and checking it end, in faults that lie within the file or in none.
func FuzzLab(f *testing.F) {
	for _, name := range labs.Names() {
		l, err := labs.Load(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(l.Source))
	}
	f.Add(hostileLab("  x: {measure: a, division: 1 N, expect: W, rows: 3}\n", "```readings r\ncolumns: [x]\n```\n\n| a | b |\n|--|--|\n| $x^2$ | {{W in mN}} |\n\n![x](x.png)\n\n```grid\nx: 0 N .. 1 N\ny: 0 N .. 1 N\n```"))
	f.Fuzz(func(t *testing.T, source string) {
		l, err := labs.Parse("x.md", []byte(source))
		if err != nil {
			return // labs has a target of its own
		}
		lines := strings.Count(source, "\n") + strings.Count(source, "\r") + 1
		for _, fault := range Check(l, 2).Faults {
			if fault.Line < 1 || fault.Line > lines || fault.Col < 1 {
				t.Errorf("a place outside the file: %v", fault)
			}
		}
	})
}
