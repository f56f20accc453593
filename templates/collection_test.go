package templates_test

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"testing"

	"keelmark/generator"
	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/templates"
)

// ngss are the codes that fit the collection, as published by the standards (NGSS Lead States 2013).
var ngss = []string{"MS-PS2-1", "MS-PS2-2", "MS-PS2-3", "MS-PS3-5", "MS-ETS1-1", "MS-ETS1-2", "MS-ETS1-3", "MS-ETS1-4",
	"HS-PS2-1", "HS-PS3-1", "HS-PS3-3", "HS-ETS1-2", "HS-ETS1-3", "5-PS2-1"}

// skills are the names in the table of SKILLS.md.
func skills(t *testing.T) []string {
	t.Helper()
	page, err := templates.FS.ReadFile("SKILLS.md")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, m := range regexp.MustCompile("(?m)^\\| `([a-z-]+)` \\|").FindAllSubmatch(page, -1) {
		names = append(names, string(m[1]))
	}
	if len(names) < 25 || len(names) > 40 {
		t.Fatalf("SKILLS.md lists %d skills, want about thirty", len(names))
	}
	return names
}

// TestCollection holds every lab against what the collection promises a teacher.
func TestCollection(t *testing.T) {
	known, used := skills(t), map[string]bool{}
	bench := 0
	names := labs.Names()
	if len(names) != 24 {
		t.Errorf("%d labs, want 24", len(names))
	}
	for _, name := range names {
		l, err := labs.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		mistakes := 0
		for _, q := range l.Questions {
			mistakes += len(q.Mistakes)
			used[q.Skill] = true
			if !slices.Contains(known, q.Skill) {
				t.Errorf("%s %s: skill %q is not in SKILLS.md", name, q.ID, q.Skill)
			}
		}
		if n := len(l.Questions); n < 6 || n > 14 {
			t.Errorf("%s: %d questions", name, n)
		}
		if mistakes < 2 {
			t.Errorf("%s: %d listed mistakes, want two at least", name, mistakes)
		}
		for _, s := range l.Standards {
			if len(s) < 6 || s[:5] != "NGSS " || !slices.Contains(ngss, s[5:]) {
				t.Errorf("%s: standard %q is not on the list", name, s)
			}
		}
		if len(l.Cautions) < 2 || len(l.Kit) < 2 || len(l.Aims) < 1 || l.Minutes < 40 {
			t.Errorf("%s: %d cautions, %d kit, %d aims, %d minutes", name, len(l.Cautions), len(l.Kit), len(l.Aims), l.Minutes)
		}
		if slices.ContainsFunc(l.Values, func(v *labs.Value) bool { return v.Source == labs.Measured }) {
			bench++
		}
	}
	if bench < 11 {
		t.Errorf("%d labs take bench readings, want eleven at least", bench)
	}
	for _, s := range known {
		if !used[s] {
			t.Logf("no question asks for skill %s", s)
		}
	}
}

// What a pupil reads names no question by its number, as a follow-up sheet numbers those it holds anew. And a list to tick
// says who ticks it.
func TestSheetsStandAlone(t *testing.T) {
	teacher := regexp.MustCompile("(?s)\n```teacher\n.*?\n```")
	numbered := regexp.MustCompile(`\bquestions?\s+[0-9]+`)
	for _, name := range labs.Names() {
		source, err := templates.FS.ReadFile(name + ".md")
		if err != nil {
			t.Fatal(err)
		}
		if found := numbered.Find(teacher.ReplaceAll(source, nil)); found != nil {
			t.Errorf("%s: a sheet speaks of %q", name, found)
		}
		l, err := labs.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range l.Questions {
			if q.Ask == "" {
				t.Errorf("%s: %s asks nothing", name, q.ID)
			}
		}
	}
}

// TestLabsCheck draws every lab: no fault, less than half of the draws rejected, listed mistakes three tolerances away.
func TestLabsCheck(t *testing.T) {
	draws := 400
	if testing.Short() {
		draws = 100
	}
	for _, name := range labs.Names() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l, err := labs.Load(name)
			if err != nil {
				t.Fatal(err)
			}
			r := generator.Check(l, draws)
			if len(r.Faults) > 0 {
				t.Errorf("%v", r.Faults)
			}
			if r.Rejected >= 0.53 { // half, and what chance adds in so few draws
				t.Errorf("%.0f %% of the draws are rejected", 100*r.Rejected)
			}
			if m := r.Nearest; m != nil && m.Tolerances < 3 {
				t.Errorf("question %s: mistake %s is %.2f tolerances from the right answer", m.Question, m.Mistake, m.Tolerances)
			}
		})
	}
}

// TestCopyingRule seats a class of 32 at benches of four: within the hard rule no pair shares more than it allows.
func TestCopyingRule(t *testing.T) {
	var class []classset.Pupil
	for i := range 32 {
		class = append(class, classset.Pupil{ID: fmt.Sprintf("p%02d", i), Name: fmt.Sprintf("Pupil %d", i), Group: fmt.Sprint(i / 4)})
	}
	for _, name := range labs.Names() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l, err := labs.Load(name)
			if err != nil {
				t.Fatal(err)
			}
			// A set that cannot keep the rule among neighbours is refused.
			set, err := generator.Draw(context.Background(), generator.MakeOptions{Lab: l, Roster: class, Seed: "canal", Dir: t.TempDir()})
			if err != nil {
				t.Fatal(err)
			}
			if len(set.Sheets) != 32 {
				t.Errorf("%d sheets", len(set.Sheets))
			}
			if c := set.Copying; c != nil && c.Mean > float64(c.Limit) {
				t.Errorf("on average %.2f answers of another pupil would be right, the rule allows %d", c.Mean, c.Limit)
			}
		})
	}
}
