package labs

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// placeholder is {{…}}, ready to be filled.
type placeholder struct {
	expr *formula.Expr
	run  *formula.Program
	typ  quantity.Type
	unit *Display // of ` in UNIT`, nil when not given
	bare bool
	own  Display // how the formula's value is shown by itself
	lone bool    // the formula is the name of a value, shown to its own last digit
	uses []*pseudo
}

// splitPlaceholder parts `FORMULA in UNIT bare`. ` in ` splits only after a complete formula, so that 5 in is a length.
// It returns the formula with the offsets, in characters, at which formula and unit start.
func splitPlaceholder(source string) (e *formula.Expr, unit string, unitAt int, bare bool, err error) {
	text := source
	if e, err = formula.Parse(text); err == nil {
		return e, "", 0, false, nil
	}
	if rest, ok := strings.CutSuffix(text, " bare"); ok {
		text, bare = strings.TrimRight(rest, " "), true
		if e, err := formula.Parse(text); err == nil {
			return e, "", 0, true, nil
		}
	}
	if i := strings.LastIndex(text, " in "); i >= 0 {
		e, inner := formula.Parse(text[:i])
		if inner != nil {
			return nil, "", 0, bare, inner
		}
		return e, strings.TrimSpace(text[i+4:]), utf8.RuneCountInString(text[:i+4]), bare, nil
	}
	return nil, "", 0, bare, err
}

// placeholder compiles {{source}}. A fault points into source.
func (l *Lab) placeholder(source string, refuse func(string) string) (p *placeholder, at int, err error) {
	p = &placeholder{}
	e, unit, unitAt, bare, err := splitPlaceholder(source)
	if err != nil {
		return nil, column(err), err
	}
	p.expr, p.bare = e, bare
	for _, name := range e.Names() {
		if reason := refuse(name); reason != "" {
			return nil, wordAt(e.Source(), name), errors.New(reason)
		}
	}
	if p.run, err = e.Compile(scope{Lab: l, refuse: refuse}, l.Functions); err != nil {
		return nil, column(err), err
	}
	p.typ = p.run.Type()
	p.uses = l.pseudoOf(e)
	p.own = l.displayFor(e, p.typ)
	v := l.names[e.String()].value
	p.lone = v != nil
	if p.typ.Kind == quantity.Bool {
		return nil, 0, fmt.Errorf("{{%s}} is a condition, and a text shows values", source)
	}
	if unit != "" {
		u, err := quantity.ParseUnit(unit)
		switch {
		case err != nil:
			return nil, unitAt, err
		case u.Dim != p.typ.Dim || p.typ.Kind == quantity.Name:
			return nil, unitAt, fmt.Errorf("%s is in %s, which cannot be given in %s", e.Source(), p.typ.Dim, unit)
		case u.Offset != 0 && !p.typ.Point:
			return nil, unitAt, fmt.Errorf("%s is a difference of temperatures: give it in K", e.Source())
		}
		p.unit = &Display{Unit: u, Text: unit}
	} else if p.own.Text == "" && p.typ.Kind != quantity.Name {
		return nil, 0, fmt.Errorf("%s is in %s: say which unit to show, {{%s in UNIT}}", e.Source(), p.typ.Dim, source)
	}
	return p, 0, nil
}

// displayFor is how the result of a formula is shown: a lone name as itself, anything else in the unit of the first value
// of its kind that it uses, to three figures. Text is "" where no unit is known.
func (l *Lab) displayFor(e *formula.Expr, t quantity.Type) Display {
	for _, name := range e.Names() {
		var d Display
		switch known := l.names[name]; {
		case known.value != nil && known.value.Type.Dim == t.Dim && known.value.Type.Point == t.Point:
			d = known.value.Show
		case known.question != nil && known.question.Type == t:
			d = known.question.Show
		default:
			continue
		}
		if e.String() != name {
			d.Step = 0
		}
		return d
	}
	d, ok := displayOf(t)
	if !ok {
		return Display{}
	}
	return d
}

// fill evaluates a placeholder.
func (l *Lab) fill(p *placeholder, f Frame) (v quantity.Value, d Display, err error) {
	if err = l.prepare(p.uses, f); err != nil {
		return v, d, err
	}
	if v, err = p.run.Eval(f); err != nil {
		return v, d, err
	}
	d = p.own
	if p.unit != nil {
		largest := v.X
		for _, x := range v.Col {
			largest = math.Max(math.Abs(x), math.Abs(largest))
		}
		d = p.own.in(p.unit.Unit, p.unit.Text, largest)
	}
	return v, d, nil
}

