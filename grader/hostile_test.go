package grader

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"keelmark/labs/classset"
)

// Whatever a file of answers holds, what is wrong is named with its place and in few words, the good file beside it is
// marked, and what was marked before stays.
func TestHostileAnswers(t *testing.T) {
	long := strings.Repeat("9", 1<<20)
	head := "sheet: " + codes[0] + "\n"
	many := func(n int, line string) string { return strings.Repeat(line, n) }
	object := `{"sheet": "` + codes[0] + `", "answers": {"Fb": "0.55 N"}}`
	for name, c := range map[string]struct {
		file, text string
		want       string // in a finding, its place with it
		first      string // how the answer Fb of the first sheet fares: a verdict, "" when it is not marked
	}{
		"text, long line":        {"a.txt", head + "Fb: " + long, "a.txt:2: sheet " + classset.ShowCode(codes[0]) + ": what stands for Fb is 1048576 bytes", classset.Unread},
		"text, no colon":         {"a.txt", head + long, "a.txt:2: \"9999", classset.Blank},
		"text, equals sign":      {"a.txt", "sheet = " + codes[0] + "\nV_s = 56.2: about\nFb = 0.55 N", `a.txt:2: "V_s = 56.2" is neither`, classset.Right},
		"text, long heading":     {"a.txt", head + long + ": 1", "a.txt:2: \"9999", classset.Blank},
		"text, long code":        {"a.txt", "sheet: " + long, "is mistyped", ""},
		"text, codes end to end": {"a.txt", many(100_000, "sheet: XXXXXXX\n"), "and 99800 more", ""},
		"text, one sheet again":  {"a.txt", many(maxPapers+2, head), "more than 20000 sheets", classset.Blank},
		"text, many answers":     {"a.txt", head + many(10_000, "Fb: 1\nFb: 2\n"), "a second answer for Fb", classset.Unread},
		"text, zero byte":        {"a.txt", head + "Fb: 0.5\x005 N\n", "", classset.Unread},

		"table, columns without end": {"a.csv", "sheet" + many(10_000, ",c") + "\n" + codes[0] + ",1\n", "a.csv: and 9800 more", classset.Blank},
		"table, one column again":    {"a.csv", "sheet" + many(10_000, ",Fb") + "\n" + codes[0] + ",1\n", "columns 2 and 3 are both called", classset.Wrong},
		"table, long cell":           {"a.csv", "sheet,Fb\n" + codes[0] + ",\"" + long + "\"\n", "a.csv:2: ", classset.Unread},
		"table, unclosed quote":      {"a.csv", "sheet,Fb\n" + codes[0] + ",\"0.55\n" + many(100, "x,1\n"), "a.csv:102: ", ""},
		"table, no text":             {"a.csv", "sheet\x00\x01\x02", "a.csv:1: holds a zero byte", ""},
		"table, cells without end":   {"a.csv", "sheet\n" + many(4_000_000, "1,"), "a.csv:2: more than", ""},
		"table, rows without end":    {"a.csv", "sheet,Fb\n" + many(maxPapers+1, codes[0]+",0.55\n"), "more than 20000 sheets", classset.Right},

		"JSON, deep":            {"a.json", many(100_000, "["), "a.json:1: no valid JSON", ""},
		"JSON, deep answer":     {"a.json", `{"sheet": "` + codes[0] + `", "answers": {"Fb": ` + many(5000, "[") + many(5000, "]") + `}}`, "a.json:1: \"[[[", classset.Unread},
		"JSON, sheet twice":     {"a.json", "{\n\"sheet\": \"" + codes[0] + "\",\n\"sheet\": \"" + codes[2] + "\", \"answers\": {\"Fb\": \"0.55\"}}", "a.json:3: \"sheet\" stands 2 times", ""},
		"JSON, answers twice":   {"a.json", `{"sheet": "` + codes[0] + `", "answers": {"Fb": "0.55 N"}, "answers": {"V_s": "3"}}`, "", classset.Right},
		"JSON, answer twice":    {"a.json", `{"sheet": "` + codes[0] + `", "answers": {"Fb": "0.55 N", "Fb": "1"}}`, "a second answer for Fb", classset.Unread},
		"JSON, answers a list":  {"a.json", "[{\"sheet\": \"" + codes[2] + "\", \"answers\": []},\n" + object + "]", "a.json:1: \"answers\" is no object", classset.Right},
		"JSON, no answers":      {"a.json", "[{\"sheet\": \"" + codes[0] + "\",\n\"answer\": {\"Fb\": \"0.55 N\"}}]", `has no "answers", so nothing is marked`, ""},
		"JSON, answer true":     {"a.json", "{\"sheet\": \"" + codes[0] + "\", \"answers\": {\n\"V_s\": true, \"Fb\": \"0.55 N\"}}", "a.json:2: \"true\"", classset.Right},
		"JSON, sheet a number":  {"a.json", "[{\"sheet\": 5}, 7,\n" + object + "]", "a.json:1: \"5\" is mistyped", classset.Right},
		"JSON, number too long": {"a.json", `{"sheet": "` + codes[0] + `", "answers": {"Fb": ` + long + `, "V_s": 1e999999999}}`, "what stands for Fb is 1048576 bytes", classset.Unread},
		"JSON, list too long":   {"a.json", `{"sheet": "` + codes[0] + `", "answers": {"load": [1` + many(1<<20, ",1") + `], "Fb": "0.55 N"}}`, "what stands for load is", classset.Right},
		"JSON, keys on lines":   {"a.json", `{"sheet": "` + codes[0] + `", "answers": {"Fb": "0.55 N"` + many(100_000, ",\n\"k\": 1") + `}}`, "a.json: and 99800 more", classset.Right},
		"JSON, sheets on lines": {"a.json", "[" + object + many(maxPapers, ",\n"+object) + "]", "more than 20000 sheets", classset.Right},
		"JSON, cut":             {"a.json", "[" + object + ",\n{\"sheet", "a.json:2: ends in the middle", classset.Right},
		"JSON, broken":          {"a.json", "[" + object + ",\n{\"sheet\": x}]", "a.json:2: no valid JSON", classset.Right},
		"JSON, two documents":   {"a.json", object + object, "something follows", classset.Right},
	} {
		t.Run(name, func(t *testing.T) {
			dir, from := testDir(t), t.TempDir()
			mark(t, dir, false, write(t, filepath.Join(from, "early.txt"), "sheet: "+codes[3]+"\nFb: 0.93 N\n"))
			good := write(t, filepath.Join(from, "good.txt"), "sheet: "+codes[1]+"\nFb: 0.72 N\n")
			r := mark(t, dir, false, write(t, filepath.Join(from, c.file), c.text), good)
			for _, i := range []int{1, 3} {
				if a := r.answer(codes[i], "Fb"); a.Verdict != classset.Right {
					t.Errorf("sheet %d: %s, want right", i, a.Verdict)
				}
			}
			fares := r.answer(codes[0], "Fb").Verdict
			if r.sheet(codes[0]).Absent {
				fares = ""
			}
			if fares != c.first {
				t.Errorf("the first sheet is %q, want %q", fares, c.first)
			}
			if c.want != "" && !r.says(c.want) {
				t.Errorf("no finding has %q: %v", c.want, r.Findings[:min(3, len(r.Findings))])
			}
			said := 0
			for _, f := range r.Findings {
				said += len(f.String()) - len(f.File)
			}
			if len(r.Findings) > maxFindings+5 || said > 400*len(r.Findings) {
				t.Errorf("%d findings in %d bytes", len(r.Findings), said)
			}
			for _, s := range r.Marking.Sheets {
				for name, text := range s.HandedIn {
					if len(text) > maxAnswer+10 {
						t.Errorf("%s on %s: %d bytes kept", name, s.Code, len(text))
					}
				}
			}
		})
	}
}

