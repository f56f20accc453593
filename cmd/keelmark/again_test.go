package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
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

// What waits for a person is neither lost nor won: the teacher is told of it until it is decided.
func TestAgainTellsWhatIsUndecided(t *testing.T) {
	dir, codes := printed(t)
	sheet := func(i int, fb string) string {
		return fmt.Sprintf(`{"sheet": %q, "answers": {"Fb": %q, "m": "%.4g g"}}`, codes[i], fb, 1000*upthrust(t, dir, i)/9.81)
	}
	for _, c := range []struct {
		first, told string
		code        int
	}{
		{"?", "answers that wait for you in look.csv: 1 (Fb 1); they count neither as lost nor as won; pupils who have lost nothing so far and may yet: 1; decide them", exitLook},
		{fmt.Sprintf("%.2f N", upthrust(t, dir, 0)), "", exitDone},
	} {
		do(t, "mark", dir, write(t, "a.json", "["+sheet(0, c.first)+", "+sheet(1, "")+"]"), "--replace")
		to := filepath.Join(t.TempDir(), "again")
		code, stdout, stderr := keelmark("again", dir, "--to", to, "--json")
		var summary struct {
			Sheets int
			Notes  []string
		}
		if err := json.Unmarshal([]byte(stdout), &summary); err != nil {
			t.Fatal(err)
		}
		if code != c.code || !strings.HasPrefix(stderr, c.told) || (stderr == "") != (c.told == "") || !strings.HasPrefix(strings.Join(summary.Notes, ""), c.told) {
			t.Errorf("%s: exit code %d, stderr %q, notes %q; want %d, %q", c.first, code, stderr, summary.Notes, c.code, c.told)
		}
		if summary.Sheets != 2 {
			t.Errorf("%s: %d sheets; one pupil lost a question, and one has lost none", c.first, summary.Sheets)
		}
	}
}
