package quantity

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// UnitReading is one sensible meaning of a unit as a person wrote it.
type UnitReading struct {
	Unit Unit
	Note string // what was bent to read it: "Kg read as kg"; "" when nothing was
	Flag bool   // another size may be meant (gal, ton, hp, MM): a person should know
}

// ReadUnit returns every sensible meaning of a unit as a person writes it, best first; none when it is not a unit. It
// takes symbols in any usual notation (kg m^-3, kgm-3, m/s/s, g/cc), names (metres per second squared, sq cm, milliamps)
// and symbols in the wrong case, with a note. An exact symbol goes before a prefixed one, that before a product (ms-2),
// and the case as written before another; of one dimension only the best are kept. The dimension asked for decides
// among the rest: 5 C may be a charge or a temperature.
func ReadUnit(s string) []UnitReading {
	if len(s) > 4*maxUnitLength {
		return nil
	}
	return readUnit(fold(s))
}

// A meaning is what a text, or a part of it, may stand for. The cheapest meaning is the best.
type meaning struct {
	factors []factor
	cost    int
	note    string
	flag    bool
}

// What a way of reading costs. Differences within a class (letters changed, factors in a product) add to it.
const (
	costPrefixed = 1
	costShort    = 2 // ° for °C
	costSidestep = 1 // the second sense of a/b c
	costProduct  = 4
	costFolded   = 20
)

const (
	maxMeanings = 48 // of one text
	maxWritten  = 6  // power a person writes; more is no unit
	maxRun      = 24 // letters in one run; the longest name has fewer
)

// readUnit is ReadUnit on folded text.
func readUnit(text string) []UnitReading {
	if utf8.RuneCountInString(text) > maxUnitLength {
		return nil
	}
	key := strings.ToLower(strings.TrimRight(text, "."))
	if formula, ok := phrases[key]; ok {
		if u, err := ParseUnit(formula); err == nil {
			return []UnitReading{{Unit: u, Note: fmt.Sprintf("%s read as %s", text, u.Symbol)}}
		}
	}
	if strings.ContainsFunc(key, func(r rune) bool { return !isSymbol(r) }) { // single words are found as terms
		if found := wordMeanings(text, 1); len(found) > 0 {
			return settle(found)
		}
	}
	terms, ok := splitUnit(text)
	if !ok {
		return nil
	}
	anyCase := len(terms) == 1 || text == strings.ToUpper(text)
	found := combine(terms, anyCase, false)
	if mended, ok := unsigned(terms); ok {
		for _, m := range combine(mended, anyCase, false) {
			m.cost += costSidestep
			m.note = join2(m.note, "negative power after the solidus read as positive")
			found = append(found, m)
		}
	}
	if slices.ContainsFunc(terms, func(t term) bool { return t.open }) {
		found = append(found, combine(terms, anyCase, true)...)
	}
	return settle(found)
}

// unsigned gives the terms with negative powers below the line made positive: kg/m^-3 is what some write for kg m^-3.
func unsigned(terms []term) (mended []term, changed bool) {
	mended = slices.Clone(terms)
	for i := range mended {
		if mended[i].below && mended[i].exp < 0 {
			mended[i].exp, changed = -mended[i].exp, true
		}
	}
	return mended, changed
}

// settle turns meanings into units and keeps, of each dimension, the cheapest; each size once.
func settle(found []meaning) []UnitReading {
	slices.SortStableFunc(found, func(a, b meaning) int { return cmp.Compare(a.cost, b.cost) })
	best := map[Dim]int{}
	var kept []UnitReading
	for _, m := range found {
		u, err := compose(m.factors)
		if err != nil {
			continue
		}
		if cost, seen := best[u.Dim]; seen && m.cost > cost {
			continue
		}
		best[u.Dim] = m.cost
		if !slices.ContainsFunc(kept, func(k UnitReading) bool {
			return k.Unit.Dim == u.Dim && k.Unit.Scale == u.Scale && k.Unit.Offset == u.Offset
		}) {
			kept = append(kept, UnitReading{u, m.note, m.flag})
		}
	}
	return kept
}

// A term is one run of letters of a unit with its power.
type term struct {
	text  string
	exp   int
	below bool // stands below the line
	open  bool // follows a divisor without a bracket: K in J/kg K may stand above or below
}

// splitUnit cuts folded text into terms; false when it cannot be a unit.
func splitUnit(text string) ([]term, bool) {
	s := unitScanner{rest: text}
	for s.rest != "" {
		if !s.step() || len(s.terms) > maxFactors {
			return nil, false
		}
	}
	return s.terms, len(s.terms) > 0 && !s.inside && !s.divide && s.power == 1
}

type unitScanner struct {
	rest    string
	terms   []term
	power   int  // from "square" or "cubic", for the term to come; 0 and 1 mean none
	divide  bool // a divisor comes next
	divided bool // one has come
	inside  bool // within brackets
	below   bool // the bracket stands below the line
}

