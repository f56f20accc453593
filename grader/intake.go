package grader

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
)

// maxAnswer bounds what is kept of one answer, in bytes: some 600 words. The rest stays in the file it came in.
const maxAnswer = 4000

// FormReader reads the fields of a fill-in PDF, by name; package grader/forms has one.
type FormReader func(pdf []byte) (fields map[string]string, err error)

// intake reads answer files. What it cannot use it names and goes on.
type intake struct {
	lab      *labs.Lab
	set      *classset.Set
	dir      string // of the set
	columns  *columns
	readForm FormReader
	sheets   map[string]*classset.Sheet // by code
	findings
}

func newIntake(dir string, set *classset.Set, l *labs.Lab, readForm FormReader) *intake {
	in := &intake{lab: l, set: set, dir: dir, columns: newColumns(l), readForm: readForm, sheets: map[string]*classset.Sheet{}}
	for _, s := range set.Sheets {
		in.sheets[s.Code] = s
	}
	return in
}

// read reads every file, and every answer file in every folder, in the order given.
func (in *intake) read(paths []string) (papers []*Paper) {
	seen := map[string]bool{}
	for _, path := range paths {
		for _, file := range in.expand(path) {
			if clean, err := filepath.Abs(file); err == nil && seen[clean] {
				continue
			} else if err == nil {
				seen[clean] = true
			}
			papers = append(papers, in.file(file)...)
		}
	}
	return papers
}

// expand lists the answer files of a folder and those below it, by name; a file is itself.
func (in *intake) expand(path string) (files []string) {
	info, err := os.Stat(path)
	if err != nil {
		in.find(path, 0, "cannot be read: %v", classset.Cause(err))
		return nil
	}
	if madeByMark(path) {
		in.find(path, 0, "is what mark itself made, and was left alone; name the files in which the pupils' answers are")
		return nil
	}
	if !info.IsDir() {
		return []string{path}
	}
	err = filepath.WalkDir(path, func(p string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			in.find(p, 0, "cannot be read: %v", classset.Cause(err))
		case entry.IsDir():
			if p != path && (strings.HasPrefix(entry.Name(), ".") || in.isOwn(p)) {
				return fs.SkipDir
			}
		case strings.HasPrefix(entry.Name(), "."), strings.HasPrefix(entry.Name(), "~$"), in.isOwn(p):
		case in.reader(p) == nil:
			in.findIn(path, p, 0, "is no answer file; want %s", kinds)
		default:
			files = append(files, p)
		}
		return nil
	})
	if err != nil {
		in.find(path, 0, "cannot be read: %v", classset.Cause(err))
	}
	return files
}

// isOwn reports whether a path is one of the set's own files that hold no answers.
func (in *intake) isOwn(path string) bool {
	if !sameFile(filepath.Dir(path), in.dir) {
		return false
	}
	name := filepath.Base(path)
	return slices.Contains([]string{"set.json", "lab.md", "key.pdf", classset.MarkedDir, schemeFile}, name) ||
		strings.HasPrefix(name, "sheets") && strings.HasSuffix(name, ".pdf")
}

// madeByMark reports whether a path is the folder of what was marked, of any set, or lies in it.
func madeByMark(path string) bool {
	folder, err := filepath.Abs(path)
	if err != nil {
		return false
	}
	for range 3 { // itself, or a file in it, or one in feedback/ of it
		if filepath.Base(folder) == classset.MarkedDir {
			_, err := os.Stat(filepath.Join(folder, classset.MarkingFile))
			return err == nil
		}
		folder = filepath.Dir(folder)
	}
	return false
}

func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

const kinds = ".csv, .xlsx, .txt, .json or .pdf"

// reader is the function that reads a file of that name, or nil.
func (in *intake) reader(path string) func(string) ([]*Paper, error) {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".csv", ".tsv":
		return in.table
	case ".xlsx":
		return in.workbook
	case ".txt":
		return in.text
	case ".json":
		return in.json
	case ".pdf":
		return in.form
	}
	return nil
}

// file reads one file; a fault that spoils all of it is named.
func (in *intake) file(path string) []*Paper {
	read := in.reader(path)
	if read == nil {
		in.find(path, 0, "is no answer file; want %s", kinds)
		return nil
	}
	papers, err := read(path)
	if err != nil {
		in.fault(path, err)
	}
	return papers
}

// sheet finds the sheet that a typed code names; what is wrong with the code is named.
func (in *intake) sheet(file string, line int, typed string) *classset.Sheet {
	code, ok := classset.CheckCode(typed)
	if ok {
		if s := in.sheets[code]; s != nil {
			return s
		}
		in.find(file, line, "sheet %s is not in this set; is it from another class or lab?", classset.ShowCode(code))
		return nil
	}
	if strings.TrimSpace(typed) == "" {
		in.find(file, line, "no sheet code: these answers belong to nobody yet")
		return nil
	}
	typed = strings.TrimSpace(typed)
	in.find(file, line, "%s %s", classset.Quote(typed), lazy(func() string {
		if s := in.pupil(typed); s != nil {
			return fmt.Sprintf("is a pupil, not a sheet; the code on the sheet of %s is %s", s.Name, classset.ShowCode(s.Code))
		}
		if near := in.nearest(code); near != nil {
			return fmt.Sprintf("is mistyped: its check character does not fit; did you mean %s (%s)?", classset.ShowCode(near.Code), near.Name)
		}
		return "is mistyped: its check character does not fit"
	}))
	return nil
}

// pupil is the sheet of the pupil whose id, or whose name and nobody else's, stands where a code should.
func (in *intake) pupil(typed string) *classset.Sheet {
	var named []*classset.Sheet
	for _, s := range in.set.Sheets {
		if s.Student == typed {
			return s
		}
		if strings.EqualFold(s.Name, typed) {
			named = append(named, s)
		}
	}
	if len(named) == 1 {
		return named[0]
	}
	return nil
}

