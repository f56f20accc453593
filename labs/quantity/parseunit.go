package quantity

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// ParseUnit reads a unit exactly as formulas and templates write it: "m/s^2", "degC", "ohm*m", "lb/ft^3", "1", and as
// Symbol prints it. Case counts, factors are joined by * / or ·, powers follow ^, and every symbol has one meaning: C is the
// coulomb, F the farad, gal the US gallon; ton, of which there are several, is refused. Errors say what to write.
func ParseUnit(s string) (Unit, error) {
	text := strings.TrimSpace(s)
	switch {
	case text == "1":
		return one, nil
	case text == "":
		return Unit{}, errors.New("a unit is missing; write 1 for a plain number")
	case len(text) > maxUnitLength:
		return Unit{}, fmt.Errorf("a unit of %d characters is too long; %d are allowed", utf8.RuneCountInString(text), maxUnitLength)
	}
	if a := units().symbols[text]; a != nil { // also "imp gal", whose symbol has a space
		return compose([]factor{{a, 1}})
	}
	p := unitParser{rest: fold(text)}
	factors, err := p.product(false)
	if err == nil && p.rest != "" {
		err = fmt.Errorf("unexpected %q in the unit %q; symbols are joined by * or /, as in N*m", p.rest, text)
	}
	if err != nil {
		return Unit{}, err
	}
	return compose(factors)
}

type unitParser struct {
	rest  string
	depth int
}

// product reads factors joined by * · and /, to the end or, inside, to the closing bracket.
func (p *unitParser) product(inside bool) ([]factor, error) {
	var factors []factor
	sign := 1
	for {
		next, err := p.factor()
		if err != nil {
			return nil, err
		}
		for _, f := range next {
			factors = append(factors, factor{f.atom, sign * f.exp})
		}
		if len(factors) > maxFactors {
			return nil, fmt.Errorf("a unit of more than %d factors is not known", maxFactors)
		}
		switch {
		case p.take("*"):
			sign = 1
		case p.take("/"):
			sign = -1
		case inside && !p.take(")"):
			return nil, errors.New("a bracket in the unit is not closed")
		default:
			return factors, nil
		}
	}
}

// factor reads one symbol with its power, a bracket, or the 1 of "1/s".
func (p *unitParser) factor() ([]factor, error) {
	if p.take("1/") {
		p.rest = "/" + p.rest
		return nil, nil
	}
	if p.depth < 3 && p.take("(") {
		p.depth++
		return p.product(true)
	}
	n := strings.IndexFunc(p.rest, func(r rune) bool { return !isSymbol(r) })
	if n < 0 {
		n = len(p.rest)
	}
	name := p.rest[:n]
	a := units().symbols[name]
	if a == nil {
		return nil, unknownUnit(name, p.rest)
	}
	p.rest = p.rest[n:]
	if p.rest != "" && (p.rest[0] >= '0' && p.rest[0] <= '9' || p.rest[0] == '-') {
		return nil, fmt.Errorf("write the power of %s with ^, as in %s^2", name, name)
	}
	exp := 1
	if p.take("^") {
		n := strings.IndexFunc(p.rest, func(r rune) bool { return r != '-' && (r < '0' || r > '9') })
		if n < 0 {
			n = len(p.rest)
		}
		var err error
		if exp, err = strconv.Atoi(p.rest[:n]); err != nil || exp == 0 || exp > maxExponent || exp < -maxExponent {
			return nil, fmt.Errorf("the power of %s is a whole number from -%d to %d, and not 0", name, maxExponent, maxExponent)
		}
		p.rest = p.rest[n:]
	}
	return []factor{{a, exp}}, nil
}

func (p *unitParser) take(token string) bool {
	rest, ok := strings.CutPrefix(p.rest, token)
	p.rest = rest
	return ok
}

// unknownUnit is the error for a symbol that is none, with what may have been meant.
func unknownUnit(name, rest string) error {
	if name == "" {
		return fmt.Errorf("a unit symbol is missing before %q", rest)
	}
	ix := units()
	key := strings.ToLower(name)
	meant := append(ix.words[key][:len(ix.words[key]):len(ix.words[key])], ix.folded[key]...)
	switch {
	case strings.HasPrefix(key, "ton") && len(meant) > 1:
		return fmt.Errorf("%q has more than one size; write t (1000 kg) or lb", name)
	}
	if written := ReadUnit(name); len(written) > 0 && written[0].Note == "" { // Nm, which is no nm
		return fmt.Errorf("unknown unit %q; did you mean %s?", name, strings.ReplaceAll(written[0].Unit.Symbol, "·", "*"))
	}
	if len(meant) > 0 {
		return fmt.Errorf("unknown unit %q; did you mean %s?", name, meant[0].symbol)
	}
	return fmt.Errorf("unknown unit %q", name)
}
