package main

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// users tells of a folder in which folders the packages lie that may import from it; the first row that fits holds.
var users = []struct {
	folder string
	by     []string
}{
	{"github.com/jung-kurt/gofpdf", []string{"generator/page"}},
	{"github.com/pdfcpu/pdfcpu", []string{"grader/forms"}},
	{"cmd", nil},
	{"generator/page", []string{"generator", "grader/report"}},
	{"generator/plot", []string{"generator", "grader/report"}},
	{"generator", []string{"cmd"}},
	{"grader", []string{"cmd", "grader"}},
	{"labs/judge", []string{"cmd", "generator", "grader"}},
	{"labs/slips", []string{"cmd", "generator", "grader"}},
	{"labs/classset", []string{"cmd", "generator", "grader"}},
}

// TestLayers: dependencies point the way that DEVELOPERS.md says, and its table of folders has every package.
func TestLayers(t *testing.T) {
	guide, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "keelmark/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	packages := 0
	for line := range strings.Lines(string(out)) {
		packages++
		names := strings.Fields(strings.ReplaceAll(line, "keelmark/", ""))
		name := names[0]
		if !strings.Contains(string(guide), "\n| `"+name+"` |") {
			t.Errorf("DEVELOPERS.md has no row for %s", name)
		}
		within := func(path string) func(folder string) bool {
			return func(folder string) bool { return strings.HasPrefix(path+"/", folder+"/") }
		}
		for _, other := range names[1:] {
			for _, rule := range users {
				if within(other)(rule.folder) {
					if !slices.ContainsFunc(rule.by, within(name)) {
						t.Errorf("%s imports %s", name, other)
					}
					break
				}
			}
		}
	}
	if packages < 20 {
		t.Errorf("%d packages seen", packages)
	}
}
