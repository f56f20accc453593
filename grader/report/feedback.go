package report

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

	"keelmark/generator/page"
	"keelmark/grader"
	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/text"
)

// Feedback writes a slip for each pupil in roster order, each on a page of its own, as one PDF.
func Feedback(w io.Writer, r *grader.Result) error {
	f, err := newFeedback(r)
	if err != nil {
		return err
	}
	return f.write(w, r.Marking.Sheets)
}

// write writes the slips of some pupils as one PDF. They are made on every core.
func (f *feedback) write(w io.Writer, marks []*classset.SheetMarks) error {
	doc := f.document()
	doc.Sheets = make([]page.Sheet, len(marks))
	errs := make([]error, len(marks))
	var next atomic.Int64
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(marks); i = int(next.Add(1)) - 1 {
				doc.Sheets[i], errs[i] = f.slip(marks[i])
			}
		})
	}
	workers.Wait()
	if err := errors.Join(errs...); err != nil {
		return err
	}
	_, err := f.press.Write(w, doc)
	return err
}

// feedback makes slips.
type feedback struct {
	*grader.Result
	sheets map[string]*classset.Sheet
	press  *page.Press
}

func newFeedback(r *grader.Result) (*feedback, error) {
	sheets, err := sheetOf(r)
	if err != nil {
		return nil, err
	}
	return &feedback{r, sheets, page.NewPress()}, nil
}

func (f *feedback) document() *page.Document {
	s := f.Set.Settings
	return &page.Document{Title: "Feedback: " + f.Lab.Title, Lang: "en-GB", Paper: s.Paper, Large: s.Large, Plain: s.Plain}
}

// single writes one pupil's slip as a PDF of its own, with tags for screen readers.
func (f *feedback) single(w io.Writer, m *classset.SheetMarks) error {
	sheet, err := f.slip(m)
	if err != nil {
		return err
	}
	doc := f.document()
	doc.Tagged = true
	doc.Sheets = []page.Sheet{sheet}
	_, err = f.press.Write(w, doc)
	return err
}

// remark is what a slip says of one answer.
type remark struct {
	number   int
	question *labs.Question
	answer   *classset.Answer
	verdict  string   // in a word or two
	messages []string // Markdown
	worked   []string // TeX, to be read one after the other
	right    string   // the right choice, Markdown
	lookFor  []string // what a full answer says, Markdown
}

// lost tells that the answer has not earned all it could.
func (m *remark) lost() bool { return m.answer.Open || m.answer.Marks < m.answer.OutOf }

// remarks gathers what there is to say about a pupil's answers.
func (f *feedback) remarks(m *classset.SheetMarks) ([]remark, labs.Frame, error) {
	sheet := f.sheets[m.Code]
	frame, failed, err := solved(f.Lab, f.Set, sheet, m)
	if err != nil {
		return nil, nil, err
	}
	var all []remark
	for i, a := range m.Answers {
		q := f.Lab.Question(a.Question)
		if q == nil {
			return nil, nil, fmt.Errorf("sheet %s: the lab has no question %s; mark the set again", classset.ShowCode(m.Code), a.Question)
		}
		k := remark{number: i + 1, question: q, answer: a, verdict: verdictWords(a)}
		for _, message := range append([]string{a.Message}, a.Notes...) {
			if message != "" {
				k.messages = append(k.messages, sentence(message))
			}
		}
		switch {
		case a.Void:
		case q.Kind == labs.ByHand:
			k.lookFor = q.LookFor
		case q.Kind == labs.Choice && a.Expected != nil:
			k.right, err = f.rightChoice(sheet, q, int(a.Expected.Value), frame)
		case q.Kind == labs.Numeric && a.Expected != nil && !failed[q.ID]:
			k.worked, err = f.Lab.Solution(q, frame)
		}
		if err != nil {
			return nil, nil, fmt.Errorf("sheet %s: %w", classset.ShowCode(m.Code), err)
		}
		all = append(all, k)
	}
	return all, frame, nil
}

