package grader_test

import (
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"keelmark/generator"
	"keelmark/grader"
	"keelmark/grader/pupils"
	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/formula"
	"keelmark/labs/judge"
	"keelmark/labs/quantity"
)

const (
	measureSeed = 20261125
	classSize   = 30
	outside     = "outside" // a slip that the engine's catalogue does not hold
)

// The measure: how the marking does on 10,000 simulated pupils (500 with -short) over all labs. The slips they make are
// formulas written by hand, in testdata/slips, a third of them such as the engine does not know; they are evaluated by a
// path that shares nothing with the search for causes. The goals are asserted.
func TestMeasure(t *testing.T) {
	number := 10000
	if testing.Short() {
		number = 500
	}
	names := labs.Names()
	all := make([]*measure, len(names))
	var workers sync.WaitGroup
	for i, name := range names {
		share := (number*(i+1))/len(names) - number*i/len(names)
		workers.Go(func() { all[i] = measureLab(t, name, share) })
	}
	workers.Wait()
	if t.Failed() {
		return
	}
	sum := newMeasure("all labs")
	for _, m := range all {
		t.Log(m.line())
		sum.add(m)
	}
	for _, line := range sum.report() {
		t.Log(line)
	}
	sum.goals(t)
}

// BenchmarkMeasure draws, answers and marks a class of 30 of every lab in turn.
func BenchmarkMeasure(b *testing.B) {
	names := labs.Names()
	for i := range b.N {
		measureLab(b, names[i%len(names)], classSize)
	}
}

// goals fails the test where the measure misses what is promised.
func (m *measure) goals(t *testing.T) {
	least := func(what string, got, goal float64) {
		if !(got >= goal) {
			t.Errorf("%s: %.2f %%, want at least %v %%", what, got, goal)
		}
	}
	most := func(what string, got, goal float64) {
		if !(got <= goal) {
			t.Errorf("%s: %.2f %%, want at most %v %%", what, got, goal)
		}
	}
	least("slips named rightly", m.known.percent(named), 90)
	most("slips named falsely", m.known.percent(misnamed), 1)
	most("log-uniform numbers with a cause", m.logUniform.percent(named)+m.logUniform.percent(maybe), 5)
	most("numbers near the right one with a cause", m.near.percent(named)+m.near.percent(maybe), 5)
	least("right answers with full marks", m.right.percent(full), 100)
	most("marks won by copying", 100*m.copiedMarks/m.copiableMarks, 5)
	if m.pairsOver > 0 {
		t.Errorf("%d pairs of neighbours or of a bench group share more answers than the rule allows", m.pairsOver)
	}
}

// What becomes of an answer.
const (
	named     = "named"     // a slip: named rightly; a number: given a cause
	misnamed  = "misnamed"  // given the name of another slip
	silent    = "silent"    // wrong, and no cause named
	maybe     = "perhaps"   // a cause named as no more than possible, which earns nothing
	luck      = "luck"      // marked right all the same: not counted
	full      = "full"      // right, with full marks
	referred  = "referred"  // left to a person: an earlier slip leaves the step without meaning, or waits for a reading itself
	penalised = "penalised" // right, and not given full marks
)

// counts are answers by what became of them.
type counts map[string]int

func (c counts) total() (n int) {
	for outcome, k := range c {
		if outcome != luck && outcome != referred {
			n += k
		}
	}
	return n
}

func (c counts) percent(outcome string) float64 {
	return 100 * float64(c[outcome]) / float64(c.total())
}

func (c counts) String() string {
	return fmt.Sprintf("%6.2f %% named, %5.2f %% named falsely, %5.2f %% perhaps, %5.2f %% silent (of %d)",
		c.percent(named), c.percent(misnamed), c.percent(maybe), c.percent(silent), c.total())
}

// measure is what was counted.
type measure struct {
	name                       string
	pupils                     int
	known, strange             counts // slips of three digits or more: in the engine's catalogue, and outside
	knownShort, strangeShort   counts // the same written to two digits
	logUniform, near, right    counts
	copiedMarks, copiableMarks float64 // over all pairs
	wholeMarks, wholeOf        float64 // a whole sheet copied from the neighbour
	pairs, pairsOver, farOver  int     // pairs; those that must keep the rule and do not; others beyond it
	hard                       map[string]counts
}

func newMeasure(name string) *measure {
	return &measure{name: name, known: counts{}, strange: counts{}, knownShort: counts{}, strangeShort: counts{},
		logUniform: counts{}, near: counts{}, right: counts{}, hard: map[string]counts{}}
}

func (m *measure) counts() []counts {
	return []counts{m.known, m.strange, m.knownShort, m.strangeShort, m.logUniform, m.near, m.right}
}

