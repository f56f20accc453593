package grader

import (
	"cmp"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"

	"keelmark/labs/classset"
)

func mark(t *testing.T, dir string, replace bool, files ...string) *Result {
	t.Helper()
	r, err := Mark(context.Background(), MarkOptions{Dir: dir, Files: files, Replace: replace})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func (r *Result) sheet(code string) *classset.SheetMarks {
	for _, s := range r.Marking.Sheets {
		if s.Code == code {
			return s
		}
	}
	return nil
}

func (r *Result) answer(code, question string) *classset.Answer {
	for _, a := range r.sheet(code).Answers {
		if a.Question == question {
			return a
		}
	}
	return nil
}

// says reports whether a finding has all the parts.
func (r *Result) says(parts ...string) bool {
	return slices.ContainsFunc(r.Findings, func(f Finding) bool {
		for _, part := range parts {
			if !strings.Contains(f.String(), part) {
				return false
			}
		}
		return true
	})
}

// latin1 and utf16le are text in other encodings.
func latin1(s string) string {
	var b []byte
	for _, r := range s {
		b = append(b, byte(r))
	}
	return string(b)
}

func utf16le(s string) string {
	b := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(s)) {
		b = append(b, byte(u), byte(u>>8))
	}
	return string(b)
}

// Four kinds of messy file, one sheet each, marked without loss.
func TestMessyFiles(t *testing.T) {
	dir, in := testDir(t), t.TempDir()
	write(t, filepath.Join(in, "export.csv"), "\ufeffsheet;Name;Fb;V_s;load\r\n"+codes[0][:4]+"-"+codes[0][4:]+";Asha;0,55 N;56,2;2,3\r\n")
	write(t, filepath.Join(in, "latin.txt"), latin1("# von Hand\nsheet: "+strings.ToLower(codes[1])+"\nFb: 0,72 N # abgelesen\nV_s: 73,5 cm³\n"))
	write(t, filepath.Join(in, "wide.txt"), utf16le("sheet: "+codes[2]+"\r\nFb: 0.51 N\r\nV_s: 52.1 cm³\r\nload: 1.9\r\n"))
	write(t, filepath.Join(in, "deep", "more.json"), "[\n {\"sheet\": \""+codes[3]+"\",\n  \"answers\": {\"Fb\": \"0.93 N\", \"V_s\": 95.0, \"load\": [\"3.2\"]}}\n]\n")
	r := mark(t, dir, false, in)
	for _, c := range codes {
		for _, q := range []string{"Fb", "V_s"} {
			if a := r.answer(c, q); a.Verdict != classset.Right {
				t.Errorf("sheet %s: %+v", c, *a)
			}
		}
	}
	if len(r.Findings) > 0 {
		t.Errorf("findings: %v", r.Findings)
	}
	if from := r.sheet(codes[1]).Readings[0].From; from != codes[0] {
		t.Errorf("the reading of the bench group comes from %q, want %s", from, codes[0])
	}
}

func TestWorkbook(t *testing.T) {
	dir := testDir(t)
	book := excelize.NewFile()
	date, err := book.NewStyle(&excelize.Style{NumFmt: 14})
	if err != nil {
		t.Fatal(err)
	}
	for cell, value := range map[string]any{"A1": "Sheet", "B1": "Fb", "C1": "V_s", "D1": "area", "E1": "note",
		"A2": codes[0], "B2": "0.55 N", "C2": 56.2, "D2": 12.6,
		"A3": codes[1], "B3": 0.7, "C3": 45000, "D3": 9.62} {
		if err := book.SetCellValue("Sheet1", cell, value); err != nil {
			t.Fatal(err)
		}
	}
	if err := book.SetCellStyle("Sheet1", "C3", "C3", date); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "answers.xlsx")
	if err := book.SaveAs(path); err != nil {
		t.Fatal(err)
	}
	r := mark(t, dir, false, path)
	if a := r.answer(codes[0], "V_s"); a.Verdict != classset.Right {
		t.Errorf("numeric cell: %+v", *a)
	}
	if a := r.answer(codes[1], "V_s"); a.Verdict != classset.Unread || !strings.Contains(a.Teacher, "date") {
		t.Errorf("date cell: %+v", *a)
	}
	if a := r.answer(codes[1], "Fb"); a.Verdict == classset.Right {
		t.Errorf("0.7 for 0.72 may have been typed 0.70, never 0.72: %+v", *a)
	}
	again := mark(t, dir, false) // from what was handed in before
	if a := again.answer(codes[1], "V_s"); a.Verdict != classset.Unread {
		t.Errorf("the second time the date is read: %+v", *a)
	}
}

