package generator

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"keelmark/generator/page"
	"keelmark/labs"
	"keelmark/labs/classset"
)

var made = time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)

// makeSet makes a set of the lab in a new folder.
func makeSet(t testing.TB, l *labs.Lab, change func(*MakeOptions)) *Summary {
	t.Helper()
	o := MakeOptions{Lab: l, Roster: crew(8), Seed: "lock 7", Dir: filepath.Join(t.TempDir(), "set"), Engine: "test", Made: made}
	if change != nil {
		change(&o)
	}
	s, err := Make(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func contents(t testing.TB, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			data, err := os.ReadFile(path)
			name, _ := filepath.Rel(dir, path)
			files[name] = string(data)
			return err
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func names(files map[string]string) string {
	var list []string
	for name := range files {
		list = append(list, name)
	}
	slices.Sort(list)
	return strings.Join(list, " ")
}

func TestMake(t *testing.T) {
	l := parseLab(t, basin)
	s := makeSet(t, l, nil)
	files := contents(t, s.Dir)
	if got := names(files); got != "answers.csv answers.xlsx key.pdf lab.md set.json sheets.pdf" {
		t.Errorf("files: %s", got)
	}
	if files["lab.md"] != basin {
		t.Error("lab.md is not the template")
	}
	set, lab, err := classset.Open(s.Dir)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(s.Set, set); diff != "" {
		t.Errorf("set.json read back:\n%s", diff)
	}
	for _, sheet := range set.Sheets {
		f, err := set.Frame(lab, sheet)
		if err != nil {
			t.Fatal(err)
		}
		if c, err := lab.Met(f); c != nil || err != nil {
			t.Errorf("sheet %s breaks a condition: %v %v", sheet.Code, c, err)
		}
		if w := sheet.Values["W"].Value.(float64); math.Abs(w*100-math.Round(w*100)) > 1e-9 || w < 2 || w > 9 {
			t.Errorf("W = %v is not on its grid", w)
		}
		if p := sheet.Values["p"].Value.([]float64); len(p) != 5 || p[0] != math.Round(p[0]) {
			t.Errorf("p = %v, want 5 whole pascals", p)
		}
		if _, stored := sheet.Values["Wm"]; stored {
			t.Error("a bench reading is stored as if it were drawn")
		}
		if order := sheet.Choices["sinks"]; len(order) != 3 {
			t.Errorf("order of choices %v", order)
		}
	}
}

func TestAnswerTables(t *testing.T) {
	s := makeSet(t, parseLab(t, basin), func(o *MakeOptions) { o.Roster[1].Name = "=1+1" })
	files := contents(t, s.Dir)
	rows, err := csv.NewReader(strings.NewReader(files["answers.csv"])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	head := "sheet student name group Wm U A m sinks why extra"
	if got := strings.Join(rows[0], " "); got != head || len(rows) != 9 {
		t.Errorf("%d rows below %q, want 8 below %q", len(rows)-1, got, head)
	}
	if rows[2][2] != "'=1+1" {
		t.Errorf("a name that is a formula stands as %q", rows[2][2])
	}
	book, err := excelize.OpenReader(strings.NewReader(files["answers.xlsx"]))
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	for _, cell := range []string{"A2", "E2", "K9", "E40"} {
		style, err := book.GetCellStyle("Sheet1", cell)
		if err != nil {
			t.Fatal(err)
		}
		if about, err := book.GetStyle(style); err != nil || about.NumFmt != textFormat {
			t.Errorf("cell %s is not text: %+v %v", cell, about, err)
		}
	}
	if kind, err := book.GetCellType("Sheet1", "C3"); err != nil || kind == excelize.CellTypeFormula {
		t.Errorf("cell C3 is a formula: %v", err)
	}
}

// The same inputs give the same bytes on any number of cores.
func TestMakeRepeats(t *testing.T) {
	l := parseLab(t, basin)
	forms := func(o *MakeOptions) { o.Settings.Forms = true }
	want := contents(t, makeSet(t, l, forms).Dir)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	got := contents(t, makeSet(t, l, forms).Dir)
	if names(got) != names(want) {
		t.Fatalf("files %s, want %s", names(got), names(want))
	}
	for name := range want {
		if got[name] != want[name] {
			t.Errorf("%s differs", name)
		}
	}
}

func TestMakeInterrupted(t *testing.T) {
	l := parseLab(t, basin)
	for _, existing := range []bool{false, true} {
		dir := filepath.Join(t.TempDir(), "set")
		if existing {
			os.Mkdir(dir, 0o755)
			os.WriteFile(filepath.Join(dir, "plan.txt"), []byte("mine"), 0o644)
		}
		ctx, cancel := context.WithCancel(context.Background())
		_, err := Make(ctx, MakeOptions{Lab: l, Roster: crew(8), Seed: "s", Dir: dir, Progress: func(stage string, done, _ int) {
			if stage == "print" && done == 3 {
				cancel()
			}
		}})
		if !errors.Is(err, context.Canceled) {
			t.Errorf("error %v, want context.Canceled", err)
		}
		if !existing {
			if _, err := os.Stat(dir); !os.IsNotExist(err) {
				t.Errorf("the folder was left behind: %v", err)
			}
			continue
		}
		if got := contents(t, dir); names(got) != "plan.txt" || got["plan.txt"] != "mine" {
			t.Errorf("left behind: %v", names(got))
		}
	}
}

func TestMakeAgainInTheSameFolder(t *testing.T) {
	l := parseLab(t, basin)
	s := makeSet(t, l, nil)
	typed := filepath.Join(s.Dir, "answers.csv")
	os.WriteFile(typed, []byte("sheet,U\ntyped by hand,1\n"), 0o644)
	os.Remove(filepath.Join(s.Dir, "key.pdf"))
	os.MkdirAll(filepath.Join(s.Dir, ".stage.1.part"), 0o755) // a killed run's

	again := makeSet(t, l, func(o *MakeOptions) { o.Dir, o.Made = s.Dir, made.AddDate(0, 0, 3) })
	files := contents(t, s.Dir)
	if files["key.pdf"] == "" || !strings.Contains(files["answers.csv"], "typed by hand") || len(again.Notes) == 0 {
		t.Errorf("files %s, notes %v", names(files), again.Notes)
	}
	if again.Set.Made != s.Set.Made {
		t.Errorf("made %s, want the first day %s", again.Set.Made, s.Set.Made)
	}
	if _, err := os.Stat(filepath.Join(s.Dir, ".stage.1.part")); err == nil {
		t.Error("what a killed run left was not swept up")
	}
	for name, change := range map[string]func(*MakeOptions){
		"another seed":   func(o *MakeOptions) { o.Seed = "other" },
		"another roster": func(o *MakeOptions) { o.Roster = crew(3) },
		"another g":      func(o *MakeOptions) { o.Settings.Gravity = 9.8 },
	} {
		o := MakeOptions{Lab: l, Roster: crew(8), Seed: "lock 7", Dir: s.Dir}
		change(&o)
		if _, err := Make(context.Background(), o); err == nil || !strings.Contains(err.Error(), "holds another class set") || !strings.Contains(err.Error(), "--only") {
			t.Errorf("%s: error %v", name, err)
		}
	}
	if got := contents(t, s.Dir); got["set.json"] != files["set.json"] || got["sheets.pdf"] != files["sheets.pdf"] {
		t.Error("a refused run changed the set")
	}
}

// A template that happens to be called lab.md, in the folder that a set is to be made in, is not written over.
func TestMakeBesideAnotherLab(t *testing.T) {
	dir, l := t.TempDir(), parseLab(t, basin)
	path := filepath.Join(dir, classset.LabFile)
	o := MakeOptions{Lab: l, Roster: crew(2), Seed: "s", Dir: dir}
	for _, c := range []struct {
		there string
		want  string // in the error, "" for none
	}{{"my own lab", path + " is there already and holds another lab"}, {basin, ""}} {
		os.WriteFile(path, []byte(c.there), 0o644)
		_, err := Make(context.Background(), o)
		if got, _ := os.ReadFile(path); string(got) != c.there {
			t.Errorf("%.10q was written over", c.there)
		}
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.10q: error %v, want %q", c.there, err, c.want)
		}
	}
}

func TestMakeLocked(t *testing.T) {
	dir := t.TempDir()
	release, err := classset.Lock(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer release()
	_, err = Make(context.Background(), MakeOptions{Lab: parseLab(t, basin), Roster: crew(2), Dir: dir})
	var locked *classset.LockedError
	if !errors.As(err, &locked) {
		t.Errorf("error %v, want a LockedError", err)
	}
}

func TestMakeWrongUse(t *testing.T) {
	l := parseLab(t, basin)
	for want, change := range map[string]func(*MakeOptions){
		"no pupil":               func(o *MakeOptions) { o.Roster = nil },
		"no folder":              func(o *MakeOptions) { o.Dir = "" },
		"an id of their own":     func(o *MakeOptions) { o.Roster[1].ID = "p01" },
		`paper "a5"`:             func(o *MakeOptions) { o.Settings.Paper = "a5" },
		"g of 98.1":              func(o *MakeOptions) { o.Settings.Gravity = 98.1 },
		"has no question Q":      func(o *MakeOptions) { o.Questions = map[string][]string{"p01": {"Q"}} },
		"no such value":          func(o *MakeOptions) { o.Settings.Fixed = map[string]string{"X": "1 N"} },
		"at the bench":           func(o *MakeOptions) { o.Settings.Fixed = map[string]string{"Wm": "1 N"} },
		"want a value in N":      func(o *MakeOptions) { o.Settings.Fixed = map[string]string{"W": "4 kg"} },
		"not the name V":         func(o *MakeOptions) { o.Settings.Fixed = map[string]string{"W": "V"} },
		"does not hold":          func(o *MakeOptions) { o.Settings.Fixed = map[string]string{"W": "0.5 N"} },
		"cannot make the folder": func(o *MakeOptions) { o.Dir = "/dev/null/set" },
	} {
		o := MakeOptions{Lab: l, Roster: crew(3), Seed: "s", Dir: filepath.Join(t.TempDir(), "set")}
		change(&o)
		if _, err := Make(context.Background(), o); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want %q in it", err, want)
		}
	}
}

func TestSameAndFixed(t *testing.T) {
	l := parseLab(t, basin)
	s := makeSet(t, l, func(o *MakeOptions) { o.Settings.Same, o.Roster[3].Level = true, "stretch" })
	for _, sheet := range s.Set.Sheets[1:] {
		if diff := cmp.Diff(s.Set.Sheets[0].Values, sheet.Values); diff != "" {
			t.Errorf("--same differs:\n%s", diff)
		}
		if sheet.Code == s.Set.Sheets[0].Code {
			t.Error("two sheets share a code")
		}
	}
	if s.Set.Copying != nil {
		t.Errorf("copying %+v is told of a set where all is the same", s.Set.Copying)
	}
	s = makeSet(t, l, func(o *MakeOptions) { o.Settings.Fixed = map[string]string{"W": "6.25 N", "T": "12 degC"} })
	for _, sheet := range s.Set.Sheets {
		if sheet.Values["W"].Value != 6.25 || sheet.Values["T"].Value != 12.0 {
			t.Errorf("fixed values are %v and %v", sheet.Values["W"], sheet.Values["T"])
		}
	}
}

func TestLevelsAndFollowUp(t *testing.T) {
	l := parseLab(t, basin)
	s := makeSet(t, l, func(o *MakeOptions) {
		o.Roster[0].Level, o.Roster[1].Large, o.Roster[2].Extra = "stretch", true, 10
		o.Questions = map[string][]string{"p04": {"A"}}
		o.Settings.CodesOnly = true
		o.Roster[0].Class = "9b"
	})
	r := newRenderer(l, s.Set)
	for i, want := range []string{"U A sinks why extra", "U A m sinks why", "U A m sinks why", "U A"} {
		sheet := s.Set.Sheets[i]
		var has []string
		for _, q := range l.Questions {
			if sheet.Has(q) {
				has = append(has, q.ID)
			}
		}
		if got := strings.Join(has, " "); got != want {
			t.Errorf("sheet %d has %s, want %s", i, got, want)
		}
		p, err := r.page(sheet)
		if err != nil {
			t.Fatal(err)
		}
		if p.Name != "" || p.Class != "" || p.OutOf != outOf(l, sheet) || p.Large != (i == 1) {
			t.Errorf("sheet %d: name %q, out of %d, large %v", i, p.Name, p.OutOf, p.Large)
		}
		if want := []string{"", "", "Extra time: 10 minutes", "To practise: upthrust"}[i]; p.Note != want {
			t.Errorf("sheet %d: note %q, want %q", i, p.Note, want)
		}
	}
	files := contents(t, s.Dir)
	if strings.Contains(files["answers.csv"], "Pupil") || !strings.Contains(files["names.csv"], s.Set.Sheets[0].Code+",p01,Pupil 1") {
		t.Error("with codes only, names must stand in names.csv and nowhere else")
	}
}

func TestManySheetsGoToSeveralFiles(t *testing.T) {
	if testing.Short() {
		t.Skip("prints 201 sheets")
	}
	s := makeSet(t, parseLab(t, basin), func(o *MakeOptions) { o.Roster = crew(perFile + 1) })
	if got := strings.Join(s.Files, " "); got != "answers.csv answers.xlsx key.pdf lab.md sheets-001.pdf sheets-002.pdf" {
		t.Errorf("files: %s", got)
	}
}

func TestReprintIsIdentical(t *testing.T) {
	l := parseLab(t, basin)
	s := makeSet(t, l, nil)
	lost := s.Set.Sheets[4]
	again, err := Reprint(context.Background(), s.Dir, []string{strings.ToLower(classset.ShowCode(lost.Code))}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(again.Files) != 1 || again.Files[0] != "reprint-"+lost.Code+".pdf" {
		t.Fatalf("files %v", again.Files)
	}
	m := &maker{lab: l, set: s.Set}
	r := newRenderer(l, s.Set)
	p, err := r.page(lost)
	if err != nil {
		t.Fatal(err)
	}
	doc := m.document()
	doc.Duplex, doc.Sheets = true, append(doc.Sheets, p)
	var want bytes.Buffer
	if _, err := r.press.Write(&want, doc); err != nil {
		t.Fatal(err)
	}
	if got := contents(t, s.Dir)[again.Files[0]]; got != want.String() {
		t.Error("the sheet printed again differs from the sheet printed first")
	}
	for typed, part := range map[string]string{"4F7K": "no sheet code", classset.NewCode(newStream("x", "", "", "", 0).IntN): "not in this set"} {
		if _, err := Reprint(context.Background(), s.Dir, []string{typed}, nil); err == nil || !strings.Contains(err.Error(), part) {
			t.Errorf("%s: error %v, want %q in it", typed, err, part)
		}
	}
}

// A fence of another language is set as a listing, and the lab's own blocks keep their places.
func TestForeignFence(t *testing.T) {
	l := parseLab(t, edited(t, "```table\n", "```python\nprint(1)\n```\n\n```table\n"))
	s := makeSet(t, l, func(o *MakeOptions) { o.Roster = crew(1) })
	p, err := newRenderer(l, s.Set).page(s.Set.Sheets[0])
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, b := range p.Body[len(p.Body)-9:] {
		got = append(got, strings.TrimPrefix(fmt.Sprintf("%T", b), "page."))
	}
	if want := "Paragraph Paragraph Table Table Question Question Question Question Question"; strings.Join(got, " ") != want {
		t.Errorf("the body ends in %v, want %s", got, want)
	}
}

// A follow-up sheet has no table that its questions do not use.
func TestFollowUpSheetIsCutDown(t *testing.T) {
	l := parseLab(t, edited(t, "\nlevels: [stretch]", ""))
	s := makeSet(t, l, func(o *MakeOptions) {
		o.Roster = crew(3)
		o.Questions = map[string][]string{"p01": {"m"}, "p02": {"extra"}}
	})
	r := newRenderer(l, s.Set)
	for i, want := range []string{"page.Question", "page.Table page.Question", "page.Table page.Table page.Question page.Question page.Question page.Question page.Question page.Question"} {
		p, err := r.page(s.Set.Sheets[i])
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, b := range p.Body {
			switch b.(type) {
			case page.Table, page.Question:
				got = append(got, fmt.Sprintf("%T", b))
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("sheet %d holds %v, want %s", i+1, got, want)
		}
	}
}

// A set is complete in itself: its images are in it.
func TestImagesGoWithTheSet(t *testing.T) {
	dir := t.TempDir()
	var picture bytes.Buffer
	if err := png.Encode(&picture, image.NewGray(image.Rect(0, 0, 8, 8))); err != nil {
		t.Fatal(err)
	}
	os.Mkdir(filepath.Join(dir, "pictures"), 0o755)
	os.WriteFile(filepath.Join(dir, "pictures", "gate.png"), picture.Bytes(), 0o644)
	load := func(path string) *labs.Lab {
		source := edited(t, "The float weighs", "![a lock gate]("+path+")\n\nThe float weighs")
		file := filepath.Join(dir, "gate.md")
		os.WriteFile(file, []byte(source), 0o644)
		l, err := labs.Load(file)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	s := makeSet(t, load("pictures/gate.png"), nil)
	if got := contents(t, s.Dir)[filepath.Join("pictures", "gate.png")]; got != picture.String() {
		t.Error("the image is not in the set")
	}
	if _, err := Reprint(context.Background(), s.Dir, []string{s.Set.Sheets[0].Code}, nil); err != nil {
		t.Error(err)
	}
	for _, path := range []string{"../gate.png", "/etc/hostname", "none.png"} {
		_, err := Make(context.Background(), MakeOptions{Lab: load(path), Roster: crew(1), Seed: "s", Dir: filepath.Join(t.TempDir(), "set")})
		if err == nil || !strings.Contains(err.Error(), path) {
			t.Errorf("image %s: error %v", path, err)
		}
	}
}

func TestAdd(t *testing.T) {
	l := parseLab(t, basin)
	s := makeSet(t, l, nil)
	before := contents(t, s.Dir)
	added, err := Add(context.Background(), s.Dir, crew(10), nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(added.Files, " "); got != "answers-added.csv answers-added.xlsx key.pdf lab.md sheets-added.pdf" {
		t.Errorf("files: %s", got)
	}
	if len(added.Notes) != 8 {
		t.Errorf("notes %v, want one for each pupil passed over", added.Notes)
	}
	set, _, err := classset.Open(s.Dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(set.Sheets) != 10 {
		t.Fatalf("%d sheets, want 10", len(set.Sheets))
	}
	if diff := cmp.Diff(s.Set.Sheets, set.Sheets[:8]); diff != "" {
		t.Errorf("sheets already printed changed:\n%s", diff)
	}
	after := contents(t, s.Dir)
	if after["sheets.pdf"] != before["sheets.pdf"] || after["answers.csv"] != before["answers.csv"] {
		t.Error("sheets or answers of the first print changed")
	}
	if _, err := Add(context.Background(), s.Dir, crew(3), nil); err == nil || !strings.Contains(err.Error(), "nothing to add") {
		t.Errorf("error %v", err)
	}
	stranger := crew(3)[2:]
	stranger[0].Name, stranger[0].Line = "Somebody Else", 4
	if _, err := Add(context.Background(), s.Dir, stranger, nil); err == nil || !strings.Contains(err.Error(), "line 4: id") || !strings.Contains(err.Error(), "Somebody Else cannot have it") {
		t.Errorf("a newcomer with another pupil's id: error %v", err)
	}
	none := filepath.Join(t.TempDir(), "none")
	if _, err := Add(context.Background(), none, crew(3), nil); err == nil {
		t.Error("added to a set that is not there")
	}
	if _, err := os.Stat(none); err == nil {
		t.Error("left a folder behind")
	}
}

// An addition that was cut short before set.json is made again under the same names; the next one goes beside it.
func TestAddAgain(t *testing.T) {
	s := makeSet(t, parseLab(t, basin), nil)
	set := contents(t, s.Dir)[classset.SetFile]
	if _, err := Add(context.Background(), s.Dir, crew(10), nil); err != nil {
		t.Fatal(err)
	}
	want := contents(t, s.Dir)
	if err := os.WriteFile(filepath.Join(s.Dir, classset.SetFile), []byte(set), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Add(context.Background(), s.Dir, crew(10), nil); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, contents(t, s.Dir)); diff != "" {
		t.Errorf("the same addition again differs:\n%s", diff)
	}
	next, err := Add(context.Background(), s.Dir, crew(12), nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(next.Files, " "); got != "answers-added-2.csv answers-added-2.xlsx key.pdf lab.md sheets-added-2.pdf" {
		t.Errorf("files: %s", got)
	}
	got := contents(t, s.Dir)
	for _, name := range []string{"sheets-added.pdf", "answers-added.csv", "answers-added.xlsx"} {
		if got[name] != want[name] {
			t.Errorf("the next addition changed %s", name)
		}
	}
}

// A class set of 32, and one of 1000 in five files: whole files to disk, draws and copying rule included.
func BenchmarkMake(b *testing.B) {
	l, err := labs.Load("archimedes/weigh-twice")
	if err != nil {
		b.Fatal(err)
	}
	for _, sheets := range []int{32, 1000} {
		b.Run(fmt.Sprint(sheets), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				dir := filepath.Join(b.TempDir(), "set")
				if _, err := Make(context.Background(), MakeOptions{Lab: l, Roster: crew(sheets), Seed: "s", Dir: dir}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
