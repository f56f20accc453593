package formula

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// TeX prints the formula in the TeX subset of the press. symbol gives the TeX of a name; nil, or an empty result, stands
// for [Symbol]. To show a formula with numbers in place of names, let symbol return them with their units,
// 2.46\,\text{N}: what begins with a digit is set as a number, with × between factors and brackets under a power.
func (e *Expr) TeX(symbol func(name string) string) string {
	return setter{symbol}.node(e.root).tex
}

// piece is typeset text, and what its surroundings must know of it.
type piece struct {
	tex     string
	level   int  // how tightly it binds
	numeric bool // made of numbers alone, so that × must stand before it
	spaced  bool // a number with a unit: brackets under a power
}

// setter typesets a tree.
type setter struct{ symbol func(string) string }

func (s setter) node(n *node) piece {
	switch n.op {
	case literal:
		return value(texNumber(n.text) + texUnit(n))
	case column:
		var parts []string
		for _, a := range n.args {
			parts = append(parts, s.node(a).tex)
		}
		return piece{tex: `\left(` + strings.Join(parts, `,\,`) + `\right)` + texUnit(n), level: levelAtom, numeric: true}
	case name:
		return s.name(n.text)
	case call:
		return s.call(n)
	case choose:
		c, a, b := s.node(n.args[0]), s.node(n.args[1]), s.node(n.args[2])
		return piece{tex: `\begin{cases}` + a.tex + ` & \text{if } ` + c.tex + ` \\ ` + b.tex + ` & \text{otherwise}\end{cases}`, level: levelAtom}
	case negate:
		x := s.node(n.args[0])
		return piece{tex: "-" + x.under(levelSign), level: levelSign, numeric: x.numeric}
	case not:
		return piece{tex: `\text{not }` + s.node(n.args[0]).under(levelAtom), level: levelSign}
	case div:
		return fraction(s.node(n.args[0]), s.node(n.args[1]))
	case mul:
		return product(s.node(n.args[0]), s.node(n.args[1]))
	case pow:
		return s.power(n)
	case compare:
		tex := s.node(n.args[0]).tex
		for i, sign := range n.signs {
			tex += " " + texSigns[sign] + " " + s.node(n.args[i+1]).tex
		}
		return piece{tex: tex, level: levelCompare}
	}
	a, b := s.node(n.args[0]), s.node(n.args[1])
	right := b.under(n.level() + 1)
	if b.level == levelSign || strings.HasPrefix(b.tex, "-") {
		right = b.under(levelAtom)
	}
	return piece{tex: a.under(n.level()) + texSigns[operators[n.op]] + right, level: n.level(), numeric: a.numeric && b.numeric}
}

var texSigns = map[string]string{
	"<": "<", "<=": `\le`, ">": ">", ">=": `\ge`, "==": "=", "!=": `\ne`,
	" + ": " + ", " - ": " - ", " && ": `\text{ and }`, " || ": `\text{ or }`,
}

// under returns the piece in brackets where it binds less tightly than level.
func (x piece) under(level int) string {
	if x.level < level {
		return `\left(` + x.tex + `\right)`
	}
	return x.tex
}