// Faults of files are each named with file and line, and the rest is marked.
func TestFaultsAreNamed(t *testing.T) {
	wrong := []byte(codes[1])
	wrong[2] = 'Z'
	good := "sheet: " + codes[0] + "\nFb: 0.55 N\n"
	cases := []struct {
		name, file, text string
		says             []string
	}{
		{"mistyped code", "a.txt", good + "sheet: " + string(wrong) + "\nFb: 1 N\n", []string{"a.txt:3", "mistyped", "did you mean", "Łukasz"}},
		{"an id for a code", "a.csv", "sheet,Fb\n" + codes[0] + ",0.55 N\nb,0.6\n", []string{`a.csv:3: "b" is a pupil`, "Łukasz Ångström is " + classset.ShowCode(codes[1])}},
		{"a name for a code", "a.csv", "sheet,Fb\n" + codes[0] + ",0.55 N\nmina okoro,0.6\n", []string{"a.csv:3", "Mina Okoro is " + classset.ShowCode(codes[2])}},
		{"unknown sheet", "a.txt", good + "sheet: " + code("ZZZZZZZ") + "\nFb: 1 N\n", []string{"a.txt:3", "not in this set"}},
		{"no code", "a.csv", "sheet,Fb\n" + codes[0] + ",0.55 N\n,0.6\n", []string{"a.csv:3", "no sheet code"}},
		{"unknown column", "a.csv", "sheet,Fb,Vs\n" + codes[0] + ",0.55 N,3\n", []string{"a.csv:1", `"Vs"`, `did you mean "V_s"`}},
		{"column twice", "a.csv", "sheet,Fb,Fb\n" + codes[0] + ",0.55 N,0.55 N\n", []string{"a.csv:1", "both called"}},
		{"unquoted comma", "a.csv", "sheet,Fb\n" + codes[0] + ",0.55 N\n" + codes[1] + ",0,72\n", []string{"a.csv:3", "quotation marks"}},
		{"no colon", "a.txt", good + "V_s 5\n", []string{"a.txt:3", "no colon"}},
		{"two answers", "a.txt", good + "Fb: 0.6 N\n", []string{"a.txt:3", "a person must choose"}},
		{"broken JSON", "b.json", "[{\"sheet\": \"" + codes[1] + "\", \"answers\": {\"Fb\": \"1\"}},\n{]", []string{"b.json:2", "JSON"}},
		{"JSON cut short", "b.json", "[{\"sheet\": \"" + codes[1] + "\"", []string{"b.json", "ends in the middle"}},
		{"no answers in it", "b.csv", "Fb,V_s\n1,2\n", []string{"b.csv", "no column"}},
		{"another kind of file", "b.docx", "x", []string{"b.docx", "no answer file"}},
		{"a workbook that is none", "b.xlsx", "PK\x03\x04 no", []string{"b.xlsx", "workbook"}},
		{"a zip that says it is text", "b.txt", "PK\x03\x04 no", []string{"b.txt", "no text file"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			in := t.TempDir()
			write(t, filepath.Join(in, "0.txt"), good)
			write(t, filepath.Join(in, c.file), c.text)
			r := mark(t, testDir(t), false, in)
			if !r.says(c.says...) {
				t.Errorf("findings %v; want one with %q", r.Findings, c.says)
			}
			if c.name != "two answers" && r.sheet(codes[0]).Absent {
				t.Error("the sound sheet was not marked")
			}
			if !r.NeedsLook() {
				t.Error("needs no look")
			}
		})
	}
}

