package generator

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"keelmark/labs"
	"keelmark/labs/formula"
	"keelmark/labs/quantity"
	"keelmark/labs/slips"
)

// plan is what drawing a lab needs and what does not change from sheet to sheet.
type plan struct {
	lab       *labs.Lab
	gravity   float64
	fixed     map[string]quantity.Value
	variables []*variable      // in order of computation
	groups    []group          // random variables tied together by require
	groupOf   map[string]int   // of every random variable
	late      bool             // some conditions hang on more than drawn values
	same      []*variable      // the same on all sheets
	mixed     []*variable      // computed from several groups
	base      labs.Frame       // holds what is the same on all sheets
	printed   []*labs.Value    // numbers that stand on the sheet
	questions []*question      // in the order of the sheet
	shuffled  []*labs.Question // choices in a new order on each sheet
}

// variable is a value with what it takes to draw it.
type variable struct {
	*labs.Value
	grid  int   // Drawn: how many values its grid has; see onGrid
	roots roots // the random variables it depends on, itself included where it is one
}

// random reports whether the variable has a stream of its own.
func (v *variable) random() bool { return v.roots[v.Name] }

// group is a set of random variables that conditions tie together, with what is computed from them alone.
type group struct {
	variables []*variable
	require   []*labs.Condition
}

// question is a question with what the rules need.
type question struct {
	*labs.Question
	groups     []int            // that it and its mistakes depend on
	pseudo     [][]string       // pseudo-names that each listed mistake needs
	catalogue  *slips.Catalogue // Numeric only
	slipPseudo []string         // pseudo-names that the catalogue needs
	apart      []float64        // tolerances that each listed mistake must lie from the right answer
	alike      map[[2]int]bool  // pairs of listed mistakes that most draws cannot tell apart
	unseen     int              // common slips that most draws cannot tell from the right answer
	copied     bool             // counts for the copying rule
}

// roots are names of random variables.
type roots map[string]bool

func newPlan(l *labs.Lab, gravity float64, fixed map[string]string) (*plan, error) {
	p := &plan{lab: l, gravity: gravity, fixed: map[string]quantity.Value{}, printed: l.PrintedValues()}
	for _, name := range slices.Sorted(maps.Keys(fixed)) {
		x, err := fixedValue(l, name, fixed[name])
		if err != nil {
			return nil, err
		}
		p.fixed[name] = x
	}
	d := &dependencies{plan: p, known: map[string]roots{}}
	for _, v := range l.Order {
		w := &variable{Value: v, roots: d.of(v.Name)}
		if _, isFixed := p.fixed[v.Name]; v.Source == labs.Drawn && !isFixed {
			w.grid = 1 + int(math.Round((v.To-v.From)/v.Step))
		}
		p.variables = append(p.variables, w)
	}
	p.tie(d)
	if err := p.planQuestions(d); err != nil {
		return nil, err
	}
	if err := p.computeBase(); err != nil {
		return nil, err
	}
	p.survey()
	return p, nil
}

// FixedError tells why a value cannot be fixed as asked.
type FixedError struct {
	Name, Text string
	Err        error
}

func (e *FixedError) Error() string { return fmt.Sprintf("--value %s=%s: %v", e.Name, e.Text, e.Err) }

// Unwrap returns the cause.
func (e *FixedError) Unwrap() error { return e.Err }

// fixedValue reads what --value gives for a value: a number with its unit, or one of the names it is picked from.
func fixedValue(l *labs.Lab, name, text string) (quantity.Value, error) {
	fail := func(err error) (quantity.Value, error) {
		return quantity.Value{}, &FixedError{Name: name, Text: text, Err: err}
	}
	v := l.Value(name)
	switch {
	case v == nil:
		names := make([]string, len(l.Values))
		for i, v := range l.Values {
			names[i] = v.Name
		}
		return fail(fmt.Errorf("lab %s has no such value; it has %s", l.Name, strings.Join(names, ", ")))
	case v.Source == labs.Measured:
		return fail(errors.New("this is read by the pupil at the bench"))
	case v.Type.Kind == quantity.Name:
		names := make([]string, len(v.Picks))
		for i, pick := range v.Picks {
			if names[i] = pick.Name; pick.Name == text {
				return pick, nil
			}
		}
		return fail(fmt.Errorf("want one of %s", strings.Join(names, ", ")))
	}
	e, err := formula.Parse(text)
	if err != nil {
		return fail(err)
	}
	if used := e.Names(); len(used) > 0 {
		return fail(fmt.Errorf("want a number with its unit, not the name %s", used[0]))
	}
	run, err := e.Compile(formula.NoNames{}, l.Functions)
	if err != nil {
		return fail(err)
	}
	if t := run.Type(); t.Kind != v.Type.Kind || t.Dim != v.Type.Dim {
		return fail(fmt.Errorf("want a value in %s", v.Show.Text))
	}
	x, err := run.Eval(nil) // no name is used
	if err != nil {
		return fail(err)
	}
	return x, nil
}

