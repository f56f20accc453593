package generator

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"

	"keelmark/generator/page"
	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/formula"
	"keelmark/labs/parallel"
	"keelmark/labs/quantity"
	"keelmark/labs/slips"
	"keelmark/labs/text"
)

// CheckDraws is how many draws a check makes unless told otherwise.
const CheckDraws = 400

// layouts is how many of the draws are laid out as sheets.
const layouts = 8

// maxPages is how many pages a sheet may take, several times what the longest lab built in does.
const maxPages = 20

// Margin is the closest that two numbers of a question come over all draws, in tolerances of the right answer.
type Margin struct {
	Question   string  `json:"question"`
	Mistake    string  `json:"mistake"`         // its formula
	Other      string  `json:"other,omitempty"` // of the mistake it is like; "" for the right answer
	Tolerances float64 `json:"tolerances"`
}

// CheckResult is what drawing a lab many times has shown.
type CheckResult struct {
	Lab      string      `json:"lab"`
	Draws    int         `json:"draws"`
	Rejected float64     `json:"rejected"`          // share of draws thrown away
	Nearest  *Margin     `json:"nearest,omitempty"` // of a listed mistake to the right answer
	Between  *Margin     `json:"between,omitempty"` // two listed mistakes
	Pages    int         `json:"pages"`             // of the longest sheet
	Faults   labs.Errors `json:"faults,omitempty"`
	Notes    []string    `json:"notes,omitempty"`
}

// String is the line of the lab.
func (r CheckResult) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: ", r.Lab)
	if r.Draws == 0 {
		b.WriteString("not drawn")
	} else {
		fmt.Fprintf(&b, "%d draws, %.1f %% rejected", r.Draws, 100*r.Rejected)
	}
	if m := r.Nearest; m != nil {
		fmt.Fprintf(&b, "; nearest mistake %.1f tolerances off (%s: %s)", m.Tolerances, m.Question, m.Mistake)
	}
	if m := r.Between; m != nil {
		fmt.Fprintf(&b, "; mistakes %.1f tolerances apart (%s: %s, %s)", m.Tolerances, m.Question, m.Other, m.Mistake)
	}
	if r.Pages > 0 {
		fmt.Fprintf(&b, "; pages: %d", r.Pages)
	}
	if n := len(r.Faults); n > 0 {
		fmt.Fprintf(&b, "; faults: %d", n)
	}
	return b.String()
}

// Check draws a lab, one that reading has found no fault in, and proves what can only be seen then: that sheets can be
// drawn, that mistakes and common slips can be told from the right answer and from each other, that answers are read back
// from their own printed form, and that sheets and key can be set with no question parted from its box. The same lab always
// gives the same result.
func Check(l *labs.Lab, draws int) CheckResult {
	c := &checker{lab: l, result: CheckResult{Lab: l.Name, Draws: draws}}
	c.formulas()
	p, err := newPlan(l, DefaultGravity, nil)
	if err != nil {
		c.err(labs.Place{Line: 1, Col: 1}, err)
		return c.done()
	}
	c.plan = p
	if len(p.groups) == 0 {
		c.result.Draws = 1
	}
	badTeX := len(c.result.Faults) > 0
	if samples := c.draw(); samples != nil {
		c.margins(samples)
		c.readBack(samples)
		c.letters()
		c.temperatures()
		if !badTeX { // no sheet could be set
			c.layOut(samples)
		}
	}
	return c.done()
}

type checker struct {
	lab    *labs.Lab
	plan   *plan
	result CheckResult
}

// fault notes a fault at a place, once.
func (c *checker) fault(at labs.Place, format string, args ...any) {
	c.err(at, fmt.Errorf(format, args...))
}

// err notes an error; one that knows its place keeps it.
func (c *checker) err(at labs.Place, err error) {
	var placed *labs.TemplateError
	if !errors.As(err, &placed) {
		placed = &labs.TemplateError{File: c.lab.File, Line: at.Line, Col: at.Col, Err: err}
	}
	for _, known := range c.result.Faults {
		if known.Line == placed.Line && known.Col == placed.Col && known.Err.Error() == placed.Err.Error() {
			return
		}
	}
	c.result.Faults = append(c.result.Faults, placed)
}

func (c *checker) note(format string, args ...any) {
	if n := fmt.Sprintf(format, args...); !slices.Contains(c.result.Notes, n) {
		c.result.Notes = append(c.result.Notes, n)
	}
}

