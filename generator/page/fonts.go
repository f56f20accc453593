package page

import (
	"bytes"
	"compress/zlib"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/dejavu/dejavusansbold"
	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansbolditalic"
	"codeberg.org/go-fonts/liberation/liberationsansitalic"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-fonts/liberation/liberationserifitalic"
	"codeberg.org/go-fonts/liberation/liberationserifregular"
	"github.com/jung-kurt/gofpdf"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The faces of the press. The body is sans; maths letters are serif italic. The fallback faces have wide coverage and
// stand in, rune by rune, for what the others lack.
const (
	sans = iota
	sansBold
	sansItalic
	sansBoldItalic
	serif
	serifItalic
	mono
	fallback
	fallbackBold
	faceCount
)

// tabled is the number of leading code points kept in arrays: Latin to mathematical operators.
const tabled = 0x2300

// maxPart is how many runes a part of a face holds beside the space: codes 33 to 255.
const maxPart = 223

// A face is one TrueType font. Its glyphs reach the paper in parts of at most 224 codes each, since the PDF writer is
// quick only with 8-bit fonts. The standard parts are the same for every document and are cut once a process.
type face struct {
	id    int
	name  string
	data  []byte
	once  sync.Once
	font  *sfnt.Font
	code  [tabled]uint16  // standard part in the high byte, code in the low; 0: in no standard part
	width [tabled]float32 // of the runes with a code, in em
	parts []*part
}

// A part is a face cut to some of its glyphs, with the bytes that stand for them.
type part struct {
	face  *face
	res   string // its name in the page's resources
	runes []rune // in the order of their codes, which run up from first
	first int
	cut   func() *cutFont
}

// cutFont is a part ready for the PDF writer.
type cutFont struct {
	def       []byte // the font's definition as the PDF writer wants it
	file      []byte // the cut TrueType file, compressed
	toUnicode []byte // CMap, compressed
}

// Standard parts. The first continues ASCII with what sheets use all the time; the second holds the other letters of
// European names, the third Greek and mathematical signs. Small parts keep files small: a part is embedded whole.
const (
	standardFirst  = "°±²³µ·×÷½£€–—‘’“”•…′−≈≤≥≠→ΔΩäéöü"
	standardSecond = "¡¢¤¥¦§¨©ª«¬®¯´¶¸¹º»¼¾¿ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖØÙÚÛÜÝÞßàáâãåæçèêëìíîïðñòóôõøùúûýþÿ" +
		"ĀāĂăĄąĆćČčĎďĐđĒēĖėĘęĚěĞğĢģĪīĮįİıĶķĹĺĻļĽľŁłŃńŅņŇňŌōŐőŒœŔŕŘřŚśŞşŠšŢţŤťŪūŮůŰűŲųŸŹźŻżŽžȘșȚț"
	standardThird    = "ΑΒΓΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨαβγδεζηθικλμνξοπρστυφχψωςϕϑ∂∆∏∑√∞∫←↑↓↔″‰†‡‹›‚„⁄∙"
	standardFallback = "⁺⁻⁰ⁱⁿ⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉∝∇∈∉⇒⇐⇔⇌∥∠⊥∴∀∃∓≡≪≫≅∼⊙⊗⊕□☐☑✓✗�▯ℓℏ"
)

// faces returns the shared faces, parsed but not yet measured.
var faces = sync.OnceValue(func() []*face {
	data := [faceCount][]byte{
		sans: liberationsansregular.TTF, sansBold: liberationsansbold.TTF, sansItalic: liberationsansitalic.TTF,
		sansBoldItalic: liberationsansbolditalic.TTF, serif: liberationserifregular.TTF,
		serifItalic: liberationserifitalic.TTF, mono: liberationmonoregular.TTF,
		fallback: dejavusans.TTF, fallbackBold: dejavusansbold.TTF,
	}
	names := [faceCount]string{
		"LiberationSans", "LiberationSans-Bold", "LiberationSans-Italic", "LiberationSans-BoldItalic",
		"LiberationSerif", "LiberationSerif-Italic", "LiberationMono", "DejaVuSans", "DejaVuSans-Bold",
	}
	all := make([]*face, faceCount)
	for i := range all {
		all[i] = &face{id: i, name: names[i], data: data[i]}
	}
	return all
})

// load parses the face and lays out its standard parts on first use.
func (f *face) load() *face {
	f.once.Do(func() {
		parsed, err := sfnt.Parse(f.data)
		if err != nil {
			panic("page: a bundled font cannot be read: " + err.Error())
		}
		f.font = parsed
		var buf sfnt.Buffer
		sets := []string{standardFirst, standardSecond, standardThird}
		if f.id >= fallback {
			sets = []string{standardFallback}
		}
		for i, set := range sets {
			first := 33
			if f.id < fallback && i == 0 {
				set, first = ascii()+set, 32
			}
			f.addStandard(i, first, set, &buf)
		}
	})
	return f
}

func ascii() string {
	var b strings.Builder
	for r := rune(32); r < 127; r++ {
		b.WriteRune(r)
	}
	return b.String()
}

func (f *face) addStandard(i, first int, set string, buf *sfnt.Buffer) {
	p := newPart(f, fmt.Sprintf("F%d.%d", f.id, i), nil, first)
	for _, r := range set {
		w := f.measure(r, buf)
		if w < 0 {
			continue
		}
		if r < tabled {
			f.code[r], f.width[r] = uint16(i<<8|(first+len(p.runes))), w
		}
		p.runes = append(p.runes, r)
	}
	f.parts = append(f.parts, p)
}

func newPart(f *face, res string, runes []rune, first int) *part {
	p := &part{face: f, res: res, runes: runes, first: first}
	p.cut = sync.OnceValue(p.make)
	return p
}

// measure asks the font for the advance of r, in em; -1 when it has no glyph.
func (f *face) measure(r rune, buf *sfnt.Buffer) float32 {
	g, err := f.font.GlyphIndex(buf, r)
	if err != nil || g == 0 {
		return -1
	}
	em := f.font.UnitsPerEm()
	adv, err := f.font.GlyphAdvance(buf, g, fixed.Int26_6(em), font.HintingNone)
	if err != nil {
		return -1
	}
	return float32(adv) / float32(em)
}

// advance returns the width of r in em, negative when the face has no glyph for it.
func (f *face) advance(r rune) float64 {
	if r < tabled && f.code[r] != 0 {
		return float64(f.width[r])
	}
	return float64(f.measure(r, new(sfnt.Buffer)))
}

func (f *face) has(r rune) bool { return f.advance(r) >= 0 }

// metrics are those of the font descriptor, in thousandths of an em.
func (f *face) metrics() (ascent, descent, capHeight int, box [4]int) {
	var buf sfnt.Buffer
	em := f.font.UnitsPerEm()
	k := func(v fixed.Int26_6) int { return int(v) * 1000 / int(em) }
	if m, err := f.font.Metrics(&buf, fixed.Int26_6(em), font.HintingNone); err == nil {
		ascent, descent, capHeight = k(m.Ascent), -k(m.Descent), k(m.CapHeight)
	}
	if b, err := f.font.Bounds(&buf, fixed.Int26_6(em), font.HintingNone); err == nil {
		box = [4]int{k(b.Min.X), -k(b.Max.Y), k(b.Max.X), -k(b.Min.Y)}
	}
	return ascent, descent, capHeight, box
}

// make cuts the part out of its face.
func (p *part) make() *cutFont {
	type boundingBox struct{ Xmin, Ymin, Xmax, Ymax int }
	type descriptor struct {
		Ascent, Descent, CapHeight, Flags, ItalicAngle, StemV, MissingWidth int
		FontBBox                                                            boundingBox
	}
	def := struct {
		Tp, Name     string
		Desc         descriptor
		Cw           []int
		Diff, File   string
		OriginalSize int
	}{Tp: "TrueType", Name: p.baseName(), File: p.res + ".z", Cw: make([]int, 256)}
	var diff strings.Builder
	fmt.Fprintf(&diff, "%d", p.first)
	def.Cw[' '] = int(p.face.advance(' ')*1000 + 0.5)
	for i, r := range p.runes {
		def.Cw[p.first+i] = int(p.face.advance(r)*1000 + 0.5)
		if r == ' ' {
			diff.WriteString(" /space")
		} else {
			fmt.Fprintf(&diff, " /uni%04X", r)
		}
	}
	def.Diff = diff.String()
	asc, desc, capHeight, box := p.face.metrics()
	def.Desc = descriptor{Ascent: asc, Descent: desc, CapHeight: capHeight, Flags: 32, StemV: 80,
		FontBBox: boundingBox{box[0], box[1], box[2], box[3]}}
	if strings.Contains(p.face.name, "Italic") {
		def.Desc.ItalicAngle, def.Desc.Flags = -12, 32|64
	}
	file := slim(cutFile(p))
	def.OriginalSize = len(file)
	data, err := json.Marshal(def)
	if err != nil {
		panic(err) // plain strings and numbers only
	}
	return &cutFont{def: data, file: deflated(file, zlib.BestCompression), toUnicode: deflated(p.unicodeMap(), zlib.BestCompression)}
}

// cutFile cuts the TrueType file. The cutter writes into the bytes it is given, so it gets its own.
func cutFile(p *part) []byte {
	return gofpdf.UTF8CutFont(slices.Clone(p.face.data), string(p.runes)+" ")
}

// baseName is the font's name in the PDF, tagged as a subset.
func (p *part) baseName() string {
	tag := []byte("AAAAAA")
	for i, h := 0, hash(p.res+string(p.runes)); i < len(tag); i, h = i+1, h/26 {
		tag[i] = 'A' + byte(h%26)
	}
	return string(tag) + "+" + p.face.name
}

// unicodeMap is the CMap by which programs read the part's bytes as text.
func (p *part) unicodeMap() []byte {
	var b bytes.Buffer
	b.WriteString("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n" +
		"/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n" +
		"/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n1 begincodespacerange\n<00> <FF>\nendcodespacerange\n")
	codes := p.runes
	for start := 0; start < len(codes); start += 100 {
		end := min(start+100, len(codes))
		fmt.Fprintf(&b, "%d beginbfchar\n", end-start)
		for i := start; i < end; i++ {
			fmt.Fprintf(&b, "<%02X> <%04X>\n", p.first+i, codes[i])
		}
		b.WriteString("endbfchar\n")
	}
	b.WriteString("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n")
	return b.Bytes()
}

// A fontSet holds the parts one document uses. Parts beyond the standard ones grow as runes come up, so that they depend
// on the document alone and its bytes repeat.
type fontSet struct {
	used  map[*part]bool
	extra map[rune]glyph // keyed by rune | face<<21
	open  [faceCount]*part
	parts []*part // the extra ones
}

// A glyph is a rune's place in a part.
type glyph struct {
	part *part
	code byte
	w    float64 // in em
}

func newFontSet() *fontSet {
	return &fontSet{used: map[*part]bool{}, extra: map[rune]glyph{}}
}

// glyph finds r in face id, else in the fallback face; ok is false when neither has it.
func (s *fontSet) glyph(id int, r rune) (g glyph, ok bool) {
	f := faces()[id].load()
	if r < tabled {
		if c := f.code[r]; c != 0 {
			return glyph{f.parts[c>>8], byte(c), float64(f.width[r])}, true
		}
	}
	if g, ok := s.extra[r|rune(id)<<21]; ok {
		return g, true
	}
	if f.has(r) {
		g = s.addExtra(f, r)
	} else if id < fallback {
		stand := fallback
		if id == sansBold || id == sansBoldItalic {
			stand = fallbackBold
		}
		if g, ok = s.glyph(stand, r); !ok {
			return g, false
		}
	} else {
		return g, false
	}
	s.extra[r|rune(id)<<21] = g
	return g, true
}

func (s *fontSet) addExtra(f *face, r rune) glyph {
	p := s.open[f.id]
	if p == nil || len(p.runes) == maxPart {
		p = newPart(f, fmt.Sprintf("X%d.%d", f.id, len(s.parts)), nil, 33)
		s.open[f.id] = p
		s.parts = append(s.parts, p)
	}
	p.runes = append(p.runes, r)
	return glyph{p, byte(32 + len(p.runes)), f.advance(r)}
}

// sorted returns the used parts in a fixed order.
func (s *fontSet) sorted() []*part {
	var out []*part
	for p := range s.used {
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b *part) int { return strings.Compare(a.res, b.res) })
	return out
}

// standard tells whether the part is one that all documents share.
func (p *part) standard() bool { return p.res[0] == 'F' }
