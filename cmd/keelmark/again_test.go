package main

import (
	"testing"

	"keelmark/grader"
	"keelmark/labs/classset"
)

// A sheet for several pupils gives what any of them needs: large print, and the longest extra time.
func TestClusterKeepsWhatPupilsNeed(t *testing.T) {
	set := &classset.Set{}
	var repeats []grader.Repeat
	for i, s := range []classset.Sheet{{Name: "Lea"}, {Name: "Ada", Large: true, Extra: 10}, {Name: "Ben", Extra: 25}, {Name: "Eva", Extra: 15}} {
		s.Code = string(rune('A' + i))
		set.Sheets = append(set.Sheets, &s)
		lost := []string{"Fb", "rho"}
		if s.Name == "Eva" {
			lost = lost[:1]
		}
		repeats = append(repeats, grader.Repeat{Sheet: &classset.SheetMarks{Code: s.Code}, Questions: lost})
	}
	roster, questions := followUp(set, repeats, true)
	if len(roster) != 2 || len(questions) != 2 {
		t.Fatalf("%d sheets, %d lists of questions; want 2 clusters", len(roster), len(questions))
	}
	if p := roster[0]; p.Name != "Lea, Ada, Ben" || !p.Large || p.Extra != 25 {
		t.Errorf("%+v; want all three names, large print and 25 minutes", p)
	}
	if p := roster[1]; p.Name != "Eva" || p.Large || p.Extra != 15 {
		t.Errorf("%+v; want Eva alone, and 15 minutes", p)
	}
}
