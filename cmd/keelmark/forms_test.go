package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"keelmark/labs/classset"
)

// fillForm is a script by which another program fills the boxes of a form, by the question in their labels.
const fillForm = `
var doc = new PDFDocument(scriptArgs[0]);
for (var i = 0; i < doc.countPages(); i++) {
  doc.loadPage(i).getWidgets().forEach(function (w) {
    if (w.getLabel().indexOf("Question 1:") == 0) { w.setTextValue(scriptArgs[2]); w.update(); }
    if (w.getLabel().indexOf("Question 2:") == 0) { w.setTextValue(scriptArgs[3]); w.update(); }
  });
}
doc.save(scriptArgs[1], "");
`

// TestFormsThereAndBack prints fill-in sheets, has another program fill them, and marks what comes back, with a PDF among
// them that is none of ours.
func TestFormsThereAndBack(t *testing.T) {
	mutool := tool(t, "mutool")
	dir := filepath.Join(t.TempDir(), "set")
	if code, _, stderr := keelmark("print", "testdata/two-forces.md", "--class", "testdata/three.csv", "--to", dir, "--seed", "canal", "--forms"); code != exitDone {
		t.Fatalf("print: exit code %d: %s", code, stderr)
	}
	set, err := classset.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	script, inbox := write(t, "fill.js", fillForm), t.TempDir()
	for i, s := range set.Sheets {
		fb := upthrust(t, dir, i)
		form, filled := filepath.Join(dir, "forms", s.Code+".pdf"), filepath.Join(inbox, fmt.Sprintf("%d.pdf", i))
		out, err := exec.Command(mutool, "run", script, form, filled, fmt.Sprintf("%.2f", fb), fmt.Sprintf("%.4g g", 1000*fb/9.81)).CombinedOutput()
		if err != nil {
			t.Fatalf("mutool: %v\n%s", err, out)
		}
	}
	key, err := os.ReadFile(filepath.Join(dir, "key.pdf"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(inbox, "foreign.pdf"), key, 0o666); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr := keelmark("mark", dir, inbox)
	if code != exitLook || !strings.Contains(stderr, "foreign.pdf") || !strings.Contains(stdout, "3 of 3 sheets marked") {
		t.Errorf("exit code %d\n%s%s", code, stdout, stderr)
	}
	for student, answers := range marked(t, dir) {
		if answers["Fb"] != "right 2" || answers["m"] != "right 2" {
			t.Errorf("%s: %v", student, answers)
		}
	}
}

// TestDemoFilesAreSound has another program check every PDF that the demo makes.
func TestDemoFilesAreSound(t *testing.T) {
	qpdf := tool(t, "qpdf")
	dir := t.TempDir()
	if code, _, stderr := keelmark("demo", "--to", dir); code != exitDone {
		t.Fatalf("demo: exit code %d: %s", code, stderr)
	}
	files := 0
	err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".pdf" {
			return err
		}
		files++
		if out, err := exec.Command(qpdf, "--check", path).CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", path, err, out)
		}
		return nil
	})
	if err != nil || files < 4 {
		t.Errorf("%d PDFs, want sheets, key, feedback and report (%v)", files, err)
	}
}
