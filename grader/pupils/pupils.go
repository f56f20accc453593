// Package pupils simulates a class that answers a set: it rounds, writes units, slips, leaves blanks and copies as pupils
// do, and records what each one did, so that the marking can be held against the truth. It shares nothing with the
// package that looks for slips, so a measure made with it is not circular. Start with [Class].
package pupils

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/quantity"
)

// Kind is what a simulated pupil did with a question.
type Kind string

// What a pupil did.
const (
	Right  Kind = "right"  // worked it out from the printed values and the pupil's own earlier answers
	Slip   Kind = "slip"   // made the slip named in Did.Slip
	Blank  Kind = "blank"  // wrote nothing
	Unsure Kind = "unsure" // wrote two numbers and left the choice to the reader
	Copied Kind = "copied" // wrote what the neighbour wrote
	Words  Kind = "words"  // a question that a person marks
)

// Did is the truth about one answer.
type Did struct {
	Kind Kind
	Slip string  // the id of the slip made
	SI   float64 // the number meant, before it was rounded and written
}

// Work is one pupil's answers and the truth about them, by question. A pupil who is Away handed nothing in.
type Work struct {
	Sheet     *classset.Sheet
	Written   map[string]string
	Did       map[string]Did
	Readings  map[string]quantity.Value // at the bench, by the value's name
	Neighbour string                    // the code of the sheet copied from
	Away      bool
}

// A Mistake gives the number that a slip leads to, in coherent SI, on what the pupil's frame holds.
type Mistake struct {
	ID    string
	Value func(f labs.Frame) (float64, error)
}

// Habits say how often, as shares of 1, the pupils of a class do what.
type Habits struct {
	Slip, Blank, Unsure, Copy, Away float64
	// Mistakes gives the slips a pupil may make at a question; nil: those the lab lists, and powers of ten.
	Mistakes func(l *labs.Lab, q *labs.Question) []Mistake
}

// Everyday is how an ordinary class does.
var Everyday = Habits{Slip: 0.13, Blank: 0.05, Unsure: 0.01, Copy: 0.08, Away: 0.05}

// Class lets the whole class answer. The same set and seed give the same answers.
func Class(l *labs.Lab, set *classset.Set, h Habits, seed uint64) ([]*Work, error) {
	if h.Mistakes == nil {
		h.Mistakes = listed
	}
	c := &classroom{lab: l, set: set, habits: h, rng: rand.New(rand.NewPCG(seed, 0x6b65656c)), bench: map[string]map[string]quantity.Value{}}
	class := make([]*Work, len(set.Sheets))
	for i, sheet := range set.Sheets {
		w, err := c.answer(sheet)
		if err != nil {
			return nil, fmt.Errorf("sheet %s: %w", classset.ShowCode(sheet.Code), err)
		}
		class[i] = w
	}
	for i, w := range class {
		if i > 0 && c.rng.Float64() < h.Copy {
			c.copy(w, class[i-1])
		}
		w.Away = i > 0 && c.rng.Float64() < h.Away
	}
	return class, nil
}

// classroom is a class at work: what the pupils share.
type classroom struct {
	lab    *labs.Lab
	set    *classset.Set
	habits Habits
	rng    *rand.Rand
	bench  map[string]map[string]quantity.Value // readings by bench group
}

// copy takes over about half of the neighbour's numbers, as they stand.
func (c *classroom) copy(w, neighbour *Work) {
	w.Neighbour = neighbour.Sheet.Code
	for _, q := range c.lab.Questions {
		if q.Kind == labs.Numeric && !q.Bench && w.Sheet.Has(q) && neighbour.Written[q.ID] != "" && c.rng.Float64() < 0.5 {
			w.Written[q.ID] = neighbour.Written[q.ID]
			w.Did[q.ID] = Did{Kind: Copied, SI: neighbour.Did[q.ID].SI}
		}
	}
}

// answer lets one pupil work through the sheet.
func (c *classroom) answer(sheet *classset.Sheet) (*Work, error) {
	w := &Work{Sheet: sheet, Written: map[string]string{}, Did: map[string]Did{}}
	f, err := c.set.Frame(c.lab, sheet)
	if err != nil {
		return nil, err
	}
	group := sheet.Group
	if group == "" {
		group = sheet.Code
	}
	if c.bench[group] == nil {
		c.bench[group] = c.readInstruments(f)
	}
	w.Readings = c.bench[group]
	for _, v := range c.lab.Values {
		if v.Source == labs.Measured {
			f[v.Slot] = w.Readings[v.Name]
			w.Written[v.Name] = readings(v, f[v.Slot])
		}
	}
	truth := slices.Clone(f)
	if err := c.lab.Solve(truth); err != nil {
		return nil, err
	}
	hand := newHand(c.rng)
	for _, q := range c.lab.Questions {
		if !sheet.Has(q) {
			f[q.Slot] = truth[q.Slot]
			continue
		}
		if err := c.question(w, q, f, truth, hand); err != nil {
			return nil, fmt.Errorf("question %s: %w", q.ID, err)
		}
	}
	return w, nil
}