// rightChoice writes the right choice with the letter it has on this sheet.
func (f *feedback) rightChoice(s *classset.Sheet, q *labs.Question, number int, frame labs.Frame) (string, error) {
	if number < 1 || number > len(q.Choices) {
		return "", nil
	}
	words, err := f.Lab.FillMarkdown(q.Choices[number-1], frame)
	place := number - 1
	if order := s.Choices[q.ID]; len(order) == len(q.Choices) {
		place = slices.Index(order, number)
	}
	return fmt.Sprintf("%c, %s", 'A'+place, words), err
}

// verdictWords are the verdict for a twelve-year-old.
func verdictWords(a *classset.Answer) string {
	switch {
	case a.Void:
		return "Does not count."
	case a.Open && a.Verdict == classset.Unread:
		return "Not read yet."
	case a.Open:
		return "Not marked yet."
	case a.Marks == a.OutOf && (a.Verdict == classset.Right || a.Decided != ""):
		return "Right."
	case a.Verdict == classset.Carried:
		return "Right method."
	case a.Verdict == classset.Blank:
		return "Left blank."
	case a.Marks == a.OutOf:
		return "Full marks."
	case a.Marks > 0 && a.Verdict == classset.ByHand:
		return "Part of it is there."
	case a.Marks > 0:
		return "Nearly."
	case a.Verdict == classset.Slip:
		return "A slip."
	}
	return "Not yet."
}

// marksWords are "1 of 2", "? of 2", or nothing where the question does not count.
func marksWords(a *classset.Answer) string {
	switch {
	case a.Void:
		return ""
	case a.Open:
		return fmt.Sprintf("?\u00a0of\u00a0%d", a.OutOf)
	}
	return fmt.Sprintf("%d\u00a0of\u00a0%d", a.Marks, a.OutOf)
}

// totalWords are the mark as it stands on the slip: "14/20", or "14 + ?/20" while some of it is not decided.
func totalWords(m *classset.SheetMarks) string {
	return grader.Total(m) + "/" + strconv.Itoa(m.OutOf)
}

// greeting is a first sentence that is kind and exact.
func greeting(m *classset.SheetMarks, all []remark) string {
	full, counted := 0, 0
	for _, k := range all {
		if !k.answer.Void {
			counted++
			if !k.lost() {
				full++
			}
		}
	}
	var s string
	switch {
	case counted == 0:
		s = "Nothing on this sheet counts."
	case full == counted:
		s = fmt.Sprintf("Full marks for all %s. Well done.", count(full, "question"))
		if full == 1 {
			s = "Full marks. Well done."
		}
	case full == 0:
		s = "No question has full marks yet. Below is what each one needs; start with the first."
	default:
		s = fmt.Sprintf("%d of %s have full marks. Below is what the others need.", full, count(counted, "question"))
		if full == 1 {
			s = strings.Replace(s, "have", "has", 1)
		}
	}
	if m.Open > 0 {
		s += fmt.Sprintf(" The ? stands for up to %s not decided yet.", count(m.Open, "mark"))
	}
	return s
}

// practice is a skill that lost marks.
type practice struct {
	skill     string
	lost      int
	questions []string // numbers
}

// toPractise orders the skills by marks lost.
func toPractise(all []remark) []practice {
	var skills []practice
	for _, k := range all {
		if k.question.Skill == "" || k.answer.Open || !k.lost() {
			continue
		}
		i := slices.IndexFunc(skills, func(p practice) bool { return p.skill == k.question.Skill })
		if i < 0 {
			i, skills = len(skills), append(skills, practice{skill: k.question.Skill})
		}
		skills[i].lost += k.answer.OutOf - k.answer.Marks
		skills[i].questions = append(skills[i].questions, strconv.Itoa(k.number))
	}
	slices.SortStableFunc(skills, func(a, b practice) int { return cmp.Compare(b.lost, a.lost) })
	return skills
}

// words are "find or use a density (question 4)".
func (p practice) words() string {
	where := questions(p.questions)
	if can := meanings()[p.skill]; can != "" {
		return can + " (" + where + ")"
	}
	return where
}

// questions are "question 4" or "questions 4 and 6".
func questions(numbers []string) string {
	if len(numbers) == 1 {
		return "question " + numbers[0]
	}
	return "questions " + list(numbers)
}

