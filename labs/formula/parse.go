package formula

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"keelmark/labs/quantity"
)

// Parse reads a formula. Faults are *Error.
func Parse(src string) (*Expr, error) {
	runes := []rune(src)
	if len(runes) > maxLength {
		return nil, errorf(string(runes[:40])+"…", 1, "a formula of %d characters is too long (at most %d)", len(runes), maxLength)
	}
	p := &parser{src: src, lex: lexer{src: runes}}
	p.next()
	root := p.expression(0)
	if p.err == nil && p.tok.kind != tokenEnd {
		p.unexpected()
	}
	if p.err != nil {
		return nil, p.err
	}
	return &Expr{src: src, root: root}, nil
}

// parser climbs precedences. Its first error ends the input, so that no caller need ask for one.
type parser struct {
	src   string
	lex   lexer
	tok   token // the token at hand
	depth int
	err   error
}

func (p *parser) next() {
	if p.err == nil {
		p.tok = p.lex.next()
	}
}

// fail notes the first fault and ends the input. The node it returns is never used.
func (p *parser) fail(col int, format string, args ...any) *node {
	if p.err == nil {
		p.err = errorf(p.src, col, format, args...)
		p.tok = token{}
	}
	return &node{}
}

// at reports whether the sign s is at hand.
func (p *parser) at(s string) bool { return p.tok.kind == tokenSign && p.tok.text == s }

// binaries gives each operator between two values and how tightly it binds.
var binaries = map[string]struct {
	op    op
	level int
}{
	"||": {or, 1}, "&&": {and, 2},
	"<": {compare, 3}, "<=": {compare, 3}, ">": {compare, 3}, ">=": {compare, 3}, "==": {compare, 3}, "!=": {compare, 3},
	"+": {add, 4}, "-": {sub, 4}, "*": {mul, 5}, "/": {div, 5},
}

// expression reads everything that binds at least as tightly as level.
func (p *parser) expression(level int) *node {
	left := p.signed()
	for p.tok.kind == tokenSign {
		b, ok := binaries[p.tok.text]
		if !ok || b.level < level {
			break
		}
		sign := p.tok
		p.next()
		right := p.expression(b.level + 1)
		if b.op != compare {
			left = &node{op: b.op, args: []*node{left, right}, col: sign.col}
			continue
		}
		left = p.chain(left, sign, right)
	}
	return left
}

// chain reads the rest of a chain of comparisons that begins left sign right.
func (p *parser) chain(left *node, sign token, right *node) *node {
	n := &node{op: compare, args: []*node{left, right}, signs: []string{sign.text}, col: sign.col}
	for p.tok.kind == tokenSign && binaries[p.tok.text].op == compare {
		s := p.tok
		if way := s.text[0]; s.text == "!=" || sign.text == "!=" || way != '=' && sign.text[0] != '=' && way != sign.text[0] {
			return p.fail(s.col, "a chain of comparisons points one way: split it with &&")
		}
		if sign.text == "==" {
			sign = s
		}
		p.next()
		n.args = append(n.args, p.expression(4))
		n.signs = append(n.signs, s.text)
	}
	return n
}

// signed reads a value with its signs: -x, !x. The sign of a number is part of it, so that -5 degC is a temperature.
func (p *parser) signed() *node {
	if p.depth++; p.depth > maxDepth {
		return p.fail(p.tok.col, "brackets, signs and powers are nested more than %d deep", maxDepth)
	}
	defer func() { p.depth-- }()
	switch sign := p.tok; {
	case p.at("-"):
		p.next()
		return negated(p.signed(), sign.col)
	case p.at("!"):
		p.next()
		return &node{op: not, args: []*node{p.signed()}, col: sign.col}
	}
	return p.power()
}

// negated returns -n, written as a negative number where n is a positive one.
func negated(n *node, col int) *node {
	if n.op == literal && !strings.HasPrefix(n.text, "-") {
		return &node{op: literal, text: "-" + n.text, x: -n.x, unit: n.unit, suf: n.suf, col: col}
	}
	return &node{op: negate, args: []*node{n}, col: col}
}

func (p *parser) power() *node {
	base := p.primary()
	if !p.at("^") {
		return base
	}
	col := p.tok.col
	p.next()
	return &node{op: pow, args: []*node{base, p.signed()}, col: col}
}

func (p *parser) primary() *node {
	tok := p.tok
	switch {
	case tok.kind == tokenNumber:
		return p.number()
	case tok.kind == tokenName:
		return p.name()
	case p.at("("):
		p.next()
		n := p.expression(0)
		p.expect(")", tok)
		return n
	case p.at("["):
		return p.column()
	}
	return p.unexpected()
}

// expect passes over a closing bracket.
func (p *parser) expect(closing string, open token) {
	if !p.at(closing) {
		if p.tok.kind == tokenEnd {
			p.fail(open.col, "this bracket is never closed")
		}
		p.unexpected()
	}
	p.next()
}

func (p *parser) number() *node {
	n := &node{op: literal, text: p.tok.text, col: p.tok.col}
	x, err := strconv.ParseFloat(n.text, 64)
	if err != nil || math.IsInf(x, 0) {
		return p.fail(n.col, "the number %s is too large", n.text)
	}
	n.x = x
	p.unit(n)
	if math.IsInf(si(n, n), 0) {
		return p.fail(n.col, "the number %s %s is too large", n.text, n.suf)
	}
	p.next()
	return n
}

// bareExponent is a power as people write it, m3 for m^3.
var bareExponent = regexp.MustCompile(`(\pL)(-?[0-9])`)

