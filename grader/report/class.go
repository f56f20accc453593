package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"keelmark/generator/page"
	"keelmark/generator/plot"
	"keelmark/grader"
	"keelmark/grader/stats"
	"keelmark/labs/classset"
)

const (
	smallClass = 30  // complete sheets; below, alpha and discrimination are rough, and the report says so
	tinyClass  = 8   // below, they say nothing and are not printed
	lowAlpha   = 0.5 // below, totals say little
	manySlips  = 10  // rows of the table of slips
	manySkills = 6   // rows of Teach again
	manyNames  = 8   // names in a cell
	chartWidth = 250 // points: the tables of fourteen questions leave room for it
	gridRows   = 44  // pupils on one grid
	gridMost   = 88  // pupils who are shown one by one; above, rows are means of several
)

// Class writes the class report as PDF: everybody together and, where the roster has several classes, each apart. It says
// what to teach again first, then how the questions and the pupils did. The order of grid and tables shows patterns.
// The pictures are those of [Stats].
func Class(w io.Writer, r *grader.Result, pictures []*Picture) error {
	s := r.Set.Settings
	doc := &page.Document{Title: "Class report: " + r.Lab.Title, Lang: "en-GB", Paper: s.Paper, Plain: s.Plain, Tagged: true}
	for i, p := range pictures {
		c := classReport{Picture: p, set: r.Set, style: plot.Style{Plain: s.Plain}}
		if i == 0 {
			c.apart = pictures[1:]
		}
		sheet, err := c.sheet(r)
		if err != nil {
			return err
		}
		doc.Sheets = append(doc.Sheets, sheet)
	}
	_, err := page.Write(w, doc)
	return err
}

type classReport struct {
	*Picture
	set   *classset.Set
	apart []*Picture // the classes that this one holds together
	style plot.Style
}

func (c *classReport) sheet(r *grader.Result) (page.Sheet, error) {
	out := page.Sheet{Title: r.Lab.Title, Subtitle: "Class report", Foot: r.Lab.Name + " · class report"}
	switch {
	case len(c.apart) > 0:
		out.Subtitle = "Class report · all classes together"
	case c.Class != "":
		out.Subtitle = "Class report · class " + c.Class
	}
	out.Body = c.summary()
	if c.HandedIn == 0 {
		return out, nil
	}
	for _, part := range []func() ([]page.Block, error){c.teachAgain, c.distribution, c.slipTable, c.questions, c.grid} {
		blocks, err := part()
		if err != nil {
			return out, err
		}
		out.Body = append(out.Body, blocks...)
	}
	return out, nil
}

// summary is what a teacher must know first.
func (c *classReport) summary() []page.Block {
	s := fmt.Sprintf("%d of %s handed in. ", c.HandedIn, count(c.Pupils, "pupil"))
	if c.Mean.Defined() {
		unit := fmt.Sprintf("of %d", c.OutOf)
		if c.OutOf == 0 {
			unit = "percent (pupils had different questions)"
		}
		s += fmt.Sprintf("Mean %s %s, median %s, standard deviation %s.", c.Mean.Format(1), unit, c.Median.Format(1), c.SD.Format(1))
	} else if c.HandedIn > 0 {
		s += "No sheet is complete yet, so there are no totals."
	}
	blocks := []page.Block{para(plain(s))}
	if len(c.Absent) > 0 {
		blocks = append(blocks, para(bold("Absent: "), plain(names(c.Absent, 3*manyNames)+".")))
	}
	if len(c.Waiting) > 0 {
		blocks = append(blocks, para(bold("Waiting for you in look.csv: "), plain(names(c.Waiting, 2*manyNames)+". Their totals are not in the figures yet.")))
	}
	if len(c.apart) > 0 {
		blocks = append(blocks, c.compare()...)
	}
	return blocks
}

