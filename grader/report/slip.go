package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"keelmark/generator/page"
	"keelmark/labs"
	"keelmark/labs/classset"
)

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
func (f *feedback) slip(m *classset.SheetMarks) page.Sheet {
	out := page.Sheet{Title: nameOf(f.Set, m), Code: m.Code, Foot: f.Lab.Name, Large: f.sheets[m.Code].Large}
	out.Subtitle = f.Lab.Title
	if m.Class != "" {
		out.Subtitle += " · class " + m.Class
	}
	if m.Absent {
		out.Body = []page.Block{page.Heading{Level: 1, Text: plain("Not handed in")}, para(plain(
			"There was no answer sheet of yours to mark, so you have no mark for this one; it does not count as 0. Hand your sheet in, or ask your teacher when you can do it."))}
		return out
	}
	made := sync.OnceValues(func() (*slip, error) { return f.slipOf(m) }) // only when the sheet is set: a class has many
	for _, d := range ladder {
		out.Bodies = append(out.Bodies, func() ([]page.Block, error) {
			s, err := made()
			if err != nil {
				return nil, err
			}
			blocks, err := s.body(d)
			if err != nil {
				return nil, fmt.Errorf("sheet %s: %w", classset.ShowCode(m.Code), err)
			}
			return blocks, nil
		})
	}
	return out
}

// A slip is all there is to say to a pupil, to be put together with more or less detail.
type slip struct {
	lab    *labs.Lab
	frame  labs.Frame // of Solve, with the pupil's readings
	top    []page.Block
	pieces []piece
	skills []practice
}

func (f *feedback) slipOf(m *classset.SheetMarks) (*slip, error) {
	all, frame, err := f.remarks(m)
	if err != nil {
		return nil, err
	}
	pieces, err := f.pieces(all, frame)
	if err != nil {
		return nil, fmt.Errorf("sheet %s: %w", classset.ShowCode(m.Code), err)
	}
	return &slip{lab: f.Lab, frame: frame, top: top(m, all), pieces: pieces, skills: toPractise(all)}, nil
}

// top is the mark in a sentence and by question, and what there is to check in the pupil's readings.
func top(m *classset.SheetMarks, all []remark) []page.Block {
	top := []page.Block{page.Heading{Level: 1, Text: plain("Mark: " + totalWords(m))}, para(plain(greeting(m, all))), &page.Shared{Block: strip(all)}}
	if check := benchRemarks(m); check != "" {
		top = append(top, para(bold("At the bench: "), runs(check)))
	}
	return top
}