// A class list among the answers is named once, not column by column.
func TestClassListIsNamedOnce(t *testing.T) {
	in := t.TempDir()
	write(t, filepath.Join(in, "0.txt"), "sheet: "+codes[0]+"\nFb: 0.55 N\n")
	write(t, filepath.Join(in, "class.csv"), "id,name,level,large,extra_minutes\ns1,Ada Sluice,core,,10\n")
	if r := mark(t, testDir(t), false, in); len(r.Findings) != 1 || !r.says("class.csv", `no column "sheet"`) {
		t.Errorf("%v", r.Findings)
	}
}

func TestConflictingFiles(t *testing.T) {
	dir, in := testDir(t), t.TempDir()
	a := write(t, filepath.Join(in, "a.txt"), "sheet: "+codes[0]+"\nFb: 0.55 N\n")
	b := write(t, filepath.Join(in, "b.txt"), "sheet: "+codes[0]+"\nFb: 0.65 N\nsheet: "+codes[1]+"\nFb: 0.72\n")
	r := mark(t, dir, false, a, b)
	if !r.sheet(codes[0]).Absent || r.sheet(codes[1]).Absent {
		t.Error("the sheet with two answers stays unmarked, the other is marked")
	}
	if !r.says("b.txt:1", "a.txt:1") {
		t.Errorf("both files are named: %v", r.Findings)
	}
	same := write(t, filepath.Join(in, "c.txt"), "sheet: "+codes[0]+"\nFb: 0.55 N\n")
	if r := mark(t, dir, false, a, same); len(r.Findings) > 0 || r.sheet(codes[0]).Absent {
		t.Errorf("the same answers twice are no conflict: %v", r.Findings)
	}
}

// A reading given twice, in a column for all readings or in one of its own, is kept in every form it has.
func TestReadingsTwice(t *testing.T) {
	for _, c := range []struct{ given, kept, says string }{
		{"load: 2.3\nload.1: 2.3", "2.3", ""},
		{"load: 2.3\nload.1:", "2.3", ""},
		{"load:\nload.1: 2.3", "2.3", ""},
		{"load: 2.3\nload.1: 2.9", "2.3 | 2.9", `a second answer for load on`},
		{"load.1: 2.3\nload.1: 2.9\nload.1:", "2.3 | 2.9", `a.txt:3: a second answer for load.1 on`},
	} {
		r := mark(t, testDir(t), false, write(t, filepath.Join(t.TempDir(), "a.txt"), "sheet: "+codes[0]+"\n"+c.given+"\n"))
		if got := r.sheet(codes[0]).HandedIn["load"]; got != c.kept {
			t.Errorf("%q: kept as %q, want %q", c.given, got, c.kept)
		}
		if len(r.Findings) > 0 != (c.says != "") || !r.says(c.says) && c.says != "" {
			t.Errorf("%q: findings %v, want %q", c.given, r.Findings, c.says)
		}
	}
}

func TestLateAndReplaced(t *testing.T) {
	dir, in := testDir(t), t.TempDir()
	first := write(t, filepath.Join(in, "first.txt"), "sheet: "+codes[0]+"\nFb: 0.55 N\n")
	late := write(t, filepath.Join(in, "late.txt"), "sheet: "+codes[1]+"\nFb: 0.72 N\n")
	other := write(t, filepath.Join(in, "other.txt"), "sheet: "+codes[0]+"\nFb: 0.60 N\n")
	byHand := write(t, filepath.Join(in, "why.csv"), "sheet,why,Fb.working\n"+codes[0]+",2,1\n")
	mark(t, dir, false, first)
	r := mark(t, dir, false, late)
	if r.sheet(codes[0]).Absent || r.sheet(codes[1]).Absent || !r.sheet(codes[2]).Absent {
		t.Error("late sheets add to what was marked; who handed nothing in is absent")
	}
	r = mark(t, dir, false, byHand)
	if a := r.answer(codes[0], "why"); a.Marks != 2 || a.Open || len(r.Findings) > 0 {
		t.Errorf("marks given by hand add to a sheet: %+v %v", *a, r.Findings)
	}
	r = mark(t, dir, false, other)
	if a := r.answer(codes[0], "Fb"); a.Written != "0.55 N" || !r.says("other.txt:1", "--replace") {
		t.Errorf("a second, different answer is refused: %+v %v", *a, r.Findings)
	}
	r = mark(t, dir, true, other)
	if a := r.answer(codes[0], "Fb"); a.Written != "0.60 N" || len(r.Findings) > 0 || !slices.Equal(r.Replaced, codes[:1]) {
		t.Errorf("--replace takes it and says so: %+v %v, replaced %v", *a, r.Findings, r.Replaced)
	}
	if r = mark(t, dir, true, other); len(r.Replaced) > 0 {
		t.Errorf("the same answers again replace nothing: %v", r.Replaced)
	}
}

