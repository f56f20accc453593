package labs

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// answer is what a question's block holds until it can be checked.
type answer struct {
	unit   scalar
	within scalar
}

var questionKeys = []string{"ask", "answer", "unit", "choices", "by_hand", "marks", "sf", "within", "unit_mark", "sf_mark", "direction",
	"mistakes", "look_for", "hint", "skill", "space", "shuffle", "may_equal", "levels"}

var tickKeys = []string{"ask", "items", "marks", "hint", "skill", "levels"}

// kindKeys are the question keys that only some kinds have.
var kindKeys = map[QuestionKind][]string{
	Numeric: {"answer", "unit", "sf", "within", "unit_mark", "sf_mark", "direction", "mistakes", "may_equal"},
	Choice:  {"answer", "choices", "mistakes", "shuffle"},
	ByHand:  {"by_hand"},
}

// question reads a question or tick block. It is declared at once; its formulas are compiled later.
func (r *reader) question(kind, id string, b body) *Question {
	keys := questionKeys
	if kind == "tick" {
		keys = tickKeys
	}
	if !formula.IsName(id) {
		r.at(b.place, "%q is no id for a %s: use letters, digits and _, as in ```%s Fb", id, kind, kind)
		return nil
	}
	r.reserved(id, b.place)
	before := len(r.all)
	defer func() {
		if len(r.all) > before {
			r.broken[id] = true
		}
	}()
	f, ok := b.keys("a "+kind, keys)
	if !ok {
		return nil
	}
	q := &Question{ID: id, Place: b.place, Marks: f.whole("marks", 0, 100, 1)}
	if other := r.lab.Question(id); other != nil {
		r.at(b.place, "there is another question %s", id)
		return nil
	}
	if len(r.lab.Questions) >= maxQuestions {
		r.tooMany(b.place, maxQuestions, "questions")
		return nil
	}
	if q.Kind, ok = r.kindOf(kind, f); !ok {
		return nil
	}
	r.lab.Questions = append(r.lab.Questions, q)
	r.askedWords(q, f)
	switch q.Kind {
	case Ticks:
		f.require("a tick block", "items")
		q.Items = r.printed(f, "items")
	case ByHand:
		q.Marks = f.whole("by_hand", 1, 100, 1)
		if f.has("marks") {
			r.at(f.names["marks"], "by_hand gives the marks already")
		}
	default:
		r.declare(id, b.place, entry{question: q})
		r.computed(q, f)
	}
	return q
}

// kindOf tells how a question is answered.
func (r *reader) kindOf(kind string, f fields) (QuestionKind, bool) {
	switch {
	case kind == "tick":
		return Ticks, true
	case f.has("by_hand"):
		return ByHand, r.only(f, ByHand, "by_hand")
	case f.has("choices"):
		f.require("a question with choices", "answer")
		return Choice, r.only(f, Choice, "choices")
	case f.has("answer"):
		f.require("a question with a number for its answer", "unit")
		return Numeric, r.only(f, Numeric, "answer and unit")
	}
	r.at(f.place, "the question does not say how it is answered: give answer and unit, answer and choices, or by_hand")
	return 0, false
}

// only notes keys that belong to questions of another kind.
func (r *reader) only(f fields, kind QuestionKind, with string) bool {
	for _, key := range f.keys { // the first in the file is told
		for _, keys := range kindKeys {
			if contains(keys, key) && !contains(kindKeys[kind], key) {
				r.at(f.names[key], "%s does not go with %s", key, with)
				return false
			}
		}
	}
	return true
}

// askedWords reads the texts that every question has.
func (r *reader) askedWords(q *Question, f fields) {
	if q.Kind != Ticks {
		f.require("a question", "ask")
	}
	if s, ok := f.text("ask"); ok {
		q.Ask = s.text
		r.texts = append(r.texts, prose{s, true})
	}
	if s, ok := f.text("hint"); ok {
		q.Hint = s.text
		r.texts = append(r.texts, prose{s, true})
	}
	for _, s := range f.list("look_for") {
		q.LookFor = append(q.LookFor, s.text)
		r.texts = append(r.texts, prose{s, false})
	}
	if s, ok := f.text("skill"); ok {
		q.Skill = s.text
	}
	r.space(q, f)
	for _, s := range f.list("levels") {
		if !contains(Levels, s.text) {
			r.at(s.place(), "a level is one of %s, not %q", strings.Join(Levels, ", "), s.text)
		}
		q.Levels = append(q.Levels, s.text)
	}
}

