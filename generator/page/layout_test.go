package page

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// filler draws the blocks of a random sheet. Headings read "Heading i", questions "Question i …".
func filler(t *rapid.T) []Block {
	var body []Block
	n := rapid.IntRange(1, 25).Draw(t, "blocks")
	for i := range n {
		sentence := strings.Repeat("the raft carries 2.5 kg of sand ", rapid.IntRange(1, 20).Draw(t, "length"))
		switch rapid.IntRange(0, 6).Draw(t, "kind") {
		case 0:
			body = append(body, Heading{rapid.IntRange(1, 3).Draw(t, "level"), words1(fmt.Sprintf("Heading %d", i))},
				para(Text{S: fmt.Sprintf("after%d %s", i, sentence)}))
		case 1:
			kind := rapid.SampledFrom([]string{"number", "unit"}).Draw(t, "box")
			body = append(body, Question{ID: "q", Number: i + 1, Marks: 2, Working: float64(rapid.IntRange(0, 60).Draw(t, "working")),
				Ask: []Block{para(Text{S: fmt.Sprintf("Question%d %s", i, sentence)})}, Box: Box{Kind: kind, Unit: "N"}})
		case 2:
			body = append(body, Picture{disc{200, 150}, words1(fmt.Sprintf("Caption %d", i))})
		case 3:
			body = append(body, List{Tick: true, Items: [][]Block{{para(Text{S: sentence})}, {para(Text{S: "short"})}}})
		case 4:
			body = append(body, Panel{"Take care", []Block{para(Text{S: sentence})}})
		case 5:
			body = append(body, Table{Head: [][]Inline{words1("load / N"), words1("what")}, Align: []byte(".l"),
				Rows: [][][]Inline{{words1("1.25"), words1(sentence)}, {words1("10"), words1("short")}}})
		default:
			body = append(body, para(Text{S: sentence}))
		}
	}
	return body
}

// Whatever the blocks: a heading is followed on its page, a question has its box on its page, nothing is printed over
// anything else or outside the frame of the page.
func TestLayoutLaws(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		doc := doc1(filler(rt)...)
		doc.Large = rapid.Bool().Draw(rt, "large")
		doc.Paper = rapid.SampledFrom([]string{"a4", "letter"}).Draw(rt, "paper")
		marks, s := record(t, doc)
		boxes := map[int]int{}
		for _, m := range marks {
			if m.frame && m.w > boxWidth-1 && math.Abs(m.h-boxHeight*s.scale) < 0.1 {
				boxes[m.page]++
			}
		}
		for i, m := range marks {
			var n int
			if _, err := fmt.Sscanf(m.text, "Heading %d", &n); err == nil {
				if next := find(t, marks, fmt.Sprintf("after%d ", n)); next.page != m.page {
					rt.Fatalf("%v ends its page; what follows is %v", m, next)
				}
			}
			if _, err := fmt.Sscanf(m.text, "Question%d", &n); err == nil {
				boxes[m.page]--
			}
			inside(rt, s, m)
			for _, o := range marks[i+1:] {
				if overprint(m, o) {
					rt.Fatalf("%v is printed over by %v", m, o)
				}
			}
		}
		for page, n := range boxes {
			if n != 0 {
				rt.Fatalf("page %d has %d more boxes than questions", page+1, n)
			}
		}
	})
}

func inside(t *rapid.T, s *setter, m mark) {
	right := s.width - margin
	if strings.HasPrefix(m.text, "[") {
		right = s.width - margin*0.4
	}
	if m.x < margin-0.1 || m.x+m.w > right+0.5 || m.y < qrTop || m.y > s.height-3 {
		t.Fatalf("%v leaves the page's frame: %.1f to %.1f", m, m.x, m.x+m.w)
	}
}

func overprint(a, b mark) bool {
	if a.page != b.page || a.frame || b.frame || a.text == "" || b.text == "" {
		return false
	}
	return a.x+0.5 < b.x+b.w && b.x+0.5 < a.x+a.w && a.y-0.7*a.size < b.y && b.y-0.7*b.size < a.y
}