// done puts the faults in order of position.
func (c *checker) done() CheckResult {
	slices.SortStableFunc(c.result.Faults, func(a, b *labs.TemplateError) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	return c.result
}

// formulas proves every formula in TeX notation of the template's texts.
func (c *checker) formulas() {
	c.tex(c.lab.Body, c.lab.BodyLine)
	for _, v := range c.lab.Values {
		c.texAt(v.Symbol, v.Place.Line)
	}
	from := 1
	for _, list := range [][]string{c.lab.Aims, c.lab.Kit, c.lab.Cautions} {
		for _, m := range list {
			c.tex(text.Parse([]byte(m)), from)
		}
	}
	for _, q := range c.lab.Questions {
		texts := slices.Concat([]string{q.Ask, q.Hint}, q.Choices, q.LookFor, q.Items)
		for _, m := range q.Mistakes {
			texts = append(texts, m.Why)
		}
		for _, m := range texts {
			c.tex(text.Parse([]byte(m)), q.Place.Line)
		}
	}
	for _, b := range c.lab.Blocks {
		if b.Teacher != "" {
			c.tex(text.Parse([]byte(b.Teacher)), b.Place.Line)
		}
	}
}

// tex proves the formulas of one text, which stands in the file at or below a line.
func (c *checker) tex(root ast.Node, line int) {
	// The walker returns no error, so Walk does not either.
	_ = ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if f, ok := n.(*text.Formula); ok && entering {
			c.texAt(f.TeX, line)
		}
		return ast.WalkContinue, nil
	})
}

// texAt proves one formula in TeX notation, which stands in the file at or below a line.
func (c *checker) texAt(tex string, line int) {
	var fault *page.TeXError
	if err := page.CheckTeX(tex); errors.As(err, &fault) {
		c.fault(locate(c.lab.Source, tex, fault.Offset, line), "$%.60s$: %s", tex, fault.Msg)
	}
}

// locate finds a piece of text in the template at or below a line, and the place of the byte at offset in it; the start of
// the line when the text stands there in another form.
func locate(source []byte, piece string, offset, line int) labs.Place {
	start := 0
	for range line - 1 {
		next := bytes.IndexByte(source[start:], '\n')
		if next < 0 {
			break
		}
		start += next + 1
	}
	at := bytes.Index(source[start:], []byte(piece))
	if at < 0 {
		return labs.Place{Line: line, Col: 1}
	}
	before := source[:start+at+min(max(offset, 0), len(piece))]
	lineStart := bytes.LastIndexByte(before, '\n') + 1
	return labs.Place{Line: 1 + bytes.Count(before, []byte("\n")), Col: 1 + utf8.RuneCount(before[lineStart:])}
}

// sample is a draw with what its mistakes and slips give.
type sample struct {
	*draw
	mistakes [][]float64 // by question
	slips    [][]string  // ids of the common slips that would be marked right
	length   int         // characters that all numbers take in print
}

// draw makes the draws; nil when there is none, which is a fault.
func (c *checker) draw() []sample {
	samples := make([]sample, c.result.Draws)
	drawers := make([]*drawer, len(samples))
	err := parallel.Each(context.Background(), len(samples), func(i int) (err error) {
		d := c.plan.drawer("check", fmt.Sprint("draw ", i+1), everyQuestion)
		d.lenient = len(c.plan.groups) == 0
		drawers[i] = d
		if samples[i].draw, err = d.next(context.Background()); err != nil {
			return err
		}
		s := &samples[i]
		s.length = c.length(s.draw)
		for k, q := range c.plan.questions {
			s.mistakes = append(s.mistakes, c.plan.mistakes(q, s.frame))
			s.slips = append(s.slips, nil)
			if q.catalogue != nil {
				ids := c.plan.slipsRight(q, s.frame, s.targets[k])
				slices.Sort(ids)
				s.slips[k] = slices.Compact(ids)
			}
		}
		return nil
	})
	if err != nil {
		c.err(labs.Place{Line: 1, Col: 1}, err)
		return nil
	}
	tries := 0
	for _, d := range drawers {
		tries += d.tries
	}
	c.result.Rejected = 1 - float64(len(samples))/float64(max(tries, 1))
	return samples
}

func everyQuestion(*labs.Question) bool { return true }

