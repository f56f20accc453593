package page

import (
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// The forms that an Arabic letter has in Unicode's charts, in their order there.
const (
	isolated = iota
	final    // joined to the letter before it
	initial  // to the one after it
	medial   // to both
)

const lam = 'ل'

// arabicForms are the presentation forms of letters, two where a letter joins only the one before it, and four; ligatures
// are those of lam with the alef that follows it. Both are read off the compatibility decompositions of the two blocks of
// such forms (The Unicode Standard, 9.2).
var arabicForms = sync.OnceValues(func() (letters, ligatures map[rune][]rune) {
	letters, ligatures = map[rune][]rune{}, map[rune][]rune{}
	for _, block := range [][2]rune{{0xFB50, 0xFBB1}, {0xFBFC, 0xFBFF}, {0xFE80, 0xFEFC}} {
		for r := block[0]; r <= block[1]; r++ {
			switch base := []rune(norm.NFKC.String(string(r))); {
			case len(base) == 1 && base[0] != r:
				letters[base[0]] = append(letters[base[0]], r)
			case len(base) == 2 && base[0] == lam:
				ligatures[base[1]] = append(ligatures[base[1]], r)
			}
		}
	}
	return letters, ligatures
})

// joined gives Arabic letters, in the order they are read, the forms they take beside each other. Vowel signs above and below
// part nothing.
func joined(s string) string {
	letters, ligatures := arabicForms()
	in := []rune(s)
	// next is the place of the letter after i; len(in) when there is none.
	next := func(i int) int {
		for i++; i < len(in) && unicode.Is(unicode.Mn, in[i]); i++ {
		}
		return i
	}
	var out []rune
	linked := false // the letter before reaches for this one
	for i := 0; i < len(in); i++ {
		forms := letters[in[i]]
		if len(forms) < 2 {
			out = append(out, in[i])
			linked = linked && unicode.Is(unicode.Mn, in[i])
			continue
		}
		if in[i] == lam && i+1 < len(in) && ligatures[in[i+1]] != nil {
			forms = ligatures[in[i+1]]
			i++
		}
		form := isolated
		if linked {
			form = final
		}
		after := next(i)
		linked = len(forms) == 4 && after < len(in) && len(letters[in[after]]) >= 2
		if linked {
			form += initial - isolated
		}
		out = append(out, forms[form])
	}
	return string(out)
}