func TestSheetsStartOnOddPages(t *testing.T) {
	doc := doc1(para(Text{S: "one page"}))
	doc.Sheets = append(doc.Sheets, doc.Sheets[0], doc.Sheets[0])
	doc.Sheets[0].Body = append(doc.Sheets[0].Body, PageBreak{}, para(Text{S: "second"}))
	for duplex, want := range map[bool][]int{true: {0, 2, 4}, false: {0, 2, 3}} {
		doc.Duplex = duplex
		marks, s := record(t, doc)
		var starts []int
		for _, m := range marks {
			if m.text == "Sheet" && m.size == 20 {
				starts = append(starts, m.page)
			}
		}
		if fmt.Sprint(starts) != fmt.Sprint(want) {
			t.Errorf("duplex %v: sheets start on %v, want %v", duplex, starts, want)
		}
		if fmt.Sprint(s.counts) != "[2 1 1]" {
			t.Errorf("pages counted as %v", s.counts)
		}
	}
}

func TestLongTableRepeatsItsHead(t *testing.T) {
	table := Table{Head: [][]Inline{words1("code"), words1("answer / N")}, Align: []byte("l."), Small: true}
	for i := range 200 {
		table.Rows = append(table.Rows, [][]Inline{words1(fmt.Sprintf("P%03d", i)), words1(fmt.Sprintf("%d.25", i))})
	}
	marks, s := record(t, doc1(table))
	heads := map[int]int{}
	for _, m := range marks {
		if m.text == "answer / N" {
			heads[m.page]++
		}
	}
	if len(s.pages) < 3 {
		t.Fatalf("200 rows on %d pages", len(s.pages))
	}
	for i := range s.pages {
		if heads[i] != 1 {
			t.Errorf("page %d has %d heads", i+1, heads[i])
		}
	}
	for i := range 200 {
		find(t, marks, fmt.Sprintf("P%03d", i))
	}
}

func TestNumbersAlignAtTheirDecimalPoint(t *testing.T) {
	rows := [][][]Inline{{words1("0.5")}, {words1("10.25")}, {words1("100")}, {words1("−3.125")}, {words1("1.5 N")}}
	marks, s := record(t, doc1(Table{Head: [][]Inline{words1("W / N")}, Rows: rows, Align: []byte(".")}))
	var at []float64
	for _, r := range rows {
		text := r[0][0].(Text).S
		m := find(t, marks, text)
		whole, _, _ := strings.Cut(text, ".")
		at = append(at, m.x+s.widthOfText(whole, style{face: sans, size: m.size}))
	}
	for i := range at {
		if math.Abs(at[i]-at[0]) > 0.02 {
			t.Errorf("decimal points at %.2f", at)
			break
		}
	}
}

func TestNumberAndUnitStayTogether(t *testing.T) {
	s := &setter{doc: &Document{}, fonts: newFontSet(), sheet: &Sheet{}, scale: 1}
	words := s.shape(words1("The raft weighs 12.5 N in air and takes 1.2 × 10⁻³ m³ of water at 18.5 °C, or 300 mL (±2 mL) more, every 5 min."), s.body())
	for w := 60.0; w < 400; w += 3 {
		for _, ln := range breakLines(words, w) {
			if ln.to == len(words) {
				continue
			}
			last, next := words[ln.to-1].textual, words[ln.to].textual
			if isNumber(last) && (unitSymbols[strings.TrimRight(next, ",).")] || next == "×") && widthOf(words[ln.from:ln.to]) < w {
				t.Errorf("at %.0f pt a line ends with %q and the next begins with %q", w, last, next)
			}
		}
	}
}

// Broken lines hold every word once, in order, and none is too wide unless a single word is.
func TestBreakLinesLaw(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(0, 80).Draw(rt, "words")
		words := make([]word, n)
		for i := range words {
			words[i] = word{w: rapid.Float64Range(1, 60).Draw(rt, "w"), space: 3, forced: rapid.IntRange(0, 20).Draw(rt, "forced") == 0}
		}
		width := rapid.Float64Range(61, 300).Draw(rt, "width")
		at := 0
		for _, ln := range breakLines(words, width) {
			if ln.from != at || ln.to <= ln.from {
				rt.Fatalf("a line of words %d to %d after word %d", ln.from, ln.to, at)
			}
			if ln.w > width+0.02 {
				rt.Fatalf("a line of %.1f in a column of %.1f", ln.w, width)
			}
			for _, w := range words[ln.from : ln.to-1] {
				if w.forced {
					rt.Fatal("a forced break was not taken")
				}
			}
			at = ln.to
		}
		if at != n {
			rt.Fatalf("%d of %d words were set", at, n)
		}
	})
}