// margins finds the closest calls over all draws, and what most draws cannot keep apart.
func (c *checker) margins(samples []sample) {
	for i, q := range c.plan.questions {
		if q.catalogue != nil && q.catalogue.Cut() {
			c.fault(q.Place, "question %s: its formula can go wrong in more than %d ways in one step: ask for a part of it in a question before", q.ID, formula.MaxVariants)
		}
		slipsRight := map[string]int{}
		for _, s := range samples {
			xs := s.mistakes[i]
			for k, x := range xs {
				source := q.Mistakes[k].Expr.Source()
				m := margin(s.targets[i], x)
				if c.result.Nearest == nil && !math.IsNaN(m) || c.result.Nearest != nil && m < c.result.Nearest.Tolerances {
					c.result.Nearest = &Margin{q.ID, source, "", m}
				}
				for other := range k {
					apart := math.Abs(x-xs[other]) / max(s.targets[i].Tolerance, thirdFigure(x)/2)
					if q.Kind != labs.Numeric || q.Stepped || math.IsNaN(apart) {
						continue
					}
					if c.result.Between == nil || apart < c.result.Between.Tolerances {
						c.result.Between = &Margin{q.ID, source, q.Mistakes[other].Expr.Source(), apart}
					}
				}
			}
			for _, id := range s.slips[i] {
				slipsRight[id]++
			}
		}
		c.unseen(q, slipsRight, len(samples))
	}
	if m := c.result.Nearest; m != nil && math.IsInf(m.Tolerances, 1) {
		c.result.Nearest = nil // all are other steps or choices
	}
}