// step takes one element off the text.
func (s *unitScanner) step() bool {
	if s.power == 0 {
		s.power = 1
	}
	r, size := utf8.DecodeRuneInString(s.rest)
	if isSymbol(r) {
		n := strings.IndexFunc(s.rest, func(r rune) bool { return !isSymbol(r) })
		if n < 0 {
			n = len(s.rest)
		}
		run := s.rest[:n]
		if utf8.RuneCountInString(run) > maxRun {
			return false
		}
		s.rest = s.rest[n:]
		return s.word(s.joined(run))
	}
	s.rest = s.rest[size:]
	next, _ := utf8.DecodeRuneInString(s.rest)
	switch r {
	case ' ', '.':
	case '*':
		return len(s.terms) > 0 && !s.divide
	case '-': // newton-metre
		return len(s.terms) > 0 && isSymbol(next)
	case '/':
		if s.divide {
			return false
		}
		s.divide, s.divided = true, true
	case '1': // 1/s
		return len(s.terms) == 0 && strings.HasPrefix(strings.TrimSpace(s.rest), "/")
	case '(':
		if s.inside {
			return false
		}
		s.inside, s.below, s.divide = true, s.divide, false
	case ')':
		if !s.inside {
			return false
		}
		s.inside, s.below = false, false
	default:
		return false
	}
	return true
}

// joined adds to a prefix standing apart the unit after it: milli amps, k ohm.
func (s *unitScanner) joined(prefix string) string {
	rest := strings.TrimLeft(s.rest, " -")
	n := strings.IndexFunc(rest, func(r rune) bool { return !isSymbol(r) })
	if n < 0 {
		n = len(rest)
	}
	whole := prefix + rest[:n]
	known := prefix == "k" && units().symbols[whole] != nil || len(prefix) > 3 && units().words[strings.ToLower(whole)] != nil
	if n == 0 || !known {
		return prefix
	}
	s.rest = rest[n:]
	return whole
}

// word takes a run of letters: an operator in words, or a term with its power.
func (s *unitScanner) word(run string) bool {
	after := 1
	switch strings.ToLower(run) {
	case "per":
		s.divide, s.divided = true, true
		return true
	case "square", "sq":
		s.power = 2
		return true
	case "cubic", "cu":
		s.power = 3
		return true
	case "squared":
		after = 2
	case "cubed":
		after = 3
	}
	if after > 1 {
		if len(s.terms) == 0 || s.divide { // "squared metres"
			s.power = after
			return true
		}
		s.terms[len(s.terms)-1].exp *= after
		return true
	}
	exp, ok := s.exponent()
	if !ok {
		return false
	}
	t := term{text: run, exp: exp * s.power, below: s.divide != s.below, open: s.divided && !s.divide && !s.inside}
	if s.below && !s.divide {
		t.open = false
	}
	s.terms = append(s.terms, t)
	s.divide, s.power = false, 1
	return t.exp != 0 && t.exp <= maxWritten && t.exp >= -maxWritten
}

// exponent takes the power after a term in any notation: ^2, ^ 2, **2, ^(-2), {-2}, 2, -2. One when there is none.
func (s *unitScanner) exponent() (int, bool) {
	rest := s.rest
	marked := false
	for _, mark := range []string{"^", "**"} {
		if after, ok := strings.CutPrefix(strings.TrimLeft(rest, " "), mark); ok {
			rest, marked = strings.TrimLeft(after, " "), true
		}
	}
	closing := ""
	if marked && rest != "" && (rest[0] == '(' || rest[0] == '{') {
		closing = map[byte]string{'(': ")", '{': "}"}[rest[0]]
		rest = rest[1:]
	}
	n := 0
	if rest != "" && (rest[0] == '-' || rest[0] == '+') {
		n = 1
	}
	digits := n
	for n < len(rest) && rest[n] >= '0' && rest[n] <= '9' {
		n++
	}
	if n == digits {
		return 1, !marked
	}
	exp, err := strconv.Atoi(rest[:n])
	after, closed := strings.CutPrefix(rest[n:], closing)
	s.rest = after
	return exp, err == nil && closed
}

// combine multiplies the meanings of the terms. lift reads terms after a divisor as standing above the line again.
func combine(terms []term, anyCase, lift bool) []meaning {
	total := []meaning{{}}
	if lift {
		total[0].cost = costSidestep
	}
	for _, t := range terms {
		sign := 1
		if t.below || t.open && !lift {
			sign = -1
		}
		var next []meaning
		for _, m := range total {
			for _, part := range meanings(t.text, t.exp, anyCase) {
				if len(next) == maxMeanings {
					break
				}
				sum := meaning{cost: m.cost + part.cost, note: join2(m.note, part.note), flag: m.flag || part.flag}
				sum.factors = slices.Clip(slices.Clone(m.factors))
				for _, f := range part.factors {
					sum.factors = append(sum.factors, factor{f.atom, sign * f.exp})
				}
				next = append(next, sum)
			}
		}
		total = next
	}
	return total
}

func join2(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + ", " + b
}