// detail says how much stands on a slip.
type detail struct {
	display  bool // the steps of what was not right stand by themselves, not in a line of text
	right    bool // right answers have their steps too, in a line
	gather   bool // what is plainly right in one line
	askRight bool // the question is repeated where the marks were earned
	askLost  bool // and where they were lost
	terse    bool // whatever earned its marks in one line, steps beside the verdict, skills by name alone
}

// ladder goes from all there is to say to what fits on a page in any case.
var ladder = []detail{
	{display: true, right: true, askRight: true, askLost: true},
	{right: true, askRight: true, askLost: true},
	{display: true, askRight: true, askLost: true},
	{askRight: true, askLost: true},
	{gather: true, askRight: true, askLost: true},
	{gather: true, askLost: true},
	{gather: true},
	{gather: true, terse: true},
}

// slip makes a pupil's page, with as much detail as fits on one.
func (f *feedback) slip(m *classset.SheetMarks) (page.Sheet, error) {
	out := page.Sheet{Title: nameOf(f.Set, m), Code: m.Code, Foot: f.Lab.Name, Large: f.sheets[m.Code].Large}
	out.Subtitle = f.Lab.Title
	if m.Class != "" {
		out.Subtitle += " · class " + m.Class
	}
	if m.Absent {
		out.Body = []page.Block{page.Heading{Level: 1, Text: plain("Not handed in")}, para(plain(
			"There was no answer sheet of yours to mark, so you have no mark for this one; it does not count as 0. Hand your sheet in, or ask your teacher when you can do it."))}
		return out, nil
	}
	all, frame, err := f.remarks(m)
	if err != nil {
		return out, err
	}
	doc := f.document()
	for _, d := range ladder {
		if out.Body, err = f.body(m, all, frame, d); err != nil {
			return out, fmt.Errorf("sheet %s: %w", classset.ShowCode(m.Code), err)
		}
		doc.Sheets = []page.Sheet{out}
		pages, _, err := f.press.Pages(doc)
		if err != nil || pages[0] <= 1 {
			return out, err
		}
	}
	return out, nil
}

func (f *feedback) body(m *classset.SheetMarks, all []remark, frame labs.Frame, d detail) ([]page.Block, error) {
	body := []page.Block{page.Heading{Level: 1, Text: plain("Mark: " + totalWords(m))}, para(plain(greeting(m, all))), strip(all)}
	if check := benchRemarks(m); check != "" {
		body = append(body, para(bold("At the bench: "), runs(check)))
	}
	var gathered []string
	for _, k := range all {
		plainlyRight := !k.lost() && k.answer.Verdict != classset.Carried && len(k.messages) == 0
		if d.gather && plainlyRight || d.terse && !k.lost() {
			gathered = append(gathered, strconv.Itoa(k.number))
			continue
		}
		item, err := f.item(k, frame, d)
		if err != nil {
			return nil, err
		}
		body = append(body, page.List{Ordered: true, Start: k.number, Items: [][]page.Block{item}})
	}
	if len(gathered) > 0 {
		body = append(body, para(bold("Full marks: "), plain(questions(gathered)+".")))
	}
	return append(body, practicePanel(toPractise(all), d)...), nil
}

// practicePanel lists the skills, or names them in one paragraph.
func practicePanel(skills []practice, d detail) []page.Block {
	if len(skills) == 0 {
		return nil
	}
	var items [][]page.Block
	var short []string
	for _, p := range skills {
		items = append(items, []page.Block{para(bold(skillName(p.skill)+": "), plain(p.words()))})
		short = append(short, fmt.Sprintf("%s (%s)", skillName(p.skill), questions(p.questions)))
	}
	body := []page.Block{page.List{Items: items}}
	if d.terse {
		body = []page.Block{para(plain(strings.Join(short, ", ") + "."))}
	}
	return []page.Block{page.Panel{Title: "What to practise", Body: body}}
}

// benchRemarks joins what there is to check in the pupil's own readings.
func benchRemarks(m *classset.SheetMarks) string {
	var remarks []string
	for _, reading := range m.Readings {
		if !reading.Plausible && reading.Message != "" {
			remarks = append(remarks, strings.TrimSuffix(reading.Message, "."))
		}
	}
	if len(remarks) == 0 {
		return ""
	}
	return sentence(strings.Join(remarks, "; "))
}