// A run lists a bounded number of findings, whatever the number of files, and says how many there are.
func TestFindingsAreBounded(t *testing.T) {
	var f findings
	for i := range 30 {
		for line := range maxFindings + i {
			f.find(fmt.Sprintf("%d.csv", i), line+1, "wrong")
		}
	}
	list := f.list()
	said := 0
	for _, finding := range list {
		n := 0
		switch _, err := fmt.Sscanf(finding.Text, "and %d more", &n); {
		case err == nil:
			said += n
		case finding.Text == "wrong" && finding.Line > 0:
			said++
		}
	}
	if want := 30*maxFindings + 29*30/2; said != want || len(list) != maxFindingsInAll+29+1 {
		t.Errorf("%d findings account for %d, want %d", len(list), said, want)
	}
}

// Where nothing can be marked, everything that is wrong is named all the same.
func TestNothingToMarkNamesEveryFault(t *testing.T) {
	from := t.TempDir()
	files := []string{write(t, filepath.Join(from, "a.txt"), "x"), write(t, filepath.Join(from, "b.csv"), "x\n"), write(t, filepath.Join(from, "c.json"), "[")}
	_, err := Mark(context.Background(), MarkOptions{Dir: testDir(t), Files: files})
	for _, file := range files {
		if !errors.Is(err, ErrNothing) || !strings.Contains(err.Error(), file+":") {
			t.Errorf("%v does not name %s", err, file)
		}
	}
}

