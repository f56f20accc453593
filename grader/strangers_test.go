package grader

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"keelmark/labs/classset"
)

// strangersLab asks for four numbers that have nothing to do with each other, and for one that follows from the first.
const strangersLab = `---
title: Five loads
topic: balance
level: core
minutes: 20
aims: [Add loads.]
kit: [a balance]
cautions: [Keep your feet clear.]
values:
  a: {from: 1.00 N, to: 9.99 N, step: 0.01 N}
  b: {from: 1.00 N, to: 9.99 N, step: 0.01 N}
  c: {from: 1.00 N, to: 9.99 N, step: 0.01 N}
  d: {from: 1.00 N, to: 9.99 N, step: 0.01 N}
---

{{a}} {{b}} {{c}} {{d}}
` + "\n```question A\nask: '?'\nanswer: 2*a\nunit: N\nmarks: 1\n```\n" +
	"\n```question A2\nask: '?'\nanswer: 5*a\nunit: N\nmarks: 1\n```\n" +
	"\n```question B\nask: '?'\nanswer: 2*b\nunit: N\nmarks: 1\n```\n" +
	"\n```question C\nask: '?'\nanswer: 2*c\nunit: N\nmarks: 1\n```\n" +
	"\n```question D\nask: '?'\nanswer: 2*d\nunit: N\nmarks: 1\n```\n"

// strangers300 is a class of 300 in which everybody's numbers are right; the answers are there to be changed. Values are
// drawn in steps of so many hundredths.
func strangers300(t *testing.T, step int) (*Marker, []map[string]string) {
	t.Helper()
	l := parsed(t, strangersLab)
	set := &classset.Set{Format: "keelmark set 1", Settings: classset.Settings{Gravity: 9.81}}
	rng := rand.New(rand.NewPCG(3, 5))
	var answers []map[string]string
	for i := range 300 {
		s := &classset.Sheet{Code: code(fmt.Sprintf("ABCD%03d", i)), Student: fmt.Sprint(i), Name: fmt.Sprint("Pupil ", i), Values: map[string]classset.Value{}}
		written := map[string]string{}
		for _, name := range []string{"a", "b", "c", "d"} {
			x := float64(100+step*rng.IntN(900/step)) / 100
			s.Values[name] = classset.Value{Value: x, Unit: "N"}
			written[strings.ToUpper(name)] = fmt.Sprintf("%.2f", 2*x)
			if name == "a" {
				written["A2"] = fmt.Sprintf("%.2f", 5*x)
			}
		}
		set.Sheets, answers = append(set.Sheets, s), append(answers, written)
	}
	m, err := NewMarker(l, set, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return m, answers
}

// compareAll marks the sheets and holds them against each other; likeness is given as "5<-250 A B".
func compareAll(t *testing.T, m *Marker, answers []map[string]string) (swapped []Finding, talk []string) {
	t.Helper()
	var done []*marked
	for i, s := range m.set.Sheets {
		d, err := m.mark(job{sheet: s, paper: &Paper{Code: s.Code, Text: answers[i]}})
		if err != nil {
			t.Fatal(err)
		}
		done = append(done, d)
	}
	swapped, found := m.compare(done)
	for _, x := range found {
		talk = append(talk, fmt.Sprintf("%s<-%s %s", x.Sheet.Student, x.Other.Student, strings.Join(x.Questions, " ")))
	}
	return swapped, talk
}

// take copies some answers from one pupil to another.
func take(answers []map[string]string, to, from int, questions ...string) {
	for _, q := range questions {
		answers[to][q] = answers[from][q]
	}
}

func TestStrangers(t *testing.T) {
	for _, c := range []struct {
		what      string
		to, from  int
		questions []string
		want      bool
	}{
		{"three answers of a stranger", 5, 250, []string{"B", "C", "D"}, true},
		{"three answers, the other way", 290, 8, []string{"A", "B", "D"}, true},
		{"two of a neighbour", 5, 90, []string{"B", "C"}, true},
		{"one of a stranger", 5, 250, []string{"B"}, false},
		{"two of a stranger that are one coincidence", 5, 250, []string{"A", "A2"}, false},
		{"two of a bench mate at the end of the list", 5, 299, []string{"A", "A2"}, true},
	} {
		m, answers := strangers300(t, 1)
		m.set.Sheets[5].Group, m.set.Sheets[299].Group = "bench 1", "bench 1"
		take(answers, c.to, c.from, c.questions...)
		swapped, talk := compareAll(t, m, answers)
		want := fmt.Sprintf("%d<-%d %s", c.to, c.from, strings.Join(c.questions, " "))
		if slices.Contains(talk, want) != c.want || len(swapped) > 0 {
			t.Errorf("%s: talk %q (%q: want %v), swapped %v", c.what, talk, want, c.want, swapped)
		}
	}
}

func TestSwappedStrangers(t *testing.T) {
	m, answers := strangers300(t, 1)
	answers[3], answers[280] = answers[280], answers[3]
	swapped, talk := compareAll(t, m, answers)
	if len(swapped) != 2 || !strings.Contains(swapped[0].Text, "Pupil 280") || !strings.Contains(swapped[1].Text, "(Pupil 3)") || len(talk) > 0 {
		t.Errorf("swapped %v, talk %v", swapped, talk)
	}
}

// Random wrong numbers of a whole class, each right on five sheets or so, bring no likeness of strangers beyond what is told of neighbours.
func TestChanceAmongStrangers(t *testing.T) {
	m, answers := strangers300(t, 15)
	rng := rand.New(rand.NewPCG(7, 7))
	for i := range answers {
		for _, q := range []string{"B", "C", "D"} {
			answers[i][q] = fmt.Sprintf("%.2f", 2*float64(100+15*rng.IntN(60))/100)
		}
	}
	_, talk := compareAll(t, m, answers)
	far := 0
	for _, line := range talk {
		var i, j int
		if _, err := fmt.Sscanf(line, "%d<-%d", &i, &j); err != nil {
			t.Fatal(err)
		}
		if max(i-j, j-i) > neighbours {
			far++
		}
	}
	if far > 3 {
		t.Errorf("%d of 300 sheets are like a stranger's by chance; want 3 at most: %q", far, talk)
	}
}
