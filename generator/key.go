package generator

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"keelmark/generator/page"
	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/judge"
	"keelmark/labs/quantity"
)

// key makes the teacher's pages: set-up and cautions, the mark scheme worked with the first sheet's numbers, what to
// expect at the bench, and every sheet's answers.
func (r *renderer) key() (page.Sheet, error) {
	first := r.set.Sheets[0]
	w, err := r.writer(first)
	if err != nil {
		return page.Sheet{}, err
	}
	out := page.Sheet{Title: "Key: " + r.lab.Title, Subtitle: r.subtitle(), Foot: r.lab.Name + " · for the teacher",
		Note: "Worked with the numbers of sheet " + classset.ShowCode(first.Code)}
	if len(r.fromBench()) > 0 {
		out.Note += " and with readings as expected at the bench"
	}
	for _, part := range []func() ([]page.Block, error){w.setUp, w.notes, w.scheme, r.bench, r.answers} {
		blocks, err := part()
		if err != nil {
			return page.Sheet{}, err
		}
		out.Body = append(out.Body, blocks...)
	}
	return out, nil
}

func section(title string) page.Block { return page.Heading{Level: 2, Text: plain(title)} }

// setUp is what to lay out and look out for.
func (w *writer) setUp() ([]page.Block, error) {
	kit, err := w.list(w.lab.Kit, true)
	if err != nil {
		return nil, err
	}
	cautions, err := w.list(w.lab.Cautions, false)
	if err != nil {
		return nil, err
	}
	out := []page.Block{section("Set-up")}
	if len(kit.Items) > 0 {
		out = append(out, kit)
	}
	out = append(out, page.Panel{Title: "Cautions", Body: []page.Block{cautions}})
	if len(w.lab.Standards) > 0 {
		out = append(out, page.Paragraph{Text: append(bold("Standards: "), plain(strings.Join(w.lab.Standards, ", "))...)})
	}
	return out, nil
}

// notes are the teacher's blocks of the template.
func (w *writer) notes() (out []page.Block, err error) {
	for _, b := range w.fenced {
		if b.Teacher == "" {
			continue
		}
		blocks, err := w.markdown(b.Teacher)
		if err != nil {
			return nil, err
		}
		out = append(out, blocks...)
	}
	if len(out) > 0 {
		title := "Notes"
		if slices.ContainsFunc(w.lab.Questions, func(q *labs.Question) bool { return !w.sheet.Has(q) }) {
			title = "Notes, with the question numbers of the whole lab" // those of the mark scheme are the first sheet's
		}
		out = slices.Insert(out, 0, section(title))
	}
	return out, nil
}

// scheme is the mark scheme: for each question the worked solution, what is accepted, and the slips to expect.
func (w *writer) scheme() ([]page.Block, error) {
	out := []page.Block{section("Mark scheme")}
	number := 0
	for _, q := range w.lab.Questions {
		title := "Not on this sheet"
		if w.sheet.Has(q) {
			number++
			title = fmt.Sprintf("Question %d", number)
		}
		if len(q.Levels) > 0 {
			title += " (" + strings.Join(q.Levels, ", ") + ")"
		}
		heading := page.Heading{Level: 3, Text: plain(fmt.Sprintf("%s: %s [%d]", title, q.ID, q.Marks))}
		blocks, err := w.marking(q)
		if err != nil {
			return nil, fmt.Errorf("question %s: %w", q.ID, err)
		}
		out = append(out, page.Together{Body: append([]page.Block{heading}, blocks...)})
	}
	return out, nil
}

