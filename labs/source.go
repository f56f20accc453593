package labs

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"unicode/utf8"
)

// Bounds of a template, so that a hostile one is refused and not suffered. Each is many times what a lab needs: the largest
// built in has 8 KB, 17 blocks, 13 questions.
const (
	maxSource    = 128 << 10 // bytes of the file
	maxLine      = 4096      // bytes of a line: Markdown may nest a level a byte
	maxRun       = 8192      // bytes of a text, or of the body's lines between two empty ones: what a paragraph may hold
	maxBars      = 50        // | on a line: Markdown fills every row of a table up to the columns of its widest line
	maxBlocks    = 60        // fenced blocks that mean something
	maxQuestions = 40
	maxDrawings  = 12 // plots, grids and figures
	maxImages    = 12 // pictures from files
	maxNetworks  = 10
	maxMistakes  = 20  // of a question
	maxSteps     = 60  // of the formula of an answer or a mistake: see formula.Expr.Steps
	maxItems     = 200 // of a list
	maxValues    = 100
	maxColumn    = 200       // numbers
	maxRows      = 40        // readings of a column at the bench: its uncertainty nudges each
	maxGrid      = 1_000_000 // steps between from and to
	maxChoices   = 26
)

// ReadFile reads a regular file of at most limit bytes. Errors name the file: one that is larger is refused by its size,
// before it is read, and a folder, a device or a pipe, which may never end, before it is opened.
func ReadFile(path string, limit int64) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if err := Readable(info, limit); err != nil {
		return nil, &fs.PathError{Op: "read", Path: path, Err: err}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	into := bytes.NewBuffer(make([]byte, 0, info.Size()+bytes.MinRead)) // room for all of it at once
	if _, err := into.ReadFrom(io.LimitReader(f, limit+1)); err != nil {
		return nil, err
	}
	if int64(into.Len()) > limit { // it grew in the meantime
		return nil, &fs.PathError{Op: "read", Path: path, Err: fmt.Errorf("it is too large: at most %d bytes are read", limit)}
	}
	return into.Bytes(), nil
}

// Readable says why what lies on disk is no file to be read, nil for a regular file of at most limit bytes.
func Readable(info fs.FileInfo, limit int64) error {
	switch {
	case info.IsDir():
		return errors.New("it is a folder, want a file")
	case !info.Mode().IsRegular():
		return errors.New("it is a pipe or a device, want a file; save what it gives as one")
	case info.Size() > limit:
		return fmt.Errorf("it is too large: %d bytes, and at most %d are read", info.Size(), limit)
	}
	return nil
}

// MaxParts is the most numbers, or words, that a key of a figure holds: each has its label, which keeps clear of all others.
const MaxParts = 16

// cut is a template cut into its head, which is YAML, and its body, which is Markdown.
type cut struct {
	lines    []string
	head     string // with empty lines before it, so that its line numbers are the file's
	body     []byte
	bodyLine int
}

// readable normalises line ends and refuses what cannot be a template.
func readable(source []byte) ([]byte, error) {
	switch {
	case len(source) > maxSource:
		return nil, fmt.Errorf("the file has %d bytes, more than the %d of the largest template read", len(source), maxSource)
	case bytes.IndexByte(source, 0) >= 0:
		return nil, fmt.Errorf("this is not a text file; a lab is a Markdown file")
	case !utf8.Valid(source):
		return nil, fmt.Errorf("the file is not in UTF-8: save it as UTF-8 text")
	}
	source = bytes.TrimPrefix(source, []byte("\uFEFF"))
	source = bytes.ReplaceAll(source, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(source, []byte("\r"), []byte("\n")), nil
}

// cutHead finds the head between the first line, ---, and the next line that is ---.
func cutHead(source []byte) (cut, *Place, error) {
	c := cut{lines: strings.Split(string(source), "\n")}
	for i, line := range c.lines {
		if len(line) > maxLine {
			return c, &Place{i + 1, 1}, fmt.Errorf("this line has %d bytes, more than the %d of the longest line read", len(line), maxLine)
		}
		if bars := strings.Count(line, "|"); bars > maxBars {
			return c, &Place{i + 1, 1}, fmt.Errorf("this line has %d bars |, more than the %d of the widest table read", bars, maxBars)
		}
	}
	if strings.TrimRight(c.lines[0], " \t") != "---" {
		return c, &Place{1, 1}, fmt.Errorf("a lab begins with its head: a line ---, then title, topic, values and so on, then a line ---")
	}
	for i := 1; i < len(c.lines); i++ {
		if strings.TrimRight(c.lines[i], " \t") == "---" {
			c.head = "\n" + strings.Join(c.lines[1:i], "\n") + "\n"
			c.body = []byte(strings.Join(c.lines[i+1:], "\n"))
			c.bodyLine = i + 2
			place, err := c.longRun()
			return c, place, err
		}
	}
	return c, &Place{1, 1}, fmt.Errorf("the head is never closed: end it with a line ---")
}

// longRun finds a stretch of the body without an empty line that is longer than a paragraph may be: reading the brackets and
// stars of one takes a time that grows with the square of its length.
func (c cut) longRun() (*Place, error) {
	run, first := 0, c.bodyLine
	for i := c.bodyLine; i <= len(c.lines); i++ {
		line := c.lines[i-1]
		if strings.TrimSpace(line) == "" {
			run, first = 0, i+1
			continue
		}
		if run += len(line) + 1; run > maxRun {
			return &Place{first, 1}, fmt.Errorf("more than %d bytes without an empty line begin here: part them", maxRun)
		}
	}
	return nil, nil
}