// value is the piece of a number, with or without a unit.
func value(tex string) piece {
	x := piece{tex: tex, level: levelAtom, numeric: true, spaced: strings.Contains(tex, `\`)}
	if strings.HasPrefix(tex, "-") || strings.HasPrefix(tex, "−") {
		x.level = levelSign
	}
	return x
}

func (s setter) name(text string) piece {
	tex := ""
	if s.symbol != nil {
		tex = s.symbol(text)
	}
	if tex == "" {
		tex = Symbol(text)
	}
	if r, _ := utf8.DecodeRuneInString(strings.TrimLeft(tex, "-−")); isDigit(r) {
		return value(tex)
	}
	return piece{tex: tex, level: levelAtom}
}

func fraction(a, b piece) piece {
	return piece{tex: `\frac{` + a.tex + `}{` + b.tex + `}`, level: levelAtom, numeric: a.numeric && b.numeric}
}

// product sets symbols side by side and numbers with ×.
func product(a, b piece) piece {
	sign := `\,`
	if b.numeric || a.spaced {
		sign = ` \times `
	}
	right := b.under(levelPower)
	return piece{tex: a.under(levelProduct) + sign + right, level: levelProduct, numeric: a.numeric && b.numeric}
}

// power sets roots as roots.
func (s setter) power(n *node) piece {
	base := s.node(n.args[0])
	if num, den, ok := rational(n.args[1]); ok && num == 1 && den > 1 {
		index := ""
		if den > 2 {
			index = "[" + strconv.Itoa(den) + "]"
		}
		return piece{tex: `\sqrt` + index + `{` + base.tex + `}`, level: levelAtom, numeric: base.numeric}
	}
	b := base.under(levelAtom)
	if base.spaced && base.level == levelAtom || strings.HasPrefix(base.tex, `\frac`) && base.level == levelAtom {
		b = `\left(` + base.tex + `\right)`
	}
	return piece{tex: b + `^{` + s.node(n.args[1]).tex + `}`, level: levelPower, numeric: base.numeric}
}

func (s setter) call(n *node) piece {
	var args []string
	numeric := true
	f := functions(nil)[n.text]
	for i, a := range n.args {
		x := s.node(a)
		if a.op == name && f != nil && f.Symbols(i) && x.tex == Symbol(a.text) {
			x.tex = texText(a.text) // density(foam_xps) names a row of a table: a word, no letter with a subscript
		}
		args = append(args, x.tex)
		numeric = numeric && x.numeric
	}
	inside := strings.Join(args, `,\,`)
	switch {
	case n.text == "sqrt" && len(args) == 1:
		return piece{tex: `\sqrt{` + inside + `}`, level: levelAtom, numeric: numeric}
	case n.text == "abs" && len(args) == 1:
		return piece{tex: `\left|` + inside + `\right|`, level: levelAtom, numeric: numeric}
	case n.text == "exp" && len(args) == 1:
		return piece{tex: `\mathrm{e}^{` + inside + `}`, level: levelPower, numeric: numeric}
	case n.text == "sum" && len(args) == 1:
		return piece{tex: `\sum ` + s.node(n.args[0]).under(levelProduct), level: levelSum}
	}
	return piece{tex: texText(n.text) + `\left(` + inside + `\right)`, level: levelAtom, numeric: numeric}
}

// Symbol is the TeX of a name that has no symbol of its own: rho_w is \rho_{w}, R1 is R_{1}, Wa is \text{Wa}, u(rho) is
// u\left(\rho\right), and current(N.R1) is I_{\text{R1}}.
func Symbol(name string) string {
	if kind, inside, ok := strings.Cut(strings.TrimSuffix(name, ")"), "("); ok {
		if kind == "u" {
			return `u\left(` + Symbol(inside) + `\right)`
		}
		part := inside[strings.Index(inside, ".")+1:]
		return networkLetters[kind] + `_{\text{` + texEscape(part) + `}}`
	}
	head, sub, _ := strings.Cut(name, "_")
	if sub == "" {
		head = strings.TrimRight(name, "0123456789_")
		sub = strings.Trim(name[len(head):], "_")
	}
	tex := texWord(head)
	if sub != "" {
		tex += `_{` + texWord(sub) + `}`
	}
	return tex
}

var networkLetters = map[string]string{"current": "I", "voltage": "U", "power": "P", "potential": "V"}

// texWord sets a letter in italics, a Greek name as its letter, digits as they are, and any other word upright.
func texWord(s string) string {
	if command, ok := greek[s]; ok {
		return command
	}
	digits := strings.Trim(s, "0123456789") == ""
	if utf8.RuneCountInString(s) == 1 || digits && s != "" {
		return s
	}
	return texText(s)
}

func texText(s string) string { return `\text{` + texEscape(s) + `}` }

// texEscape makes a word of a name's characters: an underline is a space there.
func texEscape(s string) string { return strings.ReplaceAll(s, "_", " ") }

// greek holds the letters that a name can be spelt with, as words and as themselves.
var greek = func() map[string]string {
	m := map[string]string{}
	words := strings.Fields("alpha beta gamma delta epsilon zeta eta theta iota kappa lambda mu nu xi pi rho sigma tau " +
		"upsilon phi chi psi omega Gamma Delta Theta Lambda Xi Pi Sigma Upsilon Phi Psi Omega")
	for i, r := range []rune("αβγδεζηθικλμνξπρστυφχψωΓΔΘΛΞΠΣΥΦΨΩ") {
		m[words[i]] = `\` + words[i]
		m[string(r)] = `\` + words[i]
	}
	return m
}()

// texNumber sets a number as the language writes it: 1.2e-3 is 1.2 \times 10^{-3}.
func texNumber(s string) string {
	mantissa, exponent, ok := strings.Cut(strings.ToLower(s), "e")
	if !ok {
		return s
	}
	return mantissa + ` \times 10^{` + strings.TrimPrefix(exponent, "+") + `}`
}

func texUnit(n *node) string {
	switch n.suf {
	case "":
		return ""
	case "%":
		return `\,\text{%}`
	}
	return `\,\text{` + n.unit.Symbol + `}`
}
