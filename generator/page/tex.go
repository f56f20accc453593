package page

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxTeX and maxTeXDepth bound a formula, so that hostile ones are refused.
const (
	maxTeX      = 4000
	maxTeXDepth = 40
)

// A node is one piece of a formula.
type node interface{}

// class is how a symbol is spaced against its neighbours.
type class byte

const (
	ord class = iota
	bin
	rel
	opening
	closing
	punct
	operator
)

type (
	row    []node
	symbol struct {
		r     rune
		class class
		face  int
	}
	wordNode struct { // \text, \mathrm and function names
		s     string
		class class
	}
	fraction struct{ num, den row }
	radical  struct{ index, body row }
	scripted struct {
		base     node
		sup, sub row
	}
	accented struct {
		kind rune
		body row
	}
	fenced struct {
		left, right rune // 0: none
		body        row
	}
	grid struct {
		cases bool
		rows  [][]row
	}
	gap struct{ em float64 }
	big struct{ r rune } // \sum and its like: limits above and below when displayed
)

// TeXError is a fault in a formula in TeX notation, at a byte offset of its source.
type TeXError struct {
	Offset int
	Msg    string
}

func (e *TeXError) Error() string { return fmt.Sprintf("formula, at byte %d: %s", e.Offset, e.Msg) }

// CheckTeX parses a formula of the TeX subset; the error is *TeXError with the byte offset of the fault.
func CheckTeX(src string) error {
	_, err := parseTeX(src)
	return err
}

// Letters and signs by their command.
var texSymbols = map[string]symbol{
	"alpha": italic('α'), "beta": italic('β'), "gamma": italic('γ'), "delta": italic('δ'), "epsilon": italic('ε'),
	"varepsilon": italic('ε'), "zeta": italic('ζ'), "eta": italic('η'), "theta": italic('θ'), "iota": italic('ι'),
	"kappa": italic('κ'), "lambda": italic('λ'), "mu": italic('μ'), "nu": italic('ν'), "xi": italic('ξ'), "pi": italic('π'),
	"rho": italic('ρ'), "sigma": italic('σ'), "tau": italic('τ'), "upsilon": italic('υ'), "phi": italic('φ'),
	"varphi": italic('φ'), "chi": italic('χ'), "psi": italic('ψ'), "omega": italic('ω'), "ell": {'ℓ', ord, fallback},
	"Gamma": upright('Γ'), "Delta": upright('Δ'), "Theta": upright('Θ'), "Lambda": upright('Λ'), "Xi": upright('Ξ'),
	"Pi": upright('Π'), "Sigma": upright('Σ'), "Phi": upright('Φ'), "Psi": upright('Ψ'), "Omega": upright('Ω'),
	"infty": upright('∞'), "partial": upright('∂'), "circ": {'°', ord, sans}, "degree": {'°', ord, sans}, "ldots": upright('…'),
	"dots": upright('…'), "cdots": upright('…'), "prime": upright('′'), "%": {'%', ord, sans}, "&": {'&', ord, sans}, "_": {'_', ord, sans},
	"$": {'$', ord, sans}, "#": {'#', ord, sans},
	"times": {'×', bin, sans}, "cdot": {'·', bin, sans}, "pm": {'±', bin, sans}, "div": {'÷', bin, sans},
	"approx": {'≈', rel, sans}, "propto": {'∝', rel, fallback}, "le": {'≤', rel, sans}, "ge": {'≥', rel, sans},
	"leq": {'≤', rel, sans}, "geq": {'≥', rel, sans}, "ne": {'≠', rel, sans}, "neq": {'≠', rel, sans},
	"to": {'→', rel, sans}, "rightarrow": {'→', rel, sans}, "Rightarrow": {'⇒', rel, fallback},
	"ll": {'≪', rel, fallback}, "gg": {'≫', rel, fallback}, "equiv": {'≡', rel, sans},
	"{": {'{', opening, sans}, "}": {'}', closing, sans}, "|": {'∥', ord, fallback},
}

func italic(r rune) symbol  { return symbol{r, ord, serifItalic} }
func upright(r rune) symbol { return symbol{r, ord, serif} }