func TestFaults(t *testing.T) {
	long := para(Text{S: strings.Repeat("This goes on for more than a page. ", 300)})
	wide := Table{Rows: [][][]Inline{{}}}
	for range 30 {
		wide.Rows[0] = append(wide.Rows[0], words1("123456.789"))
	}
	for name, tc := range map[string]struct {
		body Block
		want string
	}{
		"long question": {Question{Number: 7, Ask: []Block{long}, Box: Box{Kind: "number"}}, "question 7 is longer than a page"},
		"big picture":   {Picture{disc{2000, 300}, nil}, "a picture of 706 × 106 mm was made smaller to fit"},
		"wide table":    {wide, "a table of 30 columns is wider than the page; its words are cut"},
		"working space": {Question{Number: 3, Working: 400, Box: Box{Kind: "lines"}}, "a piece of 400 mm is taller than the page"},
		"wide formula":  {Display{strings.Repeat("abcdefgh+", 20) + "x"}, "a formula wider than the column was made smaller"},
	} {
		t.Run(name, func(t *testing.T) {
			_, faults, err := NewPress().Pages(doc1(tc.body))
			if err != nil || len(faults) == 0 || !strings.Contains(strings.Join(faults, "\n"), tc.want) {
				t.Errorf("faults %q, %v; want %q", faults, err, tc.want)
			}
		})
	}
	if _, faults, err := NewPress().Pages(sampleDoc()); err != nil || len(faults) > 0 {
		t.Errorf("the sample has faults %q, %v", faults, err)
	}
}

// Runs that come again are shaped once, but other runs are never taken for them, and a sheet's note is not lost.
func TestShapedOnce(t *testing.T) {
	s := &setter{doc: &Document{}, fonts: newFontSet(), sheet: &Sheet{Code: "A"}, scale: 1}
	width := func(runs ...Inline) float64 { return widthOf(s.shape(runs, s.body())) }
	plain, bold := width(Text{S: "thrust of the craft"}), width(Text{S: "thrust of the craft", Bold: true})
	if plain == bold {
		t.Error("bold runs are set as plain ones")
	}
	if again := width(Text{S: "thrust of the craft"}); again != plain {
		t.Errorf("set again the width is %v, not %v", again, plain)
	}
	if a, b := s.shape([]Inline{Text{S: "ab"}}, s.body()), s.shape([]Inline{Text{S: "a"}, Break{}, Text{S: "b"}}, s.body()); len(a) == len(b) {
		t.Error("a break between runs is lost")
	}
	for _, code := range []string{"A", "B"} {
		s.sheet = &Sheet{Code: code}
		width(Text{S: "\u0F00"})
	}
	if len(s.notes) != 2 || s.notes[1].Sheet != "B" {
		t.Errorf("notes %v; want one for each sheet", s.notes)
	}
	for _, more := range []string{"\u0F01\u0F00", "\u0F02\u0F03\u0F04\u0F05\u0F06\u0F07\u0F08\u0F09\u0F0A\u0F0B\u0F0C\u0F0D"} {
		width(Text{S: more})
	}
	if want := "no face has the characters 'ༀ', '༁', '༂', '༃', '༄', '༅', '༆', '༇', '༈', '༉', '༊', '་', and 2 more; each is printed as \uFFFD"; len(s.notes) != 2 || s.notes[1].Text != want {
		t.Errorf("notes %v; want all that a sheet lacks in one:\n%s", s.notes, want)
	}
}

// The code stands whole in its field, whatever its letters. The face of the page has the widths of the form's Helvetica.
func TestCodeFitsItsField(t *testing.T) {
	for _, large := range []bool{false, true} {
		s, err := NewPress().set(&Document{Forms: true, Sheets: []Sheet{{Title: "T", Code: "WWWWWWWW", Large: large}}})
		if err != nil {
			t.Fatal(err)
		}
		f := s.pages[0].fields[0]
		if w := s.widthOfText(f.fixed, style{face: sans, size: 9}); f.fixed != "WWWW-WWWW" || f.w < w+4 {
			t.Errorf("%s is %.1f pt wide in a field of %.1f", f.fixed, w, f.w)
		}
	}
}