// compare sets the classes side by side: figures first, then the share of marks won, question by question.
func (c *classReport) compare() []page.Block {
	figures := page.Table{Small: true, Align: []byte("lrr...."), Head: cells("class", "pupils", "handed in", "mean", "median", "SD", "alpha")}
	won := page.Table{Small: true, Align: []byte{'l'}, Head: cells("marks won, question")}
	for _, q := range c.Questions {
		won.Head = append(won.Head, plain(strconv.Itoa(q.Number)))
		won.Align = append(won.Align, 'r')
	}
	for _, p := range append(slices.Clone(c.apart), c.Picture) {
		name := p.Class
		if p == c.Picture {
			name = "together"
		}
		figures.Rows = append(figures.Rows, cells(name, strconv.Itoa(p.Pupils), strconv.Itoa(p.HandedIn),
			p.Mean.Format(1), p.Median.Format(1), p.SD.Format(1), p.Alpha.Format(2)))
		row := cells(name)
		for _, q := range c.Questions {
			share := stats.Undefined
			if i := slices.IndexFunc(p.Questions, func(own Question) bool { return own.ID == q.ID }); i >= 0 {
				share = p.Questions[i].Facility
			}
			row = append(row, plain(percent(share)))
		}
		won.Rows = append(won.Rows, row)
	}
	return []page.Block{figures, won}
}

// teachAgain names the skills in order of marks lost, and with whom to take them up.
func (c *classReport) teachAgain() ([]page.Block, error) {
	if len(c.Skills) == 0 {
		return []page.Block{section("Teach again"), para(plain(c.noSkills()))}, nil
	}
	t := page.Table{Small: true, Align: []byte("lrl"), Head: cells("skill", "marks lost", "with whom")}
	for _, s := range c.Skills[:min(manySkills, len(c.Skills))] {
		skill := bold(skillName(s.Skill))
		if can := meanings()[s.Skill]; can != "" {
			skill = join(skill, plain(": "+can))
		}
		lost := fmt.Sprintf("%d\u00a0of\u00a0%d", s.Lost, s.OutOf)
		t.Rows = append(t.Rows, [][]page.Inline{skill, plain(lost), plain(withWhom(s))})
	}
	return []page.Block{section("Teach again"), t}, nil
}

// noSkills says why no skill is named: a lab's questions need not have one.
func (c *classReport) noSkills() string {
	for _, q := range c.Questions {
		if q.Facility.Defined() && q.Facility < 1 {
			return "The questions on which marks were lost name no skill. See below, question by question."
		}
	}
	return "Nothing: no marks were lost."
}

// withWhom says whether a skill is for the whole class or for some.
func withWhom(s Skill) string {
	switch n := len(s.Weak); {
	case n == 0:
		return "many lost a little; no one half of it"
	case 2*n >= s.Pupils && n > 3:
		return fmt.Sprintf("the class: %d of %d lost half or more", n, s.Pupils)
	}
	return names(s.Weak, manyNames)
}

// slipTable lists the slips by how many made them, with the sentence to say.
func (c *classReport) slipTable() ([]page.Block, error) {
	if len(c.Slips) == 0 {
		return nil, nil
	}
	t := page.Table{Small: true, Align: []byte("crlrl"), Head: cells("questions", "made by", "to say in class", "marks lost", "who")}
	for _, s := range c.Slips[:min(manySlips, len(c.Slips))] {
		t.Rows = append(t.Rows, [][]page.Inline{plain(strings.Join(s.Questions, ", ")), plain(strconv.Itoa(len(s.Pupils))), runs(s.Say),
			plain(strconv.Itoa(s.Lost)), plain(names(s.Pupils, manyNames/2))})
	}
	blocks := []page.Block{section("Slips to take up"), t}
	if more := len(c.Slips) - manySlips; more > 0 {
		blocks = append(blocks, para(plain(fmt.Sprintf("And %s made by fewer; marking.json has them all.", count(more, "slip")))))
	}
	return blocks, nil
}

// distribution shows how the totals lie; of a handful of pupils the grid says more.
func (c *classReport) distribution() ([]page.Block, error) {
	if c.Complete < tinyClass {
		return []page.Block{para(plain(c.trust()))}, nil
	}
	bars := plot.Bars{X: plot.Axis{Label: "total", Unit: "marks"}, Y: plot.Axis{Label: "pupils"}, Style: c.style}
	if c.OutOf == 0 {
		bars.X.Unit = "%"
	}
	most := 0
	for _, b := range c.Bands {
		label := strconv.Itoa(b.From)
		if b.To > b.From {
			label += "–" + strconv.Itoa(b.To)
		}
		bars.Labels = append(bars.Labels, label)
		bars.Values = append(bars.Values, float64(b.Count))
		most = max(most, b.Count)
	}
	bars.Y.Max = float64(max(most, 6)) // no half pupils on the axis
	drawing, err := plot.NewBars(bars)
	if err != nil {
		return nil, err
	}
	return []page.Block{section("How the marks lie"), page.Picture{Drawing: drawing}, para(plain(c.trust()))}, nil
}

