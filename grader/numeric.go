package grader

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/judge"
	"keelmark/labs/quantity"
)

// candidate is one reading of an answer in the dimension asked for.
type candidate struct {
	quantity.Reading
	value, digit float64 // coherent SI; digit is one unit of the last digit written
	enough       bool    // written to at least the figures asked for
}

// read gives the readings of a text that fit the question, and those in a unit of another dimension. The ones that agree
// with what a comma means on the rest of the sheet come first.
func (s *marking) read(q *labs.Question, text, kind string) (fit []candidate, foreign []quantity.Reading, why string) {
	readings, why := s.texts.read(text)
	if len(readings) == 0 {
		readings = s.withoutAsked(q, text)
	}
	for _, r := range likeliest(readings, s.convention) {
		if kind == NumberCell {
			r = openUpwards(r, q.SFLow)
		}
		if !r.HasUnit || r.Unit.Dim == q.Type.Dim {
			fit = append(fit, newCandidate(q, r))
		} else {
			foreign = append(foreign, r)
		}
	}
	return fit, foreign, why
}

// likeliest puts the readings that agree with what a comma means on the rest of the sheet before the others.
func likeliest(readings []quantity.Reading, convention string) []quantity.Reading {
	if convention == "" || len(readings) < 2 {
		return readings
	}
	sorted := slices.Clone(readings)
	slices.SortStableFunc(sorted, func(a, b quantity.Reading) int {
		return cmp.Compare(against(a, convention), against(b, convention))
	})
	return sorted
}

// against is 1 for a reading that takes a comma for something else than the rest of the sheet does, else 0.
func against(r quantity.Reading, convention string) int {
	if r.Convention != "" && convention != "" && r.Convention != convention {
		return 1
	}
	return 0
}

// texts remembers how the texts of a sheet are read: each is asked for several times.
type texts map[string]textRead

type textRead struct {
	readings []quantity.Reading
	why      string
}

func (t texts) read(text string) ([]quantity.Reading, string) {
	known, ok := t[text]
	if !ok {
		known.readings, known.why = quantity.Read(text)
		t[text] = known
	}
	return known.readings, known.why
}

// settleConvention finds what a single comma means on a sheet from the answers that leave no doubt.
func (m *Marker) settleConvention(j job, t texts) string {
	marks := map[string]int{}
	for name, text := range j.paper.Text {
		if i, ok := m.index[name]; ok && m.rules[i].Kind != labs.Numeric || strings.Contains(name, ".") {
			continue // words, and marks that a person gave
		}
		for _, part := range splitReadings(text) {
			if readings, _ := t.read(part); len(readings) > 0 && readings[0].Mark != "" {
				marks[readings[0].Mark]++
			}
		}
	}
	switch {
	case marks["comma"] > 0 && marks["point"] == 0:
		return "comma"
	case marks["point"] > 0 && marks["comma"] == 0:
		return "point"
	}
	return ""
}

// openUpwards takes account of a spreadsheet that shows 1.20 as 1.2: the answer may have been typed to more figures. It
// is taken to have the least that the question asks for, so that 0.9 stands for 0.90 and not for anything up to 0.95.
func openUpwards(r quantity.Reading, least int) quantity.Reading {
	if r.High == 0 {
		return r
	}
	if r.High < least && r.Number != 0 {
		r.Digit = min(r.Digit, math.Pow(10, math.Floor(math.Log10(math.Abs(r.Number)))-float64(least-1)))
	}
	r.High = math.MaxInt32
	return r
}

func newCandidate(q *labs.Question, r quantity.Reading) candidate {
	unit := q.Show.Unit
	if r.HasUnit {
		unit = r.Unit
	}
	c := candidate{Reading: r, digit: unit.Span(r.Digit), enough: r.High == 0 || r.High >= q.SFLow}
	if q.Type.Point {
		c.value = unit.SI(r.Number)
	} else {
		c.value = unit.Span(r.Number)
	}
	return c
}

// view is what an answer may be held against: the targets of one frame.
type view struct {
	frame   labs.Frame
	targets []judge.Target // the formula's, then those the scheme accepts too
}

func (v *view) fits(c candidate) bool {
	for _, t := range v.targets {
		if t.Fits(c.value, c.digit, c.enough) {
			return true
		}
	}
	return false
}

// fitting is the first reading that is right in this view.
func (v *view) fitting(cs []candidate) (candidate, bool) {
	if v != nil {
		for _, c := range cs {
			if v.fits(c) {
				return c, true
			}
		}
	}
	return candidate{}, false
}

