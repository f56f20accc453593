package page

import "testing"

// Forms by the code charts of Arabic Presentation Forms-A and -B (The Unicode Standard).
func TestJoinedArabic(t *testing.T) {
	for in, want := range map[string]string{
		"محمد":     "\uFEE3\uFEA4\uFEE4\uFEAA",                         // meem initial, hah medial, meem medial, dal final
		"سلام":     "\uFEB3\uFEFC\uFEE1",                               // lam with alef is one sign, and alef reaches for nothing
		"لا":       "\uFEFB",                                           // by itself
		"دار":      "\uFEA9\uFE8D\uFEAD",                               // dal, alef and reh join nothing after them
		"پگاه":     "\uFB58\uFB95\uFE8E\uFEE9",                         // letters of Persian
		"مُحَمَّد": "\uFEE3\u064F\uFEA4\u064E\uFEE4\u064E\u0651\uFEAA", // vowel signs part nothing
		"نور 3":    "\uFEE7\uFEEE\uFEAD 3",
		"ء":        "ء", // hamza joins nothing
		"Lea":      "Lea",
	} {
		if got := joined(in); got != want {
			t.Errorf("%s: %U, want %U", in, []rune(got), []rune(want))
		}
	}
}

// Every form of the letters of Arabic and Persian is in a face.
func TestArabicFaces(t *testing.T) {
	letters, ligatures := arabicForms()
	forms := [][]rune{ligatures['ا'], ligatures['أ'], ligatures['إ'], ligatures['آ']}
	for _, r := range "ابتثجحخدذرزسشصضطظعغفقكلمنهويةىآأإؤئپچژکگی" {
		forms = append(forms, letters[r])
	}
	set := newFontSet()
	for _, list := range forms {
		if len(list) < 2 {
			t.Fatalf("%U: too few forms", list)
		}
		for _, r := range list {
			for _, face := range []int{sans, sansBold} {
				if _, ok := set.glyph(face, r); !ok {
					t.Errorf("no face has %c (%U)", r, r)
				}
			}
		}
	}
}
