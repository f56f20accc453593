package classset

import (
	"bytes"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// maxQuoted bounds what a message quotes of a file, in characters.
const maxQuoted = 60

// Quote puts text from a file into quotation marks for a message: its start alone where it is long, and everything that is
// not print as an escape.
func Quote(s string) string {
	if start, cut := Start(s, maxQuoted); cut {
		return strconv.Quote(start + "…")
	}
	return strconv.Quote(s)
}

// Start gives at most n characters from the start of s, and whether any are left out.
func Start(s string, n int) (start string, cut bool) {
	for i := range s {
		if n == 0 {
			return s[:i], true
		}
		n--
	}
	return s, false
}

// DecodeText turns the bytes of a text file into a string: UTF-8 or UTF-16 with or without a byte order mark, else
// Windows-1252, of which Latin-1 is a part. note says when it had to be that guess. Where CR alone ends the lines, as old
// spreadsheets have it, LF does in the text.
func DecodeText(data []byte) (text, note string) {
	text, note = decodeBytes(data)
	if !strings.Contains(text, "\n") {
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	return text, note
}

// decodeBytes is DecodeText with line ends as they stand.
func decodeBytes(data []byte) (text, note string) {
	switch {
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		data = data[3:]
	case bytes.HasPrefix(data, []byte("\xff\xfe")):
		return decodeUTF16(data[2:], 1), ""
	case bytes.HasPrefix(data, []byte("\xfe\xff")):
		return decodeUTF16(data[2:], 0), ""
	}
	if high, ok := looksUTF16(data); ok {
		return decodeUTF16(data, high), ""
	}
	if utf8.Valid(data) {
		return string(data), ""
	}
	decoded, err := charmap.Windows1252.NewDecoder().Bytes(data)
	if err != nil { // the decoder maps every byte; kept for the day it does not
		return strings.ToValidUTF8(string(data), "\ufffd"), "read as broken UTF-8"
	}
	return string(decoded), "not UTF-8: read as Windows-1252 (Latin-1)"
}

// decodeUTF16 decodes pairs of bytes, the high byte at index high of each pair.
func decodeUTF16(data []byte, high int) string {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = uint16(data[2*i+high])<<8 | uint16(data[2*i+1-high])
	}
	return string(utf16.Decode(units))
}

// looksUTF16 tells UTF-16 without a byte order mark by its zero bytes: the high bytes of what is ASCII in it, such as
// separators and the ends of lines, so all on one side of the pairs. high is the index of the high byte in each pair.
func looksUTF16(data []byte) (high int, ok bool) {
	sample := data[:min(len(data), 1<<12)&^1]
	var zeros [2]int
	for i, b := range sample {
		if b == 0 {
			zeros[i%2]++
		}
	}
	if zeros[1] > zeros[0] {
		high = 1
	}
	if zeros[1-high] > 0 || 20*zeros[high] < len(sample) || len(sample) == 0 {
		return 0, false
	}
	for i := 0; i < len(sample); i += 2 { // bytes paired wrongly hold no end of a line
		if c := sample[i+1-high]; sample[i+high] == 0 && (c == '\n' || c == '\r') {
			return high, true
		}
	}
	return 0, false
}