var texFunctions = map[string]bool{
	"sin": true, "cos": true, "tan": true, "arcsin": true, "arccos": true, "arctan": true, "ln": true, "log": true,
	"exp": true, "min": true, "max": true,
}

var texGaps = map[string]float64{
	",": 0.2, ":": 4. / 18, ";": 5. / 18, " ": 4. / 18, "!": -3. / 18, "quad": 1, "qquad": 2,
}

var texAccents = map[string]rune{"vec": '→', "hat": '^', "bar": '-', "overline": '¯'}

var texBig = map[string]rune{"sum": '∑', "prod": '∏', "int": '∫'}

// texParser reads a formula by recursive descent.
type texParser struct {
	src   string
	pos   int
	depth int
}

func (p *texParser) errorf(at int, format string, args ...any) error {
	return &TeXError{at, fmt.Sprintf(format, args...)}
}

func parseTeX(src string) (row, error) {
	if len(src) > maxTeX {
		return nil, &TeXError{maxTeX, fmt.Sprintf("longer than %d bytes", maxTeX)}
	}
	if !utf8.ValidString(src) {
		return nil, &TeXError{0, "not valid UTF-8"}
	}
	p := &texParser{src: src}
	r, err := p.row("")
	if err != nil {
		return nil, err
	}
	if p.pos < len(src) {
		return nil, p.errorf(p.pos, "%q without its beginning", p.stopper())
	}
	return r, nil
}

