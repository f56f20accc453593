package labs

import (
	"strings"

	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// TeX writes a value in its display in the TeX subset of the press: 2.46\,\text{N}.
func (d Display) TeX(v quantity.Value, t quantity.Type) string {
	if t.Kind == quantity.Name {
		return `\text{` + d.bare(v, t) + `}`
	}
	number := texNumber(d.bare(v, t))
	switch d.Unit.Symbol {
	case "":
		return number
	case "°":
		return number + `\text{°}`
	}
	return number + `\,\text{` + d.Unit.Symbol + `}`
}

var lower = strings.NewReplacer("⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5", "⁶", "6", "⁷", "7", "⁸", "8", "⁹", "9", "⁻", "-")

// texNumber turns 1.2 × 10⁻⁴ as text into TeX.
func texNumber(s string) string {
	mantissa, power, ok := strings.Cut(s, "\u00a0×\u00a010")
	if !ok {
		return s
	}
	return mantissa + ` \times 10^{` + lower.Replace(power) + `}`
}

// symbol is the TeX of a name of the lab.
func (l *Lab) symbol(name string) string {
	if v := l.Value(name); v != nil {
		return v.Symbol
	}
	return formula.Symbol(name)
}

// numbers is the TeX of what the frame holds for a name in the solution of q; the symbol where that is a column, "" where
// it is no name of the lab.
func (l *Lab) numbers(name string, q *Question, f Frame) string {
	e, ok := l.names[name]
	if !ok {
		return ""
	}
	t, slot, _ := l.Lookup(name)
	if t.Kind == quantity.Column {
		return l.symbol(name)
	}
	var d Display
	switch {
	case e.value != nil:
		d = e.value.Show
	case e.question != nil:
		d = e.question.Show
	case t == q.Type: // what a network carries, in the unit asked for
		d = q.Show
	default:
		d, _ = displayOf(t)
	}
	return d.TeX(f[slot], t)
}

// Solution gives the worked solution of q on the frame as lines of TeX: the formula in symbols, with numbers and units,
// and the result. The frame is that of Solve. A line that says nothing new is left out.
func (l *Lab) Solution(q *Question, f Frame) ([]string, error) {
	v, err := l.Answer(q, f)
	if err != nil {
		return nil, err
	}
	name := formula.Symbol(q.ID)
	symbols := q.Expr.TeX(l.symbol)
	numbers := q.Expr.TeX(func(name string) string { return l.numbers(name, q, f) })
	result := q.Show.TeX(v, q.Type)
	var lines []string
	for _, right := range []string{symbols, numbers, result} {
		if line := name + " = " + right; len(lines) == 0 || line != lines[len(lines)-1] {
			lines = append(lines, line)
		}
	}
	return lines, nil
}
