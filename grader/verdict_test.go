package grader

import (
	"math"
	"strings"
	"testing"

	"keelmark/labs/classset"
)

// Sheet 1 has Wa = 4.62 N, Ww = 4.07 N, d = 40 mm: Fb = 0.55 N, V_s = 0.55/(998.2·9.81) m³ = 56.167 cm³,
// rho = 4.62/9.81/56.167e-6 = 8384.9 kg/m³, area = 12.566 cm², n = ceil(18.18) = 19, which = brass (the fourth).
var right = map[string]string{"Fb": "0.55 N", "V_s": "56.2 cm^3", "rho": "8385 kg/m^3", "area": "12.6", "n": "19",
	"which": "brass", "load": "2.3", "half": "2.01", "why": "2"}

// but is the right answers with some of them changed.
func but(changes map[string]string) map[string]string {
	written := map[string]string{}
	for q, text := range right {
		written[q] = text
	}
	for q, text := range changes {
		written[q] = text
	}
	return written
}

func markOne(t *testing.T, written map[string]string) map[string]*classset.Answer {
	t.Helper()
	set := testSet()
	marks, err := MarkSheet(testLab(t), set, set.Sheets[0], written)
	if err != nil {
		t.Fatal(err)
	}
	answers := map[string]*classset.Answer{}
	for _, a := range marks.Answers {
		answers[a.Question] = a
	}
	return answers
}

