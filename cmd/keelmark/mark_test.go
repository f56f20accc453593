package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"keelmark/labs/classset"
)

// keelmark runs the program in process and returns its exit code and what it printed.
func keelmark(args ...string) (code int, stdout, stderr string) {
	var out, err bytes.Buffer
	code = run(context.Background(), args, streams{strings.NewReader(""), &out, &err})
	return code, out.String(), err.String()
}

// printed makes a class set of the two-forces lab for three pupils and returns its folder and its codes as on paper.
func printed(t *testing.T) (dir string, codes []string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "set")
	code, _, stderr := keelmark("print", "testdata/two-forces.md", "--class", "testdata/three.csv", "--to", dir, "--seed", "canal")
	if code != exitDone {
		t.Fatalf("print: exit code %d: %s", code, stderr)
	}
	set, err := classset.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range set.Sheets {
		codes = append(codes, classset.ShowCode(s.Code))
	}
	return dir, codes
}

// upthrust is the answer to Fb on a sheet, worked out here from the values as stored.
func upthrust(t *testing.T, dir string, sheet int) float64 {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "set.json"))
	if err != nil {
		t.Fatal(err)
	}
	var set struct {
		Sheets []struct {
			Values map[string]struct {
				Value float64
				Unit  string
			}
		}
	}
	if err := json.Unmarshal(data, &set); err != nil {
		t.Fatal(err)
	}
	v := set.Sheets[sheet].Values
	if v["Wa"].Unit != "N" || v["Ww"].Unit != "N" {
		t.Fatalf("values in %q and %q, want N", v["Wa"].Unit, v["Ww"].Unit)
	}
	return v["Wa"].Value - v["Ww"].Value
}

func write(t testing.TB, name, content string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(content), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// marked reads marking.json as another program would: by its fixed keys.
func marked(t *testing.T, dir string) map[string]map[string]string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "marked", "marking.json"))
	if err != nil {
		t.Fatal(err)
	}
	var m struct {
		Format string
		Sheets []struct {
			Student string
			Answers []struct {
				Question, Verdict string
				Marks             int
			}
		}
	}
	if err := json.Unmarshal(data, &m); err != nil {
		t.Fatal(err)
	}
	if m.Format != "keelmark marking 1" {
		t.Errorf("format %q", m.Format)
	}
	got := map[string]map[string]string{}
	for _, s := range m.Sheets {
		got[s.Student] = map[string]string{}
		for _, a := range s.Answers {
			got[s.Student][a.Question] = fmt.Sprintf("%s %d", a.Verdict, a.Marks)
		}
	}
	return got
}

// TestMarkMixedFiles marks answers in several ways of writing and several kinds of file, with faults among them: each
// fault is named with its place, and the rest is marked.
func TestMarkMixedFiles(t *testing.T) {
	dir, codes := printed(t)
	fb := []float64{upthrust(t, dir, 0), upthrust(t, dir, 1), upthrust(t, dir, 2)}
	text := write(t, "first.txt", fmt.Sprintf("sheet: %s\nFb: %.0f mN\nm: %.3gx10^2\n", codes[0], 1000*fb[0], fb[0]/9.81*10))
	table := write(t, "second.csv", fmt.Sprintf("sheet;Fb;m;wheight\n%s;%s;;3\nAAAA-AAAA;1;2;3\n", codes[1], strings.Replace(fmt.Sprintf("%.2f", fb[1]), ".", ",", 1)))
	array := write(t, "third.json", fmt.Sprintf(`[{"sheet": %q, "answers": {"Fb": "5 5", "m": "%.4g g"}}]`, codes[2], 1000*fb[2]/9.81))

	code, stdout, stderr := keelmark("mark", dir, text, table, array)
	if code != exitLook {
		t.Errorf("exit code %d, want %d", code, exitLook)
	}
	for _, want := range []string{"second.csv:1: ", "wheight", "second.csv:3: ", "AAAA-AAAA"} {
		if !strings.Contains(stderr, want) {
			t.Errorf("stderr lacks %q:\n%s", want, stderr)
		}
	}
	if !strings.Contains(stdout, "3 of 3 sheets marked") {
		t.Errorf("stdout: %s", stdout)
	}
	got := marked(t, dir)
	for student, want := range map[string]map[string]string{
		"p1": {"Fb": "right 2", "m": "right 2"}, "p2": {"Fb": "right 2", "m": "blank 0"}, "p3": {"Fb": "unread 0", "m": "right 2"},
	} {
		for q, verdict := range want {
			if got[student][q] != verdict {
				t.Errorf("%s %s: %q, want %q", student, q, got[student][q], verdict)
			}
		}
	}
}

