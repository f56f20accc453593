package grader

import (
	"slices"
	"strings"
	"testing"

	"keelmark/labs/classset"
)

const springLab = `---
title: Pull of a spring
topic: balance
level: core
minutes: 30
aims: [Read a slope.]
kit: [spring, ruler]
cautions: [Wear eye protection.]
values:
  x: {measure: ruler, rows: 5, division: 1 mm, expect: '[10, 20, 30, 40, 50] mm', within: 4 mm}
  F: {measure: newton meter, rows: 5, division: 0.1 N, expect: '[1, 2, 3, 4, 5] N', within: 0.5 N}
  M: {from: 100 g, to: 300 g, step: 10 g, show: 10 g, what: mass}
---

{{M}}

` + "```readings bench\ncolumns: [x, F]\n```\n\n```question k\nask: How stiff is the spring?\nanswer: slope(x, F)\nunit: N/m\nmarks: 2\n" +
	"mistakes:\n  - {value: '1/slope(x, F)*1e4', marks: 1, why: 'Upside down.'}\n```\n\n" +
	"```question s\nask: How far does the mass stretch it?\nanswer: M*g/k\nunit: mm\nmarks: 2\n```\n\n" +
	"```question agree\nask: Does it agree with 100 N/m?\nchoices: ['yes', 'no']\nanswer: if(abs(k - 100 N/m) <= 2*u(k), 1, 2)\nmarks: 1\n```\n"

// The pupil's own readings have a slope of their own; what follows is marked from it, and from what the pupil made of it.
func TestColumns(t *testing.T) {
	lab, set := alone(t, springLab, map[string]classset.Value{"M": {Value: 200.0, Unit: "g"}})
	straight := map[string]string{"x": "10; 20; 30; 40; 50", "F": "1.1; 2.2; 3.3; 4.4; 5.5"} // 110 N/m
	cases := []struct {
		name     string
		with     map[string]string
		question string
		verdict  string
		says     string
	}{
		{"the slope of one's own readings", map[string]string{"k": "110"}, "k", "right", ""},
		{"5 % off, as read off a graph", map[string]string{"k": "115.4"}, "k", "right", ""},
		{"6 % off", map[string]string{"k": "116.6"}, "k", "wrong", ""},
		{"a listed mistake, as read off a graph", map[string]string{"k": "87"}, "k", "slip", "Upside down"},
		{"too far from it for a graph", map[string]string{"k": "85"}, "k", "wrong", "too small"},
		{"from the true slope", map[string]string{"s": "17.8"}, "s", "right", ""},
		{"from a wrong slope", map[string]string{"k": "90", "s": "21.8"}, "s", "carried", "k"},
		{"a gap leaves out the row", map[string]string{"x": "10; 20; ; 40; 50", "k": "110"}, "k", "right", ""},
		{"a column cut short does so too", map[string]string{"F": "1.1; 2.2; 3.3", "k": "110"}, "k", "right", ""},
		{"one reading is hardly possible", map[string]string{"F": "1.1; 2.2; 3.3; 4.4; 55", "k": "1100"}, "k", "right", "55 where about"},
		{"in other units", map[string]string{"x": "1 cm; 2 cm; 3 cm; 4 cm; 5 cm", "k": "110"}, "k", "right", ""},
		{"too many readings", map[string]string{"x": "1; 2; 3; 4; 5; 6", "k": "110"}, "k", "by hand", "cannot be read"},
		{"one point has no slope", map[string]string{"x": "10", "k": "110"}, "k", "by hand", "cannot be worked out"},
		{"no column at all", map[string]string{"F": "", "k": "110"}, "k", "by hand", "missing"},
		{"nothing to carry from", map[string]string{"F": "", "s": "17.8"}, "s", "by hand", "missing"},
		{"from the pupil's slope alone", map[string]string{"F": "", "k": "110", "s": "17.8"}, "s", "carried", "k"},
		{"beyond its uncertainty", map[string]string{"agree": "no"}, "agree", "right", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			written := map[string]string{}
			for _, from := range []map[string]string{straight, c.with} {
				for name, text := range from {
					written[name] = text
				}
			}
			marks, err := MarkSheet(lab, set, set.Sheets[0], written)
			if err != nil {
				t.Fatal(err)
			}
			for _, a := range marks.Answers {
				all := a.Message + a.Teacher + strings.Join(a.Notes, " ")
				if a.Question == c.question && (a.Verdict != c.verdict || !strings.Contains(all, c.says)) {
					t.Errorf("%+v; want %s with %q", *a, c.verdict, c.says)
				}
			}
		})
	}
}

