package page

import (
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/bidi"
	"golang.org/x/text/unicode/norm"
	"golang.org/x/text/width"
)

// A style is how a run of letters looks.
type style struct {
	face int
	size float64 // pt
	rise float64 // pt above the baseline
	grey float64
}

// An atom is a piece of a word: letters of one part and style, or a formula.
type atom struct {
	part *part
	text []byte
	st   style
	w    float64
	math *formulaBox
	read string // what stands for the atom when the page is read out, if not its letters
}

// A word is what no line break parts. space follows it unless a line ends there.
type word struct {
	atoms   []atom
	w       float64
	space   float64
	blank   *part // whose space it is
	tied    bool  // no break after this word
	forced  bool  // break after this word
	textual string
}

// A shaper turns inlines into words. All words share the memory of their atoms and letters.
type shaper struct {
	s     *setter
	words []word
	cur   word
	atoms []atom // the last len(cur.atoms) are those of cur
	codes []byte // letters of all atoms
	said  []byte // the characters of cur
}

// clean makes s safe to set: valid UTF-8 in composed form, no control characters, no runes beyond the basic plane. Full-width
// letters and digits, which no face has, are set as the ordinary ones that they stand for.
func clean(s string) string {
	if isASCII(s) {
		return s
	}
	s = width.Fold.String(norm.NFC.String(strings.ToValidUTF8(s, "\uFFFD")))
	return visual(strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case r > 0xFFFF:
			return '\uFFFD'
		case unicode.IsControl(r), r == '\u200B', r == '\u200C', r == '\u200D', r == '\uFEFF', r == '\u00AD',
			unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, s))
}

// isASCII tells that a text is of printable ASCII alone, which every face has.
func isASCII(s string) bool {
	for i := 0; i < len(s); i++ {
		if c := s[i]; c < ' ' || c >= 0x7F {
			return false
		}
	}
	return true
}

// leftToRight is a sign without width: a text that begins with it reads from left to right, as the pages do, whatever
// the script of its first name.
const leftToRight = "\u200E"

// ofRightToLeft reports whether a character belongs to a script that is written from right to left.
func ofRightToLeft(r rune) bool {
	return r >= 0x0590 && r < 0x0900 || r >= 0xFB1D && r < 0xFE00 || r >= 0xFE70 && r < 0xFEFF
}

// visual puts words of right-to-left scripts into the order in which they stand on paper. It suits names and short
// phrases on one line. Where they stand among other words the line reads from left to right.
func visual(s string) string {
	if !strings.ContainsFunc(s, ofRightToLeft) {
		return s
	}
	var p bidi.Paragraph
	s = joined(s)
	if strings.ContainsFunc(s, func(r rune) bool { return unicode.IsLetter(r) && !ofRightToLeft(r) }) {
		s = leftToRight + s
	}
	if _, err := p.SetString(s); err != nil {
		return strings.TrimPrefix(s, leftToRight)
	}
	order, err := p.Order()
	if err != nil {
		return strings.TrimPrefix(s, leftToRight)
	}
	var b strings.Builder
	var leftward []string // runs that follow one another from right to left
	flush := func() {
		for _, run := range slices.Backward(leftward) {
			b.WriteString(run)
		}
		leftward = leftward[:0]
	}
	for i := range order.NumRuns() {
		run := order.Run(i)
		text := run.String()
		switch {
		case run.Direction() == bidi.RightToLeft:
			leftward = append(leftward, bidi.ReverseString(text))
		case len(leftward) > 0 && strings.ContainsFunc(text, unicode.IsDigit) && !strings.ContainsFunc(text, unicode.IsLetter):
			leftward = append(leftward, text) // a number among such words keeps its place among them
		default:
			flush()
			b.WriteString(text)
		}
	}
	flush()
	return strings.TrimPrefix(b.String(), leftToRight)
}