func (w *writer) marking(q *labs.Question) ([]page.Block, error) {
	out, err := w.markdown(q.Ask)
	if err != nil {
		return nil, err
	}
	switch q.Kind {
	case labs.Numeric:
		lines, err := w.lab.Solution(q, w.frame)
		if err != nil {
			return nil, err
		}
		for _, line := range lines {
			if err := page.CheckTeX(line); err != nil { // a symbol on its own was well
				return nil, w.at(q.Place, fmt.Errorf("the worked solution of question %s: %w", q.ID, err))
			}
			out = append(out, page.Display{TeX: line})
		}
		accepted, err := w.accepted(q)
		if err != nil {
			return nil, err
		}
		out = append(out, page.Paragraph{Text: accepted})
	case labs.Choice:
		choice, err := w.line(q.Choices[int(w.frame[q.Slot].X)-1])
		if err != nil {
			return nil, err
		}
		out = append(out, page.Paragraph{Text: append(bold("Answer: "), choice...)})
	case labs.ByHand:
		list, err := w.list(q.LookFor, true)
		if err != nil {
			return nil, err
		}
		out = append(out, page.Paragraph{Text: bold("Marked by you. Look for:")}, list)
	case labs.Ticks:
		list, err := w.list(q.Items, true)
		if err != nil {
			return nil, err
		}
		out = append(out, page.Paragraph{Text: bold("Marked by you, or by whoever saw it:")}, list)
	}
	slips, err := w.expected(q)
	return append(out, slips...), err
}

// accepted says what is marked right.
func (w *writer) accepted(q *labs.Question) ([]page.Inline, error) {
	t, err := judge.Aim(w.lab, q, w.frame)
	if err != nil {
		return nil, err
	}
	text := w.result(q, t.Value)
	switch {
	case t.Exact && len(t.Also) > 0:
		var also []string
		for _, x := range t.Also {
			also = append(also, w.result(q, x))
		}
		text += ", or " + strings.Join(also, " or ") + " where rounding leads there"
	case t.Exact:
		text += " exactly"
	default:
		text += ", within " + quantity.WithUnit(quantity.FormatFigures(math.Abs(q.Show.Unit.FromSpan(t.Tolerance)), 2), span(q.Show.Unit))
	}
	if q.Direction != "" {
		text += ", " + q.Direction
	}
	if q.UnitMark > 0 {
		text += "; one mark is for the unit"
	}
	if q.SFMark > 0 {
		text += fmt.Sprintf("; one mark is for %d to %d significant figures", q.SFLow, q.SFHigh)
	}
	return append(bold("Accept "), plain(text+".")...), nil
}

// span is the unit of a difference: K for °C.
func span(u quantity.Unit) quantity.Unit {
	if u.Offset != 0 {
		u.Symbol = strings.ReplaceAll(u.Symbol, "°C", "K")
	}
	return u
}

// result writes an answer of the question as the key shows it.
func (w *writer) result(q *labs.Question, si float64) string {
	return q.Show.Format(quantity.Value{X: si}, q.Type)
}

// expected lists the slips of the template with what each gives on this sheet.
func (w *writer) expected(q *labs.Question) ([]page.Block, error) {
	if len(q.Mistakes) == 0 {
		return nil, nil
	}
	t := page.Table{Small: true, Align: []byte("lcl"), Head: [][]page.Inline{plain("slip gives"), plain("marks"), plain("say")}}
	for _, m := range q.Mistakes {
		if err := w.lab.Prepare(pseudoNames(m.Expr.Names()), w.frame); err != nil {
			continue // not on this sheet
		}
		v, err := m.Run.Eval(w.frame)
		if err != nil {
			continue
		}
		gives := plain(w.result(q, v.X))
		if q.Kind == labs.Choice {
			k := int(v.X)
			if k < 1 || k > len(q.Choices) {
				continue
			}
			if gives, err = w.line(q.Choices[k-1]); err != nil {
				return nil, err
			}
		}
		why, err := w.line(m.Why)
		if err != nil {
			return nil, err
		}
		t.Rows = append(t.Rows, [][]page.Inline{gives, plain(fmt.Sprint(m.Marks)), why})
	}
	if len(t.Rows) == 0 {
		return nil, nil
	}
	return []page.Block{t}, nil
}

