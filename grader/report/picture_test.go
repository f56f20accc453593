package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"keelmark/grader"
	"keelmark/grader/stats"
	"keelmark/labs/classset"
)

func near(t *testing.T, what string, got stats.Figure, want float64) {
	t.Helper()
	if !(math.Abs(float64(got)-want) < 1e-9) {
		t.Errorf("%s = %v, want %v", what, got, want)
	}
}

// A class of six: one absent, one with an answer to decide, four complete with 13, 11, 12 and 9 marks.
func TestStats(t *testing.T) {
	r := marked(t,
		allRight(),
		but(answers{"Fb": "12.56"}), // listed: the sum of the readings
		nil,
		but(answers{"m": "65.4"}),              // listed: weight times g
		but(answers{"Fb": "12.56", "why": ""}), // and the words not marked yet
		but(answers{"Fb": "12.56", "why": "0"}),
	)
	all, err := Stats(r)
	if err != nil || len(all) != 1 {
		t.Fatalf("%d pictures, %v", len(all), err)
	}
	p := all[0]
	if p.Pupils != 6 || p.HandedIn != 5 || p.Complete != 4 || p.OutOf != 13 {
		t.Errorf("%d pupils, %d handed in, %d complete, out of %d", p.Pupils, p.HandedIn, p.Complete, p.OutOf)
	}
	if !slices.Equal(p.Absent, []string{"Pupil C"}) || !slices.Equal(p.Waiting, []string{"Pupil E"}) {
		t.Errorf("absent %v, waiting %v", p.Absent, p.Waiting)
	}
	near(t, "mean", p.Mean, (13+11+12+9)/4.0)
	near(t, "median", p.Median, 11.5)
	near(t, "SD", p.SD, math.Sqrt((1.75*1.75+0.25*0.25+0.75*0.75+2.25*2.25)/3))
	near(t, "facility of Fb", p.Questions[0].Facility, 4.0/10)
	near(t, "facility of m", p.Questions[1].Facility, 4.0/5)
	near(t, "facility of why, one of five open", p.Questions[6].Facility, 6.0/8)
	if d := p.Questions[2].Discrimination; d.Defined() {
		t.Errorf("a question that all have right discriminates by %v", d)
	}
	if s := p.Skills[0]; s.Skill != "upthrust" || s.Lost != 6 || s.OutOf != 30 || len(s.Weak) != 0 {
		t.Errorf("first skill %+v", s)
	}
	want := Slip{Questions: []string{"1"}, Cause: "listed-1", Say: "The water carries part of the weight: subtract the readings.",
		Lost: 6, Pupils: []string{"Pupil B", "Pupil E", "Pupil F"}}
	if got := fmt.Sprintf("%+v", p.Slips[0]); got != fmt.Sprintf("%+v", want) {
		t.Errorf("first slip\n%s, want\n%+v", got, want)
	}
	count := 0
	for _, b := range p.Bands {
		count += b.Count
	}
	if count != 4 || p.Bands[len(p.Bands)-1].To != 13 {
		t.Errorf("distribution %+v", p.Bands)
	}
}

// A question that is void, or not on a sheet, is out of everything.
func TestStatsWithoutVoidQuestions(t *testing.T) {
	r := marked(t, allRight(), but(answers{"m": "1"}))
	for _, m := range r.Marking.Sheets {
		a := m.Answers[1]
		m.OutOf, m.Total = m.OutOf-a.OutOf, m.Total-a.Marks
		a.Void, a.OutOf, a.Marks = true, 0, 0
	}
	all := pictures(t, r)
	if slices.ContainsFunc(all[0].Questions, func(q Question) bool { return q.ID == "m" }) || all[0].Mean != 12 || len(all[0].Skills) != 0 {
		t.Errorf("%+v", all[0])
	}
}

// Nothing handed in: every figure is undefined, in print and in JSON, and the report is still made.
func TestStatsOfNobody(t *testing.T) {
	r := marked(t, nil, nil)
	all := pictures(t, r)
	out, err := json.Marshal(all[0])
	if err != nil || !strings.Contains(string(out), `"mean":null`) || !strings.Contains(string(out), `"alpha":null`) {
		t.Errorf("%s, %v", out, err)
	}
	if err := Class(new(bytes.Buffer), r, pictures(t, r)); err != nil {
		t.Error(err)
	}
}