func (m *measure) add(o *measure) {
	for i, c := range m.counts() {
		for outcome, n := range o.counts()[i] {
			c[outcome] += n
		}
	}
	m.pupils += o.pupils
	m.copiedMarks, m.copiableMarks = m.copiedMarks+o.copiedMarks, m.copiableMarks+o.copiableMarks
	m.wholeMarks, m.wholeOf = m.wholeMarks+o.wholeMarks, m.wholeOf+o.wholeOf
	m.pairs, m.pairsOver, m.farOver = m.pairs+o.pairs, m.pairsOver+o.pairsOver, m.farOver+o.farOver
	for slip, c := range o.hard {
		m.hard[slip] = c
	}
}

func (m *measure) line() string {
	return fmt.Sprintf("%-26s slips %5.1f %% named, %4.2f %% falsely; outside %4.1f %% named; random %4.1f %%, near %4.1f %%; right %5.1f %%; copying %4.1f %%",
		m.name, m.known.percent(named), m.known.percent(misnamed), m.strange.percent(misnamed),
		m.logUniform.percent(named), m.near.percent(named), m.right.percent(full), 100*m.copiedMarks/max(1, m.copiableMarks))
}

func (m *measure) report() []string {
	lines := []string{
		fmt.Sprintf("%d pupils", m.pupils),
		fmt.Sprintf("slips of the catalogue     %v", m.known),
		fmt.Sprintf("slips outside it           %v", m.strange),
		fmt.Sprintf("to two digits: catalogue   %v", m.knownShort),
		fmt.Sprintf("to two digits: outside     %v", m.strangeShort),
		fmt.Sprintf("random, log-uniform        %v", m.logUniform),
		fmt.Sprintf("random, within ±50 %%       %v", m.near),
		fmt.Sprintf("right answers              %6.2f %% with full marks (of %d; %d more wait for a person, by an earlier slip that is unread or leaves the step without meaning)",
			m.right.percent(full), m.right.total(), m.right[referred]),
		fmt.Sprintf("copying one answer         %6.2f %% of the marks; %d of %d pairs of neighbours or bench mates beyond the rule, %d other pairs",
			100*m.copiedMarks/m.copiableMarks, m.pairsOver, m.pairs, m.farOver),
		fmt.Sprintf("copying the whole sheet    %6.2f %% of the marks, follow-through included", 100*m.wholeMarks/m.wholeOf),
	}
	for _, slip := range sortedKeys(m.hard) {
		if c := m.hard[slip]; c[penalised] > 0 || c.total() >= 5 && (len(c) > 1 && c[misnamed] > c.total()/20 || !strings.HasSuffix(slip, "[]") && c.percent(named) < 80) {
			lines = append(lines, fmt.Sprintf("hard: %v %v", slip, map[string]int(c)))
		}
	}
	return lines
}

func sortedKeys(m map[string]counts) []string { return slices.Sorted(maps.Keys(m)) }

// handSlip is a line of testdata/slips.
type handSlip struct {
	question, source string
	names            []string // the ids under which the engine may name it; none: it is outside the catalogue
	run              *formula.Program
}

// handSlips reads the slips written by hand for a lab, by question.
func handSlips(l *labs.Lab) (map[string][]*handSlip, error) {
	file := "testdata/slips/" + strings.ReplaceAll(l.Name, "/", "-") + ".txt"
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	slips := map[string][]*handSlip{}
	for i, line := range strings.Split(string(text), "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		fields := strings.Split(line, " : ")
		if len(fields) != 4 {
			return nil, fmt.Errorf("%s:%d: want question, formula, slip and what went wrong between colons", file, i+1)
		}
		s := &handSlip{question: fields[0], source: fields[1]}
		if fields[2] != outside {
			s.names = strings.Split(fields[2], ", ")
		}
		expr, err := formula.Parse(s.source)
		if err == nil {
			s.run, err = expr.CompilePlain(l, l.Functions)
		}
		if err == nil && l.Question(s.question) == nil {
			err = fmt.Errorf("the lab has no question %s", s.question)
		}
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %s: %w", file, i+1, s.source, err)
		}
		slips[s.question] = append(slips[s.question], s)
	}
	return slips, nil
}

// trial is one class of a lab: drawn, answered, marked.
type trial struct {
	*measure
	lab    *labs.Lab
	slips  map[string][]*handSlip
	set    *classset.Set
	marker *grader.Marker
	rng    *rand.Rand
}

// measureLab lets a number of pupils do a lab, in classes of thirty.
func measureLab(t testing.TB, name string, number int) *measure {
	m := newMeasure(name)
	l, err := labs.Load(name)
	if err != nil {
		t.Error(err)
		return m
	}
	slips, err := handSlips(l)
	if err != nil {
		t.Error(err)
		return m
	}
	for class := 0; m.pupils < number; class++ {
		c := &trial{measure: m, lab: l, slips: slips, rng: rand.New(rand.NewPCG(measureSeed, uint64(class)))}
		if err := c.run(class, min(classSize, number-m.pupils), number); err != nil {
			t.Errorf("%s: %v", name, err)
			return m
		}
	}
	return m
}

