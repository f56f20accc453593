package quantity

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"sync"
)

// Unit is a unit of measurement: its symbol as the SI prints it ("cm³", "kg/m³"; "" for the unit of a bare number), its
// size in coherent SI units, and for °C and °F the offset of the scale: SI = (x + Offset) × Scale.
type Unit struct {
	Symbol string
	Scale  float64
	Offset float64
	Dim    Dim
}

// one is the unit of a bare number.
var one = Unit{Scale: 1}

// SI converts x of this unit to coherent SI units. °C and °F are points on a scale and give kelvin from absolute zero.
func (u Unit) SI(x float64) float64 { return u.Span(x + u.Offset) }

// From converts coherent SI units to this unit; °C and °F give the point on their scale.
func (u Unit) From(si float64) float64 { return u.FromSpan(si) - u.Offset }

// Span converts a difference in this unit to coherent SI units: 9 °F are 5 K.
func (u Unit) Span(x float64) float64 {
	if n := u.parts(); n != 0 {
		return x / n
	}
	return x * u.Scale
}

// FromSpan converts a difference in coherent SI units to this unit.
func (u Unit) FromSpan(si float64) float64 {
	if n := u.parts(); n != 0 {
		return si * n
	}
	return si / u.Scale
}

// parts tells how many of the unit make one SI unit when that has at most one decimal, else 0. Dividing by it is right to
// the last bit where multiplying by the scale is not: 90 cm³ is 9e-05 m³ and not its neighbour, 5.4 km/h is 1.5 m/s.
func (u Unit) parts() float64 {
	if u.Scale >= 1 || u.Scale <= 0 {
		return 0
	}
	n := math.Round(10/u.Scale) / 10
	if n > 1<<49 || 1/n != u.Scale {
		return 0
	}
	return n
}

// An atom is a unit with its prefix.
type atom struct {
	kind   *kind
	symbol string   // prefix and unit as typeset
	size   *big.Rat // in coherent SI
}

// A factor is an atom raised to a power.
type factor struct {
	atom *atom
	exp  int
}

// Bounds of a unit. They keep sizes within float64 and hostile input cheap.
const (
	maxUnitLength = 64
	maxFactors    = 8
	maxExponent   = 12
)

// compose multiplies factors to a unit. A temperature scale keeps its offset only when it stands alone.
func compose(factors []factor) (Unit, error) {
	merged := make([]factor, 0, len(factors))
next:
	for _, f := range factors {
		for i := range merged {
			if merged[i].atom.symbol == f.atom.symbol {
				merged[i].exp += f.exp
				continue next
			}
		}
		merged = append(merged, f)
	}
	u := one
	size := big.NewRat(1, 1)
	for _, f := range merged {
		if f.exp > maxExponent || f.exp < -maxExponent {
			return Unit{}, fmt.Errorf("exponent %d of %s is too large", f.exp, f.atom.symbol)
		}
		power, err := f.atom.kind.dim.Pow(f.exp, 1)
		if err != nil {
			return Unit{}, err
		}
		if u.Dim, err = u.Dim.Mul(power); err != nil {
			return Unit{}, err
		}
		for range max(f.exp, -f.exp) {
			if f.exp > 0 {
				size.Mul(size, f.atom.size)
			} else {
				size.Quo(size, f.atom.size)
			}
		}
	}
	u.Scale, _ = size.Float64()
	if u.Scale == 0 || math.IsInf(u.Scale, 0) {
		return Unit{}, fmt.Errorf("a unit of that size cannot be held")
	}
	if len(merged) == 1 && merged[0].exp == 1 {
		u.Offset = merged[0].atom.kind.offset
	}
	u.Symbol = typeset(merged)
	return u, nil
}

// typeset writes factors as the SI does: products with a raised dot, one solidus, several divisors in brackets.
func typeset(factors []factor) string {
	var above, below []string
	for _, f := range factors {
		switch {
		case f.exp == 1:
			above = append(above, f.atom.symbol)
		case f.exp > 1:
			above = append(above, f.atom.symbol+superscript(f.exp))
		case f.exp == -1:
			below = append(below, f.atom.symbol)
		case f.exp < -1:
			below = append(below, f.atom.symbol+superscript(-f.exp))
		}
	}
	if len(above) == 0 {
		for _, f := range factors {
			if f.exp < 0 {
				above = append(above, f.atom.symbol+superscript(f.exp))
			}
		}
		below = nil
	}
	top, bottom := strings.Join(above, "·"), strings.Join(below, "·")
	switch len(below) {
	case 0:
		return top
	case 1:
		return top + "/" + bottom
	default:
		return top + "/(" + bottom + ")"
	}
}

// An index finds atoms by the ways they are written.
type index struct {
	symbols map[string]*atom   // as formulas write them, prefix and all: "kPa", "degC", "mohm"
	folded  map[string][]*atom // symbols in lower case
	words   map[string][]*atom // names and casual forms, in lower case
}

// units is built at first use from kinds.
var units = sync.OnceValue(func() *index {
	ix := &index{map[string]*atom{}, map[string][]*atom{}, map[string][]*atom{}}
	bare := map[*kind]*atom{}
	for _, k := range kinds { // an exact symbol goes before a prefixed one: min is the minute
		bare[k] = newAtom(k, "")
		ix.addSymbol(bare[k], "")
	}
	for _, k := range kinds {
		ix.addNames(bare[k], "")
		if strings.Contains(k.symbol, " ") {
			ix.addWord(k.symbol, bare[k])
		}
		for word := range strings.SplitSeq(k.casual, ",") {
			ix.addWord(word, bare[k])
		}
		for prefix := range strings.FieldsSeq(k.prefixes) {
			a := newAtom(k, prefix)
			ix.addSymbol(a, prefix)
			ix.addNames(a, prefixes[prefix].name)
		}
	}
	for word, symbols := range clipped {
		for _, s := range symbols {
			ix.addWord(word, ix.symbols[s])
		}
	}
	return ix
})

func newAtom(k *kind, prefix string) *atom {
	size, _ := new(big.Rat).SetString(k.size)
	ten := big.NewRat(10, 1)
	power := prefixes[prefix].power
	for range max(power, -power) {
		if power > 0 {
			size.Mul(size, ten)
		} else {
			size.Quo(size, ten)
		}
	}
	return &atom{kind: k, symbol: prefix + k.symbol, size: size}
}

func (ix *index) addSymbol(a *atom, prefix string) {
	for _, spelling := range append(strings.Fields(a.kind.spelt), a.kind.symbol) {
		symbol := prefix + spelling
		if ix.symbols[symbol] != nil {
			continue
		}
		ix.symbols[symbol] = a
		ix.folded[strings.ToLower(symbol)] = append(ix.folded[strings.ToLower(symbol)], a)
		if prefix == "µ" { // typed without a Greek keyboard
			ix.symbols["u"+spelling] = a
		}
	}
}

func (ix *index) addNames(a *atom, prefix string) {
	for name := range strings.SplitSeq(a.kind.names, ",") {
		if name == "" {
			continue
		}
		ix.addWord(prefix+name, a)
		ix.addWord(prefix+name+"s", a)
	}
}

func (ix *index) addWord(word string, a *atom) {
	word = strings.ToLower(word)
	for _, known := range ix.words[word] {
		if known == a {
			return
		}
	}
	if word != "" {
		ix.words[word] = append(ix.words[word], a)
	}
}
