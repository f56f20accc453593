package report

import (
	"bytes"
	"strings"
	"testing"

	"keelmark/grader"
	"keelmark/labs"
	"keelmark/labs/classset"
)

// slipText is the first pupil's feedback as text.
func slipText(t *testing.T, r *grader.Result) string {
	t.Helper()
	f, err := newFeedback(r)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := f.text(&b, r.Marking.Sheets[0]); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// What a pupil reads: the mark, each question with what was written, a verdict in plain words, the reason, the steps, and
// what to practise, most marks lost first.
func TestFeedbackText(t *testing.T) {
	got := slipText(t, marked(t, but(answers{"Fb": "12.56", "m": "", "which": "zinc", "why": "1"})))
	for _, want := range []string{
		"Weigh it twice\nPupil A (sheet T000-",
		"Mark: 8/13\n3 of 7 questions have full marks. Below is what the others need.\n",
		"1. What is the upthrust on the sinker?\n   You wrote 12.56. A slip. [0 of 2] The water carries part of the weight: subtract the readings.\n" +
			"   Fb = W_a − W_w\n   = 6.67 N − 5.89 N\n   = 0.780 N\n",
		"2. What is the mass of the sinker?\n   Left blank. [0 of 1] Nothing is written here",
		"You wrote 79.6. Right. [2 of 2]\n   V_s = ",
		"You wrote zinc. Not yet. [0 of 1]",
		"   It is D, brass.\n",
		"Part of it is there. [1 of 2]\n   A full answer says: the bottom pushes up on it; so the meter reads less than weight minus upthrust.\n",
		"What to practise\n- upthrust: find the upthrust from weighings or from the water pushed aside (question 1)\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("want %q in\n%s", want, got)
		}
	}
}

func TestFeedbackOfOpenAnswers(t *testing.T) {
	got := slipText(t, marked(t, but(answers{"rho": "10 or 11", "why": ""})))
	for _, want := range []string{
		"Mark: 8 + ?/13\n", "The ? stands for up to 5 marks not decided yet.", "You wrote 10 or 11. Not read yet. [? of 3]", "Not marked yet. [? of 2]",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("want %q in\n%s", want, got)
		}
	}
	if strings.Contains(got, "What to practise") {
		t.Errorf("an answer not marked yet is no reason to practise:\n%s", got)
	}
}

func TestFeedbackOfFullMarks(t *testing.T) {
	got := slipText(t, marked(t, allRight()))
	if !strings.Contains(got, "Mark: 13/13\nFull marks for all 7 questions. Well done.\n") || strings.Contains(got, "practise") {
		t.Error(got)
	}
}

func TestFeedbackOfAbsentPupil(t *testing.T) {
	got := slipText(t, marked(t, nil))
	if !strings.Contains(got, "Not handed in") || strings.Contains(got, "Mark:") {
		t.Error(got)
	}
}

// Codes stand for names where the set carries codes alone.
func TestFeedbackByCode(t *testing.T) {
	r := marked(t, allRight())
	r.Set.Settings.CodesOnly = true
	if got := slipText(t, r); strings.Contains(got, "Pupil A") {
		t.Error(got)
	}
}

// A slip fits on a page in every lab, whatever was written: all of it wrong, all of it blank, all of it absurd.
func TestFeedbackFitsOnePage(t *testing.T) {
	for _, name := range []string{"archimedes/weigh-twice", "circuits/two-loops", "craft/own-craft", "craft/course-run"} {
		l, err := labs.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		set := &classset.Set{Lab: l.Name, Settings: classset.Settings{Gravity: 9.81, Paper: "a4"}}
		var written []answers
		for i, text := range []string{"", "1234", "0.001", strings.Repeat("5 or 6, ", 8)} {
			set.Sheets = append(set.Sheets, &classset.Sheet{Code: code(i), Name: "Anna-Magdalena van der Meer-Ångström", Level: l.Level, Values: midway(t, l)})
			a := answers{}
			for _, q := range l.Questions {
				a[q.ID] = text
				if q.Kind == labs.ByHand || q.Kind == labs.Ticks {
					a[q.ID] = "0"
				}
			}
			written = append(written, a)
		}
		r := mark(t, l, set, written)
		f, err := newFeedback(r)
		if err != nil {
			t.Fatal(err)
		}
		for i, m := range r.Marking.Sheets {
			doc := f.document()
			doc.Sheets = append(doc.Sheets, f.slip(m))
			if pages, _, err := f.press.Pages(doc); err != nil || pages[0] != 1 {
				t.Errorf("%s, pupil %d: %v pages, %v", name, i+1, pages, err)
			}
		}
	}
}