// body puts a slip together with so much detail.
func (s *slip) body(d detail) ([]page.Block, error) {
	blocks := slices.Clone(s.top)
	var gathered []string
	for i := range s.pieces {
		k := &s.pieces[i]
		plainlyRight := !k.lost() && k.answer.Verdict != classset.Carried && len(k.messages) == 0
		if d.gather && plainlyRight || d.terse && !k.lost() {
			gathered = append(gathered, strconv.Itoa(k.number))
			continue
		}
		item, err := s.item(k, k.form(d))
		if err != nil {
			return nil, err
		}
		blocks = append(blocks, item)
	}
	if len(gathered) > 0 {
		blocks = append(blocks, para(bold("Full marks: "), plain(questions(gathered)+".")))
	}
	return append(blocks, practicePanel(s.skills, d)...), nil
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

// benchRemarks joins what there is to check in the pupil's own readings, and says which are those of the bench.
func benchRemarks(m *classset.SheetMarks) string {
	var remarks, shared []string
	for _, reading := range m.Readings {
		if reading.From != "" {
			shared = append(shared, reading.Name)
		}
		if !reading.Plausible && reading.Message != "" {
			remarks = append(remarks, strings.TrimSuffix(reading.Message, "."))
		}
	}
	if len(shared) > 0 {
		remarks = append(remarks, "you handed in no readings of "+strings.Join(shared, " and ")+", so those of your bench count")
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

// piece is a remark ready to be set.
type piece struct {
	remark
	asked   []page.Block          // the question
	said    []page.Inline         // what was written, the verdict, the marks
	reasons []page.Inline         // the messages
	points  []page.Inline         // what an answer should have been that is not worked out
	items   map[form]*page.Shared // made so far
}

// pieces makes remarks ready, each question's Markdown filled with the pupil's own numbers.
func (f *feedback) pieces(all []remark, frame labs.Frame) ([]piece, error) {
	fill := page.Fillers{Placeholder: func(source string) (string, error) { return f.Lab.Fill(source, frame) }}
	pieces := make([]piece, len(all))
	for i, k := range all {
		asked, err := page.Blocks(f.asks[k.question], []byte(k.question.Ask), fill)
		if err != nil {
			return nil, err
		}
		p := piece{remark: k, asked: asked, said: bold(k.verdict), points: k.toLookFor(), items: map[form]*page.Shared{}}
		if k.answer.Written != "" {
			p.said = join(plain("You wrote "), bold(short(k.answer.Written)), plain(". "), p.said)
		}
		if marks := marksWords(k.answer); marks != "" {
			p.said = join(p.said, plain(" ["+marks+"]"))
		}
		for _, message := range k.messages {
			p.reasons = join(p.reasons, plain(" "), runs(message))
		}
		pieces[i] = p
	}
	return pieces, nil
}

// form is which parts of a piece stand on the slip.
type form struct{ ask, reasons, solution, display, inline bool }

// form is what of a piece stands there in so much detail.
func (k *piece) form(d detail) form {
	toRead := k.lost() || k.answer.Verdict == classset.Carried // where the pupil's own steps were others
	solution := (k.worked || len(k.points) > 0) && (toRead || d.right)
	display := toRead && d.display && k.worked
	return form{
		ask:      d.askLost && k.lost() || d.askRight && !k.lost(),
		reasons:  !d.terse || k.answer.Verdict != classset.Blank && !k.answer.Open, // those say no more than their verdict
		solution: solution,
		display:  display,
		inline:   solution && !display && d.terse,
	}
}

// item is what the slip says of one answer. It is the same block whenever it has the same form.
func (s *slip) item(k *piece, f form) (page.Block, error) {
	if made := k.items[f]; made != nil {
		return made, nil
	}
	var blocks []page.Block
	if f.ask {
		blocks = slices.Clone(k.asked)
	}
	said := k.said
	if f.reasons {
		said = join(said, k.reasons)
	}
	solution := k.points
	var steps []string
	if f.solution && k.worked {
		var err error
		if steps, err = s.lab.Solution(k.question, s.frame); err != nil {
			return nil, err
		}
		solution = inLine(steps)
	}
	switch {
	case f.inline:
		blocks = append(blocks, para(said, plain(" "), solution))
	case f.display:
		blocks = append(blocks, para(said), page.Display{TeX: aligned(steps)})
	case f.solution:
		blocks = append(blocks, para(said), para(solution))
	default:
		blocks = append(blocks, para(said))
	}
	k.items[f] = &page.Shared{Block: page.List{Ordered: true, Start: k.number, Items: [][]page.Block{blocks}}}
	return k.items[f], nil
}

// toLookFor is the right choice, or what a full answer says, where marks were lost.
func (k *remark) toLookFor() []page.Inline {
	switch {
	case !k.lost():
	case k.right != "":
		return join(plain("It is "), runs(k.right), plain("."))
	case len(k.lookFor) > 0 && !k.answer.Open:
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

// inLine sets worked steps one after the other.
func inLine(steps []string) []page.Inline {
	line := join(plain("Worked: "), []page.Inline{page.Math{TeX: steps[0]}})
	for _, step := range steps[1:] {
		line = join(line, plain(" "), []page.Inline{page.Math{TeX: rightSide(step)}})
	}
	return line
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
