package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"keelmark/labs/classset"
)

func TestPlainWriter(t *testing.T) {
	for in, want := range map[string]string{
		"Łukasz, 9.81 m/s²\n\tχ": "Łukasz, 9.81 m/s²\n\tχ",
		"a\x1b[31mred\x07":       `a\u001b[31mred\u0007`,
		"\u009b2J\r":             `\u009b2J\u000d`,
		"abc\u202ecba\u2066":     `abc\u202ecba\u2066`,
		"\xff\x80 as it came":    "\xff\x80 as it came",
		"\x1b":                   `\u001b`,
	} {
		var out strings.Builder
		if n, err := (plainWriter{&out}).Write([]byte(in)); n != len(in) || err != nil || out.String() != want {
			t.Errorf("%q: %q (%d, %v), want %q", in, out.String(), n, err, want)
		}
	}
}

// Nothing that stands in a file, or in its name, reaches the terminal as a control character.
func TestNothingSteersTheTerminal(t *testing.T) {
	dir, codes := printed(t)
	evil := "\x1b[31m\u009b\u202e\x07"
	quoted, err := json.Marshal(evil)
	if err != nil {
		t.Fatal(err)
	}
	var shown strings.Builder
	for _, args := range [][]string{
		{"mark", dir, write(t, evil+".csv", "sheet,"+evil+"\n"+evil+",1\n"+codes[0]+","+evil+"\n")},
		{"mark", dir, "--json", write(t, "a.txt", "sheet: "+evil+"\nsheet: "+codes[0]+"\n"+evil+"\n"+evil+": 1\nFb: "+evil+"\n")},
		{"mark", dir, write(t, "a.json", `{"sheet": `+string(quoted)+`, `+string(quoted)+`: {}, "answers": {`+string(quoted)+`: "1"}}`)},
		{"print", "testdata/two-forces.md", "--to", filepath.Join(t.TempDir(), evil), "--class", write(t, evil+".csv", "id,name,group,"+evil+"\n"+evil+","+evil+"x,"+evil+"\n")},
		{"print", "testdata/two-forces.md", "--to", filepath.Join(t.TempDir(), "x"), "--class", write(t, "b.csv", "id,name\n"+evil+"a,b\n"+evil+"a,c\n")},
		{"print", "testdata/two-forces.md", "--to", filepath.Join(t.TempDir(), "x"), "--class", write(t, "c.csv", evil+","+evil+"\n1,2\n")},
	} {
		_, stdout, stderr := keelmark(args...)
		shown.WriteString(stdout + stderr)
	}
	if i := strings.IndexFunc(shown.String(), steers); i >= 0 {
		t.Errorf("%q", shown.String()[max(0, i-60):min(shown.Len(), i+60)])
	}
	if !strings.Contains(shown.String(), "[31m") {
		t.Error("nothing of it was shown, so nothing was tested")
	}
}

// Ids, names and groups that look like paths are text: nothing is made outside the folder of the set. A sample.csv that
// cannot be read spoils no marking.
func TestNothingOutsideTheFolder(t *testing.T) {
	outer := t.TempDir()
	dir := filepath.Join(outer, "a", "b", "set")
	roster := filepath.Join(t.TempDir(), "r.csv")
	rows := "id,name,group,class\n"
	for i, evil := range []string{"../../../x", "/etc/x", `..\\..\\x`, "..", "CON", "x\u202e", strings.Repeat("long", 100), "a/b\x1bc"} {
		rows += fmt.Sprintf("%s %d,%s,%s,%s\n", evil, i, evil, evil, evil)
	}
	if err := os.WriteFile(roster, []byte(rows), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, stderr := keelmark("print", "testdata/two-forces.md", "--class", roster, "--to", dir, "--forms"); code != exitDone {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	set, err := classset.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	answers := write(t, "a.txt", "sheet: "+set.Sheets[0].Code+"\nFb: 1.23 N\n")
	if code, _, stderr := keelmark("mark", dir, answers, "--single", "--text", "--oneroster", "--sample", "3"); code != exitDone {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	if err := os.WriteFile(filepath.Join(dir, classset.MarkedDir, "sample.csv"), []byte("a\x00"), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, stdout, stderr := keelmark("mark", dir); code != exitLook || !strings.Contains(stderr, "sample.csv:1: ") || !strings.Contains(stdout, "1 of 8 sheets marked") {
		t.Errorf("exit code %d: %s%s", code, stdout, stderr)
	}
	name := regexp.MustCompile(`^[A-Za-z0-9.-]+$`)
	err = filepath.WalkDir(outer, func(path string, entry fs.DirEntry, err error) error {
		if rel, _ := filepath.Rel(outer, path); err == nil && path != outer && (!name.MatchString(entry.Name()) || !entry.IsDir() && !strings.HasPrefix(rel, filepath.Join("a", "b", "set"))) {
			t.Errorf("made %q", rel)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
