package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/yuin/goldmark/ast"

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

// write writes the slips of some pupils as one PDF.
func (f *feedback) write(w io.Writer, marks []*classset.SheetMarks) error {
	doc := f.document()
	for _, m := range marks {
		doc.Sheets = append(doc.Sheets, f.slip(m))
	}
	return f.set(w, doc)
}

// set writes a document and keeps what the press has to say.
func (f *feedback) set(w io.Writer, doc *page.Document) error {
	notes, err := f.press.Write(w, doc)
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, n := range notes {
		f.notes = append(f.notes, "feedback for "+classset.ShowCode(n.Sheet)+": "+n.Text)
	}
	return err
}

// feedback makes slips.
type feedback struct {
	*grader.Result
	sheets map[string]*classset.Sheet
	asks   map[*labs.Question]ast.Node // the questions' Markdown
	press  *page.Press

	mu    sync.Mutex
	notes []string // what could not be set as it was written
}

func newFeedback(r *grader.Result) (*feedback, error) {
	sheets, err := sheetOf(r)
	if err != nil {
		return nil, err
	}
	asks := map[*labs.Question]ast.Node{}
	for _, q := range r.Lab.Questions {
		asks[q] = text.Parse([]byte(q.Ask))
	}
	return &feedback{Result: r, sheets: sheets, asks: asks, press: page.NewPress()}, nil
}

func (f *feedback) document() *page.Document {
	s := f.Set.Settings
	return &page.Document{Title: "Feedback: " + f.Lab.Title, Lang: "en-GB", Paper: s.Paper, Large: s.Large, Plain: s.Plain}
}

// single writes one pupil's slip as a PDF of its own, with tags for screen readers.
func (f *feedback) single(w io.Writer, m *classset.SheetMarks) error {
	doc := f.document()
	doc.Tagged = true
	doc.Sheets = []page.Sheet{f.slip(m)}
	return f.set(w, doc)
}

// remark is what a slip says of one answer.
type remark struct {
	number   int
	question *labs.Question
	answer   *classset.Answer
	verdict  string   // in a word or two
	messages []string // Markdown
	worked   bool     // there is a worked solution to show
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
			if message != "" && !(a.Void && message == a.Message) { // the verdict says it
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
			k.worked = true
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

// rightSide cuts the name off a line of a worked solution: "= 2.46 N" for "F = 2.46 N".
func rightSide(line string) string {
	if i := strings.Index(line, " = "); i >= 0 {
		return line[i+1:]
	}
	return line
}
