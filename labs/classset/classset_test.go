package classset

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestSetReadsBack(t *testing.T) {
	dir := t.TempDir()
	want := &Set{
		Engine: "test", Lab: "archimedes/weigh-twice", Seed: "lock 7", Made: "2026-05-04T09:00:00Z",
		Settings: Settings{Gravity: 9.81, Paper: "a4", Fixed: map[string]string{"T": "12 degC"}},
		Copying:  &Copying{Mean: 0.1, Worst: 1, Limit: 1},
		Sheets: []*Sheet{{Code: testCode("4F7KQ2X"), Student: "p1", Name: "Ines <&>", Values: map[string]Value{
			"Wa": {Value: 2.46, Unit: "N"}, "z": {Value: []float64{0, 1, 2}, Unit: "cm"}, "metal": {Name: "brass"}}}},
	}
	if err := want.Save(dir); err != nil {
		t.Fatal(err)
	}
	got, err := Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestReadFaults(t *testing.T) {
	code := testCode("4F7KQ2X")
	const head = `{"format": "keelmark set 1", "settings": {"g": 9.81}, "sheets": [`
	for _, c := range []struct{ name, data, want string }{
		{"cut short", head + `{"code": "` + code, "set.json:1:"},
		{"wrong type", "{\n \"format\": 7}", "set.json:2:"},
		{"no set", `{}`, `format "", want "keelmark set 1"`},
		{"later version", `{"format": "keelmark set 9"}`, "later version"},
		{"no gravity", `{"format": "keelmark set 1"}`, "g is 0 m/s²"},
		{"edited code", head + `{"code": "4F7KQ2X0"}]}`, `sheet 1: "4F7KQ2X0" is not a sheet code`},
		{"code twice", head + `{"code": "` + code + `"}, {"code": "` + code + `"}]}`, "stands twice"},
		{"paper", head + `{"code": "` + code + `"}]}`, `paper "", want a4 or letter`},
		{"null sheet", head + `null]}`, "sheet 1 is null"},
		{"a value that is none", head + `{"code": "` + code + `", "values": {"a": {"value": "2"}}}]}`, "set.json"},
		{"deep", strings.Repeat("[", 100000), "set.json"},
	} {
		dir := t.TempDir()
		os.WriteFile(filepath.Join(dir, SetFile), []byte(c.data), 0o644)
		if _, err := Read(dir); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q in it", c.name, err, c.want)
		}
	}
	if _, err := Read(t.TempDir()); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), "cut short") {
		t.Errorf("no set.json: %v", err)
	}
	above := t.TempDir()
	if err := os.MkdirAll(filepath.Join(above, "week3"), 0o755); err != nil {
		t.Fatal(err)
	}
	os.WriteFile(filepath.Join(above, "week3", SetFile), []byte("{}"), 0o644)
	for dir, want := range map[string]string{above: "but " + filepath.Join(above, "week3") + " is one", filepath.Join(above, "week4"): "there is no folder"} {
		if _, err := Read(dir); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v, want %q in it", dir, err, want)
		}
	}
}

func TestMarkingReadsBack(t *testing.T) {
	dir := t.TempDir()
	if _, err := OpenMarking(dir); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no marking.json: %v", err)
	}
	os.Mkdir(filepath.Join(dir, MarkedDir), 0o755)
	want := &Marking{Lab: "archimedes/weigh-twice", Sheets: []*SheetMarks{{Code: testCode("4F7KQ2X"), Student: "p1", Total: 2, OutOf: 4, Gravity: 9.81,
		Answers: []*Answer{{Question: "Fb", Written: "0.91 N", Read: &Amount{0.91, "N"}, Expected: &Amount{0.9132, "N"}, Verdict: Right, Marks: 2, OutOf: 2, Certain: true}}}}}
	if err := want.Save(dir); err != nil {
		t.Fatal(err)
	}
	got, err := OpenMarking(dir)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// What is read of a set.json and passes its checks is written and read back the same.
func FuzzParseSet(f *testing.F) {
	f.Add([]byte(`{"format": "keelmark set 1", "settings": {"g": 9.81, "paper": "a4"}, "sheets": [{"code": "` + testCode("4F7KQ2X") + `", "values": {"z": {"value": [1]}}}]}`))
	f.Add([]byte(`{"format": "keelmark set 1", "sheets": [null]}`))
	f.Add([]byte(`{"format": "keelmark set 1", "settings": {"g": 1}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		set, err := parseSet(SetFile, data)
		if err != nil {
			if !strings.HasPrefix(err.Error(), SetFile+":") {
				t.Errorf("error %v does not name the file", err)
			}
			return
		}
		written, err := json.Marshal(set)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := parseSet(SetFile, written); err != nil || !cmp.Equal(set, again, cmpopts.EquateEmpty()) {
			t.Errorf("not read back: %v", err)
		}
	})
}

func FuzzParseMarking(f *testing.F) {
	f.Add([]byte(`{"format": "keelmark marking 1", "sheets": [{"code": "` + testCode("4F7KQ2X") + `", "answers": [{"question": "Fb", "read": {"value": 1}}], "handed_in": {"Fb": "1"}}]}`))
	f.Add([]byte(`{"format": "keelmark marking 1", "sheets": [{"code": "` + testCode("4F7KQ2X") + `", "answers": [null]}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := parseMarking(MarkingFile, data)
		if err != nil {
			if !strings.HasPrefix(err.Error(), MarkingFile+":") {
				t.Errorf("error %v does not name the file", err)
			}
			return
		}
		written, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := parseMarking(MarkingFile, written); err != nil || !cmp.Equal(m, again, cmpopts.EquateEmpty()) {
			t.Errorf("not read back: %v", err)
		}
	})
}

func TestMarkingFaults(t *testing.T) {
	code := testCode("4F7KQ2X")
	const head = `{"format": "keelmark marking 1", "sheets": [`
	for data, want := range map[string]string{
		head + `{"code": "` + code:         "marking.json:1:",
		"{\n \"sheets\": 7}":               "marking.json:2:",
		`{}`:                               `format ""`,
		`{"format": "keelmark marking 9"}`: "later version",
		head + `null]}`:                    "sheet 1 is null",
		head + `{"code": "x"}]}`:           `"x" is not a sheet code`,
		head + `{"code": "` + code + `"}, {"code": "` + code + `"}]}`: "stands twice",
		head + `{"code": "` + code + `", "answers": [null]}]}`:        "answer 1 is null",
		head + `{"code": "` + code + `", "readings": [null]}]}`:       "reading 1 is null",
	} {
		if _, err := parseMarking(MarkingFile, []byte(data)); err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "mark all answers again") && want != "later version" {
			t.Errorf("%s: error %v, want %q in it", data, err, want)
		}
	}
}