// question answers one question and leaves the pupil's own answer in the frame f, for the questions that build on it. After
// a blank they build on the true answer. Where the pupil's own earlier answers make the question impossible it stays blank.
func (c *classroom) question(w *Work, q *labs.Question, f, truth labs.Frame, hand *hand) error {
	if q.Kind == labs.ByHand || q.Kind == labs.Ticks {
		w.Did[q.ID] = Did{Kind: Words}
		w.Written[q.ID] = fmt.Sprint(c.rng.IntN(q.Marks + 1)) // the marks that the teacher gave while reading
		return nil
	}
	v, err := c.lab.Answer(q, f)
	did := Did{Kind: Right, SI: v.X}
	switch roll := c.rng.Float64(); {
	case roll < c.habits.Blank || err != nil:
		w.Did[q.ID] = Did{Kind: Blank}
		f[q.Slot] = truth[q.Slot]
		return nil
	case roll < c.habits.Blank+c.habits.Slip:
		did = c.slip(q, f, did)
	case roll > 1-c.habits.Unsure && q.Kind == labs.Numeric:
		first, _ := hand.write(v.X, q, false)
		second, _ := hand.write(1.1*v.X, q, false)
		w.Written[q.ID], w.Did[q.ID] = first+" or "+second, Did{Kind: Unsure}
		f[q.Slot] = truth[q.Slot]
		return nil
	}
	w.Did[q.ID] = did
	if q.Kind == labs.Choice {
		w.Written[q.ID] = c.choice(w.Sheet, q, int(did.SI))
		return nil
	}
	text, x := hand.write(did.SI, q, did.Kind == Right)
	w.Written[q.ID] = text
	f[q.Slot] = quantity.Value{X: x}
	return nil
}

// slip makes one of the slips that the question offers; where none gives a number of its own, the answer stays right.
func (c *classroom) slip(q *labs.Question, f labs.Frame, right Did) Did {
	if q.Kind == labs.Choice {
		other := 1 + c.rng.IntN(len(q.Choices))
		if other == int(right.SI) {
			return right
		}
		return Did{Kind: Slip, Slip: "choice", SI: float64(other)}
	}
	options := c.habits.Mistakes(c.lab, q)
	for len(options) > 0 {
		i := c.rng.IntN(len(options))
		x, err := options[i].Value(f)
		if err == nil && !math.IsNaN(x) && !math.IsInf(x, 0) && x != 0 && math.Abs(x-right.SI) > 0.06*math.Abs(right.SI) {
			return Did{Kind: Slip, Slip: options[i].ID, SI: x}
		}
		options = slices.Delete(options, i, i+1)
	}
	return right
}

// listed are the mistakes that the lab lists, and the slip of a power of ten.
func listed(l *labs.Lab, q *labs.Question) []Mistake {
	var list []Mistake
	for i, m := range q.Mistakes {
		list = append(list, Mistake{fmt.Sprintf("listed-%d", i+1), func(f labs.Frame) (float64, error) {
			v, err := m.Run.Eval(f)
			return v.X, err
		}})
	}
	for _, factor := range []float64{10, 0.1, 1000, 0.001} {
		list = append(list, Mistake{"power-of-ten", func(f labs.Frame) (float64, error) {
			v, err := l.Answer(q, f)
			return factor * v.X, err
		}})
	}
	return list
}

// readInstruments takes the readings of a bench group: what the lab expects, spread a little, on the divisions of the instrument.
func (c *classroom) readInstruments(f labs.Frame) map[string]quantity.Value {
	values := map[string]quantity.Value{}
	for _, v := range c.lab.Values {
		if v.Source != labs.Measured {
			continue
		}
		spread := func(x float64) float64 {
			sigma := 0.5 * max(v.Division, 0.01*math.Abs(x))
			shown := quantity.RoundTo(v.Show.Unit.From(x+sigma*c.rng.NormFloat64()), v.Show.Step)
			return v.Show.Unit.SI(shown)
		}
		if v.Type.Kind == quantity.Column {
			col := make([]float64, len(f[v.Slot].Col))
			for i, x := range f[v.Slot].Col {
				col[i] = spread(x)
			}
			values[v.Name] = quantity.Value{Col: col}
		} else {
			values[v.Name] = quantity.Value{X: spread(f[v.Slot].X)}
		}
	}
	return values
}

// readings writes bench readings as a table holds them: one number, or several between semicolons.
func readings(v *labs.Value, x quantity.Value) string {
	plain := strings.NewReplacer("\u2009", "", "−", "-")
	one := func(si float64) string {
		return plain.Replace(quantity.FormatStep(v.Show.Unit.From(si), v.Show.Step))
	}
	if v.Type.Kind != quantity.Column {
		return one(x.X)
	}
	texts := make([]string, len(x.Col))
	for i, si := range x.Col {
		texts[i] = one(si)
	}
	return strings.Join(texts, "; ")
}

// choice writes a choice as its text or as its letter on this sheet.
func (c *classroom) choice(sheet *classset.Sheet, q *labs.Question, number int) string {
	if number < 1 || number > len(q.Choices) {
		return ""
	}
	if c.rng.IntN(3) == 0 && !strings.ContainsAny(q.Choices[number-1], "{$") {
		return q.Choices[number-1]
	}
	at := number - 1
	if order := sheet.Choices[q.ID]; order != nil {
		at = slices.Index(order, number)
	}
	return string(rune('A' + at))
}

// Table lays the answers out as an answer file: a header, then a row for every pupil who was there.
func Table(l *labs.Lab, class []*Work) [][]string {
	header := []string{"sheet"}
	for _, v := range l.Values {
		if v.Source == labs.Measured {
			header = append(header, v.Name)
		}
	}
	for _, q := range l.Questions {
		header = append(header, q.ID)
	}
	rows := [][]string{header}
	for _, w := range class {
		if w.Away {
			continue
		}
		row := []string{classset.ShowCode(w.Sheet.Code)}
		for _, column := range header[1:] {
			row = append(row, w.Written[column])
		}
		rows = append(rows, row)
	}
	return rows
}