// nearest is the only sheet whose code differs from a mistyped one by one slip of the keyboard.
func (in *intake) nearest(code string) *classset.Sheet {
	if len(code) > 2*len("4F7KQ2X7") {
		return nil
	}
	var near *classset.Sheet
	for _, s := range in.set.Sheets {
		if distance(code, s.Code) == 1 {
			if near != nil {
				return nil
			}
			near = s
		}
	}
	return near
}

// loadText reads a text file in whatever encoding it has.
func loadText(path string) (string, error) {
	data, err := classset.ReadFile(path, classset.MaxFile)
	if err != nil {
		return "", err
	}
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) || bytes.HasPrefix(data, []byte("%PDF")) {
		return "", errors.New("is no text file: its name ends as if it were")
	}
	text, _ := classset.DecodeText(data)
	return text, nil
}

// form reads a fill-in PDF: one sheet.
func (in *intake) form(path string) ([]*Paper, error) {
	if in.readForm == nil {
		return nil, errors.New("fill-in PDFs cannot be read here")
	}
	data, err := classset.ReadFile(path, classset.MaxFile)
	if err != nil {
		return nil, err
	}
	fields, err := in.readForm(data)
	if err != nil {
		return nil, err
	}
	sheet := in.sheet(path, 0, fields["sheet"])
	if sheet == nil {
		return nil, nil
	}
	b := in.newPaper(path, 0, sheet)
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		if name != "sheet" {
			b.put(0, name, fields[name], "")
		}
	}
	return []*Paper{b.done()}, nil
}

// paperMaker gathers the cells of one sheet.
type paperMaker struct {
	in    *intake
	sheet *classset.Sheet
	paper *Paper
	parts map[string]map[int]string // readings of one column that came as load.1, load.2 …
}

func (in *intake) newPaper(file string, line int, sheet *classset.Sheet) *paperMaker {
	return &paperMaker{in: in, sheet: sheet, parts: map[string]map[int]string{},
		paper: &Paper{Code: sheet.Code, File: file, Line: line, Text: map[string]string{}}}
}

// put adds a cell under a heading; a heading that means nothing is named.
func (b *paperMaker) put(line int, heading, text, kind string) {
	c, ok := b.in.columns.find(heading)
	if !ok {
		b.in.find(b.paper.File, line, "%s", b.in.columns.unknown(heading))
		return
	}
	b.cell(line, c, text, kind)
}

// cell adds a cell to a column that is known.
func (b *paperMaker) cell(line int, c column, text, kind string) {
	if c.name == "" || c.name == "sheet" {
		return
	}
	text = b.bounded(line, c.name, strings.TrimSpace(text))
	if q := b.in.lab.Question(strings.TrimSuffix(c.name, workingSuffix)); q != nil && !b.sheet.Has(q) {
		if text != "" {
			b.in.find(b.paper.File, line, "question %s is not on sheet %s; the answer %s was set aside", q.ID, classset.ShowCode(b.sheet.Code), classset.Quote(text))
		}
		return
	}
	if q := b.in.lab.Question(c.name); q != nil && markedByHand(q) && !looksLikeMarks(text) {
		c.name += wordsSuffix // the pupil's own words, not marks
	}
	if kind == DateCell || kind == NumberCell && b.paper.Cells[c.name] == "" {
		b.paper.setCell(c.name, kind)
	}
	if c.index > 0 {
		if b.parts[c.name] == nil {
			b.parts[c.name] = map[int]string{}
		}
		b.parts[c.name][c.index] = b.joined(line, fmt.Sprint(c.name, ".", c.index), b.parts[c.name][c.index], text)
		return
	}
	b.paper.Text[c.name] = b.joined(line, c.name, b.paper.Text[c.name], text)
}

// joined is what two cells say of one thing. Where they differ both are kept, for a person to choose.
func (b *paperMaker) joined(line int, name, before, text string) string {
	switch {
	case text == "" || text == before:
		return before
	case before == "":
		return text
	}
	b.in.find(b.paper.File, line, "a second answer for %s on sheet %s: %s and %s; a person must choose", name, classset.ShowCode(b.sheet.Code), classset.Quote(before), classset.Quote(text))
	return cutAnswer(before + " | " + text)
}

// bounded keeps the start of an answer that is far too long to be one and names it. Its end shows that it is cut, so that
// it is never read as if it were whole.
func (b *paperMaker) bounded(line int, name, text string) string {
	if len(text) > maxAnswer {
		b.in.find(b.paper.File, line, "sheet %s: what stands for %s is %d bytes long; only its first %d were kept", classset.ShowCode(b.sheet.Code), name, len(text), maxAnswer)
	}
	return cutAnswer(text)
}

// cutAnswer cuts a text of more than maxAnswer bytes.
func cutAnswer(text string) string {
	const ending = " …"
	if len(text) <= maxAnswer || strings.HasSuffix(text, ending) && len(text) <= maxAnswer+len(ending) {
		return text
	}
	return strings.ToValidUTF8(text[:maxAnswer], "") + ending
}

// done joins the readings that came in columns of their own, in order, and gives the paper.
func (b *paperMaker) done() *Paper {
	for _, name := range slices.Sorted(maps.Keys(b.parts)) {
		parts := b.parts[name]
		last := 0
		for i, text := range parts {
			if text != "" {
				last = max(last, i)
			}
		}
		list := make([]string, last)
		for i := range list {
			list[i] = parts[i+1]
		}
		b.paper.Text[name] = b.joined(b.paper.Line, name, b.paper.Text[name], cutAnswer(strings.Join(list, "; ")))
	}
	return b.paper
}