// run draws a class set and lets three classes in turn answer it, as long as pupils are wanted.
func (c *trial) run(class, size, number int) error {
	roster := make([]classset.Pupil, size)
	for i := range roster {
		roster[i] = classset.Pupil{ID: strconv.Itoa(i), Name: fmt.Sprint("Pupil ", i+1), Group: strconv.Itoa(i / 3)}
	}
	var err error
	c.set, err = generator.Draw(context.Background(), generator.MakeOptions{Lab: c.lab, Roster: roster, Seed: fmt.Sprint("measure ", class)})
	if err != nil {
		return err
	}
	if c.marker, err = grader.NewMarker(c.lab, c.set, nil, nil); err != nil {
		return err
	}
	habits := pupils.Habits{Slip: 0.3, Blank: 0.04, Mistakes: c.mistakes}
	var works []*pupils.Work
	for round := 0; round < 3 && c.pupils < number; round++ {
		if works, err = pupils.Class(c.lab, c.set, habits, uint64(measureSeed+3*class+round)); err != nil {
			return err
		}
		for _, w := range works[:min(size, number-c.pupils)] {
			if err := c.work(w); err != nil {
				return err
			}
			if err := c.single(w); err != nil {
				return err
			}
			c.pupils++
		}
	}
	return c.copying(works)
}

// mistakes offers the slips written by hand to a simulated pupil; the id is the number of the line.
func (c *trial) mistakes(_ *labs.Lab, q *labs.Question) (list []pupils.Mistake) {
	for i, s := range c.slips[q.ID] {
		list = append(list, pupils.Mistake{ID: strconv.Itoa(i), Value: func(f labs.Frame) (float64, error) {
			v, err := s.run.Eval(f)
			return v.X, err
		}})
	}
	return list
}

// work marks a whole sheet and holds what was found against what the pupil did.
func (c *trial) work(w *pupils.Work) error {
	marks, err := c.marker.Mark(w.Sheet, w.Written)
	if err != nil {
		return err
	}
	adrift := false // an earlier answer waits for a person, or is a slip taken for right: what follows from it cannot be told
	for _, a := range marks.Answers {
		q := c.lab.Question(a.Question)
		switch did := w.Did[a.Question]; {
		case q.Kind != labs.Numeric:
		case did.Kind == pupils.Right:
			outcome := rightly(a)
			if outcome == penalised && adrift {
				outcome = referred
			}
			c.right[outcome]++
			if outcome == penalised {
				c.note(fmt.Sprintf("right answer %s %q: %s %s", a.Question, a.Written, a.Verdict, a.Cause), penalised)
			}
		case did.Kind == pupils.Slip:
			n, _ := strconv.Atoi(did.Slip)
			c.slip(c.slips[a.Question][n], a)
		}
		adrift = adrift || q.Kind == labs.Numeric && (a.Open || w.Did[a.Question].Kind == pupils.Slip && a.Marks == a.OutOf)
	}
	return nil
}

// note counts what happened to one kind of answer, to tell what is hard.
func (c *trial) note(what, outcome string) {
	key := c.name + " " + what
	if c.hard[key] == nil {
		c.hard[key] = counts{}
	}
	c.hard[key][outcome]++
}

func rightly(a *classset.Answer) string {
	switch {
	case a.Open && a.Verdict != classset.Unread:
		return referred
	case a.Marks == a.OutOf:
		return full
	}
	return penalised
}

// slip counts a slip by what the marking made of it.
func (c *trial) slip(s *handSlip, a *classset.Answer) {
	outcome := outcomeOf(a)
	if outcome == named && !slices.Contains(s.names, a.Cause) {
		outcome = misnamed
	}
	known, strange := c.known, c.strange
	short := fewDigits(a.Written)
	if short {
		known, strange = c.knownShort, c.strangeShort
	}
	if s.names == nil {
		strange[outcome]++
	} else {
		known[outcome]++
	}
	if short {
		return
	}
	what := fmt.Sprintf("%s: %s: %v", s.question, s.source, s.names)
	c.note(what, outcome)
	if outcome == misnamed {
		c.note(what, a.Cause)
	}
}

// fewDigits reports whether a number was written to fewer than three digits that are sure to count.
func fewDigits(text string) bool {
	readings, _ := quantity.Read(text)
	return len(readings) > 0 && readings[0].Low > 0 && readings[0].Low < 3
}