// views are what marking holds an answer against. Those that cannot be worked out, or say nothing new, are nil.
type views struct {
	truth, mixed, chain *view
	impossible          error // the pupil's own earlier answers cannot be carried
}

func (s *marking) look(r *rule, f labs.Frame) (*view, error) {
	t, err := judge.Aim(s.lab, r.Question, f)
	if err != nil {
		return nil, err
	}
	v := &view{frame: f, targets: []judge.Target{t}}
	for _, alternative := range r.accept {
		if t, err := judge.Aim(s.lab, alternative, f); err == nil {
			v.targets = append(v.targets, t)
		}
	}
	return v, nil
}

// views works out what an answer to question i is to be held against.
func (s *marking) views(i int, r *rule) (v views) {
	st := &s.states[i]
	known := st.unsure == "" && st.err == nil
	if known {
		v.truth = &view{frame: s.truth, targets: []judge.Target{st.target}}
		if len(r.accept) > 0 {
			v.truth, _ = s.look(r, s.truth) // it was worked out before
		}
		if s.differs(r, s.mixed) {
			v.mixed, _ = s.look(r, s.mixed) // right answers that make a step impossible leave the true view
		}
	}
	if !s.canCarry(r) || known && !s.differs(r, s.chain) {
		return v
	}
	v.chain, v.impossible = s.look(r, s.chain)
	if v.chain != nil && v.truth != nil && r.Within != nil && r.Within.Absolute > 0 {
		v.chain.widen(v.truth)
	}
	return v
}

// threeFigures is the most that rounding to three figures changes a number, as a share of it.
const threeFigures = 0.005

// widen lets an absolute tolerance grow with a value that the pupil's own earlier answers have made larger: half a
// centimetre is meant for the true length, and is less than three figures of one a thousand times as long.
func (v *view) widen(truth *view) {
	t := &v.targets[0]
	if ratio := math.Abs(t.Value / truth.targets[0].Value); ratio > 1 && ratio-ratio == 0 {
		t.Tolerance = max(t.Tolerance*ratio, threeFigures*math.Abs(t.Value))
	}
}

func (s *marking) differs(r *rule, f labs.Frame) bool {
	for _, name := range r.earlier {
		slot := s.rules[s.index[name]].Slot
		if f[slot].X != s.truth[slot].X {
			return true
		}
	}
	return false
}

// canCarry reports whether everything the formula uses is known from the pupil's own hand or from print.
func (s *marking) canCarry(r *rule) bool {
	for _, v := range r.measured {
		if s.missing[v.Name] != "" {
			return false
		}
	}
	for _, name := range r.earlier {
		before := s.states[s.index[name]]
		if !before.read && (before.unsure != "" || before.err != nil) {
			return false
		}
	}
	return len(r.earlier) > 0
}

// numeric marks an answer that is a number: right, carried, a slip or wrong, in that order.
func (s *marking) numeric(i int, r *rule, a *classset.Answer, text, kind string) {
	fit, foreign, why := s.read(r.Question, text, kind)
	if len(fit) == 0 && len(foreign) == 0 {
		s.unread(r, a, why)
		return
	}
	v := s.views(i, r)
	if v.truth == nil && v.chain == nil && v.impossible == nil {
		s.unsure(i, r, a, fit)
		return
	}
	// what a comma means on the rest of the sheet goes first, whether that makes the answer right or carried
	agree := 0
	for agree < len(fit) && against(fit[agree].Reading, s.convention) == 0 {
		agree++
	}
	for _, cs := range [][]candidate{fit[:agree], fit[agree:]} {
		if c, verdict := v.full(r.Question, cs); verdict != "" {
			s.take(i, r, a, c, len(fit) > 1, verdict)
			return
		}
	}
	if len(fit) == 0 {
		s.otherDimension(i, r, a, v, foreign)
	} else if c, ok := v.chain.fitting(fit); ok {
		s.notRight(i, r, a, v, c, true)
	} else if values := s.distinct(fit); len(values) > 1 {
		s.unread(r, a, fmt.Sprintf("may be read as %s or as %s; write in read_as what was meant", values[0].Reading, values[1].Reading))
	} else {
		s.notRight(i, r, a, v, fit[0], false)
	}
}

