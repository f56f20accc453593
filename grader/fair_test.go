package grader

import (
	"strings"
	"testing"

	"keelmark/labs/classset"
)

const percentLab = `---
title: A winch
topic: circuits
level: core
minutes: 20
aims: [Find an efficiency.]
kit: [a winch]
cautions: [Keep your fingers clear.]
values:
  E: {from: 1 W, to: 9 W, step: 0.1 W}
  F: {from: 1 W, to: 9 W, step: 0.1 W}
---

{{E}} {{F}}
` + "\n```question eta\nask: '?'\nanswer: E/F\nunit: '%'\nmarks: 2\nmistakes:\n  - {value: E/(2*F), marks: 0, why: 'Half of it.'}\n```\n"

// The efficiency is 4 W / 5 W = 80 %.
func TestFractionForPercent(t *testing.T) {
	l, set := alone(t, percentLab, map[string]classset.Value{"E": {Value: 4.0, Unit: "W"}, "F": {Value: 5.0, Unit: "W"}})
	for _, c := range []struct {
		written, verdict string
		marks            int
		says             string
	}{
		{"80", classset.Right, 2, ""},
		{"80 %", classset.Right, 2, ""},
		{"0.8", classset.Slip, 1, "asks for a percentage, 100 times the number: 80 %"},
		{"0,80", classset.Slip, 1, "80 %"},
		{".801", classset.Slip, 1, "80.1 %"},
		{"4/5", classset.Slip, 1, "80 %"},
		{"0.8 %", classset.Wrong, 0, "Perhaps"}, // the unit is there: one figure cannot tell what went wrong
		{"0.9", classset.Wrong, 0, ""},          // not right as a fraction either
		{"8", classset.Wrong, 0, ""},
		{"40.0", classset.Slip, 0, "Half"}, // a listed mistake keeps its own marks
	} {
		marks, err := MarkSheet(l, set, set.Sheets[0], map[string]string{"eta": c.written})
		if err != nil {
			t.Fatal(err)
		}
		a := marks.Answers[0]
		if a.Verdict != c.verdict || a.Marks != c.marks || !strings.Contains(a.Message, c.says) {
			t.Errorf("%q: %s, %d marks, %q; want %s, %d, %q", c.written, a.Verdict, a.Marks, a.Message, c.verdict, c.marks, c.says)
		}
	}
}

const anchorLab = `---
title: An anchor
topic: balance
level: core
minutes: 20
aims: [Weigh an anchor.]
kit: [a balance]
cautions: [Keep your feet clear.]
values:
  w:  {from: 100 g, to: 900 g, step: 1 g}
  k:  {from: 20 g, to: 40 g, step: 1 g}
  x:  {from: 10 cm, to: 40 cm, step: 1 cm}
  y:  {from: 1 cm, to: 8 cm, step: 1 cm}
  F1: {from: 1.00 N, to: 9.00 N, step: 0.01 N}
  F2: {from: 0.10 N, to: 0.90 N, step: 0.01 N}
---

{{w}} {{k}} {{x}} {{y}} {{F1}} {{F2}}
` + "\n```question W\nask: What does the anchor weigh?\nanswer: w*g\nunit: N\nmarks: 2\n```\n" +
	"\n```question M\nask: What is its moment?\nanswer: w*g*x\nunit: N*cm\nmarks: 2\n```\n" +
	"\n```question n\nask: How many washers of steel hold it?\nanswer: ceil(w/k)\nunit: '1'\nmarks: 1\n```\n" +
	"\n```question tilt\nask: How far does it tip?\nanswer: asin(y/x)\nunit: deg\nmarks: 3\n```\n" +
	"\n```question D\nask: By how much do the readings differ?\nanswer: F1 - F2\nunit: N\nmarks: 2\n```\n" +
	"\n```question rest\nask: What is left of it above 1 N?\nanswer: D - 1 N\nunit: N\nwithin: 0.05 N\nmarks: 2\n```\n" +
	"\n```question turn\nask: Which way does it turn?\nchoices: [to starboard (right), to port (left), it does not swing, AWG 20, the tether isn’t taut, the gate cannot open]\nanswer: '1'\nmarks: 1\n```\n"

