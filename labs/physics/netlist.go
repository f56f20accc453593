package physics

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// The kinds of element a network may hold.
const (
	Resistor  = "resistor"
	Battery   = "battery"
	Ammeter   = "ammeter"
	Voltmeter = "voltmeter"
	Motor     = "motor"
	Lamp      = "lamp"
)

var elementKinds = []string{Resistor, Battery, Ammeter, Voltmeter, Motor, Lamp}

// Bounds of the work that a netlist can ask for: a network is solved anew on every draw, and once for every segment of a
// lamp's table that it passes.
const (
	maxElements   = 50
	maxLampPoints = 100 // of all lamps together
)

// NetlistLine is one element of a network before its values are known: each value is the source of a formula, with the
// column where it starts.
type NetlistLine struct {
	Line                                      int // 1-based within the text
	Name, Kind, Plus, Minus                   string
	Value, Inside                             string // ohms or volts, and ohms; "" when absent. A meter's resistance is Inside
	VTable, ITable                            string // of a lamp, else ""
	ValueCol, InsideCol, VTableCol, ITableCol int    // 1-based, in characters
}

// NetlistError is a fault in a netlist. Col counts characters from 1.
type NetlistError struct {
	Line, Col int
	Msg       string
}

func (e *NetlistError) Error() string { return e.Msg }

// ParseNetlist reads the lines of a network, `NAME: KIND PLUS MINUS value`; blank lines and lines that start with # are
// skipped. Errors are *[NetlistError].
func ParseNetlist(text string) ([]NetlistLine, error) {
	var lines []NetlistLine
	first := map[string]int{}
	number := 0
	for source := range strings.Lines(text) {
		number++
		s := &netScanner{line: number, rest: []rune(strings.TrimRight(source, "\r\n"))}
		s.space()
		if len(s.rest) == 0 || s.rest[0] == '#' {
			continue
		}
		start := s.col()
		l, err := s.element()
		if err != nil {
			return nil, err
		}
		if n, twice := first[l.Name]; twice {
			return nil, &NetlistError{number, start, fmt.Sprintf("%s is already on line %d: give each element its own name", l.Name, n)}
		}
		first[l.Name] = number
		if lines = append(lines, *l); len(lines) > maxElements {
			return nil, &NetlistError{number, start, fmt.Sprintf("a network holds at most %d elements", maxElements)}
		}
	}
	if len(lines) == 0 {
		return nil, &NetlistError{1, 1, "the network is empty: write lines such as `R1: resistor a 0 10 ohm`"}
	}
	return lines, nil
}

// netScanner walks one line of a netlist.
type netScanner struct {
	line, read int
	rest       []rune
}

func (s *netScanner) col() int { return s.read + 1 }

func (s *netScanner) skip(n int) string {
	part := string(s.rest[:n])
	s.rest, s.read = s.rest[n:], s.read+n
	return part
}

func (s *netScanner) space() {
	n := 0
	for n < len(s.rest) && unicode.IsSpace(s.rest[n]) {
		n++
	}
	s.skip(n)
}

func (s *netScanner) fault(format string, a ...any) error {
	return &NetlistError{s.line, s.col(), fmt.Sprintf(format, a...)}
}

// name reads a word of letters, digits and _; what says what it should be.
func (s *netScanner) name(what string) (string, error) {
	s.space()
	n := 0
	for n < len(s.rest) && (s.rest[n] == '_' || unicode.IsLetter(s.rest[n]) || unicode.IsDigit(s.rest[n])) {
		n++
	}
	if n == 0 {
		return "", s.fault("expected %s; a line reads `R1: resistor a b 10 ohm`", what)
	}
	return s.skip(n), nil
}

func (s *netScanner) element() (*NetlistLine, error) {
	l := &NetlistLine{Line: s.line}
	var err error
	if l.Name, err = s.name("the element's name"); err != nil {
		return nil, err
	}
	if s.space(); len(s.rest) == 0 || s.rest[0] != ':' {
		return nil, s.fault("expected a colon after the name %s", l.Name)
	}
	s.skip(1)
	s.space()
	at := s.col()
	if l.Kind, err = s.name("a kind of element"); err != nil {
		return nil, err
	}
	if !slices.Contains(elementKinds, l.Kind) {
		return nil, &NetlistError{s.line, at, fmt.Sprintf("%q is no kind of element: there are %s", l.Kind, strings.Join(elementKinds, ", "))}
	}
	if l.Plus, err = s.name("the node at its plus"); err != nil {
		return nil, err
	}
	s.space()
	at = s.col()
	if l.Minus, err = s.name("the node at its minus"); err != nil {
		return nil, err
	}
	if l.Plus == l.Minus {
		return nil, &NetlistError{s.line, at, fmt.Sprintf("%s has both ends at node %s", l.Name, l.Plus)}
	}
	if s.space(); l.Kind == Lamp {
		return l, s.tables(l)
	}
	return l, s.values(l)
}

// values reads the value and `, inside …` of everything but a lamp.
func (s *netScanner) values(l *NetlistLine) error {
	meter := l.Kind == Ammeter || l.Kind == Voltmeter
	l.ValueCol, l.Value = s.col(), strings.TrimSpace(s.skip(s.formulaEnd()))
	if len(s.rest) > 0 {
		s.skip(1) // the comma
		s.space()
		at := s.col()
		if word, err := s.name("inside"); err != nil || word != "inside" {
			return &NetlistError{s.line, at, "expected `inside` and an internal resistance after the comma"}
		}
		if l.Kind == Resistor {
			return &NetlistError{s.line, at, "a resistor has no inside resistance: its value is its resistance"}
		}
		s.space()
		l.InsideCol, l.Inside = s.col(), strings.TrimSpace(s.skip(len(s.rest)))
		if l.Inside == "" {
			return s.fault("expected a resistance after `inside`")
		}
	}
	switch {
	case meter && l.Value != "" && l.Inside != "":
		return s.fault("%s: a meter has one resistance", l.Name)
	case meter && l.Value != "":
		l.Inside, l.InsideCol, l.Value = l.Value, l.ValueCol, ""
	case !meter && l.Value == "":
		return &NetlistError{s.line, l.ValueCol, fmt.Sprintf("%s needs a value", l.Name)}
	}
	return nil
}

// formulaEnd is the length of the formula ahead: to the first comma outside brackets.
func (s *netScanner) formulaEnd() int {
	depth := 0
	for i, r := range s.rest {
		switch {
		case r == '(' || r == '[':
			depth++
		case r == ')' || r == ']':
			depth--
		case r == ',' && depth <= 0:
			return i
		}
	}
	return len(s.rest)
}

// tables reads the two columns of a lamp: each is a bracketed list with its unit, or a name.
func (s *netScanner) tables(l *NetlistLine) error {
	want := "%s needs two columns: its voltages and its currents, `[0, 1, 3] V [0, 0.2, 0.4] A`"
	if len(s.rest) == 0 {
		return s.fault(want, l.Name)
	}
	l.VTableCol, l.VTable = s.col(), strings.TrimSpace(s.skip(s.columnEnd()))
	if s.space(); len(s.rest) == 0 {
		return s.fault(want, l.Name)
	}
	l.ITableCol, l.ITable = s.col(), strings.TrimSpace(string(s.rest))
	return nil
}

// columnEnd is the length of the column ahead: a list and its unit run to the next list, a name to the next space.
func (s *netScanner) columnEnd() int {
	list := s.rest[0] == '['
	for i, r := range s.rest {
		if i > 0 && (list && r == '[' || !list && unicode.IsSpace(r)) {
			return i
		}
	}
	return len(s.rest)
}