// A folder may hold links to itself, files of any kind and number, and none at all.
func TestHostileFolders(t *testing.T) {
	inbox := t.TempDir()
	for i := range maxFindings + 5 {
		write(t, filepath.Join(inbox, fmt.Sprintf("%d.jpg", i)), "")
	}
	write(t, filepath.Join(inbox, "deep", "a.txt"), "sheet: "+codes[0]+"\nFb: 0.55 N\n")
	for name, target := range map[string]string{"self": ".", "loop.csv": "loop.csv", "nowhere.csv": "none", "same.txt": filepath.Join("deep", "a.txt")} {
		if err := os.Symlink(target, filepath.Join(inbox, name)); err != nil {
			t.Skip("no symbolic links here:", err)
		}
	}
	r := mark(t, testDir(t), false, inbox)
	if a := r.answer(codes[0], "Fb"); a.Verdict != classset.Right {
		t.Errorf("%+v", *a)
	}
	for _, want := range []string{"loop.csv: ", "nowhere.csv: not there", "is no answer file", inbox + ": and 6 more"} {
		if !r.says(want) {
			t.Errorf("no finding has %q: %v", want, r.Findings[max(0, len(r.Findings)-5):])
		}
	}
}

// Rows of look.csv that make no sense are kept and named, again and again.
func TestHostileLook(t *testing.T) {
	dir := testDir(t)
	mark(t, dir, false, write(t, filepath.Join(t.TempDir(), "a.txt"), "sheet: "+codes[0]+"\nFb: 5 5\n"))
	look := filepath.Join(dir, classset.MarkedDir, "look.csv")
	faulty := []string{"sheet,question,marks\n" + codes[0] + ",Fb,two\n", "sheet,question,marks\n" + codes[0] + ",Fb," + strings.Repeat("9", 5000) + "\n"}
	for i, text := range faulty {
		write(t, look, text)
		for range 2 { // the same file again makes no second copy
			write(t, look, text)
			if r := mark(t, dir, false); !r.says("look.csv:2: marks", "is kept in") {
				t.Errorf("%v", r.Findings)
			}
		}
		name := []string{"look-faulty.csv", "look-faulty-2.csv"}[i]
		if kept, err := os.ReadFile(filepath.Join(dir, classset.MarkedDir, name)); err != nil || string(kept) != text {
			t.Errorf("%s: %.100q, %v", name, kept, err)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, classset.MarkedDir, "look-faulty-3.csv")); err == nil {
		t.Error("a copy too many")
	}
	for _, text := range []string{"a,b\n1,2\n", "sheet,question\n\"", "sheet,question\n\x00", strings.Repeat("1,", 4_000_000)} {
		write(t, look, text)
		if _, err := Mark(context.Background(), MarkOptions{Dir: dir}); err == nil || !strings.HasPrefix(err.Error(), look+":") || len(err.Error()) > len(look)+300 {
			t.Errorf("%.40q: %.500v", text, err)
		}
		if now, err := os.ReadFile(look); err != nil || string(now) != text {
			t.Errorf("%.40q: the file was changed", text)
		}
	}
}

// A scheme that mends one question without end is used as far as makes sense.
func TestHostileScheme(t *testing.T) {
	dir := testDir(t)
	write(t, filepath.Join(dir, schemeFile), "question,action,value\n"+strings.Repeat("Fb,accept,Wa - Ww\n", 10_000))
	r := mark(t, dir, false, write(t, filepath.Join(t.TempDir(), "a.txt"), "sheet: "+codes[0]+"\nFb: 0.55 N\n"))
	if !r.says("scheme.csv:52: question Fb is mended 50 times already") || len(r.Findings) != maxFindings+1 {
		t.Errorf("%d findings: %v", len(r.Findings), r.Findings[:1])
	}
}

// Whatever a scheme.csv holds, its rows are used or named with their lines.
func FuzzScheme(f *testing.F) {
	f.Add("question,action,value,reason\nFb,accept,Wa - Ww,\nFb,within,5 %,\nwhy,marks,3,\n")
	f.Add("question;action;value\nFb;void;\nFb;full;\nV_s;accept;Fb/(rho_w*\n")
	f.Add("action,question\nwithin,Fb\naccept,which\n")
	lab, set := testLab(f), testSet()
	f.Fuzz(func(t *testing.T, text string) {
		dir := t.TempDir()
		write(t, filepath.Join(dir, schemeFile), text)
		scheme, list, err := readScheme(dir, lab)
		if err != nil {
			if !strings.Contains(err.Error(), schemeFile) {
				t.Errorf("error %v does not name the file", err)
			}
			return
		}
		for _, finding := range list {
			if finding.Line < 1 && !strings.HasPrefix(finding.Text, "and ") {
				t.Errorf("%+v has no line", finding)
			}
		}
		if scheme == nil {
			return
		}
		m, err := NewMarker(lab, set, scheme, nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := m.mark(job{sheet: set.Sheets[0], paper: &Paper{Code: codes[0], Text: map[string]string{"Fb": "0.55 N"}}}); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	})
}
