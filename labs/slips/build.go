package slips

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// builder fills a catalogue.
type builder struct {
	q     Question
	right *formula.Program
	c     *Catalogue
}

func (b *builder) add(k candidate) { b.c.candidates = append(b.c.candidates, k) }

// answer evaluates the right formula.
func (b *builder) answer(f Frame) (float64, error) {
	v, err := b.right.Eval(f)
	return v.X, err
}

// program compiles a formula plainly, as a candidate's value.
func (b *builder) program(e *formula.Expr) (func(Frame) (float64, error), error) {
	p, err := e.CompilePlain(b.q.Scope, b.q.Functions)
	if err != nil {
		return nil, err
	}
	if p.Type().Kind != quantity.Number {
		return nil, fmt.Errorf("the mistake %s is no number", e)
	}
	return func(f Frame) (float64, error) {
		v, err := p.Eval(f)
		return v.X, err
	}, nil
}

func (b *builder) listed() error {
	for i, l := range b.q.Listed {
		value, err := b.program(l.Expr)
		if err != nil {
			return err
		}
		cause := Cause{fmt.Sprintf("listed-%d", i+1), l.Why, "listed mistake: " + l.Expr.String()}
		b.add(candidate{Cause: cause, tier: 1, marks: l.Marks, scale: true, value: value})
		b.needs(l.Expr.Names())
	}
	return nil
}

// needs notes names that a candidate uses, and those that earlier answers among them come from.
func (b *builder) needs(names []string) {
	for _, n := range names {
		if slices.Contains(b.c.names, n) {
			continue
		}
		b.c.names = append(b.c.names, n)
		if earlier := b.q.Earlier[n]; earlier != nil {
			b.needs(earlier.names)
		}
	}
}

// scales adds the answer times powers of ten, and times the factors between units of time where it has such a unit. The
// number shifts as it stands in the box, which matters for degrees Celsius.
func (b *builder) scales() {
	shift := func(id string, factor float64, pupil, teacher string) {
		unit := b.q.Unit
		b.add(candidate{Cause: Cause{id, pupil, teacher}, tier: 2, scale: true, value: func(f Frame) (float64, error) {
			x, err := b.answer(f)
			return unit.SI(unit.From(x) * factor), err
		}})
	}
	for _, k := range []int{1, 2, 3, 4, 6, 9} {
		pupil, teacher := powerWords(k, b.q.Unit.Dim)
		shift(PowerOfTen, math.Pow10(k), pupil.big, teacher.big)
		shift(PowerOfTen, math.Pow10(-k), pupil.small, teacher.small)
	}
	for _, s := range b.timeScales() {
		shift(UnitOfTime, s.factor, fmt.Sprintf("Your number is %g times what it should be: look again at the units of time (%s).", s.factor, s.units), s.units)
		shift(UnitOfTime, 1/s.factor, fmt.Sprintf("What it should be is %g times your number: look again at the units of time (%s).", s.factor, s.units), s.units)
	}
}

const hour = 3600 // seconds

// timeScales returns the factors between units of time that the answer may be off by.
func (b *builder) timeScales() []timeScale {
	if b.q.Unit.Dim == speed {
		return []timeScale{{3.6, "m/s and km/h"}}
	}
	timed := b.q.Unit.Dim == duration || b.q.Unit.Scale == hour // W h, A h
	for _, name := range b.q.Expr.Names() {
		t, _, ok := b.q.Scope.Lookup(name)
		timed = timed || ok && t.Dim == duration
	}
	switch {
	case !timed:
		return nil
	case b.q.Unit.Scale == hour:
		return []timeScale{{60, "minutes and hours"}, {3600, "seconds and hours"}}
	}
	return []timeScale{{60, "seconds and minutes"}, {3600, "seconds and hours"}}
}

// tiers holds the tier of each kind of variant.
var tiers = map[formula.Kind]int{
	formula.GForgotten: 2, formula.GTwice: 2, formula.PlusForMinus: 2, formula.MinusForPlus: 2, formula.SwapDifference: 2,
	formula.Sign: 2, formula.Half: 2, formula.Double: 2, formula.OtherName: 2,
	formula.FactorLost: 3, formula.FactorTwice: 3, formula.UpsideDown: 3, formula.SquareForgotten: 3, formula.RootForgotten: 3,
	formula.DegreesAsRadians: 3, formula.SeriesForParallel: 3, formula.ParallelForSeries: 3,
}

// variants adds those of the formula's one-step changes that belong to a tier. One that does not compile, such as a root of
// two columns, is no slip that a pupil could make.
func (b *builder) variants(changes []formula.Variant, tier int) {
	for _, v := range changes {
		if b.tier(v) != tier || !b.plausible(v) {
			continue
		}
		if value, err := b.program(v.Expr); err == nil {
			b.add(candidate{Cause: b.words(v), tier: tier, value: value})
		}
	}
}