// space reads the room for working: a height, and "ruled" after it where there are lines to write on.
func (r *reader) space(q *Question, f fields) {
	s, ok := f.text("space")
	if !ok {
		return
	}
	var height string
	height, q.Ruled = strings.CutSuffix(s.text, " ruled")
	l, err := parseLiteral(height)
	if err != nil || l.unit.Dim != quantity.Base(1) || l.x < 0 {
		r.at(s.place(), "space is a height on the page, such as 30 mm, or 30 mm ruled for lines to write on")
	}
	q.Space = l.si() * 1000
}

// computed reads what a numeric or choice question has besides.
func (r *reader) computed(q *Question, f fields) {
	a := answer{}
	if s, ok := f.text("answer"); ok {
		q.Expr = r.parse(s)
	}
	a.unit, _ = f.text("unit")
	own := func(key string) fields {
		if !f.has(key) && r.marks.has(key) {
			return r.marks
		}
		return f
	}
	q.SFLow, q.SFHigh = 2, 4
	if s, ok := own("sf").text("sf"); ok && q.Kind == Numeric {
		r.significant(q, s)
	}
	if q.Kind == Numeric {
		a.within, _ = own("within").text("within")
		q.UnitMark = own("unit_mark").whole("unit_mark", 0, 1, 0)
		q.SFMark = own("sf_mark").whole("sf_mark", 0, q.Marks, 0)
		if q.UnitMark+q.SFMark > q.Marks {
			r.at(q.Place, "unit_mark and sf_mark come to %d, more than the question's %d", q.UnitMark+q.SFMark, q.Marks)
		}
	}
	if s, ok := f.text("direction"); ok {
		if q.Direction = direction(s.text); q.Direction == "" {
			r.at(s.place(), "%q is no direction that answers are read for, such as up, left, forward, clockwise", s.text)
		}
	}
	q.MayEqual, q.Shuffle = f.flag("may_equal"), f.flag("shuffle")
	q.Choices = r.printed(f, "choices")
	if f.has("choices") && (len(q.Choices) < 2 || len(q.Choices) > maxChoices) {
		r.at(f.names["choices"], "a question has 2 to %d choices, not %d", maxChoices, len(q.Choices))
	}
	seen := map[string]bool{}
	for _, c := range q.Choices {
		if key := strings.ToLower(strings.TrimSpace(c)); seen[key] {
			r.at(f.names["choices"], "the choice %q is there twice", c)
		} else {
			seen[key] = true
		}
	}
	r.mistakes(q, f)
	r.answer[q] = a
}

// direction is the word that a reading of an answer keeps for a direction, "" when it knows none.
func direction(word string) string {
	readings, _ := quantity.Read("1 " + word)
	for _, reading := range readings {
		if reading.Direction != "" {
			return reading.Direction
		}
	}
	return ""
}

var figureRange = regexp.MustCompile(`^(\d+)(?:\s*\.\.\s*(\d+))?$`)

// significant reads `sf`: 3, or 2..4.
func (r *reader) significant(q *Question, s scalar) {
	m := figureRange.FindStringSubmatch(strings.TrimSpace(s.text))
	if m == nil {
		r.at(s.place(), "sf is a number of figures, such as 3, or a range, such as 2..4")
		return
	}
	q.SFLow, _ = strconv.Atoi(m[1])
	q.SFHigh = q.SFLow
	if m[2] != "" {
		q.SFHigh, _ = strconv.Atoi(m[2])
	}
	if q.SFLow < 1 || q.SFHigh > 12 || q.SFLow > q.SFHigh {
		r.at(s.place(), "figures run from 1 to 12 and upwards: %q does not", s.text)
	}
}

