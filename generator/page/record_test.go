package page

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// A mark is something recorded on a page: a piece of text, or a stroked frame. Its place is from the top left, in points.
type mark struct {
	page       int
	x, y, w, h float64 // y is the baseline of text, the top of a frame
	size       float64
	text       string
	frame      bool
}

var (
	textOp  = regexp.MustCompile(`^BT /(\S+) ([\d.]+) Tf (-?[\d.]+) (-?[\d.]+) Td \((.*)\) Tj ET$`)
	frameOp = regexp.MustCompile(`(-?[\d.]+) (-?[\d.]+) (-?[\d.]+) (-?[\d.]+) re S$`)
)

// record lays a document out and reads back what was drawn, page by page.
func record(t testing.TB, doc *Document) ([]mark, *setter) {
	t.Helper()
	s, err := NewPress().set(doc)
	if err != nil {
		t.Fatal(err)
	}
	byName := map[string]*part{}
	for p := range s.fonts.used {
		byName[p.res] = p
	}
	var out []mark
	for i, pg := range s.pages {
		for _, ln := range bytes.Split(pg.content, []byte("\n")) {
			if m := textOp.FindSubmatch(ln); m != nil {
				p := byName[string(m[1])]
				if p == nil {
					t.Fatalf("page %d uses part %s, which is not embedded", i+1, m[1])
				}
				size := number(t, m[2])
				mk := mark{page: i, x: number(t, m[3]), y: s.height - number(t, m[4]), size: size}
				mk.text, mk.w = decode(p, m[5], size)
				out = append(out, mk)
			} else if m := frameOp.FindSubmatch(ln); m != nil {
				mk := mark{page: i, x: number(t, m[1]), w: number(t, m[3]), h: number(t, m[4]), frame: true}
				mk.y = s.height - number(t, m[2]) - mk.h
				out = append(out, mk)
			}
		}
	}
	return out, s
}

func number(t testing.TB, b []byte) float64 {
	v, err := strconv.ParseFloat(string(b), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// decode turns a part's bytes back into text, and adds up its width.
func decode(p *part, b []byte, size float64) (string, float64) {
	var out strings.Builder
	w := 0.0
	for i := 0; i < len(b); i++ {
		if b[i] == '\\' {
			i++
		}
		w += p.advance(b[i]) * size
		if b[i] == ' ' {
			out.WriteByte(' ')
		} else {
			out.WriteRune(p.runes[int(b[i])-p.first])
		}
	}
	return out.String(), w
}

func (m mark) String() string {
	return fmt.Sprintf("page %d at %.0f, %.0f: %q", m.page+1, m.x, m.y, m.text)
}

// find returns the first mark whose text contains s.
func find(t testing.TB, marks []mark, s string) mark {
	t.Helper()
	for _, m := range marks {
		if strings.Contains(m.text, s) {
			return m
		}
	}
	t.Fatalf("%q is on no page", s)
	return mark{}
}

func doc1(body ...Block) *Document {
	return &Document{Title: "t", Paper: "a4", Sheets: []Sheet{{Title: "Sheet", Code: "AAAABBBB", QR: "x/", Body: body}}}
}