// meanings of one run of letters to a power; the power belongs to the last factor. Another case of the letters is
// thought of when nothing fits as written, or with anyCase: 5 kn may be a speed or a force.
func meanings(run string, exp int, anyCase bool) []meaning {
	found := wordMeanings(run, exp)
	named := len(found) > 0
	exact := units().symbols[run]
	if exact != nil {
		m := meaning{factors: []factor{{exact, exp}}}
		if exact.symbol != exact.kind.symbol {
			m.cost = costPrefixed
		}
		found = append(found, m)
	}
	if !named {
		found = append(found, products(run, exp, exact != nil)...)
	}
	if len(found) == 0 || anyCase {
		found = append(found, foldedMeanings(run, exp, len(found) == 0)...)
	}
	return found
}

// wordMeanings looks up a name or casual form, in any case of letters.
func wordMeanings(text string, exp int) []meaning {
	word := strings.ToLower(strings.TrimRight(text, "."))
	var found []meaning
	for _, a := range units().words[word] {
		m := meaning{factors: []factor{{a, exp}}, flag: len(clipped[word]) > 1}
		short := utf8.RuneCountInString(word) < 5 && a.kind.offset != 0 // ° or C for °C
		if short {
			m.cost = costShort
		}
		if (short || m.flag) && text != a.symbol {
			m.note = fmt.Sprintf("%s read as %s", text, a.symbol)
		}
		found = append(found, m)
	}
	return found
}

// foldedMeanings reads a symbol in the wrong case, or a product of two: only a moment unless lost, nothing else fitting.
func foldedMeanings(run string, exp int, lost bool) []meaning {
	ix := units()
	var found []meaning
	key := strings.ToLower(run)
	for _, a := range ix.folded[key] {
		found = appendFolded(found, run, exp, a)
	}
	lost = lost && len(found) == 0
	for i := range key {
		for _, head := range ix.folded[key[:i]] {
			for _, tail := range ix.folded[key[i:]] {
				if productive(head, tail) && (lost || head.kind.dim == dimForce && tail.kind.dim == dimLength) {
					found = appendFolded(found, run, exp, head, tail)
				}
			}
		}
	}
	return found
}

// appendFolded adds the product of atoms, whose symbols are run but for the case of letters.
func appendFolded(found []meaning, run string, exp int, atoms ...*atom) []meaning {
	text := ""
	m := meaning{cost: costFolded * len(atoms)}
	for _, a := range atoms {
		text += a.symbol
		m.factors = append(m.factors, factor{a, 1})
	}
	m.factors[len(atoms)-1].exp = exp
	changes := caseChanges(run, text)
	if changes == 0 {
		return found
	}
	m.cost += changes
	m.note = fmt.Sprintf("%s read as %s", run, text)
	first := atoms[0]
	milliOrMega := first.symbol != first.kind.symbol && strings.EqualFold(first.symbol[:1], "m")
	m.flag = milliOrMega && first.symbol[:1] != run[:1]
	return append(found, m)
}

// caseChanges counts the letters of run that differ from symbol in case.
func caseChanges(run, symbol string) int {
	n := 0
	want := []rune(symbol)
	for i, r := range []rune(run) {
		if i < len(want) && r != want[i] && unicode.ToLower(r) == unicode.ToLower(want[i]) {
			n++
		}
	}
	return n
}

// products reads a run without spaces as up to four symbols: kgm, Nm, kWh. noted is set when the run is a symbol too.
func products(run string, exp int, noted bool) []meaning {
	var found []meaning
	var split func(rest string, parts []factor)
	split = func(rest string, parts []factor) {
		if len(found) == maxMeanings {
			return
		}
		for i := range rest + "." {
			a := lookup(rest[:i])
			if a == nil || slices.ContainsFunc(parts, func(f factor) bool { return !productive(f.atom, a) }) {
				continue
			}
			if i < len(rest) {
				if len(parts) < 3 {
					split(rest[i:], append(slices.Clip(parts), factor{a, 1}))
				}
				continue
			}
			if len(parts) > 0 {
				m := meaning{factors: append(slices.Clip(parts), factor{a, exp}), cost: costProduct + len(parts)}
				if noted && exp == 1 {
					m.note = fmt.Sprintf("%s read as %s", run, typeset(m.factors))
				}
				found = append(found, m)
			}
		}
	}
	split(run, nil)
	return found
}

// lookup finds a part of a product: a symbol, or a name of four letters or more.
func lookup(part string) *atom {
	ix := units()
	if a := ix.symbols[part]; a != nil {
		return a
	}
	if len(part) >= 4 {
		if atoms := ix.words[strings.ToLower(part)]; len(atoms) > 0 {
			return atoms[0]
		}
	}
	return nil
}

// productive tells whether people multiply two units without a sign between them: never two of one dimension (mm is no
// square metre), nor a plain number, nor kelvin in front (Kg is a kilogram).
func productive(a, b *atom) bool {
	return a.kind.dim != dimKelvin && a.kind.dim != b.kind.dim && a.kind.dim != Dim{} && b.kind.dim != Dim{}
}