// mistakes reads the listed mistakes.
func (r *reader) mistakes(q *Question, f fields) {
	n := f.nodes["mistakes"]
	if n == nil {
		return
	}
	if len(n.Content) > maxMistakes {
		f.doc.at(f.doc.node(n.Content[maxMistakes]), "a question lists at most %d mistakes, and there are %d", maxMistakes, len(n.Content))
		return
	}
	for _, item := range n.Content {
		m, ok := f.doc.fields(item, "a mistake", []string{"value", "marks", "why"})
		if !ok {
			return
		}
		m.require("a mistake", "value", "why")
		mistake := Mistake{Place: m.place, Marks: m.whole("marks", 0, q.Marks, 0)}
		if s, ok := m.text("value"); ok {
			mistake.Expr = r.parse(s)
		}
		if s, ok := m.text("why"); ok {
			mistake.Why = s.text
			r.texts = append(r.texts, prose{s, false})
		}
		if mistake.Expr != nil {
			q.Mistakes = append(q.Mistakes, mistake)
		}
	}
	if len(n.Content) == 0 {
		f.doc.at(f.names["mistakes"], "mistakes is a list of {value, marks, why}")
	}
}

// within reads a tolerance: a share of the answer, or an amount in its unit.
func (r *reader) within(q *Question, s scalar) {
	l, err := parseLiteral(s.text)
	switch {
	case err != nil:
		r.at(s.place(), "within: %v", err)
	case l.x <= 0:
		r.at(s.place(), "within is above zero")
	case l.text == "%":
		if q.Type.Point {
			r.at(s.place(), "a share of a temperature on its scale means nothing: give within in degC")
			return
		}
		q.Within = &Tolerance{Relative: l.span()}
	case l.unit.Dim != q.Type.Dim:
		r.at(s.place(), "within is in %s, but the answer in %s; a share of the answer is written 3 %%", l.unit.Dim, q.Type.Dim)
	default:
		q.Within = &Tolerance{Absolute: l.span()}
	}
}

// unit reads the unit of the answer, whose type is known by now.
func (r *reader) unit(q *Question, s scalar) {
	if s.text == "" {
		return // missing: noted already
	}
	u, err := quantity.ParseUnit(s.text)
	switch {
	case err != nil:
		r.at(s.place(), "unit: %v", err)
	case u.Dim != q.Type.Dim:
		r.at(s.place(), "the answer is in %s, which cannot be given in %s", q.Type.Dim, s.text)
	case u.Offset != 0 && !q.Type.Point:
		r.at(s.place(), "the answer is a difference of temperatures: its unit is K")
	default:
		q.Show = Display{Unit: u, Text: s.text}
	}
}

// levelsWithin reports whether everyone who answers q has answered earlier.
func levelsWithin(q, earlier *Question) bool {
	if earlier.Levels == nil {
		return true
	}
	for _, level := range q.Levels {
		if !contains(earlier.Levels, level) {
			return false
		}
	}
	return q.Levels != nil
}

// mayUse says why the answer of q, or a mistake in it, may not use a name; "" when it may.
func (r *reader) mayUse(q *Question, name string, mistake bool) string {
	for _, base := range r.lab.bases(name) {
		e := r.lab.names[base]
		switch {
		case e.value != nil && e.value.Hidden && !mistake:
			if base != name {
				return fmt.Sprintf("%s depends on %s, which is hidden: the pupil cannot know it", name, base)
			}
			return fmt.Sprintf("%s is hidden: no answer may use what the pupil cannot know", name)
		case e.question == q:
			return fmt.Sprintf("%s is this question's own answer", base)
		case e.question != nil && !r.earlier(e.question, q):
			return fmt.Sprintf("%s is the answer of a later question", base)
		case e.question != nil && !levelsWithin(q, e.question):
			return fmt.Sprintf("%s is not asked on every sheet that asks this: its levels are %s", base, strings.Join(e.question.Levels, ", "))
		}
	}
	return ""
}

func (r *reader) earlier(a, b *Question) bool {
	for _, q := range r.lab.Questions {
		if q == a {
			return true
		}
		if q == b {
			return false
		}
	}
	return false
}