// beforeStep reports whether a wrong answer to a stepped question is a number on the way to its step.
func (s *marking) beforeStep(r *rule, c candidate, f labs.Frame) bool {
	if !r.Stepped {
		return false
	}
	for i := range r.Run.Intermediates() {
		if before := r.Run.IntermediateValue(f, i); math.Abs(c.value-before) <= max(c.digit/2, threeFigures*math.Abs(before)) {
			return true
		}
	}
	return false
}

// full is the first of the readings that earns full marks, and the verdict on it; "" when none does.
func (v views) full(q *labs.Question, cs []candidate) (candidate, string) {
	if c, ok := v.truth.fitting(cs); ok {
		return c, classset.Right
	}
	if c, ok := v.mixed.fitting(cs); ok {
		return c, classset.Right
	}
	if c, ok := v.chain.fitting(cs); ok && !trivial(q, v) {
		return c, classset.Carried
	}
	return candidate{}, ""
}

// unsure leaves an answer to a person because what it must be held against is not known.
func (s *marking) unsure(i int, r *rule, a *classset.Answer, fit []candidate) {
	st := s.states[i]
	a.Verdict = classset.ByHand
	why := st.unsure
	if why == "" {
		why = fmt.Sprintf("cannot be worked out from the pupil's readings: %v", st.err)
	}
	if len(fit) == 1 {
		s.own(i, r, a, fit[0], false)
	}
	s.open(r, a, why)
}

// trivial reports whether the pupil's own earlier answers have made the step meaningless: nothing is left of it, or a
// quantity that cannot be negative is.
func trivial(q *labs.Question, v views) bool {
	carried := v.chain.targets[0].Value
	nothing := func(t judge.Target) bool { return !t.Exact && math.Abs(t.Value) <= t.Tolerance || t.Value == 0 }
	if nothing(v.chain.targets[0]) {
		return v.truth == nil || !nothing(v.truth.targets[0])
	}
	return carried < 0 && (v.truth == nil || v.truth.targets[0].Value > 0) && neverNegative(q.Type)
}

// neverNegative reports whether a quantity of this type has no negative values: mass, volume, density, area,
// resistance. Forces, moments, positions and times gained may go either way.
func neverNegative(t quantity.Type) bool {
	switch t.Dim {
	case quantity.Base(0, 1), quantity.Base(3), quantity.Base(-3, 1), quantity.Base(2), quantity.Base(2, 1, -3, -2):
		return true
	}
	return false
}

// distinct are the readings of different size. What a comma means may be settled by the rest of the sheet: none of them
// is right, so nothing speaks for the other sense.
func (s *marking) distinct(cs []candidate) (values []candidate) {
	for _, c := range cs {
		if against(c.Reading, s.convention) <= against(cs[0].Reading, s.convention) && !slices.ContainsFunc(values, func(d candidate) bool { return math.Abs(c.value-d.value) <= 1e-9*math.Abs(c.value) }) {
			values = append(values, c)
		}
	}
	return values
}

// own notes the reading that is the pupil's answer from now on.
func (s *marking) own(i int, r *rule, a *classset.Answer, c candidate, right bool) {
	st := &s.states[i]
	st.read, st.blank, st.right = true, false, right
	st.value, st.reading = c.value, c.Reading
	a.Read = amount(r.Question, c.value)
}

// take marks an answer whose number is right, in itself or for the pupil's own earlier answers.
func (s *marking) take(i int, r *rule, a *classset.Answer, c candidate, several bool, verdict string) {
	s.own(i, r, a, c, verdict == classset.Right)
	a.Verdict, a.Marks = verdict, r.Marks
	if verdict == classset.Carried {
		a.Message = sayCarried(s.asked(s.wrongEarlier(r)))
	}
	if c.Note != "" {
		a.Notes = append(a.Notes, c.Note)
	} else if several {
		a.Notes = append(a.Notes, "read as "+c.Reading.String())
	}
	switch judge.Directions(r.Direction, c.Direction) {
	case judge.Opposite:
		s.fault(r, a, faultDirection(r.Direction, c.Direction))
		return
	case judge.Foreign:
		a.Verdict = classset.ByHand
		s.open(r, a, fmt.Sprintf("the number is right, but the direction is %q where %q is asked for", c.Direction, r.Direction))
		return
	}
	if r.UnitMark > 0 && !c.HasUnit && (r.Type.Dim != quantity.Dim{}) {
		s.fault(r, a, faultNoUnit(r.Question))
	}
	s.figures(r, a, c)
}