// onGrid gives the k-th value of the grid of a drawn value, ends included, in coherent SI: the number nearest to its decimal.
func onGrid(v *labs.Value, k int) float64 {
	from, step := v.Show.Unit.From(v.From), v.Show.Unit.FromSpan(v.Step)
	return v.Show.Unit.SI(decimal(from + float64(k)*step))
}

// decimal clears the last binary digits of a number that stands for a short decimal.
func decimal(x float64) float64 { return quantity.RoundFigures(x, 12) }

// dependencies finds the random variables that names depend on.
type dependencies struct {
	plan  *plan
	known map[string]roots
}

// of gives the roots of a value, an answer, or a pseudo-name such as current(N.R1) or u(rho). The lab is free of circles.
func (d *dependencies) of(name string) roots {
	if r, ok := d.known[name]; ok {
		return r
	}
	r := roots{}
	d.known[name] = r
	l := d.plan.lab
	if call, argument, ok := strings.Cut(strings.TrimSuffix(name, ")"), "("); ok {
		network, _, dotted := strings.Cut(argument, ".")
		if !dotted {
			maps.Copy(r, d.of(argument)) // u(rho)
		} else if n := l.Network(network); n != nil {
			maps.Copy(r, d.ofNetwork(n))
		} else {
			panic("generator: unknown pseudo-name " + call + "(" + argument + ")") // the lab was checked
		}
		return r
	}
	if v := l.Value(name); v != nil {
		if _, isFixed := d.plan.fixed[name]; isFixed {
			return r
		}
		if v.Source == labs.Drawn || v.Source == labs.Picked || v.Noise > 0 {
			r[name] = true
		}
		if v.CalcExpr != nil {
			maps.Copy(r, d.ofExpr(v.CalcExpr))
		}
		if v.Each != nil {
			maps.Copy(r, d.of(v.Each.Name))
		}
	} else if q := l.Question(name); q != nil && q.Expr != nil {
		maps.Copy(r, d.ofExpr(q.Expr))
	}
	return r
}

func (d *dependencies) ofExpr(e *formula.Expr) roots {
	r := roots{}
	for _, name := range e.Names() {
		maps.Copy(r, d.of(name))
	}
	return r
}

func (d *dependencies) ofNetwork(n *labs.Network) roots {
	r := roots{}
	for _, line := range n.Lines {
		for _, source := range []string{line.Value, line.Inside, line.VTable, line.ITable} {
			if source == "" {
				continue
			}
			if e, err := formula.Parse(source); err == nil { // the lab was checked
				maps.Copy(r, d.ofExpr(e))
			}
		}
	}
	return r
}

// tie ties random variables together by the conditions that name them. Each group gets what is computed from it alone.
func (p *plan) tie(d *dependencies) {
	parent := map[string]string{}
	for _, v := range p.variables {
		if v.random() {
			parent[v.Name] = v.Name
		}
	}
	top := func(name string) string {
		for parent[name] != name {
			name = parent[name]
		}
		return name
	}
	for i := range p.lab.Require {
		tied := slices.Sorted(maps.Keys(d.ofExpr(p.lab.Require[i].Expr)))
		for _, name := range tied {
			parent[top(name)] = top(tied[0])
		}
	}
	p.groupOf = map[string]int{}
	number := map[string]int{}
	for _, v := range p.variables {
		if !v.random() {
			continue
		}
		t := top(v.Name)
		if _, ok := number[t]; !ok {
			number[t] = len(number)
		}
		p.groupOf[v.Name] = number[t]
	}
	p.groups = make([]group, len(number))
	for _, v := range p.variables {
		switch in := p.groupsOf(v.roots); len(in) {
		case 0:
			p.same = append(p.same, v)
		case 1:
			p.groups[in[0]].variables = append(p.groups[in[0]].variables, v)
		default:
			p.mixed = append(p.mixed, v)
		}
	}
	for i := range p.lab.Require {
		c := &p.lab.Require[i]
		if !p.early(c) {
			p.late = true
			continue
		}
		for _, g := range p.groupsOf(d.ofExpr(c.Expr)) { // one, or none
			p.groups[g].require = append(p.groups[g].require, c)
		}
	}
}

