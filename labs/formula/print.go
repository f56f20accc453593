package formula

import "strings"

// String prints the formula in canonical form: spaces around + - and comparisons only, no bracket that can be spared.
// Parsing that gives the same tree.
func (e *Expr) String() string { return e.root.String() }

func (n *node) String() string {
	var p printer
	p.node(n, 0)
	return p.String()
}

// The levels of binding, from loose to tight; those up to levelProduct are the parser's.
const (
	levelOr = iota + 1
	levelAnd
	levelCompare
	levelSum
	levelProduct
	levelSign
	levelPower
	levelAtom
)

// level is how tightly the outermost operator of n binds.
func (n *node) level() int {
	switch n.op {
	case or:
		return levelOr
	case and:
		return levelAnd
	case compare:
		return levelCompare
	case add, sub:
		return levelSum
	case mul, div:
		return levelProduct
	case negate, not:
		return levelSign
	case pow:
		return levelPower
	case literal:
		if strings.HasPrefix(n.text, "-") {
			return levelSign
		}
	}
	return levelAtom
}

var operators = map[op]string{or: " || ", and: " && ", add: " + ", sub: " - ", mul: "*", div: "/", pow: "^"}

type printer struct {
	strings.Builder
	inUnit bool // a unit was written last, so that what follows must be kept apart from it
}

// put writes anything but a unit.
func (p *printer) put(s string) {
	if p.inUnit && (s == "*" || s == "/") {
		s = " " + s + " "
	}
	p.inUnit = false
	p.WriteString(s)
}

// node writes n, in brackets when it binds less tightly than level.
func (p *printer) node(n *node, level int) {
	if n.level() < level {
		p.put("(")
		defer p.put(")")
	}
	switch n.op {
	case literal:
		p.put(n.text)
		p.unit(n)
	case column:
		p.put("[")
		p.list(n.args)
		p.put("]")
		p.unit(n)
	case name:
		p.put(n.text)
	case call:
		p.put(n.text + "(")
		p.list(n.args)
		p.put(")")
	case choose:
		p.put("if(")
		p.list(n.args)
		p.put(")")
	case negate:
		p.put("-")
		p.node(n.args[0], levelSign)
	case not:
		p.put("!")
		p.node(n.args[0], levelSign)
	case compare:
		p.node(n.args[0], levelSum)
		for i, sign := range n.signs {
			p.put(" " + sign + " ")
			p.node(n.args[i+1], levelSum)
		}
	case pow:
		p.power(n)
	default:
		p.node(n.args[0], n.level())
		p.put(operators[n.op])
		p.right(n.args[1], n.level()+1)
	}
}

// right writes a right-hand side; one that begins with a sign gets brackets, for the reader's sake.
func (p *printer) right(n *node, level int) {
	if n.level() == levelSign && level >= levelSum {
		level = levelPower
	}
	p.node(n, level)
}

// power writes a power: a base with a unit needs brackets, lest the exponent go to the unit.
func (p *printer) power(n *node) {
	base, level := n.args[0], levelAtom
	if base.suf != "" {
		p.put("(")
		p.node(base, 0)
		p.put(")")
	} else {
		p.node(base, level)
	}
	p.put("^")
	p.node(n.args[1], levelSign)
}

func (p *printer) list(args []*node) {
	for i, a := range args {
		if i > 0 {
			p.put(", ")
		}
		p.node(a, 0)
	}
}

func (p *printer) unit(n *node) {
	if n.suf != "" {
		p.put(" " + n.suf)
		p.inUnit = true
	}
}