// find gives the placeholder of a source: the template's own, or one compiled now.
func (l *Lab) find(source string) (*placeholder, error) {
	source = strings.TrimSpace(source)
	if p := l.placeholders[source]; p != nil {
		return p, nil
	}
	p, _, err := l.placeholder(source, func(string) string { return "" })
	if err != nil {
		return nil, fmt.Errorf("{{%s}}: %w", source, err)
	}
	return p, nil
}

// Fill gives the text of a placeholder, the inside of {{…}}: a value with its unit ("2.46 N"), in another unit ("Wa in
// gf"), bare ("Wa bare"), or the value of any formula.
func (l *Lab) Fill(source string, f Frame) (string, error) {
	p, err := l.find(source)
	if err != nil {
		return "", err
	}
	v, d, err := l.fill(p, f)
	if err != nil {
		return "", fmt.Errorf("{{%s}}: %w", source, err)
	}
	if p.bare {
		return d.bare(v, p.typ), nil
	}
	return d.Format(v, p.typ), nil
}

// FillMarkdown replaces every placeholder in Markdown text.
func (l *Lab) FillMarkdown(md string, f Frame) (string, error) {
	if !strings.Contains(md, "{{") {
		return md, nil
	}
	var b strings.Builder
	for _, piece := range pieces(md) {
		text := piece.text
		if piece.hole {
			var err error
			if text, err = l.Fill(text, f); err != nil {
				return "", err
			}
		}
		b.WriteString(text)
	}
	return b.String(), nil
}

// piece is a stretch of text, or the inside of a placeholder.
type piece struct {
	text  string
	start int  // in characters
	hole  bool // a placeholder
	math  bool // within $…$
}

// pieces cuts Markdown at its placeholders.
func pieces(md string) []piece {
	var all []piece
	start, math := 0, false
	for {
		open := strings.Index(md, "{{")
		end := -1
		if open >= 0 {
			end = strings.Index(md[open:], "}}")
		}
		if end < 0 {
			return append(all, piece{text: md, start: start})
		}
		end += open
		before := md[:open]
		unescaped := strings.ReplaceAll(strings.ReplaceAll(before, `\$`, ""), "$$", "$")
		math = math != (strings.Count(unescaped, "$")%2 == 1)
		inside := md[open+2 : end]
		trimmed := strings.TrimSpace(inside)
		all = append(all, piece{text: before, start: start}, piece{
			text: trimmed, start: start + utf8.RuneCountInString(before) + 2 + utf8.RuneCountInString(inside[:strings.Index(inside, trimmed)]),
			hole: true, math: math,
		})
		start += utf8.RuneCountInString(md[:end+2])
		md = md[end+2:]
	}
}

// checkText compiles the placeholders of a text.
func (r *reader) checkText(t prose) {
	for _, hole := range pieces(t.text) {
		if !hole.hole {
			continue
		}
		if hole.math {
			r.holeInFormula(t.at(hole.start))
			continue
		}
		if r.dependsOnBroken(hole.text) {
			continue
		}
		refuse := func(string) string { return "" }
		if t.printed {
			refuse = func(name string) string { return r.mayPrint(name, false) }
		}
		p, at, err := r.lab.placeholder(hole.text, refuse)
		if err != nil {
			r.formula(t.at(hole.start+at), err)
			continue
		}
		r.lab.placeholders[hole.text] = p
		if t.printed {
			for _, name := range p.expr.Names() {
				r.shown[name] = true
			}
		}
	}
}

// holeInFormula notes a placeholder within $…$, which is TeX and knows no values.
func (r *reader) holeInFormula(p Place) {
	r.formula(p, fmt.Errorf("{{ }} cannot stand within $ $: end the formula before it"))
}

// dependsOnBroken reports whether a placeholder uses a name that is at fault already.
func (r *reader) dependsOnBroken(source string) bool {
	e, _, _, _, err := splitPlaceholder(source)
	if err != nil {
		return false
	}
	for _, name := range e.Names() {
		for _, base := range r.lab.bases(name) {
			if r.broken[base] {
				return true
			}
		}
	}
	return false
}

// mayPrint says why a name may not stand on the pupil's sheet, "" when it may. A drawing may show hidden values: whoever
// reads them off it has found them.
func (r *reader) mayPrint(name string, drawn bool) string {
	for _, base := range r.lab.bases(name) {
		switch e := r.lab.names[base]; {
		case e.question != nil:
			return fmt.Sprintf("%s is an answer: the sheet would tell it", base)
		case e.value == nil:
		case e.value.Source == Measured:
			return fmt.Sprintf("%s is read at the bench: it is not known when the sheet is printed", base)
		case e.value.Hidden && !drawn:
			return fmt.Sprintf("%s is hidden: the sheet would tell it", base)
		}
	}
	return ""
}