// Raised digits and signs, and the plain ones they are set with.
var raised = map[rune]rune{
	'⁰': '0', '¹': '1', '²': '2', '³': '3', '⁴': '4', '⁵': '5', '⁶': '6', '⁷': '7', '⁸': '8', '⁹': '9', '⁻': '−', '⁺': '+',
}

// Lowered digits likewise.
var lowered = map[rune]rune{
	'₀': '0', '₁': '1', '₂': '2', '₃': '3', '₄': '4', '₅': '5', '₆': '6', '₇': '7', '₈': '8', '₉': '9',
}

// Legible gives a name as it is to be printed: with the id in brackets after it where no face has some character of it.
func Legible(name, id string) string {
	if id == "" || id == name || isASCII(name) {
		return name
	}
	s := &setter{doc: &Document{}, fonts: newFontSet(), sheet: &Sheet{}, scale: 1}
	s.shape([]Inline{Text{S: name, Bold: true}}, s.body())
	if s.missing == 0 {
		return name
	}
	return name + " (" + id + ")"
}

func faceOf(t Text) int {
	switch {
	case t.Mono:
		return mono
	case t.Bold && t.Italic:
		return sansBoldItalic
	case t.Bold:
		return sansBold
	case t.Italic:
		return sansItalic
	}
	return sans
}

// maxShaped is how many runs of text a document remembers: several times what the pages of a class set repeat, and little
// enough for the memory they take.
const maxShaped = 2000

// shapeKey is what words hang on.
type shapeKey struct {
	base style
	runs string
}

// shape turns inlines into words of the given base style; bold inlines stay bold, and base.face replaces plain sans. Runs
// that come again in the document, such as the cautions of every sheet, are shaped once; callers leave the words as they
// are. Runs with a character that no face has are shaped each time, so that every sheet's note is told.
func (s *setter) shape(runs []Inline, base style) []word {
	s.key = appendRuns(s.key[:0], runs)
	if words, ok := s.shaped[shapeKey{base, string(s.key)}]; ok {
		return words
	}
	key, missing := shapeKey{base, string(s.key)}, s.missing
	words := s.shapeAnew(runs, base)
	if s.missing == missing {
		if s.shaped == nil || len(s.shaped) >= maxShaped {
			s.shaped = map[shapeKey][]word{}
		}
		s.shaped[key] = words
	}
	return words
}

// appendRuns appends what tells inlines from all others.
func appendRuns(b []byte, runs []Inline) []byte {
	for _, run := range runs {
		kind, text := byte('b'), ""
		switch run := run.(type) {
		case Text:
			kind, text = '0'+byte(faceOf(run)), run.S
		case Math:
			kind, text = 'm', run.TeX
		}
		b = binary.AppendUvarint(append(b, kind), uint64(len(text)))
		b = append(b, text...)
	}
	return b
}

func (s *setter) shapeAnew(runs []Inline, base style) []word {
	letters, gaps := 0, len(runs)
	for _, run := range runs {
		if t, ok := run.(Text); ok {
			letters, gaps = letters+len(t.S), gaps+strings.Count(t.S, " ")
		}
	}
	sh := shaper{s: s, words: make([]word, 0, gaps), atoms: make([]atom, 0, gaps), codes: make([]byte, 0, letters)}
	for _, run := range runs {
		switch run := run.(type) {
		case Text:
			st := base
			if f := faceOf(run); f != sans {
				st.face = f
				if f == sansItalic && (base.face == sansBold) {
					st.face = sansBoldItalic
				}
			}
			sh.text(clean(run.S), st)
		case Math:
			box, err := s.formula(run.TeX, base.size, false)
			if err != nil {
				s.fail(err)
				continue
			}
			sh.add(atom{math: box, st: base, w: box.w, read: box.read})
		case Break:
			sh.end(word{})
			if n := len(sh.words); n > 0 {
				sh.words[n-1].forced = true
			}
		}
	}
	sh.end(word{})
	tie(sh.words)
	return sh.words
}

func (sh *shaper) add(a atom) {
	sh.atoms = append(sh.atoms, a)
	n := len(sh.atoms)
	sh.cur.atoms = sh.atoms[n-len(sh.cur.atoms)-1 : n : n]
	sh.cur.w += a.w
}