// The anchor weighs 450 g·9.81 m/s² = 4.4145 N, its moment is 88.29 N·cm, 450/26 = 17.3 washers make 18, the tilt is
// asin(0.1) = 5.739° = 0.1002 rad, the readings differ by 5.00 N - 0.59 N = 4.41 N and 3.41 N are left.
func TestFairReading(t *testing.T) {
	l, set := alone(t, anchorLab, map[string]classset.Value{
		"w": {Value: 450.0, Unit: "g"}, "k": {Value: 26.0, Unit: "g"}, "x": {Value: 20.0, Unit: "cm"}, "y": {Value: 2.0, Unit: "cm"},
		"F1": {Value: 5.0, Unit: "N"}, "F2": {Value: 0.59, Unit: "N"}})
	type m = map[string]string
	for _, c := range []struct {
		what     string
		written  m
		question string
		verdict  string
		marks    int
		says     string // part of the message, the teacher's line or a note
	}{
		{"a word of the question stands after the number", m{"n": "18 washers"}, "n", classset.Right, 1, `read without "washers"`},
		{"in the singular, with a link", m{"n": "18 of the washer."}, "n", classset.Right, 1, `read without "of the washer."`},
		{"a link alone", m{"n": "18 of"}, "n", classset.Unread, 0, ""},
		{"a word that is not the question's", m{"n": "18 bolts"}, "n", classset.Unread, 0, ""},
		{"two answers", m{"n": "18 washers or 19"}, "n", classset.Unread, 0, ""},
		{"a word that changes the number", m{"n": "18 less"}, "n", classset.Unread, 0, ""},
		{"the number before the step", m{"n": "17.3"}, "n", classset.Wrong, 0, "still has to become"},
		{"another wrong step", m{"n": "12"}, "n", classset.Wrong, 0, "not the one"},
		{"a mass for a force", m{"W": "450 g"}, "W", classset.Slip, 1, "multiply the mass by g"},
		{"a mass times a length for a moment", m{"M": "9000 g cm"}, "M", classset.Slip, 1, "weight counts here"},
		{"that mass wrong as well", m{"M": "7000 g cm"}, "M", classset.Unread, 0, "not a unit"},
		{"radians for degrees", m{"tilt": "0.10"}, "tilt", classset.Slip, 2, "degrees: 5.7°"},
		{"radians with their unit", m{"tilt": "0.100 rad"}, "tilt", classset.Right, 3, ""},
		{"another g does not make a slip wait for a person", m{"W": "123", "D": "450 g"}, "D", classset.Slip, 1, "multiply the mass by g"},
		{"nothing is left within the tolerance", m{"D": "1.04", "rest": "0.0"}, "rest", classset.ByHand, 0, "meaningless"},
		{"a little is left", m{"D": "1.24", "rest": "0.24"}, "rest", classset.Carried, 2, ""},
		{"a choice without its brackets", m{"turn": "To starboard"}, "turn", classset.Right, 1, "read as"},
		{"a word of a choice", m{"turn": "right"}, "turn", classset.Right, 1, "read as"},
		{"a word that two choices have", m{"turn": "to"}, "turn", classset.Unread, 0, ""},
		{"a word without its not", m{"turn": "swing"}, "turn", classset.Unread, 0, ""},
		{"without the not in isn’t", m{"turn": "taut"}, "turn", classset.Unread, 0, ""},
		{"without the not in cannot", m{"turn": "open"}, "turn", classset.Unread, 0, ""},
		{"with it", m{"turn": "isn't taut"}, "turn", classset.Wrong, 0, "read as"},
		{"the spaces left out", m{"turn": "awg20"}, "turn", classset.Wrong, 0, `read as "AWG 20"`},
		{"a number of a choice", m{"turn": "20"}, "turn", classset.Unread, 0, "bare number"},
	} {
		marks, err := MarkSheet(l, set, set.Sheets[0], c.written)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range marks.Answers {
			if a.Question != c.question {
				continue
			}
			said := strings.Join(append([]string{a.Message, a.Teacher}, a.Notes...), " | ")
			if a.Verdict != c.verdict || a.Marks != c.marks || !strings.Contains(said, c.says) {
				t.Errorf("%s: %q is %s, %d marks, %q; want %s, %d, %q", c.what, a.Written, a.Verdict, a.Marks, said, c.verdict, c.marks, c.says)
			}
		}
	}
}
