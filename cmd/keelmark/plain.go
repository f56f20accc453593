package main

import (
	"bytes"
	"fmt"
	"io"
	"unicode"
	"unicode/utf8"
)

// plainWriter writes text as it is but for what could steer a terminal: control characters and those that turn the
// direction of writing come out as \u escapes, which JSON reads back. Names of files and what stands in them get onto the
// screen by many ways; this is the one that all of them take.
type plainWriter struct{ w io.Writer }

func (p plainWriter) Write(text []byte) (int, error) {
	safe := text
	if bytes.IndexFunc(text, steers) >= 0 {
		safe = nil
		for rest := text; len(rest) > 0; {
			r, size := utf8.DecodeRune(rest)
			if steers(r) {
				safe = fmt.Appendf(safe, `\u%04x`, r)
			} else {
				safe = append(safe, rest[:size]...)
			}
			rest = rest[size:]
		}
	}
	if _, err := p.w.Write(safe); err != nil {
		return 0, err
	}
	return len(text), nil
}

func steers(r rune) bool {
	return unicode.IsControl(r) && r != '\n' && r != '\t' || unicode.Is(unicode.Bidi_Control, r)
}
