package report

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"keelmark/grader"
	"keelmark/grader/stats"
	"keelmark/labs"
	"keelmark/labs/classset"
)

// Picture is what the marks of a class say. Absent pupils and void questions are out of everything. Totals and the
// figures of the test come from complete sheets, those with nothing left to decide; facility comes from every decided
// answer.
type Picture struct {
	Class    string   `json:"class"` // "" for everybody in the set
	Pupils   int      `json:"pupils"`
	HandedIn int      `json:"handed_in"`
	Complete int      `json:"complete"`
	Absent   []string `json:"absent"`
	Waiting  []string `json:"waiting"` // pupils with an answer that a person must decide

	// Mean, SD and Median are of totals: in marks out of OutOf, or, where pupils had different questions (OutOf 0), in
	// percent. Divisor of the variance: n − 1.
	OutOf  int          `json:"out_of"`
	Mean   stats.Figure `json:"mean"`
	SD     stats.Figure `json:"sd"`
	Median stats.Figure `json:"median"`
	Bands  []Band       `json:"distribution"`

	// Of the questions that every complete sheet has.
	Alpha stats.Figure `json:"alpha"` // Cronbach's
	Low   stats.Figure `json:"alpha_low"`
	High  stats.Figure `json:"alpha_high"` // alpha lies between these with a probability of 95 %
	KR20  stats.Figure `json:"kr20"`       // where all those questions are worth one mark
	SEM   stats.Figure `json:"sem"`        // standard error of measurement, in marks

	Questions []Question `json:"questions"`
	Skills    []Skill    `json:"skills"` // by marks lost
	Slips     []Slip     `json:"slips"`  // by how many made them

	sheets []*classset.SheetMarks // handed in, in roster order
}

// Band is one bar of the distribution: the complete sheets with totals From to To, in marks or percent.
type Band struct {
	From  int `json:"from"`
	To    int `json:"to"`
	Count int `json:"count"`
}

// Question is what the class did with one question.
type Question struct {
	ID             string         `json:"question"`
	Number         int            `json:"number"` // on a sheet with all questions
	Skill          string         `json:"skill"`
	OutOf          int            `json:"out_of"`
	Facility       stats.Figure   `json:"facility"`       // share of the marks won, 0 to 1
	Discrimination stats.Figure   `json:"discrimination"` // correlation with the marks on the other questions
	Verdicts       map[string]int `json:"verdicts"`       // answers by verdict
	Open           int            `json:"open"`
}

// Skill is what a class lost on the questions of one skill, and who.
type Skill struct {
	Skill  string   `json:"skill"`
	Lost   int      `json:"lost"`
	OutOf  int      `json:"out_of"`
	Pupils int      `json:"pupils"` // who had such a question
	Weak   []string `json:"weak"`   // who lost half the marks or more, most first
}

// Slip is a slip that pupils made, at one question or at several.
type Slip struct {
	Questions []string `json:"questions"` // their numbers
	Cause     string   `json:"cause"`
	Say       string   `json:"say"` // the sentence for the class, Markdown
	Lost      int      `json:"lost"`
	Pupils    []string `json:"pupils"` // each once
}

// Stats gives the picture of everybody and, where the roster has several classes, of each class after it.
func Stats(r *grader.Result) ([]*Picture, error) {
	var classes []string
	for _, m := range r.Marking.Sheets {
		if !slices.Contains(classes, m.Class) {
			classes = append(classes, m.Class)
		}
	}
	all, err := newPicture(r, "", r.Marking.Sheets)
	if err != nil {
		return nil, err
	}
	pictures := []*Picture{all}
	if len(classes) < 2 {
		all.Class = strings.Join(classes, "")
		return pictures, nil
	}
	for _, class := range classes {
		own := slices.DeleteFunc(slices.Clone(r.Marking.Sheets), func(m *classset.SheetMarks) bool { return m.Class != class })
		p, err := newPicture(r, class, own)
		if err != nil {
			return nil, err
		}
		if class == "" {
			p.Class = "no class"
		}
		pictures = append(pictures, p)
	}
	return pictures, nil
}