func TestNothingToMark(t *testing.T) {
	_, err := Mark(context.Background(), MarkOptions{Dir: testDir(t), Files: []string{filepath.Join(t.TempDir(), "none.csv")}})
	if !errors.Is(err, ErrNothing) || !strings.Contains(err.Error(), "none.csv") {
		t.Errorf("got %v", err)
	}
}

// editLook changes a cell of look.csv as a teacher would.
func editLook(t *testing.T, dir, question string, change map[string]string) {
	t.Helper()
	path := filepath.Join(dir, classset.MarkedDir, "look.csv")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\ufeff"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	done := false
	for _, row := range rows[1:] {
		if row[1] != question {
			continue
		}
		for i, heading := range rows[0] {
			if value, ok := change[heading]; ok {
				row[i] = value
			}
		}
		done = true
	}
	if !done {
		row := make([]string, len(rows[0]))
		for i, heading := range rows[0] {
			row[i] = change[heading]
		}
		rows = append(rows, row)
	}
	var b strings.Builder
	if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	write(t, path, b.String())
}

func TestDecisions(t *testing.T) {
	dir, in := testDir(t), t.TempDir()
	file := write(t, filepath.Join(in, "a.txt"), "sheet: "+codes[0]+"\nFb: 0.75 hmm\nV_s: 76.6\nrho: 5 kg/m3\nwhy: it would hold it up\nload: 2.3\nhalf: 2.01\narea: 12.6\nn: 14\nwhich: zinc\n")
	r := mark(t, dir, false, file)
	if r.answer(codes[0], "Fb").Verdict != classset.Unread || r.Open != 2 {
		t.Fatalf("%d open; want Fb and why: %+v", r.Open, r.Look)
	}
	editLook(t, dir, "Fb", map[string]string{"read_as": "0.75 N", "by": "T. Chen"})
	editLook(t, dir, "why", map[string]string{"marks": "1"})
	editLook(t, dir, "rho", map[string]string{"sheet": codes[0], "question": "rho", "marks": "2", "reason": "working seen"})
	for range 2 { // decisions survive every further marking
		r = mark(t, dir, false)
		if a := r.answer(codes[0], "Fb"); a.Verdict != classset.Wrong || a.Decided != "T. Chen" {
			t.Errorf("read_as settles the reading: %+v", *a)
		}
		if a := r.answer(codes[0], "V_s"); a.Verdict != classset.Carried {
			t.Errorf("which rejoins the chain: %+v", *a)
		}
		if a := r.answer(codes[0], "why"); a.Marks != 1 || a.Open || a.Written != "it would hold it up" {
			t.Errorf("marks settle a mark: %+v", *a)
		}
		if a := r.answer(codes[0], "rho"); a.Marks != 2 || a.Decided == "" {
			t.Errorf("of any answer: %+v", *a)
		}
		if r.Open != 0 || len(r.Findings) > 0 || len(r.Look) != 3 {
			t.Errorf("%d open, %v, %+v", r.Open, r.Findings, r.Look)
		}
	}
	changed := write(t, filepath.Join(in, "b.txt"), "sheet: "+codes[0]+"\nFb: 0.55 N\nrho: 6 kg/m3\nwhy: it would hold it up\n")
	r = mark(t, dir, true, changed)
	if a := r.answer(codes[0], "rho"); a.Marks == 2 || a.Decided != "" || !r.says("look.csv", "rho", "changed") {
		t.Errorf("a decision for another answer is reported, not applied: %+v %v", *a, r.Findings)
	}
	if a := r.answer(codes[0], "why"); a.Marks != 1 {
		t.Errorf("one whose answer stands still applies: %+v", *a)
	}
	if !slices.ContainsFunc(r.Look, func(k classset.Look) bool { return k.Question == "rho" && *k.Marks == 2 }) {
		t.Errorf("and none is lost: %+v", r.Look)
	}
}