// asked names questions as the pupil knows them, by their numbers on the sheet: "question 3", "questions 1 and 3".
func (s *marking) asked(names []string) string {
	var numbers []string
	number := 0
	for _, r := range s.rules {
		if !s.sheet.Has(r.Question) {
			continue
		}
		number++
		if slices.Contains(names, r.ID) {
			numbers = append(numbers, strconv.Itoa(number))
		}
	}
	switch len(numbers) {
	case 0: // a sheet that lacks what it goes on from
		return list(names)
	case 1:
		return "question " + numbers[0]
	}
	return "questions " + list(numbers)
}

// wrongEarlier are the earlier answers that were carried although they were not right.
func (s *marking) wrongEarlier(r *rule) (names []string) {
	for _, name := range r.earlier {
		if st := s.states[s.index[name]]; st.read && !st.right {
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return r.earlier
	}
	return names
}

// figures notes an answer with too few or too many significant figures; it costs a mark only where the template says so.
func (s *marking) figures(r *rule, a *classset.Answer, c candidate) {
	if r.Stepped || c.High == 0 || c.High >= r.SFLow && c.Low <= r.SFHigh {
		return // a step has as many figures as it has
	}
	f := faultFigures(r.Question, c.High < r.SFLow)
	if r.SFMark > 0 {
		f.marks = r.SFMark
		s.fault(r, a, f)
		return
	}
	a.Notes = append(a.Notes, f.pupil)
}

// otherDimension marks an answer in a unit of another dimension: a slip where the number shows what was meant, else unread.
func (s *marking) otherDimension(i int, r *rule, a *classset.Answer, v views, foreign []quantity.Reading) {
	for _, reading := range foreign {
		bare := reading
		bare.HasUnit = false
		c := newCandidate(r.Question, bare)
		f := faultUnit(r.Question, reading)
		ok, right := rightIn(v, c)
		if !ok && weighs(reading.Unit.Dim, r.Type.Dim) {
			g := s.marks.Gravity
			c.value, c.digit = reading.Unit.Span(reading.Number)*g, reading.Unit.Span(reading.Digit)*g
			f = faultMass(r.Question, reading)
			ok, right = rightIn(v, c)
		}
		if ok {
			s.own(i, r, a, c, right)
			a.Verdict, a.Marks = classset.Right, r.Marks
			s.fault(r, a, f)
			return
		}
	}
	s.unread(r, a, fmt.Sprintf("%s is not a unit of what is asked for (%s)", foreign[0].Unit.Symbol, boxUnit(r.Question)))
}

// weighs reports whether a mass was given for a force, or a mass times or over a length for a moment or a force per length: g
// times the one is the other.
func weighs(given, asked quantity.Dim) bool {
	for length := int8(-1); length <= 1; length++ {
		if given == quantity.Base(length, 1) && asked == quantity.Base(length+1, 1, -2) {
			return true
		}
	}
	return false
}

// rightIn reports whether a reading is right in any view, and whether in itself.
func rightIn(v views, c candidate) (fits, right bool) {
	for _, view := range []*view{v.truth, v.mixed} {
		if view != nil && view.fits(c) {
			return true, true
		}
	}
	return v.chain != nil && v.chain.fits(c), false
}

// notRight marks a number that is neither right nor carried. carriesTrivially tells that it follows from the pupil's own
// earlier answers, which have made the step meaningless.
func (s *marking) notRight(i int, r *rule, a *classset.Answer, v views, c candidate, carriesTrivially bool) {
	s.own(i, r, a, c, false)
	switch {
	case v.impossible != nil:
		a.Verdict = classset.ByHand
		s.open(r, a, fmt.Sprintf("the earlier answers (%s) make this step impossible: %v", list(s.wrongEarlier(r)), v.impossible))
		return
	case carriesTrivially:
		a.Verdict = classset.ByHand
		s.open(r, a, fmt.Sprintf("follows from the earlier answers (%s), but they make this step meaningless", list(s.wrongEarlier(r))))
		return
	}
	if c.Note != "" {
		a.Notes = append(a.Notes, c.Note)
	}
	if cause := s.cause(r, v, c); cause != nil {
		s.slip(r, a, cause)
		return
	}
	a.Verdict = classset.Wrong
	expected := v.chain
	if v.truth != nil {
		expected = v.truth
	}
	a.Message = sayWrong(r.Question, c, expected.targets[0])
	if s.beforeStep(r, c, expected.frame) || v.chain != nil && s.beforeStep(r, c, v.chain.frame) {
		a.Message = sayBeforeStep
	}
}