func newPicture(r *grader.Result, class string, sheets []*classset.SheetMarks) (*Picture, error) {
	p := &Picture{Class: class, Pupils: len(sheets), Absent: []string{}, Waiting: []string{}, Skills: []Skill{}, Slips: []Slip{}}
	for _, m := range sheets {
		if m.Absent {
			p.Absent = append(p.Absent, nameOf(r.Set, m))
			continue
		}
		p.sheets = append(p.sheets, m)
		if m.Open > 0 {
			p.Waiting = append(p.Waiting, nameOf(r.Set, m))
		}
	}
	p.HandedIn = len(p.sheets)
	for i, q := range r.Lab.Questions {
		if question, any := p.question(q, i+1); any {
			p.Questions = append(p.Questions, question)
		}
	}
	p.totals()
	if err := p.test(); err != nil {
		return nil, err
	}
	p.skills(r)
	p.slips(r)
	return p, nil
}

// answerTo finds a pupil's answer; nil when the question is not on the sheet or does not count.
func answerTo(m *classset.SheetMarks, question string) *classset.Answer {
	for _, a := range m.Answers {
		if a.Question == question && !a.Void {
			return a
		}
	}
	return nil
}

// question counts the answers to a question; any is false when it counts on no sheet.
func (p *Picture) question(q *labs.Question, number int) (out Question, any bool) {
	out = Question{ID: q.ID, Number: number, Skill: q.Skill, Facility: stats.Undefined, Discrimination: stats.Undefined, Verdicts: map[string]int{}}
	won, of := 0, 0
	for _, m := range p.sheets {
		a := answerTo(m, q.ID)
		if a == nil {
			continue
		}
		any = true
		out.OutOf = a.OutOf
		out.Verdicts[a.Verdict]++
		if a.Open {
			out.Open++
			continue
		}
		won, of = won+a.Marks, of+a.OutOf
	}
	if of > 0 {
		out.Facility = stats.Figure(float64(won) / float64(of))
	}
	return out, any
}

// complete are the sheets with nothing left to decide and something to win.
func (p *Picture) complete() []*classset.SheetMarks {
	return slices.DeleteFunc(slices.Clone(p.sheets), func(m *classset.SheetMarks) bool { return m.Open > 0 || m.OutOf == 0 })
}

// totals computes mean, median, spread and distribution.
func (p *Picture) totals() {
	sheets := p.complete()
	p.Complete = len(sheets)
	p.Bands = []Band{}
	for i, m := range sheets {
		if i == 0 {
			p.OutOf = m.OutOf
		} else if m.OutOf != p.OutOf {
			p.OutOf = 0
			break
		}
	}
	var totals []float64
	for _, m := range sheets {
		if p.OutOf > 0 {
			totals = append(totals, float64(m.Total))
		} else {
			totals = append(totals, 100*float64(m.Total)/float64(m.OutOf))
		}
	}
	p.Mean, p.SD, p.Median = stats.Mean(totals), stats.SD(totals), stats.Median(totals)
	if len(totals) == 0 {
		return
	}
	top, width := 100, 10
	if p.OutOf > 0 {
		top, width = p.OutOf, p.OutOf/12+1 // at most twelve bars
	}
	for from := 0; from <= top; from += width {
		p.Bands = append(p.Bands, Band{From: from, To: min(from+width-1, top)})
	}
	for _, x := range totals {
		p.Bands[int(x)/width].Count++
	}
}

// test computes the figures of the test from the questions that every complete sheet has.
func (p *Picture) test() error {
	sheets := p.complete()
	common := slices.Clone(p.Questions)
	for _, m := range sheets {
		common = slices.DeleteFunc(common, func(q Question) bool { return answerTo(m, q.ID) == nil })
	}
	scores := make([][]float64, len(sheets))
	for i, m := range sheets {
		scores[i] = make([]float64, len(common))
		for j, q := range common {
			scores[i][j] = float64(answerTo(m, q.ID).Marks)
		}
	}
	t, err := stats.Analyse(scores)
	if err != nil {
		return err
	}
	p.Alpha, p.Low, p.High, p.KR20, p.SEM = t.Alpha, t.Low, t.High, t.KR20, t.SEM
	for j, item := range t.Items {
		i := slices.IndexFunc(p.Questions, func(q Question) bool { return q.ID == common[j].ID })
		p.Questions[i].Discrimination = item.Corrected
	}
	return nil
}