// A pupil to whom a person gives full marks is not told beside them that the number is wrong; one who gets some of them is.
func TestFullMarksByDecision(t *testing.T) {
	dir := testDir(t)
	mark(t, dir, false, write(t, filepath.Join(t.TempDir(), "a.txt"), "sheet: "+codes[0]+"\nFb: 8.69\nV_s: 20.5\n"))
	editLook(t, dir, "Fb", map[string]string{"sheet": codes[0], "question": "Fb", "answer": "8.69", "marks": "2", "by": "T. Chen"})
	editLook(t, dir, "V_s", map[string]string{"sheet": codes[0], "question": "V_s", "answer": "20.5", "marks": "1", "by": "T. Chen"})
	r := mark(t, dir, false)
	if a := r.answer(codes[0], "Fb"); a.Marks != 2 || a.Message != sayDecided || a.Verdict != classset.Slip {
		t.Errorf("full marks: %+v", *a)
	}
	if a := r.answer(codes[0], "V_s"); a.Marks != 1 || !strings.Contains(a.Message, "too small") {
		t.Errorf("half of the marks: %+v", *a)
	}
}

// A row that holds nothing of the pupil's takes no answers away, though it may replace: it is an empty row of a table
// typed for late hand-ins, or holds marks alone.
func TestReplacedByLess(t *testing.T) {
	for what, row := range map[string]struct{ cells, why string }{
		"an empty row":         {",", "1"},
		"marks alone":          {",2", "2"},
		"the same and a mark":  {"0.55 N,0", "0"},
		"the pupil's own anew": {"9 N,", "?"},
	} {
		dir := testDir(t)
		file := filepath.Join(t.TempDir(), "a.csv")
		mark(t, dir, false, write(t, file, "sheet,Fb,why\n"+codes[0]+",0.55 N,1\n"))
		r := mark(t, dir, true, write(t, file, "sheet,Fb,why\n"+codes[0]+","+row.cells+"\n"))
		fb, why := r.answer(codes[0], "Fb"), r.answer(codes[0], "why")
		if want := cmp.Or(strings.Split(row.cells, ",")[0], "0.55 N"); fb.Written != want {
			t.Errorf("%s: Fb reads %q, want %q", what, fb.Written, want)
		}
		if got := marksCell(why); got != row.why {
			t.Errorf("%s: why has %s, want %s", what, got, row.why)
		}
	}
}

