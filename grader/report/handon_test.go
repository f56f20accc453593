package report

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"keelmark/labs/classset"
)

// The workbook holds marks, answers and figures; numbers are numbers, what a pupil wrote is text even where it looks like
// a formula, and what is not known is empty.
func TestWorkbook(t *testing.T) {
	r := marked(t, but(answers{"Fb": "=1+1"}), nil, but(answers{"m": "65.4"}))
	r.Marking.Sheets[2].Name = "=HYPERLINK(\"http://x\")"
	var out bytes.Buffer
	if err := Workbook(&out, r, pictures(t, r)); err != nil {
		t.Fatal(err)
	}
	book, err := excelize.OpenReader(&out)
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	if got := book.GetSheetList(); !slices.Equal(got, []string{"marks", "answers", "class"}) {
		t.Errorf("sheets %q", got)
	}
	for cell, want := range map[string]string{"E1": "total", "E3": "absent", "G3": "", "E4": "12", "F4": "13", "J4": "0", "C4": "=HYPERLINK(\"http://x\")"} {
		if got, err := book.GetCellValue("marks", cell); err != nil || got != want {
			t.Errorf("marks!%s = %q, %v, want %q", cell, got, err, want)
		}
	}
	for _, at := range [][2]string{{"marks", "C4"}, {"answers", "E2"}} {
		if formula, err := book.GetCellFormula(at[0], at[1]); err != nil || formula != "" {
			t.Errorf("%s!%s is the formula %q, %v", at[0], at[1], formula, err)
		}
	}
	if kind, err := book.GetCellType("marks", "E4"); err != nil || kind == excelize.CellTypeSharedString || kind == excelize.CellTypeInlineString {
		t.Errorf("a total is of type %v, %v", kind, err)
	}
	if written, err := book.GetCellValue("answers", "E2"); err != nil || written != "=1+1" {
		t.Errorf("written %q, %v", written, err)
	}
}

// The head rows of OneRoster CSV Binding 1.2.1, https://www.imsglobal.org/spec/oneroster/v1p2/bind/csv, and the
// words it has for the state of a result.
func TestOneRoster(t *testing.T) {
	r := marked(t, allRight(), nil, but(answers{"why": ""}))
	for i, m := range r.Marking.Sheets {
		m.Class = []string{"9a", "9a", "9b"}[i]
	}
	lineItems, results := oneRoster(r, time.Date(2026, 3, 9, 15, 0, 0, 0, time.UTC))
	if got, want := strings.Join(lineItems[0], ","), "sourcedId,status,dateLastModified,title,description,assignDate,dueDate,classSourcedId,"+
		"categorySourcedId,academicSessionSourcedId,resultValueMin,resultValueMax,schoolSourcedId"; got != want {
		t.Errorf("lineItems.csv has %s", got)
	}
	if got, want := strings.Join(results[0], ","), "sourcedId,status,dateLastModified,lineItemSourcedId,studentSourcedId,scoreStatus,score,"+
		"scoreDate,comment,textScore,classSourcedId,inProgress,incomplete,late,missing"; got != want {
		t.Errorf("results.csv has %s", got)
	}
	if len(lineItems) != 3 || lineItems[1][7] != "9a" || lineItems[2][7] != "9b" || lineItems[1][11] != "13" || lineItems[1][5] != "2026-03-02" {
		t.Errorf("line items %q", lineItems[1:])
	}
	var got []string
	for i, row := range results[1:] {
		if row[3] != lineItems[1+i/2][0] {
			t.Errorf("result %d belongs to %s, not to a line item of its class", i+1, row[3])
		}
		got = append(got, fmt.Sprintf("%s %s %s %s %s %s", row[4], row[5], row[6], row[7], row[12], row[14]))
	}
	if want := []string{"s1 fully graded 13 2026-03-09 false false", "s2 not submitted  2026-03-09 false true", "s3 partially graded 11 2026-03-09 true false"}; !slices.Equal(got, want) {
		t.Errorf("results\n%q, want\n%q", got, want)
	}
}

