package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"keelmark/grader"
	"keelmark/labs/classset"
)

// onDisk writes a marked set into a folder.
func onDisk(t *testing.T, r *grader.Result, made string) string {
	t.Helper()
	dir := t.TempDir()
	r.Set.Made = made
	if err := os.WriteFile(filepath.Join(dir, classset.LabFile), r.Lab.Source, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := r.Set.Save(dir); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(dir, classset.MarkedDir), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := r.Marking.Save(dir); err != nil {
		t.Fatal(err)
	}
	return dir
}

func TestLevel(t *testing.T) {
	for _, c := range []struct {
		won, outOf int
		want       string
	}{
		{0, 1, NotYet}, {1, 1, Unsteady}, {2, 2, Secure}, {8, 10, Secure}, {7, 10, Unsteady}, {5, 10, Unsteady}, {4, 10, NotYet},
	} {
		if got := level(c.won, c.outOf); got != c.want {
			t.Errorf("%d of %d: %s, want %s", c.won, c.outOf, got, c.want)
		}
	}
}

// A lab sat twice: both totals stand, each question counts by its latest marking, and an answer that is open or a sheet
// not handed in leaves the earlier one standing. The order of the folders does not matter.
func TestRecordOfTwoSittings(t *testing.T) {
	first := onDisk(t, marked(t, but(answers{"Fb": "12.56", "why": "0"}), but(answers{"m": "65.4"}), allRight()), "2026-03-02")
	again := onDisk(t, marked(t, but(answers{"why": ""}), nil), "2026-03-16")
	r, err := MakeRecord([]string{again, first})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Sets) != 2 || r.Sets[0].Made != "2026-03-02" || r.Sets[0].Sitting != 1 || r.Sets[1].Sitting != 2 {
		t.Errorf("sets %+v", r.Sets)
	}
	var got []string
	for _, row := range r.Table() {
		got = append(got, strings.Join(row, ","))
	}
	want := []string{
		"student,name,class,archimedes/weigh-twice,archimedes/weigh-twice (2),upthrust,weight-mass,density,decide,explain,ready for the capstone",
		"s1,Pupil A,,9/13,11 + ?/13,secure,unsteady,secure,unsteady,not yet,false",
		"s2,Pupil B,,12/13,absent,secure,not yet,secure,unsteady,secure,false",
		"s3,Pupil C,,13/13,,secure,unsteady,secure,unsteady,secure,false",
	}
	if !slices.Equal(got, want) {
		t.Errorf("record\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Ready for the capstone: all of its skills seen, none not yet, three in four secure.
func TestReady(t *testing.T) {
	capstone := []string{"a", "b", "c", "d"}
	for _, c := range []struct {
		name  string
		marks map[string][2]int
		want  bool
	}{
		{"all secure", map[string][2]int{"a": {3, 3}, "b": {3, 3}, "c": {3, 3}, "d": {4, 5}}, true},
		{"one unsteady of four", map[string][2]int{"a": {3, 3}, "b": {3, 3}, "c": {3, 3}, "d": {2, 3}}, true},
		{"two unsteady of four", map[string][2]int{"a": {3, 3}, "b": {3, 3}, "c": {2, 3}, "d": {2, 3}}, false},
		{"one not yet", map[string][2]int{"a": {3, 3}, "b": {3, 3}, "c": {3, 3}, "d": {1, 3}}, false},
		{"one not seen", map[string][2]int{"a": {3, 3}, "b": {3, 3}, "c": {3, 3}}, false},
		{"others do not matter", map[string][2]int{"a": {3, 3}, "b": {3, 3}, "c": {3, 3}, "d": {3, 3}, "e": {0, 3}}, true},
	} {
		p := &PupilRecord{Skills: map[string]*SkillRecord{}, latest: map[[2]string]*sat{}}
		for skill, m := range c.marks {
			p.latest[[2]string{"lab", skill}] = &sat{skill, m[0], m[1]}
		}
		if p.finish(capstone); p.Ready != c.want {
			t.Errorf("%s: ready %v", c.name, p.Ready)
		}
	}
}

// The three files hold the same record.
func TestRecordFiles(t *testing.T) {
	r, err := MakeRecord([]string{onDisk(t, marked(t, allRight(), nil), "2026-03-02")})
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	if err := r.Save(folder); err != nil {
		t.Fatal(err)
	}
	pdf, err := os.ReadFile(filepath.Join(folder, "record.pdf"))
	if err != nil || !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		t.Errorf("record.pdf: %v", err)
	}
	table, err := os.Open(filepath.Join(folder, "record.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer table.Close()
	if rows, err := csv.NewReader(table).ReadAll(); err != nil || len(rows) != 3 || rows[1][3] != "13/13" || rows[2][3] != "absent" {
		t.Errorf("record.csv: %q, %v", rows, err)
	}
	raw, err := os.ReadFile(filepath.Join(folder, "record.json"))
	if err != nil {
		t.Fatal(err)
	}
	var back Record
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	if s := back.Pupils[0].Skills["density"]; s == nil || *s != (SkillRecord{Won: 3, OutOf: 3, Level: Secure}) || back.Rule != RecordRule {
		t.Errorf("density in record.json: %+v", s)
	}
}

// A skill whose questions are void, open or worth nothing is in the list of skills and in nobody's record.
func TestRecordOfSkillNotShown(t *testing.T) {
	for name, change := range map[string]func(a *classset.Answer){
		"void":          func(a *classset.Answer) { a.Void, a.Marks, a.OutOf = true, 0, 0 },
		"open":          func(a *classset.Answer) { a.Open, a.Marks = true, 0 },
		"worth nothing": func(a *classset.Answer) { a.Marks, a.OutOf = 0, 0 },
	} {
		result := marked(t, allRight())
		for _, a := range result.Marking.Sheets[0].Answers {
			if result.Lab.Question(a.Question).Skill == "density" {
				change(a)
			}
		}
		r, err := MakeRecord([]string{onDisk(t, result, "2026-03-02")})
		if err != nil {
			t.Fatal(err)
		}
		at := 4 + slices.Index(r.Skills, "density")
		if _, shown := r.Pupils[0].Skills["density"]; shown || at < 4 || r.Table()[1][at] != "" {
			t.Errorf("%s: density is %q; it is not shown", name, r.Table()[1][at])
		}
	}
}

func TestRecordOfUnmarkedSet(t *testing.T) {
	dir := onDisk(t, marked(t, allRight()), "2026-03-02")
	if err := os.RemoveAll(filepath.Join(dir, classset.MarkedDir)); err != nil {
		t.Fatal(err)
	}
	for _, dir := range []string{dir, t.TempDir()} {
		if _, err := MakeRecord([]string{dir}); err == nil || !strings.Contains(err.Error(), dir) {
			t.Errorf("error %v, want one that names %s", err, dir)
		}
	}
}
