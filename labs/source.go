package labs

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Bounds of a template file: its bytes, and those of a line. Markdown nested thousands deep on one line would take
// minutes to read.
const (
	maxSource = 1 << 20
	maxLine   = 8192
)

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
	}
	if strings.TrimRight(c.lines[0], " \t") != "---" {
		return c, &Place{1, 1}, fmt.Errorf("a lab begins with its head: a line ---, then title, topic, values and so on, then a line ---")
	}
	for i := 1; i < len(c.lines); i++ {
		if strings.TrimRight(c.lines[i], " \t") == "---" {
			c.head = "\n" + strings.Join(c.lines[1:i], "\n") + "\n"
			c.body = []byte(strings.Join(c.lines[i+1:], "\n"))
			c.bodyLine = i + 2
			return c, nil, nil
		}
	}
	return c, &Place{1, 1}, fmt.Errorf("the head is never closed: end it with a line ---")
}