// Where sheets of a class are out of different totals, as in a follow-up set, each result has a line item of its total.
func TestOneRosterOfSeveralLengths(t *testing.T) {
	r := marked(t, allRight(), allRight(), allRight())
	for i, m := range r.Marking.Sheets {
		m.Class, m.OutOf = []string{"9a", "9a", "9b"}[i], []int{13, 3, 13}[i]
	}
	lineItems, results := oneRoster(r, time.Time{})
	var got []string
	for i, row := range results[1:] {
		at := slices.IndexFunc(lineItems, func(item []string) bool { return item[0] == row[3] })
		if at < 0 {
			t.Fatalf("result %d belongs to no line item", i+1)
		}
		got = append(got, lineItems[at][7]+" "+lineItems[at][11]+" "+strings.TrimPrefix(lineItems[at][3], r.Lab.Title))
	}
	if want := []string{"9a 13  (out of 13)", "9a 3  (out of 3)", "9b 13 "}; !slices.Equal(got, want) || len(lineItems) != 4 {
		t.Errorf("line items of the results %q, want %q; %d rows", got, want, len(lineItems))
	}
}

// Whatever a sheet holds, tables are safe in a spreadsheet and read back unharmed.
func TestTablesAreSafe(t *testing.T) {
	r := marked(t, allRight())
	r.Marking.Sheets[0].Student = "=cmd|' /C calc'!A0"
	folder := t.TempDir()
	if err := writeOneRoster(folder, r, time.Time{}); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(filepath.Join(folder, "results.csv"))
	if err != nil || !strings.Contains(string(raw), "'=cmd") || !strings.Contains(string(raw), "2026-03-02") {
		t.Errorf("%s, %v", raw, err)
	}
	rows, _, err := classset.ReadTable(filepath.Join(folder, "results.csv"))
	if err != nil || rows[1].Cells[4] != "=cmd|' /C calc'!A0" {
		t.Errorf("read back as %q, %v", rows[1].Cells[4], err)
	}
}

// The sample spreads over the marks and leaves out who is absent or not decided yet.
func TestPickSample(t *testing.T) {
	var sheets []*classset.SheetMarks
	for _, total := range []int{7, 3, 12, 9, 0, 5, 10, 8, 1} {
		sheets = append(sheets, &classset.SheetMarks{Total: total, OutOf: 12})
	}
	sheets = append(sheets, &classset.SheetMarks{Absent: true, OutOf: 12}, &classset.SheetMarks{Total: 11, OutOf: 12, Open: 1})
	for n, want := range map[int]string{1: "[7]", 2: "[12 0]", 5: "[12 9 7 3 0]", 9: "[12 10 9 8 7 5 3 1 0]", 40: "[12 10 9 8 7 5 3 1 0]"} {
		var got []int
		for _, m := range pickSample(sheets, n) {
			got = append(got, m.Total)
		}
		if fmt.Sprint(got) != want {
			t.Errorf("%d of them: %v, want %s", n, got, want)
		}
	}
}

// A sample goes out without names and marks, comes back with a second marker's, and is not written over.
func TestModeration(t *testing.T) {
	r := marked(t, allRight(), but(answers{"m": "65.4", "why": "1"}), but(answers{"why": "0"}))
	dir := t.TempDir()
	path := filepath.Join(dir, classset.MarkedDir, SampleFile)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := SampleBegun(dir, r); err != nil {
		t.Errorf("no sample yet: %v", err)
	}
	if err := classset.WriteTable(path, sample(r, 5)); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(path)
	if err != nil || strings.Contains(string(raw), "Pupil") || !strings.Contains(string(raw), ",brass,brass,1,,\n") {
		t.Errorf("%s, %v", raw, err)
	}
	if m, err := ReadSample(dir, r); err != nil || m.N != 0 {
		t.Errorf("%+v, %v", m, err)
	}
	if err := SampleBegun(dir, r); err != nil {
		t.Errorf("an empty sample may be drawn again: %v", err)
	}
	back := "Sheet,question,out_of,second_marks\n" + classset.ShowCode(code(0)) + ",why,2,2\n" + code(1) + ",why,2,2\n" + code(2) + ",why,2,0\n" + code(2) + ",m,1,\n"
	if err := os.WriteFile(path, []byte(back), 0o644); err != nil {
		t.Fatal(err)
	}
	m, err := ReadSample(dir, r)
	if err != nil {
		t.Fatal(err)
	}
	// Squares: 0, 1, 0 over 3; by chance, between {2, 1, 0} and {2, 2, 0}: 15/9. Kappa 1 − (1/3)/(15/9).
	if m.N != 3 || fmt.Sprint(m.Differences) != fmt.Sprintf("[{%s why 1 2 2}]", code(1)) {
		t.Errorf("%+v", m)
	}
	near(t, "exact agreement", m.Exact, 2.0/3)
	near(t, "kappa", m.Kappa, 1-(1.0/3)/(15.0/9))
	var words strings.Builder
	if err := m.Print(&words); err != nil || !strings.Contains(words.String(), "two markers, 3 answers: the same mark for 67 %") {
		t.Errorf("%s, %v", words.String(), err)
	}
	if err := SampleBegun(dir, r); err == nil || !strings.Contains(err.Error(), "move it away") {
		t.Errorf("a sample that a second marker has filled in may be written over: %v", err)
	}
}