// Two classes in one roster are reported together and apart.
func TestStatsOfTwoClasses(t *testing.T) {
	r := marked(t, allRight(), but(answers{"m": "1"}), allRight(), nil)
	for i, m := range r.Marking.Sheets {
		m.Class = []string{"9a", "9b"}[i/2]
	}
	all := pictures(t, r)
	var got []string
	for _, p := range all {
		got = append(got, fmt.Sprintf("%s %d/%d %s", p.Class, p.HandedIn, p.Pupils, p.Mean.Format(2)))
	}
	want := []string{" 3/4 12.67", "9a 2/2 12.50", "9b 1/2 13.00"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// How far totals can be trusted is said as the class allows.
func TestTrust(t *testing.T) {
	for _, c := range []struct {
		p         Picture
		has, lack string
	}{
		{Picture{Complete: 5, Alpha: 0.9, SEM: 1}, "too few complete sheets", "0.90"},
		{Picture{Complete: 20, Alpha: stats.Undefined}, "too few complete sheets", "–"},
		{Picture{Complete: 20, Alpha: 0.8, Low: 0.6, High: 0.9, SEM: 1.26}, "With 20 complete sheets these figures, and discrimination below, are rough", "by their sum"},
		{Picture{Complete: 40, Alpha: 0.8, Low: 0.7, High: 0.9, SEM: 1.26}, "good to ± 1.3 marks", "rough"},
		{Picture{Complete: 40, Alpha: -0.1, Low: -0.9, High: 0.4, SEM: 2}, "question by question rather than by their sum", "rough"},
	} {
		got := (&classReport{Picture: &c.p}).trust()
		if !strings.Contains(got, c.has) || strings.Contains(got, c.lack) {
			t.Errorf("%+v: %q, want %q and not %q", c.p, got, c.has, c.lack)
		}
	}
}

// Questions without a skill may lose marks too.
func TestNoSkills(t *testing.T) {
	for _, c := range []struct {
		facilities []stats.Figure
		want       string
	}{
		{[]stats.Figure{1, 0.5}, "name no skill"},
		{[]stats.Figure{1, stats.Undefined}, "no marks were lost"},
	} {
		r := &classReport{Picture: &Picture{}}
		for _, f := range c.facilities {
			r.Questions = append(r.Questions, Question{Facility: f})
		}
		if got := r.noSkills(); !strings.Contains(got, c.want) {
			t.Errorf("%v: %q, want %q", c.facilities, got, c.want)
		}
	}
}

// From one pupil to 300, the report is made; the grid of 300 is banded.
func TestClassOfAnySize(t *testing.T) {
	for _, n := range []int{1, 3, 36, 300} {
		r := marked(t, classOf(n)...)
		var pdf bytes.Buffer
		if err := Class(&pdf, r, pictures(t, r)); err != nil {
			t.Fatalf("%d pupils: %v", n, err)
		}
		if !bytes.HasPrefix(pdf.Bytes(), []byte("%PDF-")) {
			t.Errorf("%d pupils: no PDF", n)
		}
	}
}

// Answers that fit another pupil's sheet are for the teacher alone: they leave no trace in what may be projected.
func TestClassKnowsNothingOfTalk(t *testing.T) {
	r := marked(t, allRight(), allRight())
	var without, with bytes.Buffer
	if err := Class(&without, r, pictures(t, r)); err != nil {
		t.Fatal(err)
	}
	r.Talk = []grader.Talk{{Sheet: r.Set.Sheets[0], Other: r.Set.Sheets[1], Questions: []string{"Fb"}, Evidence: "the same digits"}}
	if err := Class(&with, r, pictures(t, r)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(without.Bytes(), with.Bytes()) {
		t.Error("the report changes with the evidence")
	}
}

// Rows of the grid: each pupil alone, or the mean of several; what was blank, open or not asked is told apart.
func TestBandCells(t *testing.T) {
	q := []Question{{ID: "a"}, {ID: "b"}, {ID: "c"}, {ID: "d"}}
	sheet := func(answers ...*classset.Answer) *classset.SheetMarks { return &classset.SheetMarks{Answers: answers} }
	won := func(q string, marks int) *classset.Answer {
		return &classset.Answer{Question: q, Marks: marks, OutOf: 2, Verdict: classset.Right}
	}
	blank := &classset.Answer{Question: "b", OutOf: 2, Verdict: classset.Blank}
	open := &classset.Answer{Question: "c", OutOf: 2, Open: true}
	got := fmt.Sprint(bandCells([]*classset.SheetMarks{sheet(won("a", 2), blank, open)}, q))
	if want := "[{0 1 2} {1 0 0} {2 0 0} {3 0 0}]"; got != want {
		t.Errorf("one pupil: %s, want %s", got, want)
	}
	two := []*classset.SheetMarks{sheet(won("a", 2), blank, open), sheet(won("a", 1), won("b", 2), won("c", 0))}
	if got, want := fmt.Sprint(bandCells(two, q)), "[{0 0.75 1.5} {0 0.5 1} {0 0 0} {3 0 0}]"; got != want {
		t.Errorf("two pupils: %s, want %s", got, want)
	}
}

// A name with a comma stays one name in a list of them.
func TestNames(t *testing.T) {
	for _, c := range []struct {
		all  []string
		most int
		want string
	}{
		{[]string{"Ada", "Bo"}, 3, "Ada, Bo"},
		{[]string{"Ada", "Cole, Mina"}, 3, "Ada; Cole, Mina"},
		{[]string{"Ada", "Bo", "Cole", "Di"}, 3, "Ada, Bo, Cole, Di"},
		{[]string{"Ada", "Bo", "Cole, Mina", "Di", "Eve"}, 3, "Ada; Bo; Cole, Mina and 2 more"},
	} {
		if got := names(c.all, c.most); got != c.want {
			t.Errorf("%q becomes %q, want %q", c.all, got, c.want)
		}
	}
}
