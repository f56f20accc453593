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

// Names of right-to-left scripts stand in lines that read from left to right: what parts them keeps its side.
func TestVisual(t *testing.T) {
	for in, want := range map[string]string{
		"אבג":            "גבא",
		"אבג, def":       "גבא, def",
		"אבג, def {{m}}": "גבא, def {{m}}",
		"def, אבג.":      "def, גבא.",
		"אבג (דה)":       "(הד) גבא",
		"אבג 12 דה":      "הד 12 גבא",
		"אבג 12":         "12 גבא",
		"Lea (2)":        "Lea (2)",
	} {
		if got := visual(in); got != want {
			t.Errorf("%s: %q, want %q", in, got, want)
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

// A name that no face can print has the pupil's id beside it.
func TestLegible(t *testing.T) {
	for name, want := range map[string]string{"李小龙": "李小龙 (s7)", "Łukasz Ångström": "Łukasz Ångström", "محمد": "محمد", "Ada": "Ada", "": ""} {
		if got := Legible(name, "s7"); got != want {
			t.Errorf("%s is printed as %s, want %s", name, got, want)
		}
	}
	if got := Legible("李", ""); got != "李" {
		t.Errorf("without an id: %s", got)
	}
}