// stopper returns the token at which a row ends here, "" when none: } & \\ \right \end.
func (p *texParser) stopper() string {
	rest := p.src[p.pos:]
	for _, s := range []string{"}", "&", `\\`} {
		if strings.HasPrefix(rest, s) {
			return s
		}
	}
	if strings.HasPrefix(rest, `\`) {
		if name, _ := p.peekCommand(); name == "right" || name == "end" {
			return `\` + name
		}
	}
	return ""
}

// peekCommand returns the name of the command at pos and its length with the backslash.
func (p *texParser) peekCommand() (name string, n int) {
	rest := p.src[p.pos+1:]
	for n < len(rest) && (rest[n] >= 'a' && rest[n] <= 'z' || rest[n] >= 'A' && rest[n] <= 'Z') {
		n++
	}
	if n == 0 && rest != "" {
		_, n = utf8.DecodeRuneInString(rest)
	}
	return rest[:n], n + 1
}

func (p *texParser) skipSpace() {
	for p.pos < len(p.src) && (p.src[p.pos] == ' ' || p.src[p.pos] == '\n' || p.src[p.pos] == '\t' || p.src[p.pos] == '\r') {
		p.pos++
	}
}

// row reads until a stopper, or until the rune `until` ("" for none).
func (p *texParser) row(until string) (row, error) {
	p.depth++
	defer func() { p.depth-- }()
	if p.depth > maxTeXDepth {
		return nil, p.errorf(p.pos, "nested more than %d deep", maxTeXDepth)
	}
	var out row
	for {
		p.skipSpace()
		if p.pos == len(p.src) || p.stopper() != "" || (until != "" && strings.HasPrefix(p.src[p.pos:], until)) {
			return out, nil
		}
		n, err := p.scripted()
		if err != nil {
			return nil, err
		}
		out = append(out, n)
	}
}

// scripted reads an atom with what is raised and lowered after it.
func (p *texParser) scripted() (node, error) {
	var base node
	if c := p.src[p.pos]; c != '^' && c != '_' {
		var err error
		if base, err = p.atom(); err != nil {
			return nil, err
		}
	} else {
		base = row{}
	}
	s := scripted{base: base}
	found := false
	for {
		p.skipSpace()
		if p.pos == len(p.src) {
			break
		}
		c := p.src[p.pos]
		if c == '\'' {
			p.pos++
			s.sup, found = append(s.sup, upright('′')), true
			continue
		}
		if c != '^' && c != '_' {
			break
		}
		at := p.pos
		p.pos++
		arg, err := p.argument(string(c))
		if err != nil {
			return nil, err
		}
		if c == '^' {
			if s.sup != nil {
				return nil, p.errorf(at, "a second exponent; use braces: {x^a}^b")
			}
			s.sup = arg
		} else {
			if s.sub != nil {
				return nil, p.errorf(at, "a second index; use braces: x_{a,b}")
			}
			s.sub = arg
		}
		found = true
	}
	if !found {
		return base, nil
	}
	return s, nil
}

// argument reads {…} or a single atom.
func (p *texParser) argument(of string) (row, error) {
	p.skipSpace()
	if p.pos == len(p.src) || (p.stopper() != "" && p.stopper() != "{") {
		return nil, p.errorf(p.pos, "%s needs an argument", of)
	}
	if p.src[p.pos] == '{' {
		return p.group()
	}
	n, err := p.atom()
	return row{n}, err
}

func (p *texParser) group() (row, error) {
	at := p.pos
	p.pos++
	r, err := p.row("")
	if err != nil {
		return nil, err
	}
	if !strings.HasPrefix(p.src[p.pos:], "}") {
		return nil, p.errorf(at, "{ is never closed")
	}
	p.pos++
	if r == nil {
		r = row{}
	}
	return r, nil
}

// atom reads one symbol, group or command.
func (p *texParser) atom() (node, error) {
	p.depth++
	defer func() { p.depth-- }()
	if p.depth > maxTeXDepth {
		return nil, p.errorf(p.pos, "nested more than %d deep", maxTeXDepth)
	}
	r, n := utf8.DecodeRuneInString(p.src[p.pos:])
	switch {
	case r == '\\':
		return p.command()
	case r == '{':
		return p.group()
	case r == '^' || r == '_' || r == '}':
		return nil, p.errorf(p.pos, "%q has nothing before it", string(r))
	case r == '$':
		return nil, p.errorf(p.pos, "a dollar sign inside a formula; write \\$")
	}
	p.pos += n
	return plainSymbol(r), nil
}

// plainSymbol is the meaning of a character typed as itself.
func plainSymbol(r rune) symbol {
	switch r {
	case '+', '×', '·', '±':
		return symbol{r, bin, sans}
	case '-', '−':
		return symbol{'−', bin, sans}
	case '*':
		return symbol{'·', bin, sans}
	case '=', '<', '>', '≈', '≤', '≥', '≠', '→':
		return symbol{r, rel, sans}
	case '(', '[':
		return symbol{r, opening, sans}
	case ')', ']', '!':
		return symbol{r, closing, sans}
	case ',', ';':
		return symbol{r, punct, sans}
	case '~':
		return symbol{' ', ord, sans}
	}
	if unicode.IsLetter(r) {
		if unicode.Is(unicode.Greek, r) && unicode.IsUpper(r) {
			return upright(r)
		}
		return italic(r)
	}
	return symbol{r, ord, sans}
}

func (p *texParser) command() (node, error) {
	at := p.pos
	name, n := p.peekCommand()
	if name == "" {
		return nil, p.errorf(at, "a lone backslash")
	}
	p.pos += n
	if s, ok := texSymbols[name]; ok {
		return s, nil
	}
	if em, ok := texGaps[name]; ok {
		return gap{em}, nil
	}
	if kind, ok := texAccents[name]; ok {
		body, err := p.argument(`\` + name)
		return accented{kind, body}, err
	}
	if r, ok := texBig[name]; ok {
		return big{r}, nil
	}
	if texFunctions[name] {
		return wordNode{name, operator}, nil
	}
	switch name {
	case "frac", "dfrac", "tfrac":
		num, err := p.argument(`\frac`)
		if err != nil {
			return nil, err
		}
		den, err := p.argument(`\frac`)
		return fraction{num, den}, err
	case "sqrt":
		return p.root()
	case "text", "mathrm":
		return p.words(name)
	case "left":
		return p.fence(at)
	case "begin":
		return p.environment(at)
	}
	return nil, p.errorf(at, `unknown command \%s`, name)
}

func (p *texParser) root() (node, error) {
	var index row
	p.skipSpace()
	if strings.HasPrefix(p.src[p.pos:], "[") {
		at := p.pos
		p.pos++
		var err error
		if index, err = p.row("]"); err != nil {
			return nil, err
		}
		if !strings.HasPrefix(p.src[p.pos:], "]") {
			return nil, p.errorf(at, "[ is never closed")
		}
		p.pos++
	}
	body, err := p.argument(`\sqrt`)
	return radical{index, body}, err
}

// words reads the upright words of \text{…} and \mathrm{…}. Inside \mathrm a ^ raises, so that units can be written.
func (p *texParser) words(name string) (node, error) {
	p.skipSpace()
	if !strings.HasPrefix(p.src[p.pos:], "{") {
		return nil, p.errorf(p.pos, `\%s needs {…}`, name)
	}
	if name == "mathrm" {
		r, err := p.group()
		return makeUpright(r), err
	}
	at := p.pos
	end := strings.IndexAny(p.src[at+1:], "}{\\$")
	if end < 0 {
		return nil, p.errorf(at, "{ is never closed")
	}
	if p.src[at+1+end] != '}' {
		return nil, p.errorf(at+1+end, `\text holds words only, not %q`, p.src[at+1+end])
	}
	p.pos = at + end + 2
	return wordNode{p.src[at+1 : at+1+end], ord}, nil
}

// makeUpright turns the letters of a row into the body's upright face.
func makeUpright(r row) row {
	out := make(row, len(r))
	for i, n := range r {
		switch n := n.(type) {
		case symbol:
			if n.face == serifItalic || n.face == serif {
				n.face = sans
			}
			out[i] = n
		case scripted:
			n.base, n.sup, n.sub = makeUpright(row{n.base}), makeUpright(n.sup), makeUpright(n.sub)
			out[i] = n
		case row:
			out[i] = makeUpright(n)
		default:
			out[i] = n
		}
	}
	return out
}

// delimiter reads what follows \left or \right.
func (p *texParser) delimiter() (rune, error) {
	p.skipSpace()
	rest := p.src[p.pos:]
	for _, d := range []struct {
		src string
		r   rune
	}{{"(", '('}, {")", ')'}, {"[", '['}, {"]", ']'}, {"|", '|'}, {".", 0}, {`\{`, '{'}, {`\}`, '}'}} {
		if strings.HasPrefix(rest, d.src) {
			p.pos += len(d.src)
			return d.r, nil
		}
	}
	return 0, p.errorf(p.pos, `\left and \right take ( ) [ ] | \{ \} or .`)
}

func (p *texParser) fence(at int) (node, error) {
	left, err := p.delimiter()
	if err != nil {
		return nil, err
	}
	body, err := p.row("")
	if err != nil {
		return nil, err
	}
	if p.stopper() != `\right` {
		return nil, p.errorf(at, `\left without \right`)
	}
	p.pos += len(`\right`)
	right, err := p.delimiter()
	return fenced{left, right, body}, err
}

func (p *texParser) environment(at int) (node, error) {
	name, ok := p.braced()
	if !ok || (name != "aligned" && name != "cases") {
		return nil, p.errorf(at, `\begin takes {aligned} or {cases}`)
	}
	g := grid{cases: name == "cases"}
	line := []row{}
	for {
		cell, err := p.row("")
		if err != nil {
			return nil, err
		}
		line = append(line, cell)
		switch p.stopper() {
		case "&":
			p.pos++
		case `\\`:
			p.pos += 2
			g.rows, line = append(g.rows, line), []row{}
		case `\end`:
			p.pos += len(`\end`)
			if end, _ := p.braced(); end != name {
				return nil, p.errorf(at, `\begin{%s} is not closed by \end{%s}`, name, name)
			}
			if len(line) > 1 || len(line[0]) > 0 {
				g.rows = append(g.rows, line)
			}
			return g, nil
		default:
			return nil, p.errorf(at, `\begin{%s} is not closed by \end{%s}`, name, name)
		}
	}
}

// braced reads {name}.
func (p *texParser) braced() (string, bool) {
	rest := p.src[p.pos:]
	end := strings.IndexByte(rest, '}')
	if !strings.HasPrefix(rest, "{") || end < 0 {
		return "", false
	}
	p.pos += end + 1
	return rest[1:end], true
}