// Blocks that belong together go to the next page together, unless they fill half of one.
func TestTogether(t *testing.T) {
	for lines, want := range map[int]int{4: 1, 40: 2} {
		var body []Block
		for range lines {
			body = append(body, Paragraph{Text: []Inline{Text{S: "a line"}}})
		}
		s := testSetter()
		slabs := s.blocks([]Block{Space{Height: 235}, Together{body}}, column{x: margin, w: 400, st: s.body(), lead: s.leading()})
		pages := s.paginate(slabs, s.start())
		if len(pages) < 2 || min(len(pages[0]), 2) != want {
			t.Errorf("%d lines: %d pages, %d pieces on the first", lines, len(pages), len(pages[0]))
		}
	}
}

// Ruled working space has a line for every 8.5 mm, and its lines keep their distance.
func TestRuledWorking(t *testing.T) {
	s := testSetter()
	c := column{x: margin, w: 400, st: s.body(), lead: s.leading()}
	lines := func(q Question) (n int, free float64) {
		s.pen.reset(s.height, false)
		slabs := s.question(q, c)
		for _, sl := range slabs {
			free += sl.give
		}
		drawAll(&s.pen, slabs, 100)
		return strings.Count(string(s.pen.buf), "l S"), free
	}
	q := Question{Number: 1, Ask: []Block{para(Text{S: "What?"})}, Working: 34.5, Box: Box{Kind: "number"}}
	blank, gives := lines(q)
	q.Ruled = true
	if ruled, free := lines(q); ruled-blank != 4 || gives == 0 || free != 0 {
		t.Errorf("%d lines in 34.5 mm, want 4; blank space gives %.1f, ruled %.1f", ruled-blank, gives, free)
	}
}

// Working space gives way where that saves a page of little else, and the box for the total is never alone on one.
func TestLastPage(t *testing.T) {
	ask := func(questions int, working float64) *Document {
		doc := doc1()
		doc.Sheets[0].OutOf = 2 * questions
		for n := range questions {
			doc.Sheets[0].Body = append(doc.Sheets[0].Body, Question{ID: fmt.Sprint("q", n), Number: n + 1, Marks: 2, Working: working,
				Ask: []Block{para(Text{S: "Question?"})}, Box: Box{Kind: "number", Unit: "N"}})
		}
		return doc
	}
	// rooms are the heights in mm from each question to the unit beside its box.
	rooms := func(doc *Document) (rooms []float64) {
		marks, _ := record(t, doc)
		asked, last := -1, 0.0
		for _, m := range marks {
			switch m.text {
			case "Question?":
				asked, last = m.page, m.y
			case "N":
				rooms = append(rooms, (m.y-last)/millimetre)
			case "Total":
				if m.page != asked {
					t.Errorf("the total is alone on page %d", m.page+1)
				}
			}
		}
		return rooms
	}
	gave := 0
	for working := 10.0; working < 60; working++ {
		full, got := rooms(ask(1, working))[0], rooms(ask(6, working))
		if given := full - got[0]; given > 0.1 {
			gave++
			if given > working*mostGiven+0.1 {
				t.Errorf("%.1f of %v mm were given", given, working)
			}
		}
		if spread := slices.Max(got) - slices.Min(got); len(got) != 6 || spread > 0.1 {
			t.Errorf("%v mm: rooms %.1f are not even", working, got)
		}
	}
	if gave == 0 || gave > 30 {
		t.Errorf("working space gave way on %d of 50 sheets; want some", gave)
	}
}

// Large print is larger throughout: head, foot, running head and the code below the QR code as well.
func TestLargePrintScalesEverything(t *testing.T) {
	sizes := func(large bool) map[string]float64 {
		doc := doc1(Heading{3, words1("Method")}, para(Text{S: "Lower"}), PageBreak{}, para(Text{S: "Raise"}))
		sheet := &doc.Sheets[0]
		sheet.Large, sheet.Name, sheet.Class, sheet.Code, sheet.QR, sheet.OutOf = large, "Ines", "9B", "4F7KQ2X7", "KEELMARK/S/4F7KQ2X7/", 7
		marks, _ := record(t, doc)
		out := map[string]float64{}
		for _, m := range marks {
			if !m.frame {
				out[fmt.Sprint(m.page, " ", m.text, " ", m.y < qrTop+2*qrSide)] = m.size
			}
		}
		return out
	}
	plain, large := sizes(false), sizes(true)
	if len(plain) < 12 || len(plain) != len(large) {
		t.Fatalf("texts %v, in large print %v", plain, large)
	}
	for text, size := range plain {
		if want := size * 16 / 11; math.Abs(large[text]-want) > 0.01 {
			t.Errorf("%s: %v pt, in large print %v, want %.2f", text, size, large[text], want)
		}
	}
}