func TestScheme(t *testing.T) {
	dir := testDir(t)
	file := write(t, filepath.Join(t.TempDir(), "a.txt"), "sheet: "+codes[0]+"\nFb: 0.57 N\nV_s: 99\nn: 18\narea: 12.6\nload: 2.3\nhalf: 1\n")
	before := mark(t, dir, false, file)
	scheme := "question,action,value,reason\nwhy,void,,not taught yet\nFb,within,5 %,worn meters\nn,accept,floor(10 N / Fb),unclear\nhalf,full,,misprint\nV_s,marks,4,\nVs,void,,\nFb,within,much,\nFb,accept,rho_w,\nFb,boost,,\n"
	write(t, filepath.Join(dir, schemeFile), scheme)
	r := mark(t, dir, false)
	for question, marks := range map[string]int{"Fb": 2, "n": 1, "half": 2, "V_s": 0, "why": 0, "area": 2} {
		if a := r.answer(codes[0], question); a.Marks != marks {
			t.Errorf("%s: %d marks, want %d: %+v", question, a.Marks, marks, *a)
		}
	}
	if a := r.answer(codes[0], "why"); !a.Void || a.Open || a.OutOf != 0 {
		t.Errorf("void: %+v", *a)
	}
	was, now := before.sheet(codes[0]), r.sheet(codes[0])
	if now.OutOf != was.OutOf-2+2 {
		t.Errorf("out of %d, was %d: why is worth 2 less, V_s 2 more", now.OutOf, was.OutOf)
	}
	if len(r.Changed) != 1 || r.Changed[0].From != was.Total || r.Changed[0].To != now.Total {
		t.Errorf("changed totals %+v; want one, from %d to %d", r.Changed, was.Total, now.Total)
	}
	if want := fmt.Sprintf("%s/%d to %s/%d", Total(was), was.OutOf, Total(now), now.OutOf); !strings.HasSuffix(r.Changed[0].String(), want) {
		t.Errorf("the change reads %q, want %q: open entries are no zeros", r.Changed[0], want)
	}
	for _, line := range []string{":7", ":8", ":9", ":10"} {
		if !r.says(schemeFile + line) {
			t.Errorf("the fault of scheme.csv%s is not named: %v", line, r.Findings)
		}
	}
}

func TestTables(t *testing.T) {
	dir := testDir(t)
	file := write(t, filepath.Join(t.TempDir(), "a.txt"), "sheet: "+codes[0]+"\nFb: =1+2\nwhich: brass\n")
	mark(t, dir, false, file)
	data, err := os.ReadFile(filepath.Join(dir, classset.MarkedDir, "marks.csv"))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimPrefix(string(data), "\ufeff"), "\n")
	if lines[0] != "sheet,student,name,total,out_of,percent,Fb,V_s,rho,area,n,which,half,why" {
		t.Error(lines[0])
	}
	if want := codes[0] + ",a,Asha Bell,1 + ?,15,,?,0,0,0,0,1,0,?"; lines[1] != want {
		t.Errorf("%s\nwant %s", lines[1], want)
	}
	if want := codes[1] + ",b,Łukasz Ångström,absent,15,,,,,,,,,"; lines[2] != want {
		t.Errorf("%s\nwant %s", lines[2], want)
	}
	look, err := os.ReadFile(filepath.Join(dir, classset.MarkedDir, "look.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(look), ",'=1+2,") {
		t.Errorf("a formula in look.csv is not made safe:\n%s", look)
	}
}

// Asha's and Łukasz's rows are swapped; Mina has two answers of 李 Wei's.
func TestSwappedAndCopied(t *testing.T) {
	dir := testDir(t)
	own := []string{"0.55,56.2,8385 kg/m3,12.6", "0.72,73.5,7112 kg/m3,9.62", "0.51,52.1,7574 kg/m3,21.2", "0.93,94.9,6955 kg/m3,6.16"}
	head := "sheet,Fb,V_s,rho,area\n"
	swapped := write(t, filepath.Join(t.TempDir(), "a.csv"), head+codes[0]+","+own[1]+"\n"+codes[1]+","+own[0]+"\n"+codes[2]+","+own[2]+"\n"+codes[3]+","+own[3]+"\n")
	r := mark(t, dir, false, swapped)
	if !r.says("swapped?", "Asha") || !r.says("swapped?", "Łukasz") || r.says("swapped?", "Mina") || len(r.Talk) > 0 {
		t.Errorf("findings %v, talk %v", r.Findings, r.Talk)
	}
	wrongRow := write(t, filepath.Join(t.TempDir(), "c.csv"), head+codes[0]+","+own[0]+"\n"+codes[1]+","+own[2]+"\n"+codes[3]+","+own[3]+"\n")
	r = mark(t, testDir(t), false, wrongRow)
	if len(r.Findings) != 1 || !r.says("swapped?", "Łukasz", "Mina") || len(r.Talk) > 0 {
		t.Errorf("answers in the row above: findings %v, talk %v", r.Findings, r.Talk)
	}
	copied := write(t, filepath.Join(t.TempDir(), "b.csv"), head+codes[0]+","+own[0]+"\n"+codes[2]+",0.51,52.1,6955 kg/m3,6.16\n"+codes[3]+","+own[3]+"\n")
	r = mark(t, testDir(t), false, copied)
	if len(r.Talk) != 1 || r.Talk[0].Other.Name != "李 Wei" || !slices.Equal(r.Talk[0].Questions, []string{"rho", "area"}) {
		t.Errorf("talk %+v", r.Talk)
	} else if e := r.Talk[0].Evidence; !strings.Contains(e, "right is 7570 kg/m³ here, 6960 kg/m³ there") {
		t.Errorf("evidence %q; want numbers as they are written by hand", e)
	}
	if len(r.Findings) > 0 {
		t.Errorf("findings %v", r.Findings)
	}
	all := write(t, filepath.Join(t.TempDir(), "d.csv"), head+codes[2]+","+own[3]+"\n"+codes[3]+","+own[3]+"\n")
	r = mark(t, testDir(t), false, all)
	if len(r.Findings) > 0 || len(r.Talk) != 1 || len(r.Talk[0].Questions) != 2 {
		t.Errorf("all copied, of which two to three digits: findings %v, talk %+v", r.Findings, r.Talk)
	}
}