const oneLength = `---
title: Runs
topic: craft
level: core
minutes: 30
aims: [Find a mean.]
cautions: [Nobody alone at the pool.]
values:
  a: {series: 1 N .. 4 N step 1 N}
  x: {measure: ruler, rows: 4, division: 1 mm, expect: '[10, 20, 30, 40] mm'}
  y: {measure: ruler, rows: 4, division: 1 mm, expect: '[20, 40, 60, 80] mm'}
  z: {measure: ruler, rows: 4, division: 1 mm, expect: '[20, 40, 60, 80] mm'}
---

` + "```readings one\ncolumns: [a, x]\n```\n\n```readings two\ncolumns: [y]\n```\n\n```readings three\ncolumns: [z]\n```\n\n" +
	"```question k\nask: How stiff is it?\nanswer: slope(x, a)\nunit: N/m\n```\n\n" +
	"```question m\nask: The mean of y?\nanswer: mean(y)\nunit: mm\nwithin: 0.5 mm\n```\n\n" +
	"```question d\nask: The mean of the differences?\nanswer: mean(z - x)\nunit: mm\nwithin: 0.5 mm\n```\n"

// A gap leaves out the row of its own table, and of one that a formula takes row by row with it; a table that is only as
// long keeps all its rows.
func TestGapsOfTablesOfOneLength(t *testing.T) {
	lab, set := alone(t, oneLength, map[string]classset.Value{"a": {Value: []float64{1, 2, 3, 4}, Unit: "N"}})
	for _, c := range []struct{ x, y, z, k, m, d string }{
		{"10; 20; 30; 40", "20; 40; 60; 84", "20; 40; 60; 84", "100", "51", "26"},
		{"10; ; 30; 40", "20; 40; 60; 84", "20; 40; 60; 84", "100", "51", "28"}, // z - x: 10, 30, 44
		{"10; 22; 30; 40", "20; ; 60; 84", "20; 40; 60; 84", "102.4", "54.7", "25.5"},
		{"10; 22; 30; 40", "20; 40; 60; 84", "20; ; 60; 84", "100", "51", "28"}, // x loses its second row too
	} {
		marks, err := MarkSheet(lab, set, set.Sheets[0], map[string]string{"x": c.x, "y": c.y, "z": c.z, "k": c.k, "m": c.m, "d": c.d})
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range marks.Answers {
			if a.Verdict != classset.Right {
				t.Errorf("x %s, y %s, z %s: %s is %s, expected %v", c.x, c.y, c.z, a.Question, a.Verdict, a.Expected)
			}
		}
	}
}

const twoTables = `---
title: Two springs
topic: balance
level: core
minutes: 30
aims: [Read a slope.]
kit: [springs, ruler]
cautions: [Wear eye protection.]
values:
  a: {series: 1 N .. 5 N step 1 N}
  b: {series: 1 N .. 4 N step 1 N}
  x: {measure: ruler, rows: 5, division: 1 mm, expect: '[10, 20, 30, 40, 50] mm'}
  y: {measure: ruler, rows: 4, division: 1 mm, expect: '[20, 40, 60, 80] mm'}
---

` + "```readings one\ncolumns: [a, x]\n```\n\n```readings two\ncolumns: [b, y]\n```\n\n" +
	"```question k\nask: How stiff is the first?\nanswer: slope(x, a)\nunit: N/m\n```\n\n" +
	"```question m\nask: And the second?\nanswer: slope(y, b)\nunit: N/m\n```\n\n" +
	"```question n\nask: What are their mean lengths together?\nanswer: mean(x) + mean(y)\nunit: mm\nwithin: 0.5 mm\n```\n"

// twoLoads are the loads of twoTables.
var twoLoads = map[string]classset.Value{"a": {Value: []float64{1, 2, 3, 4, 5}, Unit: "N"}, "b": {Value: []float64{1, 2, 3, 4}, Unit: "N"}}

// A gap in a table of five rows leaves it as long as the one of four, whose own gap is none of its business.
func TestGapsOfTwoTables(t *testing.T) {
	lab, set := alone(t, twoTables, twoLoads)
	written := map[string]string{"x": "10; ; ; 40; 50", "y": "20; 40; ; 80", "k": "100", "m": "50", "n": "80"}
	for range 10 { // what is done first must not matter
		marks, err := MarkSheet(lab, set, set.Sheets[0], written)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range marks.Answers {
			if a.Verdict != classset.Right {
				t.Fatalf("%+v", *a)
			}
			const ofX, ofY = "rows 2 and 3 of x have gaps and were left out", "row 3 of y has a gap and was left out"
			if want := map[string][]string{"k": {ofX}, "m": {ofY}, "n": {ofX, ofY}}[a.Question]; !slices.Equal(a.Notes, want) {
				t.Errorf("%s: notes %q, want %q", a.Question, a.Notes, want)
			}
		}
	}
}

// A follow-up sheet is not missing the readings that it does not ask for.
func TestReadingsOfFollowUp(t *testing.T) {
	lab, set := alone(t, twoTables, twoLoads)
	set.Sheets[0].Questions = []string{"m"}
	for _, c := range []struct{ y, readings string }{{"20; 40; 60; 80", "y"}, {"", "y: the bench reading y is missing"}} {
		marks, err := MarkSheet(lab, set, set.Sheets[0], map[string]string{"y": c.y, "m": "50"})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, r := range marks.Readings {
			got = append(got, strings.TrimSuffix(r.Name+": "+r.Message, ": "))
		}
		if strings.Join(got, ", ") != c.readings {
			t.Errorf("readings %q; want %s", got, c.readings)
		}
	}
}