// open tells whether the current word holds something.
func (sh *shaper) open() bool { return len(sh.cur.atoms) > 0 }

// end closes the current word; gap carries its space.
func (sh *shaper) end(gap word) {
	if !sh.open() {
		return
	}
	sh.cur.textual = string(sh.said)
	sh.cur.space, sh.cur.blank, sh.cur.tied = gap.space, gap.blank, gap.tied
	sh.words = append(sh.words, sh.cur)
	sh.cur, sh.said = word{}, sh.said[:0]
}

func (sh *shaper) text(t string, st style) {
	for len(t) > 0 {
		r, n := utf8.DecodeRuneInString(t)
		switch {
		case r == ' ' || r == '\u00A0':
			g, _ := sh.s.fonts.glyph(st.face, ' ')
			sh.s.fonts.used[g.part] = true
			if sh.open() {
				sh.end(word{space: g.w * st.size, blank: g.part, tied: r == '\u00A0'})
			} else if k := len(sh.words); k > 0 && sh.words[k-1].space == 0 && !sh.words[k-1].forced {
				sh.words[k-1].space = g.w * st.size
			}
		case r == '\u2009' || r == '\u202F' || r == '\u200A':
			sh.end(word{space: st.size / 6, tied: true})
		case raised[r] != 0:
			n = sh.script(t, st, raised, 0.34)
		case lowered[r] != 0:
			n = sh.script(t, st, lowered, -0.14)
		default:
			sh.rune(r, st)
		}
		t = t[n:]
	}
}

// script sets a run of raised or lowered characters as small plain ones, and returns the run's length in bytes.
// Native ² and ³ are used when they stand alone.
func (sh *shaper) script(t string, st style, table map[rune]rune, rise float64) int {
	n, native := 0, true
	var plain []rune
	for i, r := range t {
		p := table[r]
		if p == 0 {
			break
		}
		native = native && (r == '¹' || r == '²' || r == '³')
		plain = append(plain, p)
		n = i + utf8.RuneLen(r)
	}
	if native {
		for _, r := range t[:n] {
			sh.rune(r, st)
		}
		return n
	}
	small := st
	small.size, small.rise = st.size*0.68, st.rise+st.size*rise
	from := len(sh.cur.atoms)
	for _, r := range plain {
		sh.rune(r, small)
	}
	for i := from; i < len(sh.cur.atoms); i++ {
		sh.cur.atoms[i].read = t[:n]
	}
	return n
}

// rune appends one character to the current word.
func (sh *shaper) rune(r rune, st style) {
	g := sh.s.glyph(st.face, r)
	sh.said = utf8.AppendRune(sh.said, r)
	sh.codes = append(sh.codes, g.code)
	n := len(sh.codes)
	if k := len(sh.cur.atoms); k > 0 {
		if a := &sh.cur.atoms[k-1]; a.part == g.part && a.st == st && a.read == "" {
			a.text = sh.codes[n-len(a.text)-1 : n : n]
			a.w += g.w * st.size
			sh.cur.w += g.w * st.size
			return
		}
	}
	sh.add(atom{part: g.part, text: sh.codes[n-1 : n : n], st: st, w: g.w * st.size})
}

// glyph finds r or its visible replacement, and notes the latter.
func (s *setter) glyph(face int, r rune) glyph {
	g, ok := s.fonts.glyph(face, r)
	if !ok || r == '\uFFFD' {
		s.missing++
	}
	if !ok {
		s.lacks(r)
		g, _ = s.fonts.glyph(face, '\uFFFD')
	} else if r == '\uFFFD' {
		s.note("a character that cannot be printed is shown as \uFFFD")
	}
	s.fonts.used[g.part] = true
	return g
}