func TestFaultySample(t *testing.T) {
	r := marked(t, allRight())
	dir := t.TempDir()
	if err := os.MkdirAll(filepath.Join(dir, classset.MarkedDir), 0o755); err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{
		"sheet,question,second_marks\n12345678,why,1\n":          ":2: \"12345678\" is no sheet code",
		"sheet,question,second_marks\n" + code(7) + ",why,1\n":   ":2: sheet T000-007",
		"sheet,question,second_marks\n" + code(0) + ",what,1\n":  "no marked answer to \"what\"",
		"sheet,question,second_marks\n" + code(0) + ",why,3\n":   "want a whole number, 0 to 2",
		"sheet,question,second_marks\n" + code(0) + ",why,1.5\n": "want a whole number, 0 to 2",
		"sheet,question\n" + code(0) + ",why\n":                  "no column \"second_marks\"",
		"":                                                       "is empty",
	} {
		if err := os.WriteFile(filepath.Join(dir, classset.MarkedDir, SampleFile), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := ReadSample(dir, r); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

// Write makes every file that is asked for, and no others.
func TestWrite(t *testing.T) {
	r := marked(t, allRight(), nil)
	for name, c := range map[string]struct {
		o    Options
		want string
	}{
		"plain": {Options{}, "feedback.pdf marks.xlsx report.pdf"},
		"all": {Options{Single: true, Text: true, OneRoster: true, Sample: 5},
			"feedback feedback.pdf feedback/" + code(0) + ".pdf feedback/" + code(0) + ".txt feedback/" + code(1) + ".pdf feedback/" + code(1) + ".txt " +
				"marks.xlsx oneroster oneroster/lineItems.csv oneroster/results.csv report.pdf sample.csv"},
	} {
		dir := t.TempDir()
		if err := os.Mkdir(filepath.Join(dir, classset.MarkedDir), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := Write(t.Context(), dir, r, c.o); err != nil {
			t.Fatal(err)
		}
		var got []string
		files, err := filepath.Glob(filepath.Join(dir, classset.MarkedDir, "*"))
		if err != nil {
			t.Fatal(err)
		}
		inner, err := filepath.Glob(filepath.Join(dir, classset.MarkedDir, "*", "*"))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range append(files, inner...) {
			rel, err := filepath.Rel(filepath.Join(dir, classset.MarkedDir), f)
			if err != nil {
				t.Fatal(err)
			}
			got = append(got, filepath.ToSlash(rel))
		}
		slices.Sort(got)
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: %q, want %s", name, got, c.want)
		}
	}
}

// What a pupil wrote in a script that no face has is told to the teacher, once, though it stands in two files.
func TestWriteNotes(t *testing.T) {
	r := marked(t, but(answers{"Fb": "𝛼 ፩"}))
	dir := t.TempDir()
	if err := os.MkdirAll(filepath.Join(dir, classset.MarkedDir), 0o755); err != nil {
		t.Fatal(err)
	}
	var notes []string
	if err := Write(t.Context(), dir, r, Options{Single: true, Note: func(n string) { notes = append(notes, n) }}); err != nil {
		t.Fatal(err)
	}
	want := "feedback for " + classset.ShowCode(code(0)) + `: no face has the character '፩' (U+1369); it is printed as ` + "\uFFFD"
	if len(notes) != 2 || !slices.Contains(notes, want) {
		t.Errorf("%q, want 2 with %q", notes, want)
	}
}
