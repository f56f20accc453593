package plot

import (
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-fonts/liberation/liberationserifitalic"
	"codeberg.org/go-fonts/liberation/liberationserifregular"
	stdfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// typeface is one of the faces that labels use.
type typeface uint8

const (
	sans typeface = iota
	sansBold
	serif
	serifItalic
)

// face is a parsed face with the advance widths of its first runes, in ems, since every label is measured.
type face struct {
	font     font.Font
	parsed   *opentype.Font
	advances [0x400]float64 // Latin and Greek
}

var faces = sync.OnceValue(func() []*face {
	return []*face{
		sans:        parseFace(font.Font{Variant: "Sans"}, liberationsansregular.TTF),
		sansBold:    parseFace(font.Font{Variant: "Sans", Weight: stdfont.WeightBold}, liberationsansbold.TTF),
		serif:       parseFace(font.Font{Variant: "Serif"}, liberationserifregular.TTF),
		serifItalic: parseFace(font.Font{Variant: "Serif", Style: stdfont.StyleItalic}, liberationserifitalic.TTF),
	}
})

func parseFace(f font.Font, ttf []byte) *face {
	parsed, err := opentype.Parse(ttf)
	if err != nil {
		panic("plot: built-in face " + f.Name() + ": " + err.Error())
	}
	f.Typeface = "Liberation"
	a := &face{font: f, parsed: parsed}
	buf := new(sfnt.Buffer)
	for r := range a.advances {
		a.advances[r] = a.measure(buf, rune(r))
	}
	return a
}

func (a *face) measure(buf *sfnt.Buffer, r rune) float64 {
	upem := a.parsed.UnitsPerEm()
	glyph, err := a.parsed.GlyphIndex(buf, r)
	if err != nil {
		return 0
	}
	adv, err := a.parsed.GlyphAdvance(buf, glyph, fixed.Int26_6(upem), stdfont.HintingNone)
	if err != nil {
		return 0
	}
	return float64(adv) / float64(upem)
}

// width is the width of s in ems, without kerning, which PDF text does not have either.
func (a *face) width(s string) (w float64) {
	for _, r := range s {
		if int(r) < len(a.advances) {
			w += a.advances[r]
		} else {
			w += a.measure(new(sfnt.Buffer), r)
		}
	}
	return w
}

// at is the face at a size, as a canvas wants it.
func (t typeface) at(size float64) font.Face {
	a := faces()[t]
	f := a.font
	f.Size = vg.Length(size)
	return font.Face{Font: f, Face: a.parsed}
}

// run is a stretch of one face, set rise above the base line.
type run struct {
	face       typeface
	size, rise float64
	text       string
	width      float64
}

// text is a line of runs, measured.
type text struct {
	runs                   []run
	width, ascent, descent float64
}

// Sub- and superscripts: their size and how far they are shifted, as shares of the size of their base.
const (
	scriptSize = 0.72
	supRise    = 0.36
	subDrop    = 0.20
)

// setText measures a label: plain text in the upright face, $…$ in TeX notation, Unicode superscripts as raised digits.
func setText(s string, size float64) text { return setTextIn(sans, s, size) }

func setTextIn(base typeface, s string, size float64) text {
	t := text{}
	for s != "" {
		plain, rest, found := strings.Cut(s, "$")
		tex, after, closed := strings.Cut(rest, "$")
		if !found || !closed {
			plain, tex, after = s, "", ""
		}
		t.addPlain(base, plain, size)
		p := texParser{src: tex, out: &t}
		p.group(size, 0, false)
		s = after
	}
	for _, r := range t.runs {
		t.width += r.width
		t.ascent = max(t.ascent, r.rise+0.72*r.size)
		t.descent = max(t.descent, 0.21*r.size-r.rise)
	}
	return t
}

var superscripts = map[rune]rune{'⁰': '0', '¹': '1', '²': '2', '³': '3', '⁴': '4', '⁵': '5', '⁶': '6', '⁷': '7', '⁸': '8', '⁹': '9', '⁻': '−', '⁺': '+'}

// addPlain adds text that has no notation but its superscripts.
func (t *text) addPlain(base typeface, s string, size float64) {
	plain := 0 // where the letters not yet added begin
	for i, r := range s {
		if r >= ' ' && r < 0x7f {
			continue // the common case, without a look into the map
		}
		digit, super := superscripts[r]
		if !super && !unicode.IsControl(r) && r != utf8.RuneError {
			continue
		}
		t.add(base, s[plain:i], size, 0)
		if super {
			t.add(base, string(digit), size*scriptSize, size*supRise)
		}
		_, n := utf8.DecodeRuneInString(s[i:])
		plain = i + n
	}
	t.add(base, s[plain:], size, 0)
}

// add appends text, joined to the last run where they look alike.
func (t *text) add(f typeface, s string, size, rise float64) {
	if s == "" {
		return
	}
	w := faces()[f].width(s) * size
	if n := len(t.runs); n > 0 {
		if last := &t.runs[n-1]; last.face == f && last.size == size && last.rise == rise {
			last.text += s
			last.width += w
			return
		}
	}
	t.runs = append(t.runs, run{f, size, rise, s, w})
}

// texParser sets a symbol in TeX notation: letters, Greek, _ and ^, braces, \text and \mathrm, and the signs below.
// Other commands are set as their names; the press has checked them.
type texParser struct {
	src string
	out *text
}

var texSigns = map[string]string{
	"alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "varepsilon": "ε", "zeta": "ζ", "eta": "η",
	"theta": "θ", "iota": "ι", "kappa": "κ", "lambda": "λ", "mu": "μ", "nu": "ν", "xi": "ξ", "pi": "π", "rho": "ρ",
	"sigma": "σ", "tau": "τ", "upsilon": "υ", "phi": "φ", "varphi": "φ", "chi": "χ", "psi": "ψ", "omega": "ω",
	"Gamma": "Γ", "Delta": "Δ", "Theta": "Θ", "Lambda": "Λ", "Xi": "Ξ", "Pi": "Π", "Sigma": "Σ", "Phi": "Φ", "Psi": "Ψ",
	"Omega": "Ω", "times": "×", "cdot": "·", "approx": "≈", "pm": "±", "le": "≤", "ge": "≥", "degree": "°", "sum": "Σ",
	"vec": "", "hat": "", "bar": "", "overline": "", "left": "", "right": "", "to": "→", "circ": "°", ",": "\u2009",
}

// group sets the source up to its end or to the closing brace.
func (p *texParser) group(size, rise float64, upright bool) {
	for p.src != "" && p.src[0] != '}' {
		p.token(size, rise, upright)
	}
	p.src = strings.TrimPrefix(p.src, "}")
}

// token sets one letter, command, script or group.
func (p *texParser) token(size, rise float64, upright bool) {
	r, n := utf8.DecodeRuneInString(p.src)
	p.src = p.src[n:]
	switch r {
	case '{':
		p.group(size, rise, upright)
	case '_', '^':
		shift := -subDrop * size
		if r == '^' {
			shift = supRise * size
		}
		if p.src != "" {
			p.token(size*scriptSize, rise+shift, upright)
		}
	case '\\':
		p.command(size, rise, upright)
	case '-':
		p.out.add(serif, "−", size, rise)
	case ' ':
		if upright {
			p.out.add(serif, " ", size, rise)
		}
	default:
		if unicode.IsLetter(r) && !upright {
			p.out.add(serifItalic, string(r), size, rise)
		} else {
			p.out.add(serif, string(r), size, rise)
		}
	}
}

func (p *texParser) command(size, rise float64, upright bool) {
	n := strings.IndexFunc(p.src, func(r rune) bool { return !unicode.IsLetter(r) })
	if n < 0 {
		n = len(p.src)
	}
	if n == 0 && p.src != "" {
		_, n = utf8.DecodeRuneInString(p.src)
	}
	name := p.src[:n]
	p.src = strings.TrimPrefix(p.src[n:], " ")
	if name == "text" || name == "mathrm" {
		if p.src != "" {
			p.token(size, rise, true)
		}
		return
	}
	sign, ok := texSigns[name]
	switch {
	case !ok:
		p.out.add(serif, name, size, rise)
	case sign >= "α" && sign <= "ω" && !upright:
		p.out.add(serifItalic, sign, size, rise)
	case sign != "":
		p.out.add(serif, sign, size, rise)
	}
}

// short cuts a name that would not fit beside a drawing.
func short(s string, runes int) string {
	r := []rune(s)
	if len(r) <= runes {
		return s
	}
	return strings.TrimRight(string(r[:runes-1]), " ") + "…"
}

// symbolOf makes a symbol of an element's or value's name: R1 is R with subscript 1, rho_w is ρ with subscript w.
func symbolOf(name string) string {
	head, sub, found := strings.Cut(name, "_")
	if !found {
		head = strings.TrimRightFunc(name, unicode.IsDigit)
		sub = name[len(head):]
	}
	if _, greek := texSigns[head]; greek {
		head = `\` + head
	}
	if head == "" || sub == "" {
		return "$" + strings.ReplaceAll(name, "_", " ") + "$"
	}
	if utf8.RuneCountInString(sub) > 1 && strings.IndexFunc(sub, unicode.IsLetter) >= 0 {
		sub = `\mathrm{` + sub + "}" // a word
	}
	return "$" + head + "_{" + sub + "}$"
}