// lacks tells of a character that no face has, all those of a sheet in one note: a name may be of nothing else.
func (s *setter) lacks(r rune) {
	sheet := s.sheetName()
	i := slices.IndexFunc(s.lacking, func(l lack) bool { return l.sheet == sheet })
	if i < 0 {
		i = len(s.lacking)
		s.lacking = append(s.lacking, lack{sheet: sheet, note: len(s.notes)})
		s.notes = append(s.notes, Note{Sheet: sheet})
	}
	l := &s.lacking[i]
	if !slices.Contains(l.runes, r) {
		l.runes = append(l.runes, r)
		s.notes[l.note].Text = l.String()
	}
}

// A lack is what no face has of the characters on a sheet, in the order met, and the place of its note.
type lack struct {
	sheet string
	note  int
	runes []rune
}

func (l lack) String() string {
	if len(l.runes) == 1 {
		return fmt.Sprintf("no face has the character %q (U+%04X); it is printed as \uFFFD", l.runes[0], l.runes[0])
	}
	const most = 12 // told one by one
	told := make([]string, 0, most+1)
	for i, r := range l.runes {
		if i == most {
			told = append(told, fmt.Sprintf("and %d more", len(l.runes)-most))
			break
		}
		told = append(told, fmt.Sprintf("%q", r))
	}
	return "no face has the characters " + strings.Join(told, ", ") + "; each is printed as \uFFFD"
}

// extent is how far words reach above and below the baseline.
func extent(words []word) (up, down float64) {
	for i := range words {
		for _, a := range words[i].atoms {
			u, d := a.st.size*0.75+a.st.rise, a.st.size*0.22-a.st.rise
			if a.math != nil {
				u, d = a.math.up, a.math.down
			}
			up, down = max(up, u), max(down, d)
		}
	}
	return up, down
}

// setLine draws words from x on the baseline y. Neighbouring letters of one style are one string, spaces included.
func (p *pen) setLine(words []word, x, y float64) {
	var run atom
	start := x
	flush := func() {
		if len(run.text) > 0 {
			p.setGrey(run.st.grey)
			p.spanned(run.read, func() { p.text(run.part, run.st.size, start, y-run.st.rise, run.text) })
		}
		run = atom{}
	}
	for i := range words {
		w := &words[i]
		for _, a := range w.atoms {
			if a.math != nil {
				flush()
				p.setGrey(a.st.grey)
				p.spanned(a.read, func() { a.math.draw(p, x, y) })
			} else if a.part == run.part && a.st == run.st && a.read == run.read {
				run.text = append(run.text, a.text...)
			} else {
				flush()
				run = a
				run.text = append([]byte(nil), a.text...)
				start = x
			}
			x += a.w
		}
		if i < len(words)-1 && w.space > 0 {
			if w.blank != nil && w.blank == run.part && run.read == "" && run.st.rise == 0 {
				run.text = append(run.text, ' ')
			} else {
				flush()
			}
			x += w.space
		}
	}
	flush()
}

// spanned wraps what draw writes so that readers take `read` for it; "" wraps nothing. In a tagged document it is an
// element of its own between those of the words round it, since programs read nested content badly.
func (p *pen) spanned(read string, draw func()) {
	if read == "" || p.within != nil && p.within.alt != "" {
		draw()
		return
	}
	outer := p.within
	if outer != nil {
		p.end()
		p.beginAs(outer.child("Span"), read)
		draw()
		p.end()
		p.begin(outer)
		return
	}
	p.buf = append(p.buf, "/Span <</ActualText "...)
	p.buf = appendText(p.buf, read)
	p.op(">> BDC")
	draw()
	p.op("EMC")
}

// appendText appends a PDF text string, in UTF-16 unless it is plain ASCII.
func appendText(b []byte, s string) []byte {
	if isASCII(s) {
		return appendString(b, []byte(s))
	}
	const hex = "0123456789ABCDEF"
	b = append(b, "<FEFF"...)
	for _, r := range s {
		if r > 0xFFFF {
			r = '\uFFFD'
		}
		b = append(b, hex[r>>12&15], hex[r>>8&15], hex[r>>4&15], hex[r&15])
	}
	return append(b, '>')
}