func TestVerdicts(t *testing.T) {
	type m = map[string]string
	cases := []struct {
		name     string
		written  m
		question string
		verdict  string
		marks    int
		says     string // part of the message, the teacher's line or a note
	}{
		{"right", nil, "Fb", "right", 2, ""},
		{"a bare number is in the printed unit", m{"Fb": "0.55"}, "Fb", "right", 2, ""},
		{"another unit is converted", m{"Fb": "550 mN"}, "Fb", "right", 2, ""},
		{"a decimal comma", m{"Fb": "0,55 N"}, "Fb", "right", 2, ""},
		{"the direction asked for", m{"Fb": "0.55 N upwards"}, "Fb", "right", 2, ""},
		{"the opposite direction", m{"Fb": "0.55 N down"}, "Fb", "slip", 1, "points up"},
		{"a direction on another axis", m{"Fb": "0.55 N left"}, "Fb", "by hand", 0, "left"},
		{"a difference: one unit of the last printed digit", m{"Fb": "0.56"}, "Fb", "right", 2, ""},
		{"a difference: more than that", m{"Fb": "0.57"}, "Fb", "wrong", 0, "close"},
		{"a listed mistake has its own marks", m{"Fb": "8.69 N"}, "Fb", "slip", 0, "weight of 4.62"},
		{"calculated: within 2 %", m{"V_s": "57.2"}, "V_s", "right", 2, ""},
		{"calculated: beyond 2 % and three-figure rounding", m{"V_s": "57.9"}, "V_s", "wrong", 0, ""},
		{"a power of ten", m{"V_s": "0.562"}, "V_s", "slip", 1, ""},
		{"blank", m{"V_s": ""}, "V_s", "blank", 0, ""},
		{"a question mark", m{"V_s": "?"}, "V_s", "unread", 0, ""},
		{"two answers in one box", m{"V_s": "55 or 56"}, "V_s", "unread", 0, ""},
		{"the unit of something else, and no sense in it", m{"Fb": "3.3 s"}, "Fb", "unread", 0, "not a unit"},
		{"the right number in the wrong kind of unit", m{"Fb": "0.55 kg"}, "Fb", "slip", 1, "does not measure"},
		{"a mass for a force", m{"Fb": "56.1 g"}, "Fb", "slip", 1, "multiply the mass"},
		{"a unit that had to be given", m{"rho": "8385"}, "rho", "slip", 2, "unit"},
		{"that unit in other words", m{"rho": "8.385 g/cc"}, "rho", "right", 3, ""},
		{"too many figures where they cost a mark", m{"area": "12.566"}, "area", "slip", 1, "significant"},
		{"too few", m{"area": "13"}, "area", "wrong", 0, ""},
		{"figures that cost nothing are noted", m{"V_s": "56.1670"}, "V_s", "right", 2, "significant"},
		{"within the tolerance of one's own right answer, not of the truth", m{"Fb": "0.56", "V_s": "58.2"}, "V_s", "right", 2, ""},
		{"but not without it", m{"V_s": "58.2"}, "V_s", "wrong", 0, ""},
		{"carried through one step", m{"V_s": "77.7", "rho": "6061 kg/m3"}, "rho", "carried", 3, "question 2"},
		{"carried through two", m{"Fb": "0.75", "V_s": "76.6", "rho": "6148 kg/m3"}, "rho", "carried", 3, "question 2"},
		{"the truth after a wrong answer is right", m{"V_s": "77.7"}, "rho", "right", 3, ""},
		{"a carried choice", m{"rho": "7140 kg/m3", "which": "zinc"}, "which", "carried", 1, "question 3"},
		{"after a blank the truth holds, and that is said", m{"V_s": ""}, "rho", "right", 3, "no answer could be read for question 2"},
		{"a step that is impossible", m{"Fb": "0", "V_s": "12"}, "rho", "right", 3, ""},
		{"a division by the pupil's own zero", m{"V_s": "0", "rho": "5"}, "rho", "by hand", 0, "impossible"},
		{"a negative volume that follows", m{"Fb": "-0.75", "V_s": "-76.6"}, "V_s", "by hand", 0, "meaningless"},
		{"steps must match", m{"n": "18"}, "n", "wrong", 0, ""},
		{"steps from the pupil's own answer", m{"Fb": "0.75", "n": "14"}, "n", "carried", 1, "question 1"},
		{"a choice by its letter", m{"which": "(d)"}, "which", "right", 1, ""},
		{"a choice by letter and text", m{"which": "D: Brass."}, "which", "right", 1, ""},
		{"letter and text at odds", m{"which": "A: brass"}, "which", "unread", 0, "stands beside it"},
		{"two letters at once", m{"which": "D or C"}, "which", "unread", 0, `letter D is "brass" on this sheet, and "or c" stands beside it`},
		{"a choice by a bare number", m{"which": "4"}, "which", "unread", 0, "letters"},
		{"another choice", m{"which": "zinc"}, "which", "wrong", 0, "brass"},
		{"from the pupil's own reading", m{"load": "2.0", "half": "2.31"}, "half", "right", 2, ""},
		{"even if that is not plausible", m{"load": "9", "half": "0.513"}, "half", "right", 2, "check this reading"},
		{"without the reading", m{"load": ""}, "half", "by hand", 0, "missing"},
		{"with a reading nobody can read", m{"load": "2.3.1"}, "half", "by hand", 0, "cannot be read"},
		{"by hand", nil, "why", "by hand", 2, ""},
		{"by hand, not yet", m{"why": ""}, "why", "by hand", 0, "0 to 2"},
		{"by hand, too many", m{"why": "3"}, "why", "by hand", 0, "0 to 2"},
		{"working in a wrong answer", m{"V_s": "99.1", "V_s.working": "1"}, "V_s", "wrong", 1, "working"},
		{"at most all but one", m{"V_s": "99.1", "V_s.working": "2"}, "V_s", "wrong", 1, "working"},
		{"no working in a right one", m{"V_s.working": "1"}, "V_s", "right", 2, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			a := markOne(t, but(c.written))[c.question]
			if a.Verdict != c.verdict || a.Marks != c.marks {
				t.Errorf("%s %q: %s, %d marks; want %s, %d\n%+v", c.question, a.Written, a.Verdict, a.Marks, c.verdict, c.marks, *a)
			}
			all := a.Message + "\n" + a.Teacher + "\n" + strings.Join(a.Notes, "\n")
			if !strings.Contains(all, c.says) {
				t.Errorf("says %q; want %q in it", all, c.says)
			}
			if open := c.verdict == "unread" || c.verdict == "by hand" && c.says != ""; a.Open != open {
				t.Errorf("open is %v", a.Open)
			}
		})
	}
}

