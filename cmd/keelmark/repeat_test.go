package main

import (
	"path/filepath"
	"runtime"
	"testing"
)

// TestMarkingRepeats: the same set, answers and seed give the same bytes on any number of cores and at any time: everything
// in marked/, the follow-up set, the record of the term.
func TestMarkingRepeats(t *testing.T) {
	root := t.TempDir()
	at := func(name string) string { return filepath.Join(root, name) }
	var sets []map[string]string
	var answers []string
	labs := []string{"archimedes/lowering", "circuits/three-resistors"} // bench readings; networks
	for i, lab := range labs {
		do(t, "print", lab, "--class", class(t, 0, 9), "--to", at("set"), "--seed", "repeat")
		files, _ := snapshot(t, at("set"))
		sets, answers = append(sets, files), append(answers, answered(t, at("set"), uint64(i)))
		restore(t, at("set"), nil)
	}
	all := func(cores int) map[string]string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		restore(t, root, nil)
		record := []string{"record", "--to", at("term")}
		for i, lab := range labs {
			dir := at(filepath.Base(lab))
			restore(t, dir, sets[i])
			do(t, "mark", dir, answers[i], "--single", "--text", "--oneroster", "--sample", "3")
			do(t, "again", dir, "--to", dir+"-again", "--seed", "repeat")
			do(t, "again", dir, "--to", dir+"-cluster", "--seed", "repeat", "--cluster")
			record = append(record, dir)
		}
		do(t, record...)
		files, _ := snapshot(t, root)
		return files
	}
	want := all(1)
	for _, name := range []string{"lowering/marked/feedback.pdf", "lowering/marked/report.pdf", "lowering/marked/marks.xlsx", "lowering/marked/sample.csv",
		"three-resistors/marked/oneroster/results.csv", "three-resistors-again/sheets.pdf", "three-resistors-cluster/set.json", "term/record.pdf"} {
		if want[name] == "" {
			t.Errorf("%s was not made", name)
		}
	}
	for range 3 {
		got := all(8)
		if len(got) != len(want) {
			t.Errorf("%d files, want %d", len(got), len(want))
		}
		for name, data := range want {
			if got[name] != data {
				t.Errorf("%s differs: %d bytes, want %d", name, len(got[name]), len(data))
			}
		}
	}
}