// unseen tells what most draws of a question cannot keep apart.
func (c *checker) unseen(q *question, slipsRight map[string]int, draws int) {
	for k, m := range q.Mistakes {
		if q.apart[k] < apart {
			c.fault(m.Place, "question %s: in most draws the mistake %s lies within %d tolerances of the right answer; narrow `within`, or draw values that keep them apart",
				q.ID, m.Expr.Source(), apart)
		}
		for other := range k {
			if q.alike[[2]int{other, k}] {
				c.fault(m.Place, "question %s: in most draws the mistakes %s and %s give the same number; keep one, or draw values that keep them apart",
					q.ID, q.Mistakes[other].Expr.Source(), m.Expr.Source())
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(slipsRight)) {
		n := slipsRight[id]
		if 2*n <= draws {
			continue
		}
		words := fmt.Sprintf("question %s: the common slip %q would be marked right in %d of %d draws", q.ID, id, n, draws)
		// Two names may have nearly the same value, a term may be small, and a comparison at the bench is expected to come to
		// nothing: a lab may have these.
		if id == string(formula.OtherName) || id == slips.UnitOfInput || q.Bench {
			c.note("%s", words)
			continue
		}
		c.fault(q.Place, "%s; narrow `within`, or draw values that keep them apart", words)
	}
}

// readBack proves that every answer and printed number is read back from its own printed form. Of each the first draw that
// shows otherwise is told.
func (c *checker) readBack(samples []sample) {
	told := map[labs.Place]bool{}
	once := func(at labs.Place, format string, args ...any) {
		if !told[at] {
			told[at] = true
			c.fault(at, format, args...)
		}
	}
	read := map[[2]string]quantity.Outcome{} // many draws print the same
	as := func(printed string, show labs.Display) quantity.Outcome {
		key := [2]string{printed, show.Text}
		out, known := read[key]
		if !known {
			out = quantity.ReadAs(printed, show.Unit)
			read[key] = out
		}
		return out
	}
	for _, s := range samples {
		for i, q := range c.plan.questions {
			if q.Kind != labs.Numeric {
				continue
			}
			printed := q.Show.Format(s.frame[q.Slot], q.Type)
			fits := func(r quantity.Reading) bool {
				return s.targets[i].Fits(r.SI(q.Show.Unit), digitOf(r, q.Show.Unit), true)
			}
			if why := unlike(as(printed, q.Show), fits); why != "" {
				once(q.Place, "question %s: the answer printed as %.60q %s", q.ID, printed, why)
			}
		}
		for _, v := range c.plan.printed {
			printed := v.Show.Format(s.frame[v.Slot], v.Type)
			x := v.Show.Round(s.frame[v.Slot].X)
			equal := func(r quantity.Reading) bool { return math.Abs(r.SI(v.Show.Unit)-x) <= 1e-9*math.Abs(x) }
			if why := unlike(as(printed, v.Show), equal); why != "" {
				once(v.Place, "%s printed as %.60q %s", v.Name, printed, why)
			}
		}
	}
}

// letters tells of a choice whose text is the letter of another: an answer with that letter is taken for the text.
func (c *checker) letters() {
	for _, q := range c.plan.questions {
		for i, choice := range q.Choices {
			letter := strings.ToUpper(strings.Trim(choice, " .*$`")) // as it is compared with an answer: B, B. or $B$
			if len(letter) != 1 || letter[0] < 'A' || int(letter[0]-'A') >= len(q.Choices) {
				continue
			}
			if q.Shuffle || int(letter[0]-'A') != i {
				c.fault(q.Place, "question %s: the choice %q reads as the letter of another: write more, such as \"part %s\"", q.ID, choice, choice)
			}
		}
	}
}

// temperatures tells of an answer on a scale of temperature without a tolerance of its own: a share of it means nothing.
func (c *checker) temperatures() {
	for _, q := range c.plan.questions {
		if q.Kind == labs.Numeric && q.Type.Point && q.Within == nil {
			c.fault(q.Place, "question %s: a temperature needs a tolerance of its own, such as within: 0.5 degC", q.ID)
		}
	}
}

// digitOf is one unit of the last digit read, in coherent SI.
func digitOf(r quantity.Reading, box quantity.Unit) float64 {
	if r.HasUnit {
		box = r.Unit
	}
	return math.Abs(box.Span(r.Digit))
}

// unlike tells what stands in the way of reading a printed number back; "" when nothing does.
func unlike(out quantity.Outcome, right func(quantity.Reading) bool) string {
	if len(out.Readings) == 0 {
		return "cannot be read back: " + out.Why
	}
	if !slices.ContainsFunc(out.Readings, right) {
		return "is read back as another number"
	}
	return ""
}

// layOut sets some of the draws as sheets, those with the longest and shortest printed forms among them, and the key.
func (c *checker) layOut(samples []sample) {
	slices.SortStableFunc(samples, func(a, b sample) int { return cmp.Compare(a.length, b.length) })
	set := &classset.Set{Lab: c.lab.Name, Settings: classset.Settings{Gravity: DefaultGravity, Paper: "a4"}}
	m := &maker{lab: c.lab, plan: c.plan, set: set}
	n := min(layouts, len(samples))
	for k := range n {
		s := classset.Pupil{ID: fmt.Sprint(k + 1), Name: "A Name of Usual Length"}.Sheet(c.lab)
		s.Code = classset.NewCode(newStream("check", c.lab.Name, s.Student, "sheet code", 0).IntN)
		if slices.ContainsFunc(c.lab.Questions, func(q *labs.Question) bool { return !s.Has(q) }) {
			for _, q := range c.lab.Questions {
				s.Questions = append(s.Questions, q.ID)
			}
		}
		m.store(s, samples[k*(len(samples)-1)/max(n-1, 1)].frame)
		set.Sheets = append(set.Sheets, s)
	}
	r := newRenderer(c.lab, set)
	doc := m.document()
	for _, s := range set.Sheets {
		p, err := r.page(s)
		if err != nil {
			c.err(labs.Place{Line: 1, Col: 1}, err)
			return
		}
		doc.Sheets = append(doc.Sheets, p)
	}
	key, err := r.key()
	if err != nil {
		c.err(labs.Place{Line: 1, Col: 1}, fmt.Errorf("key: %w", err))
		return
	}
	doc.Sheets = append(doc.Sheets, key)
	pages, faults, err := r.press.Pages(doc)
	if err != nil {
		c.err(labs.Place{Line: 1, Col: 1}, err)
		return
	}
	if c.result.Pages = slices.Max(pages[:n]); c.result.Pages > maxPages {
		c.fault(labs.Place{Line: c.lab.BodyLine, Col: 1}, "a sheet takes %d pages, and every pupil gets one; more than %d are hardly meant: look for text that stands there twice, and at the room for working (space)",
			c.result.Pages, maxPages)
	}
	for _, f := range faults {
		_, f, _ = strings.Cut(f, ": ") // the sheet; a fault of all of them is one
		number := 0
		_, after, _ := strings.Cut(f, "question ")
		if _, err := fmt.Sscan(after, &number); err == nil { // every sheet has all questions
			c.fault(c.lab.Questions[number-1].Place, "%s", f)
		} else {
			c.note("%s", f)
		}
	}
}

// length is how many characters all numbers of a draw take in print.
func (c *checker) length(s *draw) (n int) {
	for _, v := range c.lab.Values {
		if !v.Hidden {
			n += utf8.RuneCountInString(v.Show.Format(s.frame[v.Slot], v.Type))
		}
	}
	return n
}
