package page

import (
	"bytes"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"golang.org/x/image/font/sfnt"
	"pgregory.net/rapid"
)

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"７１００ｋｇ":                   "7100kg",
		"plain":                    "plain",
		"a\x00b\x07c":              "abc",
		"tab\tand\nline":           "tab and line",
		"bad\xffbyte":              "bad\uFFFDbyte",
		"A\u030Angstro\u0308m":     "Ångström",
		"smile 😀":                  "smile \uFFFD",
		"\u202Eevil":               "evil",
		"\u05E9\u05DC\u05D5\u05DD": "\u05DD\u05D5\u05DC\u05E9", // read from the right
		"zero\u200Bwidth":          "zerowidth",
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}

// Whatever comes in, only characters that can be set go out, and each has a glyph or a visible replacement.
func TestCleanLaw(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(rt, "in")
		out := clean(in)
		if !utf8.ValidString(out) {
			rt.Fatalf("clean(%q) is not UTF-8", in)
		}
		s := testSetter()
		for _, r := range out {
			if unicode.IsControl(r) || r > 0xFFFF {
				rt.Fatalf("clean(%q) holds %U", in, r)
			}
			if g := s.glyph(sans, r); g.part == nil || g.code < 32 {
				rt.Fatalf("%U has no glyph", r)
			}
		}
	})
}

// Every character of sheets and formulas comes from a bundled face; none is blank.
func TestCoverage(t *testing.T) {
	s := testSetter()
	for id := sans; id <= mono; id++ {
		for _, r := range ascii() + standardFirst + standardSecond + standardThird + standardFallback + "ИванΣωκράτηςשלום" {
			s.glyph(id, r)
		}
	}
	if len(s.notes) > 1 { // the replacement sign itself is told
		t.Errorf("notes %v", s.notes)
	}
}

// A cut face holds the outlines of its runes, in the file the PDF gets.
func TestCutFaceDraws(t *testing.T) {
	f := faces()[sans].load()
	p := f.parts[0]
	cut := slim(cutFile(p))
	if full := cutFile(p); len(cut) > len(full)*8/10 {
		t.Errorf("slimming saves little: %d of %d bytes", len(cut), len(full))
	}
	font, err := sfnt.Parse(withTables(cut))
	if err != nil {
		t.Fatal(err)
	}
	var buf sfnt.Buffer
	for _, r := range "Ag4µé" {
		g, err := font.GlyphIndex(&buf, r)
		if err != nil || g == 0 {
			t.Errorf("%q has no glyph in the cut face: %v", r, err)
			continue
		}
		if segs, err := font.LoadGlyph(&buf, g, 2048, nil); err != nil || len(segs) < 4 {
			t.Errorf("%q has %d segments, %v", r, len(segs), err)
		}
	}
	if !bytes.Equal(slim([]byte("no font")), []byte("no font")) {
		t.Error("what is no font is changed")
	}
}

// withTables adds the tables that PDF readers do without and sfnt wants.
func withTables(cut []byte) []byte {
	full, tables := tablesOf(faces()[sans].data), tablesOf(cut)
	for _, tag := range []string{"OS/2", "name"} {
		tables[tag] = full[tag]
	}
	return assemble(tables)
}

func TestManyScriptsNeedMoreParts(t *testing.T) {
	s := testSetter()
	var all strings.Builder
	for r := rune(0x0400); r < 0x0600; r++ {
		if unicode.IsLetter(r) {
			all.WriteRune(r)
			s.glyph(fallback, r)
		}
	}
	if n := len(s.fonts.parts); n < 2 {
		t.Errorf("%d characters in %d parts of at most %d", utf8.RuneCountInString(all.String()), n, maxPart)
	}
	for _, p := range s.fonts.parts {
		if len(p.runes) > maxPart {
			t.Errorf("part %s holds %d runes", p.res, len(p.runes))
		}
	}
}
