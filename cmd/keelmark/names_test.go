package main

import (
	"archive/zip"
	"fmt"
	"io"
	"io/fs"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/types"
)

// crew writes a class list of pupils with names and ids that occur nowhere else, and gives the words that give them away.
// Sets of names differ by their variant, and ids do not.
func crew(t *testing.T, variant string) (path string, words []string) {
	t.Helper()
	list := "id,name,group\n"
	for i, name := range []string{"Zebulon", "Quillaree", "Jéromina", "Xanthipp"} {
		id := fmt.Sprintf("vj%dkz", 70+i)
		list += fmt.Sprintf("%s,%s%s Wexquill%s,berth %d\n", id, name, variant, variant, i/2)
		words = append(words, id, name+variant)
	}
	return write(t, "crew.csv", list), append(words, "Wexquill"+variant)
}

// tells gives the first of the words that is in the text, in any case.
func tells(text string, words []string) string {
	text = strings.ToLower(text)
	for _, w := range words {
		if strings.Contains(text, strings.ToLower(w)) {
			return w
		}
	}
	return ""
}

// stringsOf gives every string in a PDF that is not in the drawing of a page: the document information, titles, outlines,
// metadata, names and labels of fields.
func stringsOf(t *testing.T, path string) string {
	t.Helper()
	api.DisableConfigDir()
	ctx, err := api.ReadContextFile(path)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	var b strings.Builder
	var walk func(o types.Object)
	text := func(s string, err error) {
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		b.WriteString(s + "\n")
	}
	walk = func(o types.Object) {
		switch o := o.(type) {
		case types.StringLiteral:
			text(types.StringLiteralToString(o))
		case types.HexLiteral:
			text(types.HexLiteralToString(o))
		case types.Name:
			text(o.Value(), nil)
		case types.Array:
			for _, x := range o {
				walk(x)
			}
		case types.Dict:
			for key, x := range o {
				text(key, nil)
				walk(x)
			}
		case types.StreamDict:
			walk(o.Dict)
			if kind := o.Type(); kind != nil && *kind == "Metadata" {
				text(string(o.Content), o.Decode())
			}
		}
	}
	for _, entry := range ctx.XRefTable.Table {
		if entry != nil {
			walk(entry.Object)
		}
	}
	walk(infoOf(ctx))
	return b.String()
}

// infoOf gives the document information, which the reader may keep apart.
func infoOf(ctx *model.Context) types.Object {
	if ctx.Info == nil {
		return nil
	}
	info, err := ctx.Dereference(*ctx.Info)
	if err != nil {
		return nil
	}
	return info
}

// about gives what a spreadsheet says of itself: its properties and the names of its sheets.
func about(t *testing.T, path string) string {
	t.Helper()
	book, err := zip.OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	var b strings.Builder
	for _, f := range book.File {
		b.WriteString(f.Name + "\n")
		if !strings.HasPrefix(f.Name, "docProps/") && f.Name != "xl/workbook.xml" {
			continue
		}
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		io.Copy(&b, r)
		r.Close()
	}
	return b.String()
}

// TestNamesStayInside: no name and no id of a pupil is in the name of any file, or in what a PDF or a spreadsheet says of
// itself, where whoever gets the file would see it unasked.
func TestNamesStayInside(t *testing.T) {
	if testing.Short() {
		t.Skip("makes and reads many files; the full run does")
	}
	root := t.TempDir()
	dir := filepath.Join(root, "set")
	roster, words := crew(t, "ine")
	do(t, "print", "archimedes/hover", "--class", roster, "--to", dir, "--forms", "--seed", "names")
	do(t, "mark", dir, answered(t, dir, 5), "--single", "--text", "--oneroster", "--sample", "2")
	do(t, "print", dir, "--only", codes(t, dir)[0])
	do(t, "again", dir, "--to", dir+"-again", "--cluster")
	do(t, "record", dir, "--to", dir+"-term")
	count := map[string]int{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, _ := filepath.Rel(root, path)
		if w := tells(name, words); w != "" {
			t.Errorf("%s: %s is in the name of the file", name, w)
		}
		said := ""
		switch filepath.Ext(path) {
		case ".pdf":
			said = stringsOf(t, path)
			if !strings.Contains(said, "keelmark") {
				t.Errorf("%s: its producer was not read", name)
			}
			for _, command := range [][]string{{"pdfinfo", path}, {"pdfinfo", "-meta", path}, {"mutool", "show", path, "outline"}, {"mutool", "info", path}} {
				if tool, ok := found(t, command[0]); ok {
					out, _ := exec.Command(tool, command[1:]...).Output() // fails where there is no outline
					said += string(out)
				}
			}
		case ".xlsx":
			said = about(t, path)
		}
		if w := tells(said, words); w != "" {
			t.Errorf("%s says %s of itself", name, w)
		}
		count[filepath.Ext(path)]++
		return nil
	})
	if err != nil || count[".pdf"] < 15 || count[".xlsx"] < 3 {
		t.Errorf("looked at %v: %v", count, err)
	}
}