// trust says how far totals can be trusted.
func (c *classReport) trust() string {
	if c.Complete < tinyClass || !c.Alpha.Defined() {
		return "There are too few complete sheets or questions to say how reliable the totals are."
	}
	s := fmt.Sprintf("Reliability (Cronbach’s alpha) %s; with a probability of 95 %% it lies between %s and %s.", c.Alpha.Format(2), c.Low.Format(2), c.High.Format(2))
	if c.SEM.Defined() {
		s += fmt.Sprintf(" A total is good to ± %s marks (standard error of measurement): do not rest a decision on less.", c.SEM.Format(1))
	}
	if c.Alpha < lowAlpha {
		s += " These questions ask for different things: read the marks question by question rather than by their sum."
	}
	if c.Complete < smallClass {
		s += fmt.Sprintf(" With %s these figures, and discrimination below, are rough; take them as a hint.", count(c.Complete, "complete sheet"))
	}
	return s
}

// questions shows how easy each question was and how well it tells pupils apart.
func (c *classReport) questions() ([]page.Block, error) {
	t := page.Table{Small: true, Align: []byte("clrr.rrrrrr"),
		Head: cells("question", "skill", "marks", "won", "discrimination", "right", "carried", "slip", "wrong", "blank", "open")}
	points := plot.Series{}
	for _, q := range c.Questions {
		if c.Complete < tinyClass {
			q.Discrimination = stats.Undefined
		}
		t.Rows = append(t.Rows, cells(strconv.Itoa(q.Number), skillName(q.Skill), strconv.Itoa(q.OutOf), percent(q.Facility), q.Discrimination.Format(2),
			some(q.Verdicts[classset.Right]), some(q.Verdicts[classset.Carried]), some(q.Verdicts[classset.Slip]),
			some(q.Verdicts[classset.Wrong]), some(q.Verdicts[classset.Blank]), some(q.Open)))
		if q.Facility.Defined() && q.Discrimination.Defined() {
			points.X = append(points.X, 100*float64(q.Facility))
			points.Y = append(points.Y, float64(q.Discrimination))
			points.Labels = append(points.Labels, strconv.Itoa(q.Number))
		}
	}
	blocks := []page.Block{section("Question by question"), t}
	if len(points.X) < 2 {
		return blocks, nil
	}
	style := c.style
	style.Width = chartWidth
	chart, err := plot.NewChart(plot.Chart{X: plot.Axis{Label: "marks won", Unit: "%", Min: 0, Max: 100}, Y: plot.Axis{Label: "discrimination", Min: 0, Max: 1},
		Series: []plot.Series{points}, Style: style})
	if err != nil {
		return nil, err
	}
	return append(blocks, page.Picture{Drawing: chart, Caption: plain(
		"Each number is a question: hard ones left, easy ones right. Discrimination is the correlation with the marks on the other questions; near or below 0, look at the question's wording before you blame the class.")}), nil
}

// percent writes a share as "63 %".
func percent(share stats.Figure) string {
	if !share.Defined() {
		return "–"
	}
	return (100 * share).Format(0) + "\u00a0%"
}

// some leaves a zero out, so that the rest is seen.
func some(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func cells(texts ...string) (row [][]page.Inline) {
	for _, s := range texts {
		row = append(row, plain(s))
	}
	return row
}

// names lists at most so many names; where one holds a comma itself ("Cole, Mina"), semicolons part them.
func names(all []string, most int) string {
	by := ", "
	if slices.ContainsFunc(all, func(name string) bool { return strings.Contains(name, ",") }) {
		by = "; "
	}
	if len(all) <= most+1 {
		return strings.Join(all, by)
	}
	return fmt.Sprintf("%s and %d more", strings.Join(all[:most], by), len(all)-most)
}