// TestMarkConflicts: two answer files for one sheet are both named; a second, different answer needs --replace.
func TestMarkConflicts(t *testing.T) {
	dir, codes := printed(t)
	a := write(t, "a.txt", fmt.Sprintf("sheet: %s\nFb: 1.23 N\n", codes[0]))
	b := write(t, "b.txt", fmt.Sprintf("sheet: %s\nFb: 3.21 N\n", codes[0]))
	code, _, stderr := keelmark("mark", dir, a, b)
	if code != exitLook && code != exitFailed || !strings.Contains(stderr, "a.txt") || !strings.Contains(stderr, "b.txt") {
		t.Errorf("both files at once: exit code %d, stderr %s", code, stderr)
	}
	if code, _, stderr = keelmark("mark", dir, a); code != exitDone {
		t.Fatalf("first: exit code %d: %s", code, stderr)
	}
	before := marked(t, dir)
	if code, _, stderr = keelmark("mark", dir, b); code != exitLook || !strings.Contains(stderr, "--replace") {
		t.Errorf("second, different answer: exit code %d: %s", code, stderr)
	}
	if got := marked(t, dir); got["p1"]["Fb"] != before["p1"]["Fb"] {
		t.Errorf("the refused answer changed the marking: %v", got["p1"])
	}
	if code, _, stderr = keelmark("mark", dir, b, "--replace"); code != exitDone {
		t.Errorf("--replace: exit code %d: %s", code, stderr)
	}
}

// TestInterruptedPrint: a run cancelled mid-way leaves no set, and what was there before.
func TestInterruptedPrint(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var out, errs bytes.Buffer
	code := run(ctx, []string{"print", "testdata/two-forces.md", "--class", "testdata/three.csv", "--to", dir}, streams{strings.NewReader(""), &out, &errs})
	if code != exitFailed || !strings.Contains(errs.String(), "interrupted") {
		t.Errorf("exit code %d, want %d: %s", code, exitFailed, errs.String())
	}
	if _, err := os.Stat(filepath.Join(dir, "set.json")); !os.IsNotExist(err) {
		t.Errorf("an interrupted print left set.json (%v)", err)
	}
}

// What an earlier marking made and this one does not is told, so that no old marks are handed out.
func TestOutdatedFiles(t *testing.T) {
	dir, codes := printed(t)
	answers := write(t, "a.txt", "sheet: "+codes[0]+"\nFb: 1.23 N\n")
	feedback := filepath.Join(dir, "marked", "feedback")
	for _, c := range []struct {
		args []string
		told []string
	}{
		{[]string{answers}, nil},
		{[]string{"--single", "--text"}, nil},
		{[]string{"--text"}, []string{filepath.Join(feedback, "*.pdf") + ": of an earlier marking; --single"}},
		{[]string{"--oneroster"}, []string{"*.pdf", "*.txt"}},
		{nil, []string{"*.pdf", "*.txt", filepath.Join("oneroster", "*.csv") + ": of an earlier marking; --oneroster"}},
		{[]string{"--single", "--text", "--oneroster"}, nil},
	} {
		_, _, stderr := keelmark(append([]string{"mark", dir}, c.args...)...)
		if n := strings.Count(stderr, "of an earlier marking"); n != len(c.told) {
			t.Errorf("%v: %d told, want %d: %s", c.args, n, len(c.told), stderr)
		}
		for _, want := range c.told {
			if !strings.Contains(stderr, want) {
				t.Errorf("%v: %s; want %s", c.args, stderr, want)
			}
		}
	}
}