// spellings gives a word as the bytes it may stand as in a PDF.
func spellings(word string) []string {
	wide := ""
	for _, u := range utf16.Encode([]rune(word)) {
		wide += string([]byte{byte(u >> 8), byte(u)})
	}
	return []string{word, wide, fmt.Sprintf("%x", word), fmt.Sprintf("%X", word), fmt.Sprintf("%x", wide), fmt.Sprintf("%X", wide)}
}

// TestCodesOnly: with codes alone, what is handed out does not depend on names at all: for another class with other names
// it is the same to the byte. Who has which code stands in names.csv, and in set.json, which is the teacher's.
func TestCodesOnly(t *testing.T) {
	if testing.Short() {
		t.Skip("makes and reads many files; the full run does")
	}
	root := t.TempDir()
	var sets []map[string]string
	var answers string
	dir := filepath.Join(root, "set")
	for _, variant := range []string{"ine", "ova-Dock"} {
		roster, words := crew(t, variant)
		restore(t, dir, nil)
		do(t, "print", "archimedes/hover", "--class", roster, "--to", dir, "--codes-only", "--forms", "--seed", "codes")
		if answers == "" {
			answers = answered(t, dir, 5)
		}
		do(t, "mark", dir, answers, "--single", "--text")
		files, _ := snapshot(t, dir)
		sets = append(sets, files)
		for _, name := range []string{"names.csv", "set.json"} {
			for _, w := range words {
				if !strings.Contains(files[name], w) {
					t.Errorf("%s does not hold %s", name, w)
				}
			}
		}
		bare(t, dir, words)
	}
	same := 0
	for name, data := range sets[0] {
		switch base := filepath.Base(name); {
		case base == "names.csv" || base == "set.json": // the teacher's
		case base == "marks.csv" || base == "marks.xlsx" || base == "marking.json" || base == "talk.csv": // the teacher's too
		case sets[1][name] != data:
			t.Errorf("%s is another one for other names", name)
		default:
			same++
		}
	}
	if same < 15 {
		t.Errorf("only %d files are the same", same)
	}
}

// bare proves with other programs that what pupils get shows neither name nor id, as text or as bytes.
func bare(t *testing.T, dir string, words []string) {
	t.Helper()
	list, err := filepath.Glob(filepath.Join(dir, "forms", "*.pdf"))
	if err != nil || len(list) != 4 {
		t.Errorf("%d forms: %v", len(list), err)
	}
	for _, path := range append(list, filepath.Join(dir, "sheets.pdf"), filepath.Join(dir, "marked", "feedback.pdf")) {
		if pdftotext, ok := found(t, "pdftotext"); ok {
			out, err := exec.Command(pdftotext, path, "-").Output()
			if w := tells(string(out), words); err != nil || w != "" {
				t.Errorf("%s shows %q (%v)", path, w, err)
			}
		}
		qpdf, ok := found(t, "qpdf")
		if !ok {
			continue
		}
		out, err := exec.Command(qpdf, "--qdf", "--object-streams=disable", path, "-").Output()
		if err != nil {
			t.Errorf("%s: %v", path, err)
		}
		for _, word := range words {
			for _, s := range spellings(word) {
				if strings.Contains(string(out), s) {
					t.Errorf("%s holds %s", path, word)
				}
			}
		}
	}
}