// tier is that of a variant; to take an earlier answer for a value is rarer than to take a printed one.
func (b *builder) tier(v formula.Variant) int {
	if v.Kind == formula.OtherName && slices.Contains(b.q.Answers, v.To) {
		return 3
	}
	return tiers[v.Kind]
}

// plausible leaves out changes of a length's size where the name is no length, and numbers used twice.
func (b *builder) plausible(v formula.Variant) bool {
	switch v.Kind {
	case formula.Half, formula.Double:
		t, _, _ := b.q.Scope.Lookup(v.At)
		return t.Dim == quantity.Base(1)
	case formula.FactorTwice:
		return v.At[0] < '0' || v.At[0] > '9'
	}
	return true
}

// sameKind returns the other printed values, and the earlier answers, of the type of name.
func (b *builder) sameKind(name string) (others []string) {
	t, _, ok := b.q.Scope.Lookup(name)
	for _, p := range slices.Concat(b.q.Printed, b.q.Answers) {
		if u, _, known := b.q.Scope.Lookup(p); ok && known && u == t && p != name {
			others = append(others, p)
		}
	}
	return others
}

// printed adds the printed values that have the dimension of the answer.
func (b *builder) printed() {
	for _, name := range b.q.Printed {
		t, slot, ok := b.q.Scope.Lookup(name)
		if !ok || t.Kind != quantity.Number || t.Dim != b.q.Unit.Dim {
			continue
		}
		cause := Cause{PrintedValue,
			fmt.Sprintf("That is %s, which was given; the question asks for something else.", b.phrase(name)),
			"wrote down " + name + " as it was given"}
		b.add(candidate{Cause: cause, tier: 2, value: func(f Frame) (float64, error) { return f[slot].X, nil }})
	}
}

const degree = math.Pi / 180 // an angle put in as it is: that is the calculator's setting, a slip of its own

// inputs adds the answer with one value taken in another unit than its own. What only shifts the answer's decimal point
// coincides with a power of ten, and goes again.
func (b *builder) inputs() {
	if b.q.Shown == nil {
		return
	}
	for _, name := range b.q.Expr.Names() {
		t, slot, ok := b.q.Scope.Lookup(name)
		own := b.q.Shown(name)
		if !ok || t.Kind != quantity.Number || t.Point || own.Scale == degree || own.Dim != t.Dim || own.Scale == 0 {
			continue
		}
		for _, wrong := range b.mixedUp(name, t.Dim) {
			factor := wrong.Scale / own.Scale
			if factor == 1 {
				continue
			}
			cause := Cause{UnitOfInput,
				fmt.Sprintf("Check the units: it looks as if the number of %s in %s went in as %s.", b.phrase(name), own.Symbol, wrong.Symbol),
				fmt.Sprintf("%s in %s put in as %s", name, own.Symbol, wrong.Symbol)}
			b.add(candidate{Cause: cause, tier: 2, value: func(f Frame) (float64, error) {
				return b.with(f, slot, f[slot].X*factor)
			}})
		}
	}
}

// mixedUp returns the units that the unit of name may be mixed up with: those of the formula's other values and of the
// answer that have its dimension, or the coherent one where it is alone.
func (b *builder) mixedUp(name string, d quantity.Dim) (units []quantity.Unit) {
	for _, other := range b.q.Expr.Names() {
		if u := b.q.Shown(other); other != name && u.Dim == d && u.Scale != 0 {
			units = append(units, u)
		}
	}
	if b.q.Unit.Dim == d {
		units = append(units, b.q.Unit)
	}
	if len(units) == 0 {
		units = append(units, quantity.Unit{Symbol: d.String(), Scale: 1, Dim: d})
	}
	return units
}

// with evaluates the right formula with one value changed for the while.
func (b *builder) with(f Frame, slot int, x float64) (float64, error) {
	was := f[slot].X
	f[slot].X = x
	defer func() { f[slot].X = was }()
	return b.answer(f)
}

// carries holds the slips of tier 2 that are worth following into the next question; with the others the candidates
// would be so many that chance explained them all.
var carries = map[formula.Kind]bool{
	formula.GForgotten: true, formula.GTwice: true, formula.PlusForMinus: true, formula.MinusForPlus: true,
	formula.SwapDifference: true, formula.Sign: true, formula.Half: true, formula.Double: true,
}

