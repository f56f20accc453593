package main

import (
	"bytes"
	"fmt"
	"io"
	"unicode"
)

// plainWriter writes text as it is but for what could steer a terminal: control characters and those that turn the
// direction of writing come out as \u escapes, which JSON reads back. Names of files and what stands in them get onto the
// screen by many ways; this is the one that all of them take.
type plainWriter struct{ w io.Writer }

func (p plainWriter) Write(text []byte) (int, error) {
	if bytes.IndexFunc(text, steers) >= 0 {
		var safe bytes.Buffer
		for rest := text; len(rest) > 0; {
			i := bytes.IndexFunc(rest, steers)
			if i < 0 {
				safe.Write(rest)
				break
			}
			safe.Write(rest[:i])
			r := bytes.Runes(rest[i:min(len(rest), i+4)])[0]
			fmt.Fprintf(&safe, `\u%04x`, r)
			rest = rest[i+len(string(r)):]
		}
		_, err := p.w.Write(safe.Bytes())
		return len(text), err
	}
	return p.w.Write(text)
}

func steers(r rune) bool {
	return unicode.IsControl(r) && r != '\n' && r != '\t' || unicode.Is(unicode.Bidi_Control, r)
}
