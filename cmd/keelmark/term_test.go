package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"keelmark/grader/pupils"
	"keelmark/labs/classset"
)

// sit prints a lab, lets simulated pupils with these habits answer it, marks it and returns the set's folder.
func sit(t *testing.T, lab string, habits pupils.Habits) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "set")
	if code, _, stderr := keelmark("print", lab, "--class", "testdata/three.csv", "--to", dir, "--seed", lab); code != exitDone {
		t.Fatalf("print %s: exit code %d: %s", lab, code, stderr)
	}
	answerAndMark(t, dir, habits)
	return dir
}

func answerAndMark(t *testing.T, dir string, habits pupils.Habits) {
	t.Helper()
	set, l, err := classset.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	class, err := pupils.Class(l, set, habits, 1)
	if err != nil {
		t.Fatal(err)
	}
	answers := filepath.Join(t.TempDir(), "answers.csv")
	if err := classset.WriteTable(answers, pupils.Table(l, class)); err != nil {
		t.Fatal(err)
	}
	if code, _, stderr := keelmark("mark", dir, answers); code == exitFailed || code == exitUsage {
		t.Fatalf("mark: exit code %d: %s", code, stderr)
	}
}

// TestTerm goes through a term: three labs, a follow-up set of what was lost, and the record of it all.
func TestTerm(t *testing.T) {
	careful := pupils.Habits{}
	hasty := pupils.Habits{Slip: 0.5, Blank: 0.2}
	first := sit(t, "archimedes/weigh-twice", hasty)
	dirs := []string{first, sit(t, "circuits/run-time", careful), sit(t, "thrust/three-motors", hasty)}

	again := filepath.Join(t.TempDir(), "again")
	code, stdout, stderr := keelmark("again", first, "--to", again, "--seed", "second chance")
	if code != exitDone || !strings.Contains(stdout, "3 sheets") {
		t.Fatalf("again: exit code %d: %s%s", code, stdout, stderr)
	}
	lost := map[string]int{}
	before, err := classset.OpenMarking(first)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range before.Sheets {
		for _, a := range s.Answers {
			if a.Marks < a.OutOf {
				lost[s.Student]++
			}
		}
	}
	set, err := classset.Read(again)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range set.Sheets {
		if len(s.Questions) < lost[s.Student] {
			t.Errorf("%s lost %d questions and meets %d again", s.Student, lost[s.Student], len(s.Questions))
		}
	}
	answerAndMark(t, again, careful)

	to := filepath.Join(t.TempDir(), "term")
	code, stdout, stderr = keelmark(append([]string{"record", "--json", "--to", to, again}, dirs...)...)
	if code != exitDone {
		t.Fatalf("record: exit code %d: %s", code, stderr)
	}
	var record struct {
		Sets   []struct{ Lab string }
		Pupils []struct {
			Student string
			Skills  map[string]struct{ Level string }
		}
	}
	if err := json.Unmarshal([]byte(stdout), &record); err != nil {
		t.Fatal(err)
	}
	if len(record.Sets) != 4 || len(record.Pupils) != 3 {
		t.Errorf("%d sets and %d pupils, want 4 and 3", len(record.Sets), len(record.Pupils))
	}
	for _, p := range record.Pupils {
		// Everything about efficiency was asked in run-time alone, where all answers were right.
		if p.Skills["efficiency"].Level != "secure" {
			t.Errorf("%s: efficiency is %q, want secure", p.Student, p.Skills["efficiency"].Level)
		}
	}
	if code, _, stderr = keelmark("record", again, again+"/"); code != exitUsage || !strings.Contains(stderr, "name each once") {
		t.Errorf("one set named twice: exit code %d, %s", code, stderr)
	}
	if code, _, stderr = keelmark("record", t.TempDir()); code != exitFailed || stderr == "" {
		t.Errorf("record of an empty folder: exit code %d: %s", code, stderr)
	}
}

// A skill of which nothing counts, since its questions are void, is shown as that and not as three times nobody.
func TestRecordOfVoidSkill(t *testing.T) {
	dir := sit(t, "archimedes/weigh-twice", pupils.Habits{})
	if err := os.WriteFile(filepath.Join(dir, "scheme.csv"), []byte("question,action,value,reason\nm,void,,the float leaked\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	do(t, "mark", dir)
	code, stdout, stderr := keelmark("record", dir)
	if want := "\n  weight-mass            – nothing marked yet\n  density                3 secure,   0 unsteady,   0 not yet\n"; code != exitDone || !strings.Contains(stdout, want) {
		t.Errorf("exit code %d: %s%s; want in it%s", code, stdout, stderr, want)
	}
}