// One value of g holds for a sheet: the one that earns most.
func TestGravity(t *testing.T) {
	set, lab := testSet(), testLab(t)
	// 0.55/(998.2·10) m³ = 55.1 cm³ is within 2 % of 56.17; a weight to four figures in a lab of exact tolerance would
	// not be. So the value of g shows only where it must: 4.62/10/55.1e-6 = 8385, the same.
	marks, err := MarkSheet(lab, set, set.Sheets[0], but(map[string]string{"V_s": "55.1", "rho": "8385 kg/m3"}))
	if err != nil {
		t.Fatal(err)
	}
	if marks.Gravity != 9.81 || marks.Total != marks.OutOf {
		t.Errorf("g = %v, %d of %d; ties go to the set's own", marks.Gravity, marks.Total, marks.OutOf)
	}
	marks, err = MarkSheet(lab, set, set.Sheets[0], but(map[string]string{"V_s": "54.9"})) // 2.3 % off with 9.81, 0.4 % with 10
	if err != nil {
		t.Fatal(err)
	}
	if marks.Gravity != 10 || marks.Total != marks.OutOf {
		t.Errorf("g = %v, %d of %d; want 10 and all", marks.Gravity, marks.Total, marks.OutOf)
	}
}

// The same fault of unit costs its mark once a sheet.
func TestOnce(t *testing.T) {
	a := markOne(t, but(map[string]string{"Fb": "0.55 kg", "V_s": "56.2 mm"}))
	if a["Fb"].Marks != 1 || a["V_s"].Marks != 2 || len(a["V_s"].Notes) == 0 {
		t.Errorf("Fb %d, V_s %d with notes %q; want 1, then 2 with a note", a["Fb"].Marks, a["V_s"].Marks, a["V_s"].Notes)
	}
}

// What a single comma means is settled by the answers that leave no doubt.
func TestConvention(t *testing.T) {
	// 8,385 g/cm^3 is 8.385 with a comma for decimal mark, and 8385 with a comma between thousands.
	both := but(map[string]string{"Fb": "0.55 N", "V_s": "56.2", "area": "12.6", "half": "2.01", "load": "2.3", "rho": "8,385 g/cc"})
	if a := markOne(t, both)["rho"]; a.Verdict != "right" || len(a.Notes) == 0 {
		t.Errorf("points elsewhere, but 8.385 is right, and it is said how it was read: %+v", a)
	}
	both["rho"] = "2,385 g/cc"
	if a := markOne(t, both)["rho"]; a.Open || a.Read == nil || math.Abs(a.Read.Value-2385e3) > 1 {
		t.Errorf("neither is right and points elsewhere: 2385 g/cc is what goes on: %+v", a)
	}
	comma := but(map[string]string{"Fb": "0,55 N", "V_s": "56,2", "area": "12,6", "half": "2,01", "load": "2,3", "rho": "8,385 g/cc"})
	if a := markOne(t, comma)["rho"]; a.Verdict != "right" {
		t.Errorf("commas elsewhere: %+v", a)
	}
	open := map[string]string{"rho": "8,385 g/cc"}
	if a := markOne(t, open)["rho"]; a.Verdict != "right" || len(a.Notes) == 0 {
		t.Errorf("no other answer: either reading may be right, and it is said which: %+v", a)
	}
	if a := markOne(t, map[string]string{"rho": "2,385 g/cc"})["rho"]; a.Verdict != "unread" {
		t.Errorf("two readings, neither right: %+v", a)
	}
}

func TestBenchPlausibility(t *testing.T) {
	set, lab := testSet(), testLab(t)
	for _, c := range []struct {
		load      string
		plausible bool
	}{{"2.3", true}, {"3.3", true}, {"3.4", false}, {"1.3", true}, {"1.2", false}, {"2300 mN", true}, {"2.3 g", false}} {
		marks, err := MarkSheet(lab, set, set.Sheets[0], map[string]string{"load": c.load})
		if err != nil {
			t.Fatal(err)
		}
		if got := marks.Readings[0]; got.Plausible != c.plausible || c.plausible != (got.Message == "") {
			t.Errorf("load %s (2.3 N expected within 1 N): %+v", c.load, got)
		}
	}
}

func TestWithDots(t *testing.T) {
	for in, want := range map[string]string{"a*b*c": "a·b·c", "2*(m_f*x_f)*z": "2·(m_f·x_f)·z", "it is **divided** by g": "it is **divided** by g", "*both* of them": "*both* of them"} {
		if got := withDots(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