// unit reads the unit after a number or column, if there is one.
func (p *parser) unit(n *node) {
	text, col := p.lex.unit()
	if text == "" || p.err != nil {
		return
	}
	unit, err := quantity.ParseUnit(text)
	if err == nil {
		n.unit, n.suf = unit, text
		return
	}
	if raised := bareExponent.ReplaceAllString(text, "$1^$2"); raised != text {
		if _, err := quantity.ParseUnit(raised); err == nil {
			p.fail(col, "%s is no unit here; a power is written %s", text, raised)
			return
		}
	}
	for _, f := range laterFactors(text) {
		if _, known := quantity.ParseUnit(f.name); known != nil {
			p.fail(col, "%s %s: %s is no unit; for a value of that name write %s", n.text, text, f.name, f.apart(n.text))
			return
		}
	}
	if len(quantity.ReadUnit(text)) == 0 {
		err = fmt.Errorf("%w (a unit follows a number; a product is written %s*%s)", err, n.text, text)
	}
	p.fail(col, "%v", err)
}

// references are the names spelt like calls, with what their brackets hold.
var references = map[string]string{
	"current":   "a part of a network, as in current(N.R1)",
	"voltage":   "a part of a network, as in voltage(N.R1)",
	"power":     "a part of a network, as in power(N.R1)",
	"potential": "a node of a network, as in potential(N.a)",
	"u":         "the name of a value, as in u(rho)",
}

// name reads a name, a call, or a reference.
func (p *parser) name() *node {
	tok := p.tok
	if holds, ok := references[tok.text]; ok {
		if inside, ok := p.lex.reference(); ok {
			if !isReference(strings.Trim(inside, "()"), tok.text == "u") {
				return p.fail(tok.col, "%s( ) takes %s", tok.text, holds)
			}
			p.next()
			return &node{op: name, text: tok.text + inside, col: tok.col}
		}
	}
	p.next()
	if !p.at("(") {
		return &node{op: name, text: tok.text, col: tok.col}
	}
	n := &node{op: call, text: tok.text, args: p.list("(", ")"), col: tok.col}
	if n.text == "if" {
		n.op = choose
		if len(n.args) != 3 {
			return p.fail(tok.col, "if takes a condition and two values: if(a > b, a, b)")
		}
	}
	return n
}

// isReference reports whether s is NAME or, but for values, NETWORK.PART; a part is a label that may begin with a digit.
func isReference(s string, value bool) bool {
	if value {
		return IsName(s)
	}
	network, part, dotted := strings.Cut(s, ".")
	if !dotted {
		network, part = "N", s // the only network there is
	}
	return IsName(network) && part != "" && strings.TrimFunc(part, isNameRune) == ""
}

// list reads values between brackets.
func (p *parser) list(opening, closing string) (args []*node) {
	open := p.tok
	p.next()
	for p.tok.kind != tokenEnd && !(p.at(closing) && len(args) == 0) {
		args = append(args, p.expression(0))
		if !p.at(",") {
			break
		}
		p.next()
	}
	if closing == "]" && p.at("]") {
		return args // what may follow is a unit: the caller reads on
	}
	p.expect(closing, open)
	return args
}

func (p *parser) column() *node {
	n := &node{op: column, col: p.tok.col}
	n.args = p.list("[", "]")
	if p.err != nil {
		return n
	}
	if len(n.args) == 0 {
		return p.fail(n.col, "a column holds at least one value")
	}
	n.text = "[…]"
	p.unit(n)
	for _, a := range n.args {
		if n.suf != "" && !a.bare() {
			return p.fail(a.col, "a column with a unit after it holds bare numbers")
		}
	}
	p.next()
	return n
}

// awaiting are the characters after which a value must come.
const awaiting = "([,+-*/^<>=!&|"

// unexpected refuses the token at hand, with what it may have been meant for.
func (p *parser) unexpected() *node {
	tok := p.tok
	before, _ := lastRune([]rune(p.src)[:max(tok.col-1, 0)])
	switch {
	case tok.kind == tokenEnd && strings.TrimSpace(p.src) == "":
		return p.fail(1, "the formula is empty")
	case tok.kind == tokenEnd:
		return p.fail(tok.col, "a value is missing at the end")
	case tok.text == "=":
		return p.fail(tok.col, "= compares as ==")
	case tok.text == "," && !strings.ContainsRune(awaiting, before):
		return p.fail(tok.col, "a comma parts values inside brackets; decimals are written with a point, as in 1.5")
	case tok.text == ")" || tok.text == "]":
		if strings.ContainsRune(awaiting, before) {
			return p.fail(tok.col, "a value is missing before %s", tok.text)
		}
		return p.fail(tok.col, "%s closes a bracket that was not opened", tok.text)
	case tok.kind == tokenNumber || tok.kind == tokenName || tok.text == "(" || tok.text == "[":
		return p.fail(tok.col, "an operator is missing before %s (a product is written a*b)", tok.text)
	case tok.text == ".":
		return p.fail(tok.col, "a point stands only in numbers and in network parts such as current(N.R1)")
	case len(tok.text) == 1 && strings.Contains("&|", tok.text):
		return p.fail(tok.col, "write %s%s", tok.text, tok.text)
	}
	if _, ok := binaries[tok.text]; ok || tok.text == "^" || tok.text == "," {
		return p.fail(tok.col, "a value is missing before %s", tok.text)
	}
	return p.fail(tok.col, "%q has no meaning in a formula", tok.text)
}

// lastRune returns the last character that is not a space.
func lastRune(rs []rune) (r rune, ok bool) {
	for i := len(rs) - 1; i >= 0; i-- {
		if rs[i] != ' ' {
			return rs[i], true
		}
	}
	return '(', false
}
