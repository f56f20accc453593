package report

import (
	"fmt"
	"testing"

	"keelmark/grader"
	"keelmark/labs"
	"keelmark/labs/classset"
)

// answers are what a pupil wrote, by question; nil: the sheet was not handed in.
type answers = map[string]string

// allRight are right answers to the sheet that marked gives everybody.
func allRight() answers {
	return answers{"Fb": "0.78 N", "m": "680 g", "V_s": "79.6", "rho": "8540", "which": "brass", "salt": "5.87 N", "why": "2"}
}

// but changes some of the right answers.
func but(changes answers) answers {
	a := allRight()
	for q, text := range changes {
		a[q] = text
	}
	return a
}

// marked marks a class that weighed the same sinker (6.67 N in air, 5.89 N in water of 999.1 kg/m³), a pupil an argument.
func marked(t testing.TB, written ...answers) *grader.Result {
	t.Helper()
	l, err := labs.Load("archimedes/weigh-twice")
	if err != nil {
		t.Fatal(err)
	}
	set := &classset.Set{Format: classset.Format, Lab: l.Name, Made: "2026-03-02", Settings: classset.Settings{Gravity: 9.81, Paper: "a4"}}
	for i := range written {
		name := fmt.Sprintf("Pupil %c", 'A'+i)
		if i >= 26 {
			name = fmt.Sprintf("Pupil %d", i+1)
		}
		set.Sheets = append(set.Sheets, &classset.Sheet{
			Code: code(i), Student: fmt.Sprintf("s%d", i+1), Name: name, Level: l.Level,
			Values: map[string]classset.Value{
				"T": {Value: 15.0, Unit: "degC"}, "rho_w": {Value: 999.1, Unit: "kg/m^3"}, "metal": {Name: "brass"},
				"V": {Value: 80.0, Unit: "cm^3"}, "Wa": {Value: 6.67, Unit: "N"}, "Ww": {Value: 5.89, Unit: "N"},
			},
		})
	}
	return mark(t, l, set, written)
}

// mark marks a set from what each of its pupils wrote.
func mark(t testing.TB, l *labs.Lab, set *classset.Set, written []answers) *grader.Result {
	t.Helper()
	marker, err := grader.NewMarker(l, set, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	r := &grader.Result{Set: set, Lab: l, Marking: &classset.Marking{Lab: l.Name}}
	for i, s := range set.Sheets {
		m := &classset.SheetMarks{Code: s.Code, Student: s.Student, Name: s.Name, Class: s.Class, Absent: true}
		for _, q := range l.Questions {
			m.OutOf += q.Marks
		}
		if written[i] != nil {
			if m, err = marker.Mark(s, written[i]); err != nil {
				t.Fatal(err)
			}
		}
		r.Marking.Sheets = append(r.Marking.Sheets, m)
	}
	return r
}

// pictures are the figures of the class and of the classes in it.
func pictures(t testing.TB, r *grader.Result) []*Picture {
	t.Helper()
	all, err := Stats(r)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// code makes a sheet's code.
func code(n int) string {
	stem := fmt.Sprintf("T%06d", n)
	for _, check := range "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ" {
		if canonical, ok := classset.CheckCode(stem + string(check)); ok {
			return canonical
		}
	}
	panic(stem)
}