// early tells whether a condition hangs on drawn values alone: not on answers, networks or what is the same on all sheets.
func (p *plan) early(c *labs.Condition) bool {
	drawn := false
	for _, name := range c.Expr.Names() {
		v := p.lab.Value(name)
		if v == nil && name != "g" {
			return false
		}
		if v != nil && !slices.ContainsFunc(p.same, func(s *variable) bool { return s.Value == v }) {
			drawn = true
		}
	}
	return drawn
}

// groupsOf gives the groups that roots belong to, in order.
func (p *plan) groupsOf(r roots) []int {
	in := map[int]bool{}
	for name := range r {
		in[p.groupOf[name]] = true
	}
	return slices.Sorted(maps.Keys(in))
}

// planQuestions finds what each question depends on and the slips that could befall it.
func (p *plan) planQuestions(d *dependencies) error {
	catalogues := map[string]*slips.Catalogue{}
	for _, q := range p.lab.Questions {
		pq := &question{Question: q, alike: map[[2]int]bool{}, apart: slices.Repeat([]float64{apart}, len(q.Mistakes))}
		p.questions = append(p.questions, pq)
		r, wrong := roots{}, roots{}
		if q.Expr != nil {
			r = d.ofExpr(q.Expr)
		}
		for k := range q.Mistakes {
			maps.Copy(wrong, d.ofExpr(q.Mistakes[k].Expr))
			pq.pseudo = append(pq.pseudo, pseudoNames(q.Mistakes[k].Expr.Names()))
		}
		answered := p.groupsOf(r)
		maps.Copy(wrong, r)
		pq.groups = p.groupsOf(wrong)
		if q.Kind == labs.Choice && q.Shuffle {
			p.shuffled = append(p.shuffled, q)
		}
		if q.Kind != labs.Numeric {
			continue
		}
		pq.copied = !q.Bench && !q.Stepped && len(answered) > 0
		var err error
		if pq.catalogue, err = catalogue(p.lab, q, catalogues); err != nil {
			return p.cannot(q.Place, fmt.Errorf("question %s: %w", q.ID, err))
		}
		catalogues[q.ID] = pq.catalogue
		pq.slipPseudo = pseudoNames(pq.catalogue.Names())
	}
	return nil
}

// catalogue makes the slips of a question; earlier holds those of the questions before it.
func catalogue(l *labs.Lab, q *labs.Question, earlier map[string]*slips.Catalogue) (*slips.Catalogue, error) {
	about := slips.Question{Expr: q.Expr, Unit: q.Show.Unit, Scope: l, Functions: l.Functions, Earlier: earlier, Shown: l.Unit}
	for _, v := range l.PrintedValues() {
		about.Printed = append(about.Printed, v.Name)
	}
	return slips.New(about)
}

// computeBase fills in what is the same on all sheets, and proves the conditions that hang on nothing else.
func (p *plan) computeBase() error {
	p.base = p.lab.NewFrame(p.gravity)
	for _, v := range p.same {
		x, fixed := p.fixed[v.Name]
		if !fixed {
			var err error
			if x, err = p.lab.Compute(v.Value, p.base, nil); err != nil {
				return p.cannot(v.Place, fmt.Errorf("%s: %w", v.Name, err))
			}
		} else if v.Type.Kind == quantity.Number {
			x.X = v.Show.Round(x.X)
		}
		p.base[v.Slot] = x
	}
	return nil
}

// cannot places a fault of drawing in the template.
func (p *plan) cannot(at labs.Place, err error) error {
	return &labs.TemplateError{File: p.lab.File, Line: at.Line, Col: at.Col, Err: err}
}
