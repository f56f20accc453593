package grader

import (
	"path/filepath"
	"strings"
	"testing"
)

// Whatever stands in an answer file, reading it never panics, and a file from which no sheet could be read is named.
func FuzzFiles(f *testing.F) {
	f.Add(0, "sheet,Fb\n"+codes[0]+",0.55\n")
	f.Add(0, "sheet;Fb;load.1\n"+codes[0]+";0,55;\"2\n")
	f.Add(1, "sheet: "+codes[1]+"\nFb: 0.55 N # good\nV_s")
	f.Add(2, "[{\"sheet\": \""+codes[2]+"\", \"answers\": {\"Fb\": [1, null]}}")
	f.Add(2, "{\"answers\": {\"Fb\": {}}, \"sheet\": 3}")
	f.Add(1, "\xff\xfes\x00h\x00")
	lab, set, dir := testLab(f), testSet(), f.TempDir()
	f.Fuzz(func(t *testing.T, kind int, text string) {
		name := "answers" + []string{".csv", ".txt", ".json"}[uint(kind)%3]
		path := write(t, filepath.Join(t.TempDir(), name), text)
		in := newIntake(dir, set, lab, nil)
		papers := in.read([]string{path})
		if len(papers) == 0 && len(in.list()) == 0 && strings.Contains(text, codes[0]) {
			t.Errorf("%q is lost without a word", text)
		}
		for _, p := range papers {
			if in.sheets[p.Code] == nil {
				t.Errorf("a paper for %q", p.Code)
			}
		}
	})
}
