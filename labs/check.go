package labs

import (
	"fmt"
	"slices"
	"strings"

	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// check compiles every formula in order of dependence and checks that the pupil can solve the sheet.
func (r *reader) check() {
	l := r.lab
	for _, v := range l.Values {
		r.declarePseudo(&pseudo{kind: "u", target: v.Name})
	}
	for _, q := range l.Questions {
		if q.Kind == Numeric {
			r.declarePseudo(&pseudo{kind: "u", target: q.ID})
		}
	}
	r.columnsOf()
	r.order()
	for _, b := range r.blocks {
		if b.Network != nil && !r.broken[b.Network.ID] {
			for _, name := range b.Network.names {
				r.shown[name] = true
			}
		}
	}
	for _, q := range l.Questions {
		r.checkQuestion(q)
	}
	for i := range l.Require {
		c := &l.Require[i]
		c.Run = r.compile(c.Expr, scope{Lab: l}, false)
		if c.Run != nil && c.Run.Type().Kind != quantity.Bool {
			r.formula(c.Place, fmt.Errorf("require holds conditions, such as Ww > 0.3 N"))
		}
	}
	for _, c := range r.circuits {
		if c.figure.Network = l.networks[c.id.text]; c.figure.Network == nil && !r.broken[c.id.text] {
			r.at(c.id.place(), "there is no network %q: write a ```network %s block", c.id.text, c.id.text)
		}
	}
	for _, b := range r.blocks {
		r.checkBlock(b)
	}
	for _, t := range r.texts {
		r.checkText(t)
	}
	r.solvable()
	if len(r.all) == 0 {
		r.numberTables()
	}
}

// columnsOf finds the columns that `each` names.
func (r *reader) columnsOf() {
	for v, s := range r.each {
		if v.Each = r.lab.Value(s.text); v.Each == nil {
			r.noValue(s)
			r.broken[v.Name] = true
		}
	}
}

// order puts values into order of dependence and checks each; a circle is named.
func (r *reader) order() {
	const (
		open = 1 + iota
		done
	)
	state := map[string]int{}
	var path []string
	var visit func(name string) bool
	visit = func(name string) bool {
		e, n := r.lab.names[name], r.lab.networks[name]
		if e.value == nil && n == nil {
			return true
		}
		switch state[name] {
		case done:
			return true
		case open:
			r.circle(append(path[index(path, name):], name))
			return false
		}
		state[name] = open
		path = append(path, name)
		ok := true
		for _, dep := range r.dependsOn(name) {
			ok = visit(dep) && ok
		}
		path = path[:len(path)-1]
		state[name] = done
		switch {
		case !ok:
			r.broken[name] = true
		case e.value != nil:
			r.checkValue(e.value)
			r.lab.Order = append(r.lab.Order, e.value)
		case !r.broken[name]:
			r.checkNetwork(n)
		}
		return ok
	}
	for _, v := range r.lab.Values {
		visit(v.Name)
	}
	for _, b := range r.blocks {
		if b.Network != nil {
			visit(b.Network.ID)
		}
	}
}

func index(path []string, name string) int {
	for i, p := range path {
		if p == name {
			return i
		}
	}
	return 0
}

// circle notes a circle where it is closed.
func (r *reader) circle(names []string) {
	place := Place{1, 1}
	for _, name := range names {
		if v := r.lab.Value(name); v != nil {
			place = v.Place
			break
		}
	}
	r.at(place, "these values are computed from each other: %s", strings.Join(names, " → "))
}

// dependsOn gives the values and networks that a value or network is computed from.
func (r *reader) dependsOn(name string) []string {
	if n := r.lab.networks[name]; n != nil {
		return n.names[1:]
	}
	v := r.lab.Value(name)
	var deps []string
	if v.Each != nil {
		deps = append(deps, v.Each.Name)
	}
	if v.CalcExpr != nil {
		for _, used := range v.CalcExpr.Names() {
			if p := r.lab.names[used].pseudo; p != nil && p.network != nil {
				used = p.network.ID
			}
			if v.Each == nil || used != v.Each.Name {
				deps = append(deps, used)
			}
		}
	}
	return deps
}

// checkValue compiles the formula of a value, which gives its type.
func (r *reader) checkValue(v *Value) {
	if r.broken[v.Name] || v.CalcExpr == nil {
		return
	}
	before := len(r.all)
	if r.compileValue(v); len(r.all) > before || v.Calc == nil {
		r.broken[v.Name] = true
	}
}

func (r *reader) compileValue(v *Value) {
	place := r.where[v.CalcExpr].place()
	alone := v.Source == Constant && len(v.CalcExpr.Names()) == 0
	s := scope{Lab: r.lab, element: v.Each, alone: alone, refuse: func(name string) string {
		switch e := r.lab.names[name]; {
		case e.question != nil:
			return fmt.Sprintf("%s is an answer, which no value may use", name)
		case e.pseudo != nil && e.pseudo.network == nil:
			return "a value has no u( ): uncertainties belong to answers"
		case e.value != nil && e.value.Source == Measured && v.Source != Measured && !v.Hidden:
			return fmt.Sprintf("%s is read at the bench: it is not known when the sheet is printed", name)
		}
		return ""
	}}
	if v.Each != nil && v.Each.Type.Kind != quantity.Column {
		r.at(r.each[v].place(), "each names a column; %s is none", v.Each.Name)
		return
	}
	if v.Calc = r.compile(v.CalcExpr, s, false); v.Calc == nil {
		return
	}
	t := v.Calc.Type()
	switch {
	case v.Source == Measured:
		r.checkExpect(v, t, place)
	case t.Kind == quantity.Bool:
		r.formula(place, fmt.Errorf("%s is a condition; a value is a number: if(condition, 1, 0)", v.Name))
	case v.Each != nil && t.Kind != quantity.Number:
		r.formula(place, fmt.Errorf("with each, calc gives one number for every element of %s", v.Each.Name))
	default:
		r.computedType(v, t)
	}
	v.uses = r.lab.pseudoOf(v.CalcExpr)
}

// computedType takes over the type of the formula and what depends on it: show and noise.
func (r *reader) computedType(v *Value, t quantity.Type) {
	v.Type = t
	if v.Each != nil {
		v.Type.Kind = quantity.Column
	}
	switch show, given := r.show[v]; {
	case given && show.text != "":
		r.showAs(v)
	case v.Show.Text != "" && v.Show.Unit.Dim == t.Dim: // a constant as written
	case t.Kind == quantity.Name:
	case v.Hidden || v.Source == Constant:
		v.Show, _ = displayOf(v.Type)
	default:
		r.at(v.Place, "%s needs `show`, its last printed digit with the unit, such as `show: 0.01 N`, or `hidden: true`", v.Name)
	}
	if s, ok := r.noise[v]; ok {
		l, err := parseLiteral(s.text)
		switch {
		case err != nil:
			r.at(s.place(), "noise: %v", err)
		case l.unit.Dim != t.Dim:
			r.at(s.place(), "noise is in %s, but %s in %s", l.unit.Dim, v.Name, t.Dim)
		case l.x < 0:
			r.at(s.place(), "noise is a standard deviation, not below zero")
		default:
			v.Noise = l.span()
		}
	}
}

func (r *reader) checkExpect(v *Value, t quantity.Type, place Place) {
	switch {
	case t.Dim != v.Type.Dim:
		r.formula(place, fmt.Errorf("the reading is in %s, but what is expected in %s", v.Type.Dim, t.Dim))
	case t.Point != v.Type.Point:
		r.formula(place, fmt.Errorf("one of division and expect is a temperature in degC, the other a difference"))
	case v.Rows == 0 && t.Kind != quantity.Number:
		r.formula(place, fmt.Errorf("%s is one reading, but a column is expected: give rows", v.Name))
	case t.Kind != quantity.Number && t.Kind != quantity.Column:
		r.formula(place, fmt.Errorf("expect gives a number or a column"))
	}
}

// pseudoOf are the pseudo-names that a formula uses.
func (l *Lab) pseudoOf(exprs ...*formula.Expr) []*pseudo {
	var all []*pseudo
	seen := map[*pseudo]bool{}
	for _, e := range exprs {
		if e == nil {
			continue
		}
		for _, name := range e.Names() {
			if p := l.names[name].pseudo; p != nil && !seen[p] {
				seen[p] = true
				all = append(all, p)
			}
		}
	}
	return all
}

// checkQuestion compiles the formulas of a question and finds out what its answer follows from.
func (r *reader) checkQuestion(q *Question) {
	if q.Kind != Numeric && q.Kind != Choice || q.Expr == nil || r.broken[q.ID] {
		return
	}
	before := len(r.all)
	r.compileQuestion(q)
	if len(r.all) > before || q.Run == nil {
		r.broken[q.ID] = true
	}
}

func (r *reader) compileQuestion(q *Question) {
	l := r.lab
	q.Run = r.compile(q.Expr, scope{Lab: l, refuse: func(name string) string { return r.mayUse(q, name, false) }}, false)
	if q.Run == nil {
		return
	}
	place := r.where[q.Expr].place()
	q.Type, q.Stepped = q.Run.Type(), q.Run.Stepped()
	if q.Type.Kind != quantity.Number {
		r.formula(place, fmt.Errorf("an answer is one number, and this is none"))
		return
	}
	a := r.answer[q]
	if q.Kind == Choice {
		if q.Type.Dim != (quantity.Dim{}) {
			r.formula(place, fmt.Errorf("with choices, the answer is the number of the right one: 1, 2, …; this is in %s", q.Type.Dim))
		}
		q.Show.Unit, q.Show.Text, q.Show.Step = quantity.Unit{Scale: 1}, "1", 1
	} else {
		r.unit(q, a.unit)
		q.Show.Exact = q.Stepped
		if a.within.text != "" {
			r.within(q, a.within)
		}
	}
	r.short(q.Expr, "an answer", "ask for a part of it in a question before")
	exprs := []*formula.Expr{q.Expr}
	for i := range q.Mistakes {
		m := &q.Mistakes[i]
		r.short(m.Expr, "a mistake", "write it with the answers of earlier questions")
		m.Run = r.compile(m.Expr, scope{Lab: l, refuse: func(name string) string { return r.mayUse(q, name, true) }}, true)
		if m.Run != nil && m.Run.Type().Kind != quantity.Number {
			r.formula(m.Place, fmt.Errorf("the value of a mistake is one number"))
		}
		exprs = append(exprs, m.Expr)
	}
	q.needs = l.pseudoOf(exprs...)
	for _, name := range q.Expr.Names() {
		if _, declared := l.names[name]; declared {
			q.Uses = append(q.Uses, name)
		}
	}
	r.follow(q)
}

// short notes a formula that has more steps than one whose every step is looked at for slips, on every draw.
func (r *reader) short(e *formula.Expr, what, remedy string) {
	if n := e.Steps(); n > maxSteps {
		r.formula(r.where[e].place(), fmt.Errorf("%s of %d names, numbers and operations is too long (at most %d): %s", what, n, maxSteps, remedy))
	}
}

// follow finds the earlier answers and the bench readings that an answer follows from.
func (r *reader) follow(q *Question) {
	l := r.lab
	questions, values := map[*Question]bool{}, map[*Value]bool{}
	for _, use := range q.Uses {
		for _, name := range l.bases(use) {
			switch e := l.names[name]; {
			case e.question != nil:
				for _, earlier := range e.question.chain {
					questions[earlier] = true
				}
				for _, v := range e.question.bench {
					values[v] = true
				}
			case e.value != nil && e.value.Source == Measured:
				values[e.value] = true
			}
		}
		if p := l.names[use].pseudo; p != nil && p.network == nil {
			r.measuredTarget(q, use, p)
		}
	}
	questions[q] = true
	for _, other := range l.Questions {
		if questions[other] {
			q.chain = append(q.chain, other)
		}
	}
	for _, v := range l.Values {
		if values[v] {
			q.bench = append(q.bench, v)
		}
	}
	q.Bench = len(q.bench) > 0
}

// usesUncertainty reports whether the formula of the answer, or of one of its mistakes, holds a u( ).
func (q *Question) usesUncertainty() bool {
	return slices.ContainsFunc(q.needs, func(p *pseudo) bool { return p.network == nil })
}

// measuredTarget notes a u( ) of what nothing at the bench bears on: it would always be 0. One of what follows from a u( ) is
// noted as well: every reading would be nudged for every nudge of a reading.
func (r *reader) measuredTarget(q *Question, use string, p *pseudo) {
	e := r.lab.names[p.target]
	if e.question != nil && slices.ContainsFunc(e.question.chain, (*Question).usesUncertainty) {
		src := r.where[q.Expr]
		r.formula(src.at(wordAt(q.Expr.Source(), use)), fmt.Errorf("%s follows from an uncertainty itself, and that of one is not known", p.target))
		return
	}
	if e.value != nil && e.value.Source == Measured || e.question != nil && (e.question.Bench || r.broken[p.target]) {
		return
	}
	src := r.where[q.Expr]
	r.formula(src.at(wordAt(q.Expr.Source(), use)), fmt.Errorf("%s has no uncertainty: it follows from no reading at the bench", p.target))
}

// solvable checks that every printed value an answer uses can be seen on the sheet, and that readings have a place.
func (r *reader) solvable() {
	inReadings := map[*Value]bool{}
	for _, b := range r.blocks {
		if b.Readings != nil {
			for _, v := range b.Readings.Columns {
				inReadings[v] = true
			}
		}
	}
	for _, v := range r.lab.Values {
		if v.Source == Measured && !inReadings[v] {
			r.at(v.Place, "no readings block holds %s: the pupil has no place to write it", v.Name)
		}
	}
	told := map[string]bool{}
	for _, q := range r.lab.Questions {
		for _, use := range q.Uses {
			for _, name := range r.lab.bases(use) {
				v := r.lab.Value(name)
				if v == nil || v.Source == Measured || v.Hidden || r.shown[name] || told[name] || r.broken[name] {
					continue
				}
				told[name] = true
				src := r.where[q.Expr]
				r.formula(src.at(wordAt(q.Expr.Source(), use)),
					fmt.Errorf("the sheet never shows %s, so the pupil cannot find this: put {{%s}} in the text, or show it in a table, plot or figure", name, name))
			}
		}
	}
}
