package main

import (
	"os"
	"os/exec"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// tool finds a program that fuller checks need. Without it the test is skipped at a desk and fails in CI.
func tool(t testing.TB, name string) string {
	t.Helper()
	path, ok := found(t, name)
	if !ok {
		t.Skipf("%s is not installed", name)
	}
	return path
}

// found finds a program for a part of a test, which is left out at a desk without it and fails in CI.
func found(t testing.TB, name string) (path string, ok bool) {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatalf("%s is not installed, and CI must not skip this check", name)
	}
	return path, err == nil
}

// pdftext FILE [PATTERN]... extracts the text of a PDF to stdout; without pdftotext the rest of the script is skipped.
func pdftext(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: pdftext file")
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("CI") == "true" {
			ts.Fatalf("pdftotext is not installed, and CI must not skip this check")
		}
		ts.Logf("pdftotext is not installed: the text of %s was not looked at", args[0])
		return
	}
	ts.Check(ts.Exec("pdftotext", "-layout", ts.MkAbs(args[0]), "-"))
}