// A class that grows past what one file of slips holds has no slips of the earlier marking beside the new ones.
func TestFeedbackOfAClassThatGrows(t *testing.T) {
	if testing.Short() {
		t.Skip("prints and marks 201 sheets")
	}
	dir, codes := printed(t)
	do(t, "mark", dir, write(t, "a.txt", "sheet: "+codes[0]+"\nFb: 1.23 N\n"))
	newcomers := "id,name\n"
	for i := range 198 {
		newcomers += fmt.Sprintf("n%d,Newcomer %d\n", i, i)
	}
	do(t, "print", dir, "--add", write(t, "newcomers.csv", newcomers))
	for _, told := range []bool{true, false} { // once: then there is nothing left to remove
		_, _, stderr := keelmark("mark", dir)
		if strings.Contains(stderr, "removed "+filepath.Join(dir, "marked", "feedback.pdf")) != told {
			t.Errorf("told of the removed file: want %v: %s", told, stderr)
		}
		found, err := filepath.Glob(filepath.Join(dir, "marked", "feedback*.pdf"))
		if err != nil || len(found) != 2 || filepath.Base(found[0]) != "feedback-001.pdf" || filepath.Base(found[1]) != "feedback-002.pdf" {
			t.Errorf("%v, %v; want feedback-001.pdf and feedback-002.pdf alone", found, err)
		}
	}
}

// What mark made is no answer file: it is named once and left alone, and the marking stays as it was.
func TestMarkItsOwnOutput(t *testing.T) {
	dir, codes := printed(t)
	answers := write(t, "a.txt", "sheet: "+codes[0]+"\nFb: 1.23 N\n")
	do(t, "mark", dir, answers, "--text")
	before := marked(t, dir)
	for _, own := range [][]string{{"marked"}, {"marked", "marks.csv"}, {"marked", "feedback", strings.ReplaceAll(codes[0], "-", "") + ".txt"}} {
		path := filepath.Join(append([]string{dir}, own...)...)
		code, _, stderr := keelmark("mark", dir, path, "--text")
		if want := path + ": is what mark itself made"; code != exitLook || !strings.HasPrefix(stderr, want) || strings.Count(stderr, "\n") != 1 {
			t.Errorf("exit code %d, %q; want one line, %s", code, stderr, want)
		}
		if diff := cmp.Diff(before, marked(t, dir)); diff != "" {
			t.Errorf("the marking has changed:\n%s", diff)
		}
	}
	elsewhere := filepath.Join(t.TempDir(), "marked") // a folder of that name may hold answers
	if err := os.Mkdir(elsewhere, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(answers, filepath.Join(elsewhere, "a.txt")); err != nil {
		t.Fatal(err)
	}
	if code, _, stderr := keelmark("mark", dir, elsewhere, "--text"); code != exitDone {
		t.Errorf("answers in a folder called marked: exit code %d: %s", code, stderr)
	}
}

// A quiet run says what waits for a person, or nothing.
func TestMarkQuietly(t *testing.T) {
	dir, codes := printed(t)
	for _, c := range []struct {
		answer, says string
		code         int
	}{
		{"?", "waiting for you in look.csv: 1 ", exitLook},
		{fmt.Sprintf("%.2f N", upthrust(t, dir, 0)), "", exitDone},
	} {
		file := write(t, "a.txt", "sheet: "+codes[0]+"\nFb: "+c.answer+"\n")
		code, stdout, stderr := keelmark("mark", dir, file, "--replace", "--quiet")
		if code != c.code || stderr != "" || !strings.HasPrefix(stdout, c.says) || strings.Count(stdout, "\n") > 1 || c.says == "" && stdout != "" {
			t.Errorf("%s: exit code %d, %q, %q; want %d, %q", c.answer, code, stdout, stderr, c.code, c.says)
		}
	}
}
