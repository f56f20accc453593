package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A class set as version 1.0 left it, made once and never again: printed, filled in by hand in many ways of writing, with a
// filled-in form among the answers, decided by a person in look.csv, its scheme mended, marked. Whatever later versions
// change, this set must stay markable, and to the same marks.
const golden = "testdata/format-1"

// fixed is what of marking.json is promised to other programs.
type fixed struct {
	Format string
	Sheets []struct {
		Code, Student string
		Total, Open   int
		OutOf         int `json:"out_of"`
		Answers       []fixedAnswer
	}
}

type fixedAnswer struct {
	Question, Written string
	Read, Expected    *fixedAmount
	Verdict           string
	Marks             int
	OutOf             int `json:"out_of"`
	Cause             string
	Certain           bool
}

type fixedAmount struct {
	Value float64
	Unit  string
}

// near reports whether two amounts are the same but for the last binary digits, which may differ from machine to machine.
func (a *fixedAmount) near(b *fixedAmount) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Unit == b.Unit && math.Abs(a.Value-b.Value) <= 1e-9*math.Abs(b.Value)
}

func readFixed(t *testing.T, dir string) (m fixed) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "marked", "marking.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

// flat gives every fact of a marking by its place, such as "b1 Fb verdict".
func (m fixed) flat() (facts map[string]string, amounts map[string]*fixedAmount) {
	facts, amounts = map[string]string{"format": m.Format}, map[string]*fixedAmount{}
	for i, s := range m.Sheets {
		facts[fmt.Sprint("sheet ", i)] = fmt.Sprint(s.Code, " ", s.Student)
		facts[s.Student+" total"] = fmt.Sprint(s.Total, " and ", s.Open, " open of ", s.OutOf)
		for i, a := range s.Answers {
			at := s.Student + " " + a.Question
			facts[fmt.Sprint(s.Student, " question ", i)] = a.Question
			facts[at+" written"] = a.Written
			facts[at+" verdict"] = fmt.Sprintf("%s, cause %q, certain %v", a.Verdict, a.Cause, a.Certain)
			facts[at+" marks"] = fmt.Sprint(a.Marks, " of ", a.OutOf)
			amounts[at+" read"], amounts[at+" expected"] = a.Read, a.Expected
		}
	}
	return facts, amounts
}

// sameMarking compares what is promised of two markings.
func sameMarking(t *testing.T, got, want fixed) {
	t.Helper()
	gotFacts, gotAmounts := got.flat()
	wantFacts, wantAmounts := want.flat()
	if len(gotFacts) != len(wantFacts) {
		t.Errorf("%d facts, want %d", len(gotFacts), len(wantFacts))
	}
	for at, fact := range wantFacts {
		if gotFacts[at] != fact {
			t.Errorf("%s: %s, want %s", at, gotFacts[at], fact)
		}
	}
	for at, amount := range wantAmounts {
		if !gotAmounts[at].near(amount) {
			t.Errorf("%s: %v, want %v", at, gotAmounts[at], amount)
		}
	}
}

func TestGoldenSet(t *testing.T) {
	files, _ := snapshot(t, filepath.Join(golden, "set"))
	want := readFixed(t, filepath.Join(golden, "set"))
	if len(want.Sheets) != 9 || len(want.Sheets[0].Answers) != 9 {
		t.Fatalf("%d sheets in the expected marking, want 9 of 9 answers", len(want.Sheets))
	}
	for name, c := range map[string]struct {
		without string // of the files of the marked set
		answers []string
	}{
		"marked for the first time": {"marked/marking.json", []string{filepath.Join(golden, "answers.csv"), filepath.Join(golden, "filled.pdf")}},
		"marked again":              {"", nil},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "set")
			restore(t, dir, files)
			if c.without != "" {
				os.Remove(filepath.Join(dir, filepath.FromSlash(c.without)))
			}
			os.Remove(filepath.Join(dir, "marked", "marks.csv"))
			code, _, stderr := keelmark(append([]string{"mark", dir}, c.answers...)...)
			if code != exitLook { // two answers wait for a person
				t.Fatalf("exit code %d: %s", code, stderr)
			}
			sameMarking(t, readFixed(t, dir), want)
			got, _ := snapshot(t, dir)
			for _, name := range []string{"marked/marks.csv", "marked/look.csv"} {
				if name = filepath.FromSlash(name); got[name] != files[name] {
					t.Errorf("%s:\n%s\nwant\n%s", name, got[name], files[name])
				}
			}
			do(t, "print", dir, "--only", want.Sheets[0].Code)
			do(t, "again", dir, "--to", dir+"-again")
			do(t, "record", dir)
		})
	}
}

// TestFormatOfALaterVersion: what a later version made is refused, with what to do, and stays as it is.
func TestFormatOfALaterVersion(t *testing.T) {
	files, _ := snapshot(t, filepath.Join(golden, "set"))
	for file, format := range map[string]string{"set.json": "keelmark set ", "marked/marking.json": "keelmark marking "} {
		file = filepath.FromSlash(file)
		dir := filepath.Join(t.TempDir(), "set")
		restore(t, dir, files)
		later := strings.Replace(files[file], format+"1", format+"2", 1)
		if later == files[file] {
			t.Fatalf("%s does not name its format", file)
		}
		if err := os.WriteFile(filepath.Join(dir, file), []byte(later), 0o644); err != nil {
			t.Fatal(err)
		}
		before, _ := snapshot(t, dir)
		for _, args := range [][]string{{"mark", dir, filepath.Join(golden, "answers.csv")}, {"again", dir, "--to", dir + "-again"}, {"record", dir}} {
			code, _, stderr := keelmark(args...)
			if code != exitFailed || !strings.Contains(stderr, file) || !strings.Contains(stderr, format+"2") || !strings.Contains(stderr, "use that version") {
				t.Errorf("%s in the format of a later version, %s: exit code %d: %s", file, args[0], code, stderr)
			}
			finished(t, dir, before)
		}
	}
}
