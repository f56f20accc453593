package grader

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"

	"keelmark/labs/classset"
)

const jsonShape = `want {"sheet": "…", "answers": {"Fb": "0.91 N"}} or an array of such objects`

// json reads {"sheet": "…", "answers": {…}} or an array of them.
func (in *intake) json(path string) (papers []*Paper, err error) {
	all, err := loadText(path)
	if err != nil {
		return nil, err
	}
	r := jsonReader{in: in, path: path, data: []byte(all), line: 1}
	r.Decoder = json.NewDecoder(bytes.NewReader(r.data))
	papers, err = r.papers()
	var syntax *json.SyntaxError
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		in.find(path, r.here(), "ends in the middle")
	case errors.As(err, &syntax):
		in.find(path, r.next(), "no valid JSON: %v", err)
	case err != nil:
		in.find(path, r.here(), "%v", err)
	}
	return papers, nil
}

// jsonReader reads token by token, so that every fault has a line and a key that stands twice is noticed. Only a fault of
// JSON itself ends it: a value of the wrong kind is named, and what stands beside it is read.
type jsonReader struct {
	*json.Decoder
	in   *intake
	path string
	data []byte
	line int // of the first upto bytes
	upto int64
}

// here is the line that has been read to.
func (r *jsonReader) here() int { return r.lineAt(r.InputOffset()) }

// next is the line on which what follows begins.
func (r *jsonReader) next() int { return r.lineAt(int64(len(r.data) - len(r.rest()))) }

// rest is what follows, from its first character that says anything.
func (r *jsonReader) rest() []byte {
	return bytes.TrimLeft(r.data[r.InputOffset():], " \t\r\n,:")
}

// lineAt is the line of an offset. It counts on from the last one asked for, as they mostly rise.
func (r *jsonReader) lineAt(offset int64) int {
	if offset < r.upto {
		return 1 + bytes.Count(r.data[:offset], []byte("\n"))
	}
	r.line += bytes.Count(r.data[r.upto:offset], []byte("\n"))
	r.upto = offset
	return r.line
}

func (r *jsonReader) find(format string, args ...any) {
	r.in.find(r.path, r.here(), format, args...)
}

func (r *jsonReader) papers() (papers []*Paper, err error) {
	take := func() error {
		if len(papers) >= maxPapers {
			return errPapers
		}
		p, err := r.object()
		if p != nil {
			papers = append(papers, p)
		}
		return err
	}
	if !r.at('[') {
		err = take()
	} else if _, err = r.Token(); err == nil {
		for err == nil && r.More() {
			err = take()
		}
		if err == nil {
			_, err = r.Token()
		}
	}
	if err == nil {
		if _, rest := r.Token(); !errors.Is(rest, io.EOF) {
			err = errors.New("something follows the answers; put several sheets into one array")
		}
	}
	return papers, err
}

// at reports whether the next value begins with that character.
func (r *jsonReader) at(c byte) bool {
	rest := r.rest()
	return len(rest) > 0 && rest[0] == c
}

// members reads an object and hands over each key, its value being next; anything else is named and passed over. what
// says what was wanted.
func (r *jsonReader) members(what string, member func(key string) error) (ok bool, err error) {
	if !r.at('{') {
		var other json.RawMessage
		if err := r.Decode(&other); err != nil {
			return false, err
		}
		r.find("%s is no object: %s", what, jsonShape)
		return false, nil
	}
	if _, err := r.Token(); err != nil {
		return false, err
	}
	for r.More() {
		key, err := r.Token()
		if err != nil {
			return false, err
		}
		if err := member(key.(string)); err != nil {
			return false, err
		}
	}
	_, err = r.Token()
	return true, err
}

// jsonAnswer is one member of "answers", with its line.
type jsonAnswer struct {
	heading, text string
	line          int
}

// object reads one sheet; nil when it cannot be told whose it is, or what its answers are.
func (r *jsonReader) object() (*Paper, error) {
	var codes []string
	var line int
	var answers []jsonAnswer
	lost, found := false, false
	ok, err := r.members("a sheet", func(key string) error {
		switch {
		case strings.EqualFold(key, "sheet"):
			line = r.here()
			code, err := r.text()
			codes = append(codes, code)
			return err
		case strings.EqualFold(key, "answers"):
			found = true
			ok, err := r.members(`"answers"`, func(heading string) error {
				a := jsonAnswer{heading: heading, line: r.here()}
				var err error
				a.text, err = r.text()
				answers = append(answers, a)
				return err
			})
			lost = lost || !ok
			return err
		}
		if c, ok := r.in.columns.find(key); !ok || c.name != "" {
			r.find("key %s is set aside; %s", classset.Quote(key), jsonShape)
		}
		var other json.RawMessage
		return r.Decode(&other)
	})
	if err != nil || !ok || lost {
		return nil, err
	}
	if line == 0 {
		line = r.here()
	}
	if len(codes) > 1 {
		r.in.find(r.path, line, `"sheet" stands %d times in one object: its answers belong to nobody yet`, len(codes))
		return nil, nil
	}
	sheet := r.in.sheet(r.path, line, strings.Join(codes, ""))
	if sheet == nil {
		return nil, nil
	}
	if !found { // a misspelt key must not make a pupil's answers blank
		r.in.find(r.path, line, `sheet %s has no "answers", so nothing is marked; %s`, classset.ShowCode(sheet.Code), jsonShape)
		return nil, nil
	}
	b := r.in.newPaper(r.path, line, sheet)
	for _, a := range answers {
		b.put(a.line, a.heading, a.text, "")
	}
	return b.done(), nil
}

// text reads a value as it was written: a string, a number, null as nothing, an array as readings. Anything else is named,
// and kept as it stands for a person to look at; so is one far longer than an answer.
func (r *jsonReader) text() (string, error) {
	var raw json.RawMessage
	if err := r.Decode(&raw); err != nil {
		return "", err
	}
	if len(raw) > 10*maxAnswer {
		return string(raw), nil
	}
	if raw[0] != '[' {
		return r.plain(raw)
	}
	var list []json.RawMessage
	if err := json.Unmarshal(raw, &list); err != nil {
		return "", err
	}
	parts := make([]string, len(list))
	for i, element := range list {
		var err error
		if parts[i], err = r.plain(element); err != nil {
			return "", err
		}
	}
	return strings.Join(parts, "; "), nil
}

func (r *jsonReader) plain(raw json.RawMessage) (s string, err error) {
	switch c := raw[0]; {
	case c == '"':
		err = json.Unmarshal(raw, &s)
		return s, err
	case c == 'n':
		return "", nil
	case c == '-', c >= '0' && c <= '9':
		return string(raw), nil
	}
	r.find("%s: an answer is a text in quotation marks", classset.Quote(string(raw)))
	return string(raw), nil
}
