package quantity

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// written maps characters to plain ones before compatibility folding would lose what they mean: NFKC turns 10³ into 103,
// 2½ into 21⁄2 and º into o.
var written = func() map[rune]string {
	m := map[rune]string{}
	put := func(from, to string) {
		for _, r := range from {
			m[r] = to
		}
	}
	put("−‐‑‒–—﹣－⁃", "-")
	put("×✕✖⨯·⋅∙•‧・*＊⨉", "*")
	put("÷∕⁄／", "/")
	put("º˚∘", "°")
	put("’‘ʼ`´＇", "'")
	put("″“”", `"`)
	put("٫．｡。", ".")
	put("٬", "'")
	put("，﹐、", ",")
	put("≈≃≅∼～", "~")
	put("＝", "=")
	put("＋", "+")
	put("٪", "%")
	put("\u2126", "Ω") // the ohm sign U+2126 becomes the Greek letter
	put("\u03bc", "µ") // and Greek mu the micro sign, which kinds is written with
	put("\u200b\u200c\u200d\u2060\ufeff\u200e\u200f\u202a\u202b\u202c\u2066\u2067\u2068\u2069\u00ad", "")
	put("\u00a0\u2007\u2009\u200a\u202f\u2002\u2003\u2004\u2005\u2006\u2008\u3000\t\n\r", " ")
	for r, to := range map[rune]string{'½': "1/2", '⅓': "1/3", '⅔': "2/3", '¼': "1/4", '¾': "3/4", '⅕': "1/5", '⅖': "2/5", '⅗': "3/5",
		'⅘': "4/5", '⅙': "1/6", '⅚': "5/6", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8"} {
		m[r] = " " + to
	}
	return m
}()

// raised are the superscripts, which become a power.
var raised = map[rune]byte{'⁰': '0', '¹': '1', '²': '2', '³': '3', '⁴': '4', '⁵': '5', '⁶': '6', '⁷': '7', '⁸': '8', '⁹': '9', '⁻': '-', '⁺': '+'}

// fold rewrites an answer with the few characters that the readers know: ASCII digits and signs, * for every raised dot
// and multiplication sign, ^ before what was raised, single spaces, none at the ends.
func fold(s string) string {
	var b strings.Builder
	power := false
	for _, r := range s {
		if digit, ok := raised[r]; ok {
			if !power && !strings.HasSuffix(b.String(), "^") {
				b.WriteByte('^')
			}
			power = true
			b.WriteByte(digit)
			continue
		}
		power = false
		if to, ok := written[r]; ok {
			b.WriteString(to)
			continue
		}
		if v, ok := digitValue(r); ok {
			b.WriteByte('0' + v)
			continue
		}
		if r < 0x80 {
			b.WriteRune(r)
			continue
		}
		for _, c := range norm.NFKC.String(string(r)) {
			if to, ok := written[c]; ok {
				b.WriteString(to)
			} else {
				b.WriteRune(c)
			}
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// digitValue gives the value of a decimal digit of any script. The digits of a script follow each other in Unicode, and
// a range of decimal digits begins with a zero.
func digitValue(r rune) (byte, bool) {
	if r < 0x80 || !unicode.Is(unicode.Nd, r) {
		return 0, false
	}
	zero := r
	for unicode.Is(unicode.Nd, zero-1) {
		zero--
	}
	return byte((r - zero) % 10), true
}

// isSymbol tells whether r can be part of a unit's symbol or name.
func isSymbol(r rune) bool {
	return unicode.IsLetter(r) || r == '°' || r == '%' || r == '"'
}