// carried adds the answer with the value that a slip gives to an earlier one: the pupil wrote down, or was given, the
// right value there, and went on with the wrong one.
func (b *builder) carried() {
	for _, name := range b.q.Expr.Names() {
		earlier := b.q.Earlier[name]
		_, slot, ok := b.q.Scope.Lookup(name)
		if earlier == nil || !ok {
			continue
		}
		for _, k := range earlier.candidates {
			if k.tier > 2 || k.tier == 2 && !carries[formula.Kind(k.ID)] {
				continue
			}
			cause := Cause{CarriedSlip,
				fmt.Sprintf("The step itself is sound, but %s went in with a slip: %s", b.phrase(name), k.Pupil),
				fmt.Sprintf("carried on a slip in %s: %s", name, k.Teacher)}
			b.add(candidate{Cause: cause, tier: 3, value: func(f Frame) (float64, error) {
				x, err := k.value(f)
				if err != nil {
					return 0, err
				}
				return b.with(f, slot, x)
			}})
		}
	}
}

const (
	probes   = 5
	attempts = 100  // to find them
	alike    = 1e-9 // relative
	coldest  = 278  // temperatures on probes, in kelvin: between 5 °C and 35 °C, where water is water
	hottest  = 308
)

// distinct drops the candidates that are the right answer, an earlier candidate, or zero, whatever the values are. That is
// found out by trying a few frames of random values; where a formula has no value on them nothing is dropped.
func (b *builder) distinct() {
	var kept []candidate
	var seen [][probes]float64
	frames, want, ok := b.probe()
	if !ok {
		return
	}
	seen = append(seen, want, [probes]float64{})
	for _, k := range b.c.candidates {
		var got [probes]float64
		known := true
		for i, f := range frames {
			x, err := k.value(f)
			got[i], known = x, known && err == nil
		}
		same := func(other [probes]float64) bool {
			for i := range got {
				if math.Abs(got[i]-other[i]) > alike*math.Abs(other[i]) {
					return false
				}
			}
			return true
		}
		if known && slices.ContainsFunc(seen, same) {
			continue
		}
		if known {
			seen = append(seen, got)
			k.Teacher += timesWords(got, want)
		}
		kept = append(kept, k)
	}
	b.c.candidates = kept
}

// timesWords says how many times too big or small a slip makes the answer, where that is a small whole number whatever
// the values are: ": 4 times too big"; otherwise "".
func timesWords(got, want [probes]float64) string {
	for n := 2.0; n < 10; n++ { // powers of ten say so themselves
		big, small := true, true
		for i := range got {
			big = big && math.Abs(got[i]-n*want[i]) <= alike*math.Abs(got[i])
			small = small && math.Abs(n*got[i]-want[i]) <= alike*math.Abs(want[i])
		}
		switch {
		case big:
			return fmt.Sprintf(": %v times too big", n)
		case small:
			return fmt.Sprintf(": %v times too small", n)
		}
	}
	return ""
}

// probe makes frames of random values for every name in use, on which the right answer is known; ok is false when there
// are too few such.
func (b *builder) probe() (frames [probes]Frame, want [probes]float64, ok bool) {
	random := rand.New(rand.NewPCG(1, 2))
	found := 0
	for range attempts {
		f := b.randomFrame(random)
		b.settle(b.c, f, map[string]bool{})
		x, err := b.answer(f)
		if err != nil { // an arcsine of 2, a wire thinner than its table
			continue
		}
		frames[found], want[found] = f, x
		if found++; found == probes {
			return frames, want, true
		}
	}
	return frames, want, false
}

// settle sets the earlier answers that a catalogue builds on to what they are on the frame, so that a slip carried on can
// be seen to be the same as one made here.
func (b *builder) settle(c *Catalogue, f Frame, done map[string]bool) {
	for _, name := range c.names {
		earlier := b.q.Earlier[name]
		if earlier == nil || done[name] {
			continue
		}
		done[name] = true
		b.settle(earlier, f, done)
		_, slot, _ := b.q.Scope.Lookup(name)
		if v, err := earlier.right.Eval(f); err == nil {
			f[slot] = v
		}
	}
}

func (b *builder) randomFrame(random *rand.Rand) (f Frame) {
	for _, name := range slices.Concat(b.c.names, b.q.Printed, b.q.Answers) {
		t, slot, known := b.q.Scope.Lookup(name)
		if !known {
			continue
		}
		if missing := slot + 1 - len(f); missing > 0 {
			f = append(f, make(Frame, missing)...)
		}
		f[slot] = randomValue(random, t)
	}
	return f
}

func randomValue(random *rand.Rand, t quantity.Type) quantity.Value {
	switch {
	case t.Kind == quantity.Column:
		col := make([]float64, 5)
		for i := range col {
			col[i] = float64(i) + random.Float64()
		}
		return quantity.Value{Col: col}
	case t.Point:
		return quantity.Value{X: coldest + (hottest-coldest)*random.Float64()}
	}
	return quantity.Value{X: math.Exp(2*random.Float64() - 1)}
}
