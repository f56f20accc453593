package labs

import (
	"math"
	"regexp"
	"strings"

	"go.yaml.in/yaml/v4"

	"keelmark/labs/formula"
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// common are the keys that every value may have; each source adds its own.
var common = []string{"hidden", "symbol", "what"}

// sources gives, by the key that names a source, the keys that go with it.
var sources = []struct {
	key    string
	source Source
	keys   []string
	needs  []string
}{
	{"from", Drawn, []string{"from", "to", "step", "show"}, []string{"to", "step"}},
	{"pick", Picked, []string{"pick", "show"}, nil},
	{"calc", Computed, []string{"calc", "each", "noise", "show"}, nil},
	{"series", Series, []string{"series", "show"}, nil},
	{"measure", Measured, []string{"measure", "division", "expect", "within", "uncertainty", "rows", "show"}, []string{"division", "expect"}},
	{"const", Constant, []string{"const", "show"}, nil},
}

// values reads the declarations of the head.
func (r *reader) values(n *yaml.Node) {
	all, ok := r.head.fields(n, "values", nil)
	if !ok {
		return
	}
	for _, name := range all.keys {
		place := all.names[name]
		switch {
		case len(r.lab.Values) >= maxValues:
			r.at(place, "a lab holds at most %d values", maxValues)
			return
		case !formula.IsName(name):
			r.at(place, "%q is no name for a value: use letters, digits and _, such as rho_w", name)
			continue
		}
		v := &Value{Name: name, Place: place}
		r.declare(name, place, entry{value: v})
		r.lab.Values = append(r.lab.Values, v)
		if !r.value(v, all.nodes[name]) {
			r.broken[name] = true
		}
	}
}

// value reads one declaration; ok is false after a fault.
func (r *reader) value(v *Value, n *yaml.Node) (ok bool) {
	before := len(r.all)
	every := append([]string(nil), common...)
	for _, s := range sources {
		every = append(every, s.keys...)
	}
	f, ok := r.head.fields(n, "a value", every)
	if !ok {
		return false
	}
	chosen := -1
	for i, s := range sources {
		if !f.has(s.key) {
			continue
		}
		if chosen >= 0 {
			first, second := sources[chosen].key, s.key
			if f.names[first].after(f.names[second]) {
				first, second = second, first
			}
			r.at(f.names[second], "%s has both %s and %s: a value comes from one of them", v.Name, first, second)
			return false
		}
		chosen = i
	}
	if chosen < 0 {
		r.at(v.Place, "%s does not say where it comes from: give from, to and step, or one of pick, calc, series, measure, const", v.Name)
		return false
	}
	source := sources[chosen]
	v.Source = source.source
	for _, key := range f.keys {
		if !contains(common, key) && !contains(source.keys, key) {
			r.at(f.names[key], "%s does not go with %s", key, source.key)
		}
	}
	f.require(v.Name, source.needs...)
	v.Hidden = f.flag("hidden")
	if s, ok := f.text("symbol"); ok {
		v.Symbol = s.text
	} else {
		v.Symbol = formula.Symbol(v.Name)
	}
	if s, ok := f.text("what"); ok {
		v.What = s.text
	}
	if len(r.all) == before {
		r.source(v, f)
	}
	return len(r.all) == before
}

// source reads what is particular to the source of v.
func (r *reader) source(v *Value, f fields) {
	switch v.Source {
	case Drawn:
		r.drawn(v, f)
	case Picked:
		r.picked(v, f)
	case Series:
		r.series(v, f)
	case Constant:
		r.constant(v, f)
	case Measured:
		r.measured(v, f)
	case Computed:
		if s, ok := f.text("calc"); ok {
			v.CalcExpr = r.parse(s)
		}
		if s, ok := f.text("each"); ok {
			r.each[v] = s
		}
		if s, ok := f.text("noise"); ok {
			r.noise[v] = s
		}
	}
	if s, ok := f.text("show"); ok {
		r.show[v] = s
		if v.Source != Computed && v.Source != Constant { // the others' types are not known yet
			r.showAs(v)
		}
	}
}

// literal reads a number with its unit, notes a fault and gives ok false otherwise.
func (r *reader) literal(f fields, key string) (l literal, s scalar, ok bool) {
	if s, ok = f.text(key); !ok {
		return l, s, false
	}
	l, err := parseLiteral(s.text)
	if err != nil {
		r.at(s.place(), "%s: %v", key, err)
		return l, s, false
	}
	return l, s, true
}

// span reads a difference of the dimension of t: a division, a noise, a deviation.
func (r *reader) span(f fields, key string, dim quantity.Dim) (x float64, ok bool) {
	l, s, ok := r.literal(f, key)
	switch {
	case !ok:
		return 0, false
	case l.unit.Dim != dim:
		r.at(s.place(), "%s is in %s, but the value in %s", key, l.unit.Dim, dim)
		return 0, false
	case l.x <= 0:
		r.at(s.place(), "%s is above zero, not %s", key, s.text)
		return 0, false
	}
	return l.span(), true
}

func (r *reader) drawn(v *Value, f fields) {
	from, _, ok1 := r.literal(f, "from")
	to, s, ok2 := r.literal(f, "to")
	step, t, ok3 := r.literal(f, "step")
	if !ok1 || !ok2 || !ok3 {
		return
	}
	v.Type = from.typ()
	switch {
	case to.typ() != v.Type:
		r.at(s.place(), "from and to are of one kind, not %s and %s", from.unit.Dim, to.unit.Dim)
		return
	case step.unit.Dim != v.Type.Dim:
		r.at(t.place(), "the step is in %s, but the value in %s", step.unit.Dim, v.Type.Dim)
		return
	case step.x <= 0:
		r.at(t.place(), "the step is above zero, not %s", t.text)
		return
	case to.si() < from.si():
		r.at(s.place(), "to is below from")
		return
	}
	v.From, v.To, v.Step = from.si(), to.si(), step.span()
	steps := (v.To - v.From) / v.Step
	if !(steps <= maxGrid) { // or not a number, where the step vanishes
		r.at(t.place(), "that makes more than %d steps", maxGrid)
		return
	}
	if math.Abs(steps-math.Round(steps)) > 1e-6 {
		r.at(s.place(), "no whole number of steps leads from %s %s to %s", f.nodes["from"].Value, "in steps of "+t.text, s.text)
		return
	}
	v.Show = Display{Unit: from.unit, Text: from.text, Step: finest([]float64{from.x, quantity.RoundFigures(from.unit.FromSpan(v.Step), 12)})}
}

// eRange is a standard series: E12 10 ohm .. 1 kohm.
var eRange = regexp.MustCompile(`^(E\d+)\s+(.*)$`)

func (r *reader) picked(v *Value, f fields) {
	items := f.list("pick")
	var quantities []literal
	for _, s := range items {
		if m := eRange.FindStringSubmatch(s.text); m != nil {
			low, high, err := parseRange(m[2])
			if err != nil {
				r.at(s.place(), "%v", err)
				return
			}
			values, err := physics.PreferredValues(m[1], low.unit.From(low.si()), low.unit.From(high.si()))
			if err != nil {
				r.at(s.place(), "%v", err)
				return
			}
			if len(values) == 0 {
				r.at(s.place(), "%s has no value from %s: widen the range", m[1], m[2])
				return
			}
			for _, x := range values {
				quantities = append(quantities, literal{x: x, unit: low.unit, text: low.text})
			}
			continue
		}
		if formula.IsName(s.text) {
			v.Picks = append(v.Picks, quantity.Value{Name: s.text})
			continue
		}
		l, err := parseLiteral(s.text)
		if err != nil {
			r.at(s.place(), "pick holds names, quantities or a series such as E12 10 ohm .. 1 kohm: %v", err)
			return
		}
		quantities = append(quantities, l)
	}
	place := f.names["pick"]
	switch {
	case len(items) == 0 && len(quantities) == 0:
		r.at(place, "pick holds nothing")
	case len(v.Picks) > 0 && len(quantities) > 0:
		r.at(place, "pick holds either names or quantities, not both")
	case len(v.Picks) > 0:
		v.Type = quantity.Type{Kind: quantity.Name}
	default:
		first := quantities[0]
		v.Type = first.typ()
		var shown []float64
		for i, l := range quantities {
			if l.typ() != v.Type {
				r.at(items[min(i, len(items)-1)].place(), "pick holds quantities of one kind, not %s and %s", first.unit.Dim, l.unit.Dim)
				return
			}
			v.Picks = append(v.Picks, quantity.Value{X: l.si()})
			shown = append(shown, quantity.RoundFigures(first.unit.From(l.si()), 12))
		}
		v.Show = Display{Unit: first.unit, Text: first.text, Step: finest(shown)}
	}
}

func (r *reader) series(v *Value, f fields) {
	s, ok := f.text("series")
	if !ok {
		return
	}
	ends, step, ok := strings.Cut(s.text, " step ")
	if !ok {
		r.at(s.place(), "a series reads `0 cm .. 8 cm step 1 cm`")
		return
	}
	low, high, err := parseRange(ends)
	if err != nil {
		r.at(s.place(), "%v", err)
		return
	}
	by, err := parseLiteral(step)
	if err != nil {
		r.at(s.place(), "%v", err)
		return
	}
	if by.text == "1" {
		by.unit = low.unit
	}
	if by.unit.Dim != low.unit.Dim || by.x <= 0 {
		r.at(s.place(), "the step of a series is above zero and in the unit of its ends")
		return
	}
	stride := quantity.RoundFigures(low.unit.FromSpan(by.span()), 12)
	count := (low.unit.From(high.si())-low.x)/stride + 1
	if !(count <= maxColumn) || math.Abs(count-math.Round(count)) > 1e-6 {
		r.at(s.place(), "a series is a whole number of steps, at most %d", maxColumn)
		return
	}
	v.Type = low.typ()
	v.Type.Kind = quantity.Column
	fine := finest([]float64{low.x, stride})
	for i := range int(math.Round(count)) {
		v.Column = append(v.Column, low.unit.SI(quantity.RoundTo(low.x+float64(i)*stride, fine)))
	}
	v.length = len(v.Column)
	v.Show = Display{Unit: low.unit, Text: low.text, Step: fine}
}

func (r *reader) constant(v *Value, f fields) {
	s, ok := f.text("const")
	if !ok {
		return
	}
	if l, err := parseLiteral(s.text); err == nil {
		v.Show = Display{Unit: l.unit, Text: l.text, Step: math.Min(l.digit, 1)}
	}
	v.CalcExpr = r.parse(s)
}

func (r *reader) measured(v *Value, f fields) {
	if s, ok := f.text("measure"); ok {
		v.Measure = s.text
	}
	division, s, ok := r.literal(f, "division")
	if !ok {
		return
	}
	if division.x <= 0 {
		r.at(s.place(), "a division is above zero, not %s", s.text)
		return
	}
	v.Type = division.typ()
	v.Division = division.span()
	v.Show = Display{Unit: division.unit, Text: division.text, Step: division.x}
	v.Within, _ = r.span(f, "within", v.Type.Dim)
	v.Uncertainty, _ = r.span(f, "uncertainty", v.Type.Dim)
	if v.Rows = f.whole("rows", 2, maxRows, 0); v.Rows > 0 {
		v.Type.Kind = quantity.Column
		v.length = v.Rows
	}
	if s, ok := f.text("expect"); ok {
		v.CalcExpr = r.parse(s)
	}
	r.reserved(v.Name, v.Place)
}

// showAs reads `show` for a value of known type.
func (r *reader) showAs(v *Value) {
	s := r.show[v]
	l, err := parseLiteral(s.text)
	switch {
	case err != nil:
		r.at(s.place(), "show: %v", err)
	case v.Type.Kind == quantity.Name || v.Type.Kind == quantity.Bool:
		r.at(s.place(), "show is for numbers; %s is none", v.Name)
	case l.unit.Dim != v.Type.Dim:
		r.at(s.place(), "show is in %s, but %s is in %s", l.unit.Dim, v.Name, v.Type.Dim)
	case l.unit.Offset != 0 && !v.Type.Point:
		r.at(s.place(), "%s is a difference of temperatures: show it in K", v.Name)
	case l.x <= 0:
		r.at(s.place(), "show is the last digit printed, above zero, such as 0.01 N")
	default:
		v.Show = Display{Unit: l.unit, Text: l.text, Step: l.x}
	}
}