// strip is the row of marks, question by question.
func strip(all []remark) page.Table {
	t := page.Table{Head: [][]page.Inline{plain("question")}, Rows: [][][]page.Inline{{plain("marks")}}, Align: []byte{'l'}, Small: len(all) > 12}
	for _, k := range all {
		won := fmt.Sprintf("%d/%d", k.answer.Marks, k.answer.OutOf)
		switch {
		case k.answer.Void:
			won = "–"
		case k.answer.Open:
			won = fmt.Sprintf("?/%d", k.answer.OutOf)
		}
		t.Head = append(t.Head, plain(strconv.Itoa(k.number)))
		t.Rows[0] = append(t.Rows[0], plain(won))
		t.Align = append(t.Align, 'c')
	}
	return t
}

// item is what the slip says of one answer.
func (f *feedback) item(k remark, frame labs.Frame, d detail) (blocks []page.Block, err error) {
	if d.askLost && k.lost() || d.askRight && !k.lost() {
		source := []byte(k.question.Ask)
		blocks, err = page.Blocks(text.Parse(source), source, page.Fillers{
			Placeholder: func(source string) (string, error) { return f.Lab.Fill(source, frame) }})
		if err != nil {
			return nil, err
		}
	}
	said := bold(k.verdict)
	if k.answer.Written != "" {
		said = join(plain("You wrote "), bold(short(k.answer.Written)), plain(". "), said)
	}
	if marks := marksWords(k.answer); marks != "" {
		said = join(said, plain(" ["+marks+"]"))
	}
	if !d.terse || k.answer.Verdict != classset.Blank && !k.answer.Open { // those say no more than their verdict
		for _, message := range k.messages {
			said = join(said, plain(" "), runs(message))
		}
	}
	toRead := k.lost() || k.answer.Verdict == classset.Carried // where the pupil's own steps were others
	if !toRead && !d.right {
		return append(blocks, page.Paragraph{Text: said}), nil
	}
	if toRead && d.display && len(k.worked) > 0 {
		return append(blocks, page.Paragraph{Text: said}, page.Display{TeX: aligned(k.worked)}), nil
	}
	solution := k.solution()
	if d.terse && len(solution) > 0 {
		return append(blocks, para(said, plain(" "), solution)), nil
	}
	blocks = append(blocks, page.Paragraph{Text: said})
	if len(solution) > 0 {
		blocks = append(blocks, page.Paragraph{Text: solution})
	}
	return blocks, nil
}

// solution is the worked steps in a line, the right choice, or what a full answer says.
func (k *remark) solution() []page.Inline {
	switch {
	case len(k.worked) > 0:
		worked := join(plain("Worked: "), []page.Inline{page.Math{TeX: k.worked[0]}})
		for _, line := range k.worked[1:] {
			worked = join(worked, plain(" "), []page.Inline{page.Math{TeX: rightSide(line)}})
		}
		return worked
	case k.right != "" && k.lost():
		return join(plain("It is "), runs(k.right), plain("."))
	case len(k.lookFor) > 0 && k.lost() && !k.answer.Open:
		points := plain("A full answer says: ")
		for i, point := range k.lookFor {
			if i > 0 {
				points = join(points, plain("; "))
			}
			points = join(points, runs(point))
		}
		return join(points, plain("."))
	}
	return nil
}

// aligned sets the steps below each other at their equals signs.
func aligned(lines []string) string {
	var b strings.Builder
	b.WriteString(`\begin{aligned}`)
	for i, line := range lines {
		name, _, _ := strings.Cut(line, " = ")
		if i > 0 {
			name = ` \\ `
		}
		b.WriteString(name + " &" + rightSide(line))
	}
	return b.String() + `\end{aligned}`
}

// longest is how much of an answer stands on a slip, in characters.
const longest = 40

// short keeps the start of an answer, on one line.
func short(written string) string {
	runes := []rune(oneLine(written))
	if len(runes) <= longest {
		return string(runes)
	}
	return string(runes[:longest]) + "…"
}

// rightSide cuts the name off a line of a worked solution: "= 2.46 N" for "F = 2.46 N".
func rightSide(line string) string {
	if i := strings.Index(line, " = "); i >= 0 {
		return line[i+1:]
	}
	return line
}