// skills finds what was lost by skill.
func (p *Picture) skills(r *grader.Result) {
	type loss struct {
		name      string
		lost, all int
	}
	losses := map[string][]loss{}
	for _, m := range p.sheets {
		own := map[string]loss{}
		for _, a := range m.Answers {
			q := r.Lab.Question(a.Question)
			if q == nil || q.Skill == "" || a.Open || a.Void {
				continue
			}
			l := own[q.Skill]
			own[q.Skill] = loss{nameOf(r.Set, m), l.lost + a.OutOf - a.Marks, l.all + a.OutOf}
		}
		for skill, l := range own {
			losses[skill] = append(losses[skill], l)
		}
	}
	for skill, all := range losses {
		s := Skill{Skill: skill, Pupils: len(all), Weak: []string{}}
		slices.SortStableFunc(all, func(a, b loss) int { return cmp.Compare(b.lost, a.lost) })
		for _, l := range all {
			s.Lost, s.OutOf = s.Lost+l.lost, s.OutOf+l.all
			if l.lost > 0 && 2*l.lost >= l.all {
				s.Weak = append(s.Weak, l.name)
			}
		}
		if s.Lost > 0 {
			p.Skills = append(p.Skills, s)
		}
	}
	slices.SortFunc(p.Skills, func(a, b Skill) int { return cmp.Or(cmp.Compare(b.Lost, a.Lost), cmp.Compare(a.Skill, b.Skill)) })
}

// slips gathers the slips that are certain. Those of one question with one cause are one slip, whatever numbers of their
// own the pupils' messages hold; slips of several questions with the same cause and sentence are joined.
func (p *Picture) slips(r *grader.Result) {
	for _, q := range p.Questions {
		var own []*Slip
		said := map[string]map[string]int{} // sentences by cause, with how often each was said
		for _, m := range p.sheets {
			a := answerTo(m, q.ID)
			if a == nil || a.Cause == "" || !a.Certain || a.Verdict != classset.Slip {
				continue
			}
			i := slices.IndexFunc(own, func(s *Slip) bool { return s.Cause == a.Cause })
			if i < 0 {
				i, own = len(own), append(own, &Slip{Questions: []string{strconv.Itoa(q.Number)}, Cause: a.Cause})
				said[a.Cause] = map[string]int{}
			}
			own[i].Lost += a.OutOf - a.Marks
			own[i].Pupils = append(own[i].Pupils, nameOf(r.Set, m))
			said[a.Cause][forClass(a.Message)]++
		}
		for _, s := range own {
			s.Say = mostSaid(said[s.Cause])
			p.join(s)
		}
	}
	slices.SortStableFunc(p.Slips, func(a, b Slip) int {
		return cmp.Or(cmp.Compare(len(b.Pupils), len(a.Pupils)), cmp.Compare(b.Lost, a.Lost))
	})
}

// join adds the slip of one question to the same slip of another, or to the list.
func (p *Picture) join(s *Slip) {
	i := slices.IndexFunc(p.Slips, func(other Slip) bool { return other.Cause == s.Cause && other.Say == s.Say })
	if i < 0 {
		p.Slips = append(p.Slips, *s)
		return
	}
	same := &p.Slips[i]
	same.Questions = append(same.Questions, s.Questions...)
	same.Lost += s.Lost
	for _, name := range s.Pupils {
		if !slices.Contains(same.Pupils, name) {
			same.Pupils = append(same.Pupils, name)
		}
	}
}

// mostSaid is the sentence said most often, of several the first in the alphabet.
func mostSaid(said map[string]int) (sentence string) {
	for s, n := range said {
		if n > said[sentence] || n == said[sentence] && s < sentence {
			sentence = s
		}
	}
	return sentence
}

// forClass takes off a message what holds for one pupil alone.
func forClass(message string) string {
	for _, own := range []string{" (This goes on from", " Or: "} {
		message, _, _ = strings.Cut(message, own)
	}
	return strings.TrimSpace(message)
}
