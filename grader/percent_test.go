package grader

import (
	"strings"
	"testing"

	"keelmark/labs"
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
	l, err := labs.Parse("winch.md", []byte(percentLab))
	if err != nil {
		t.Fatal(err)
	}
	set := &classset.Set{Format: "keelmark set 1", Settings: classset.Settings{Gravity: 9.81}}
	sheet := &classset.Sheet{Code: codes[0], Values: map[string]classset.Value{"E": {Value: 4.0, Unit: "W"}, "F": {Value: 5.0, Unit: "W"}}}
	set.Sheets = append(set.Sheets, sheet)
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
		marks, err := MarkSheet(l, set, sheet, map[string]string{"eta": c.written})
		if err != nil {
			t.Fatal(err)
		}
		a := marks.Answers[0]
		if a.Verdict != c.verdict || a.Marks != c.marks || !strings.Contains(a.Message, c.says) {
			t.Errorf("%q: %s, %d marks, %q; want %s, %d, %q", c.written, a.Verdict, a.Marks, a.Message, c.verdict, c.marks, c.says)
		}
	}
}