// midway gives every drawn value the middle of its range and computes the others.
func midway(t *testing.T, l *labs.Lab) map[string]classset.Value {
	t.Helper()
	values := map[string]classset.Value{}
	f := l.NewFrame(9.81)
	for _, v := range l.Order {
		x := f[v.Slot]
		switch v.Source {
		case labs.Drawn:
			x.X = v.Show.Round((v.From + v.To) / 2)
		case labs.Picked:
			x = v.Picks[0]
		default:
			var err error
			if x, err = l.Compute(v, f, nil); err != nil {
				t.Fatal(err)
			}
		}
		f[v.Slot] = x
		values[v.Name] = classset.Printed(v, x)
	}
	return values
}

// A pupil's single PDF and the class PDF are whole files; the same marking gives the same bytes.
func TestFeedbackRepeats(t *testing.T) {
	r := marked(t, allRight(), nil, but(answers{"m": "6.67"}))
	var first, second bytes.Buffer
	for _, b := range []*bytes.Buffer{&first, &second} {
		if err := Feedback(b, r); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.HasPrefix(first.Bytes(), []byte("%PDF-")) || !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("two runs differ, or are no PDF")
	}
}

// Whoever is marked on the readings of the bench is told so, beside what is to be checked.
func TestBenchRemarks(t *testing.T) {
	own := &classset.BenchReading{Name: "t", Plausible: true}
	doubtful := &classset.BenchReading{Name: "t", Message: "check this reading: 99"}
	shared := func(name string) *classset.BenchReading {
		return &classset.BenchReading{Name: name, Plausible: true, From: "4F7KQ2X7"}
	}
	for want, readings := range map[string][]*classset.BenchReading{
		"": {own},
		"You handed in no readings of I and V, so those of your bench count.":                   {shared("I"), own, shared("V")},
		"Check this reading: 99; you handed in no readings of I, so those of your bench count.": {doubtful, shared("I")},
	} {
		if got := benchRemarks(&classset.SheetMarks{Readings: readings}); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestSentence(t *testing.T) {
	for in, want := range map[string]string{"no unit": "No unit.", "Done.": "Done.", "étroit?": "Étroit?"} {
		if got := sentence(in); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
}

// The steps on a slip are worked from the readings that were marked with: rows with a gap are left out of all columns, and
// where readings are missing nothing is worked from them, at second hand neither.
func TestFeedbackOfReadingsWithGaps(t *testing.T) {
	lab, err := labs.Parse("springs.md", []byte("---\ntitle: A spring\ntopic: balance\nlevel: core\nminutes: 30\naims: [Read a slope.]\n"+
		"kit: [spring, ruler]\ncautions: [Wear eye protection.]\nvalues:\n  a: {series: 1 N .. 4 N step 1 N}\n"+
		"  x: {measure: ruler, rows: 4, division: 1 mm, expect: '[10, 20, 30, 40] mm'}\n"+
		"  y: {measure: ruler, rows: 4, division: 1 mm, expect: '[20, 40, 60, 80] mm'}\n---\n\n"+
		"```readings one\ncolumns: [a, x, y]\n```\n\n```question k\nask: How stiff is it?\nanswer: slope(x, a)\nunit: N/m\n```\n\n"+
		"```question two\nask: And two side by side?\nanswer: 2*k\nunit: N/m\n```\n\n"+
		"```question r\nask: How much further goes y?\nanswer: slope(x, y)\nunit: 1\n```\n"))
	if err != nil {
		t.Fatal(err)
	}
	set := func() *classset.Set {
		return &classset.Set{Lab: "springs", Settings: classset.Settings{Gravity: 9.81}, Sheets: []*classset.Sheet{{Code: code(0), Student: "1", Name: "Ada",
			Values: map[string]classset.Value{"a": {Value: []float64{1, 2, 3, 4}, Unit: "N"}}}}}
	}
	for _, c := range []struct {
		name, x, y string
		want       []string
	}{
		// the gaps of both columns are left out of both, though what is left is equally long
		{"gaps", "5; ; 15; 20", "; 40; 60; 80", []string{"= 200 N/m", "two = 2 k\n   = 2 × 200 N/m\n   = 400 N/m", "= 4.00"}},
		{"end", "5; 10; 15", "20; 40; 60; 80", []string{"= 200 N/m", "= 400 N/m", "= 4.00"}},
		{"missing", "", "20; 40; 60; 80", nil},
		{"unread", "5; 10; twelve, 20", "20; 40; 60; 80", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := slipText(t, mark(t, lab, set(), []answers{{"x": c.x, "y": c.y, "k": "7", "two": "7", "r": "77"}}))
			for _, want := range c.want {
				if !strings.Contains(got, want) {
					t.Errorf("want %q in\n%s", want, got)
				}
			}
			if c.want == nil && strings.Contains(got, "= ") {
				t.Errorf("steps from readings that are not there:\n%s", got)
			}
		})
	}
}