// bench tells what to expect of the readings: from the least to the greatest over all sheets.
func (r *renderer) bench() ([]page.Block, error) {
	t := page.Table{Small: true, Align: []byte("lclc"), Head: [][]page.Inline{plain("reading"), plain("symbol"), plain("instrument"), plain("expect")}}
	var measured []*labs.Value
	for _, v := range r.lab.Values {
		if v.Source == labs.Measured {
			measured = append(measured, v)
		}
	}
	if len(measured) == 0 {
		return nil, nil
	}
	low, high := make([]float64, len(measured)), make([]float64, len(measured))
	for i := range measured {
		low[i], high[i] = math.Inf(1), math.Inf(-1)
	}
	f := r.lab.NewFrame(r.set.Settings.Gravity)
	for _, s := range r.set.Sheets {
		if err := s.Fill(r.lab, f); err != nil {
			return nil, err
		}
		for i, v := range measured {
			column := f[v.Slot].Col
			if v.Type.Kind != quantity.Column {
				column = []float64{f[v.Slot].X}
			}
			low[i], high[i] = min(low[i], slices.Min(column)), max(high[i], slices.Max(column))
		}
	}
	for i, v := range measured {
		expect := v.Show.Format(quantity.Value{X: low[i]}, quantity.Type{Dim: v.Type.Dim, Point: v.Type.Point})
		if high[i] > low[i] {
			expect = v.Show.Number(low[i]) + " to " + v.Show.Format(quantity.Value{X: high[i]}, quantity.Type{Dim: v.Type.Dim, Point: v.Type.Point})
		}
		what := v.What
		if what == "" {
			what = v.Name
		}
		t.Rows = append(t.Rows, [][]page.Inline{plain(what), {page.Math{TeX: v.Symbol}}, plain(v.Measure), plain(expect)})
	}
	return []page.Block{section("What to expect at the bench"), t}, nil
}

// answersAcross is how many questions fit across a table of answers.
const answersAcross = 8

// answers are tables of every sheet's answers, a row a sheet, as many questions across as fit.
func (r *renderer) answers() ([]page.Block, error) {
	var asked []*labs.Question
	for _, q := range r.lab.Questions {
		if q.Expr != nil {
			asked = append(asked, q)
		}
	}
	var tables []page.Table
	for part := range slices.Chunk(asked, answersAcross) {
		t := page.Table{Small: true, Align: []byte("ll"), Head: [][]page.Inline{plain("sheet"), plain("name")}}
		for _, q := range part {
			head := plain(q.ID)
			if unit := q.Show.Unit.Symbol; q.Kind == labs.Numeric && unit != "" {
				head = plain(q.ID + overUnit(unit))
			}
			t.Head = append(t.Head, head)
			t.Align = append(t.Align, map[bool]byte{true: '.', false: 'c'}[q.Kind == labs.Numeric])
		}
		tables = append(tables, t)
	}
	for _, s := range r.set.Sheets {
		f, err := r.set.Frame(r.lab, s)
		if err != nil {
			return nil, err
		}
		for i := range tables {
			name := page.Legible(s.Name, s.Student)
			if r.set.Settings.CodesOnly {
				name = ""
			}
			row := [][]page.Inline{plain(classset.ShowCode(s.Code)), plain(name)}
			for _, q := range asked[i*answersAcross : min((i+1)*answersAcross, len(asked))] {
				row = append(row, plain(answer(q, s, f)))
			}
			tables[i].Rows = append(tables[i].Rows, row)
		}
	}
	out := []page.Block{page.PageBreak{}, section("Answers")}
	if names := r.fromBench(); len(names) > 0 {
		out = append(out, page.Paragraph{Text: plain("Worked with readings as expected at the bench: " + strings.Join(names, ", ") +
			". A pupil's own readings give other numbers, and marking goes by those.")})
	}
	for _, t := range tables {
		out = append(out, t)
	}
	return out, nil
}

// fromBench names the questions of the set whose answers hang on what pupils read at the bench, which the key can only expect.
func (r *renderer) fromBench() (names []string) {
	for _, q := range r.lab.Questions {
		if q.Bench && slices.ContainsFunc(r.set.Sheets, func(s *classset.Sheet) bool { return s.Has(q) }) {
			names = append(names, q.ID)
		}
	}
	return names
}

// answer is a question's answer in the table of answers: a number in the unit of the head, or the letter of a choice as it
// stands on that sheet.
func answer(q *labs.Question, s *classset.Sheet, f labs.Frame) string {
	switch {
	case !s.Has(q):
		return "–"
	case q.Kind == labs.Choice:
		if at := slices.Index(order(q, s), int(f[q.Slot].X)); at >= 0 {
			return string(rune('A' + at))
		}
		return "?"
	}
	return q.Show.Number(f[q.Slot].X)
}