func TestPolicy(t *testing.T) {
	path := write(t, filepath.Join(t.TempDir(), "policy.yaml"), "power-of-ten: 2\nunit-missing: 0\n")
	policy, err := ReadPolicy(path)
	if err != nil {
		t.Fatal(err)
	}
	set := testSet()
	m, err := NewMarker(testLab(t), set, nil, policy)
	if err != nil {
		t.Fatal(err)
	}
	marks, err := m.Mark(set.Sheets[0], but(map[string]string{"V_s": "0.562", "rho": "8385"}))
	if err != nil {
		t.Fatal(err)
	}
	if v, rho := marks.Answers[1], marks.Answers[2]; v.Marks != 0 || v.Cause != "power-of-ten" || rho.Marks != 3 {
		t.Errorf("%+v\n%+v", *v, *rho)
	}
	for text, want := range map[string]string{"power-often: 1\n": ":1: no slip", "\nsign: -1\n": ":2: sign", "sign: 1\nsign: 2\n": ":2: sign stands twice", "- sign\n": ":1: want"} {
		if _, err := ReadPolicy(write(t, path, text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v; want %q", text, err, want)
		}
	}
}

// A form's fields are answers like any other; what a pupil writes where a person gives the marks is kept as words, and a
// reading nobody could read is settled by a person.
func TestForm(t *testing.T) {
	dir := testDir(t)
	path := write(t, filepath.Join(t.TempDir(), "form.pdf"), "%PDF")
	fields := map[string]string{"sheet": classset.ShowCode(codes[0]), "Fb": "0.55 N", "load": "2.3.1", "half": "2.01", "why": "it rests on it", "page": "1"}
	r, err := Mark(context.Background(), MarkOptions{Dir: dir, Files: []string{path}, ReadForm: func([]byte) (map[string]string, error) { return fields, nil }})
	if err != nil {
		t.Fatal(err)
	}
	if a := r.answer(codes[0], "Fb"); a.Verdict != classset.Right {
		t.Errorf("%+v", *a)
	}
	if a := r.answer(codes[0], "why"); !a.Open || a.Written != "it rests on it" {
		t.Errorf("%+v", *a)
	}
	if a := r.answer(codes[0], "half"); !a.Open || !r.says("form.pdf", `"page"`) {
		t.Errorf("%+v %v", *a, r.Findings)
	}
	editLook(t, dir, "load", map[string]string{"read_as": "2.3", "by": "T. Chen"})
	r = mark(t, dir, false)
	if a := r.answer(codes[0], "half"); a.Verdict != classset.Right {
		t.Errorf("after the reading was settled: %+v", *a)
	}
	none, err := Mark(context.Background(), MarkOptions{Dir: dir, Files: []string{path}})
	if err != nil {
		t.Fatal(err)
	}
	if !none.says("form.pdf", "cannot be read here") {
		t.Errorf("%v", none.Findings)
	}
}