// outcomeOf tells whether a wrong answer was given a cause.
func outcomeOf(a *classset.Answer) string {
	switch {
	case a.Verdict == classset.Slip:
		return named
	case a.Cause != "":
		return maybe
	case a.Verdict == classset.Wrong, a.Open:
		return silent
	}
	return luck
}

// single marks single answers to one question, the others left blank: a slip written to two digits, and two random numbers.
func (c *trial) single(w *pupils.Work) error {
	q := c.lab.Questions[c.rng.IntN(len(c.lab.Questions))]
	if q.Kind != labs.Numeric || q.Stepped || w.Written[q.ID] == "" {
		return nil
	}
	f, err := c.frame(w)
	if err != nil {
		return err
	}
	mark := func(si float64, figures int) (*classset.Answer, error) {
		written := map[string]string{}
		for _, v := range c.lab.Values {
			if v.Source == labs.Measured {
				written[v.Name] = w.Written[v.Name]
			}
		}
		written[q.ID] = strconv.FormatFloat(q.Show.Unit.From(si), 'e', figures-1, 64)
		marks, err := c.marker.Mark(w.Sheet, written)
		if err != nil {
			return nil, err
		}
		return marks.Answers[slices.IndexFunc(marks.Answers, func(a *classset.Answer) bool { return a.Question == q.ID })], nil
	}
	right := f[q.Slot].X
	random := []struct {
		counts
		x float64
	}{
		{c.logUniform, right * math.Pow(10, 6*c.rng.Float64()-3)},
		{c.near, right * (0.5 + c.rng.Float64())},
	}
	for _, r := range random {
		a, err := mark(r.x, 3)
		if err != nil {
			return err
		}
		r.counts[outcomeOf(a)]++
	}
	if list := c.slips[q.ID]; len(list) > 0 {
		s := list[c.rng.IntN(len(list))]
		v, err := s.run.Eval(f)
		if err != nil {
			return nil // this slip leads nowhere with these numbers
		}
		a, err := mark(v.X, 2)
		if err != nil {
			return err
		}
		c.slip(s, a)
	}
	return nil
}

// frame is the true frame of a sheet, on the pupil's bench readings.
func (c *trial) frame(w *pupils.Work) (labs.Frame, error) {
	f, err := c.set.Frame(c.lab, w.Sheet)
	if err != nil {
		return nil, err
	}
	for _, v := range c.lab.Values {
		if v.Source == labs.Measured {
			f[v.Slot] = w.Readings[v.Name]
		}
	}
	return f, c.lab.Solve(f)
}

// copying holds every pupil's right answers against every other's sheet, one at a time as printed numbers, and lets each
// copy the whole sheet of the one before.
func (c *trial) copying(works []*pupils.Work) error {
	var questions []*labs.Question
	for _, q := range c.lab.Questions {
		if q.Kind == labs.Numeric && !q.Bench && !q.Stepped {
			questions = append(questions, q)
		}
	}
	frames := make([]labs.Frame, len(works))
	targets := make([][]judge.Target, len(works))
	for i, w := range works {
		var err error
		if frames[i], err = c.frame(w); err != nil {
			return err
		}
		for _, q := range questions {
			aim, err := judge.Aim(c.lab, q, frames[i])
			if err != nil {
				return err
			}
			targets[i] = append(targets[i], aim)
		}
	}
	limit := max(1, (len(questions)+4)/5)
	for i := range works {
		for j := range works {
			if i == j {
				continue
			}
			won := 0
			for k, q := range questions {
				c.copiableMarks += float64(q.Marks)
				if targets[i][k].Fits(frames[j][q.Slot].X, 0, false) {
					c.copiedMarks += float64(q.Marks)
					won++
				}
			}
			bound := i-j <= 4 && j-i <= 4 || works[i].Sheet.Group == works[j].Sheet.Group
			switch {
			case bound && won > limit:
				c.pairsOver++
			case won > limit:
				c.farOver++
			}
			if bound {
				c.pairs++
			}
		}
		if i > 0 {
			if err := c.wholeSheet(works[i], frames[i], frames[i-1], questions); err != nil {
				return err
			}
		}
	}
	return nil
}

// wholeSheet hands in another pupil's right answers on w's sheet.
func (c *trial) wholeSheet(w *pupils.Work, own, other labs.Frame, questions []*labs.Question) error {
	written := map[string]string{}
	for _, q := range questions {
		written[q.ID] = strconv.FormatFloat(q.Show.Unit.From(other[q.Slot].X), 'e', 2, 64)
	}
	marks, err := c.marker.Mark(w.Sheet, written)
	if err != nil {
		return err
	}
	for _, a := range marks.Answers {
		if written[a.Question] != "" {
			c.wholeMarks += float64(a.Marks)
			c.wholeOf += float64(a.OutOf)
		}
	}
	return nil
}
