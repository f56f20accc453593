package labs

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"keelmark/labs/quantity"
)

// TestSnippet holds the error of the manual, to the letter.
func TestSnippet(t *testing.T) {
	source := template("", "+", "+"+ask("q", "answer: W - W/g\nunit: N"))
	_, err := Parse("weigh-twice.md", []byte(source))
	want := `weigh-twice.md:16:11: cannot subtract N - kg
  answer: W - W/g
            ^`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

// TestAllFaults: one run tells every fault, in order of position.
func TestAllFaults(t *testing.T) {
	_, err := Parse("x.md", []byte(template("", "+  a: {const: 1 Nn}\n", "+{{nobody}}\n\n"+ask("q", "answer: W + m\nunit: N")+"\n"+ask("p", "answer: W\nunit: kg"))))
	var faults Errors
	if !errors.As(err, &faults) || len(faults) != 4 {
		t.Fatalf("want 4 faults, got %v", err)
	}
	for i := 1; i < len(faults); i++ {
		if faults[i].Line < faults[i-1].Line {
			t.Errorf("line %d comes after line %d", faults[i].Line, faults[i-1].Line)
		}
	}
}

func TestRefused(t *testing.T) {
	for name, c := range map[string]struct{ source, want string }{
		"empty":          {"", "begins with its head"},
		"no head":        {"# A heading\n", "begins with its head"},
		"open head":      {"---\ntitle: x\n", "never closed"},
		"empty head":     {"---\n---\n", "head is empty"},
		"binary":         {"---\x00---", "not a text file"},
		"Latin-1":        {"---\ntitle: M\xfcller\n---\n", "UTF-8"},
		"asks nothing":   {template("", "", "Only words.\n"), "asks nothing"},
		"alias bomb":     {"---\na: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n---\n", "anchors"},
		"merge key":      {"---\ntitle: x\n<<: {topic: balance}\n---\n", "merge keys"},
		"head is a list": {"---\n- title\n---\n", "keys and values"},
	} {
		if _, err := Parse("x.md", []byte(c.source)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

func TestLineEnds(t *testing.T) {
	plain := template("", "", "")
	for _, source := range []string{plain, strings.ReplaceAll(plain, "\n", "\r\n"), "\uFEFF" + plain} {
		if _, err := Parse("x.md", []byte(source)); err != nil {
			t.Error(err)
		}
	}
}

func TestNoLab(t *testing.T) {
	for wrong, want := range map[string]string{
		"archimedes/weigh-twise": "did you mean archimedes/weigh-twice?",
		"weigh-twice":            "did you mean archimedes/weigh-twice?",
		"balance":                "keelmark labs lists them",
	} {
		if _, err := Load(wrong); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v; want %q", wrong, err, want)
		}
	}
	if _, err := Load("nowhere.md"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("got %v", err)
	}
}

// TestTypingNeverApplies: YAML's own words for true, nothing and numbers are names and texts like any other.
func TestTypingNeverApplies(t *testing.T) {
	l, err := Parse("x.md", []byte(template("title: no\ntopic: balance\nlevel: core\nminutes: 012\ncautions: [y]\n", "  y: {const: 1 N, what: null}\n  n: {const: 2 N, what: 1e3}\n", "{{y}} {{n}}\n\n"+ask("q", "answer: y + n\nunit: N"))))
	if err != nil {
		t.Fatal(err)
	}
	if l.Title != "no" || l.Minutes != 12 || l.Cautions[0] != "y" || l.Value("y").What != "null" || l.Value("n").What != "1e3" {
		t.Errorf("title %q, minutes %d, cautions %q, what %q %q", l.Title, l.Minutes, l.Cautions, l.Value("y").What, l.Value("n").What)
	}
}

// TestValues reads every source of values.
func TestValues(t *testing.T) {
	l, err := Parse("x.md", []byte(template("", `+  T:  {from: 8 degC, to: 24 degC, step: 0.5 degC}
  R:  {pick: E12 10 ohm .. 1 kohm}
  E:  {pick: [1.5 V, 3 V, 4.5 V]}
  s:  {pick: [brass, steel]}
  z:  {series: 0 cm .. 8 cm step 2 cm}
  y:  {each: z, calc: 'if(z > 3 cm, 2*z, z)', show: 0.1 cm}
  k:  {calc: 2*W/m, show: 0.01 N/kg, symbol: k}
  r:  {measure: ruler, division: 1 mm, expect: z, rows: 5, within: 2 cm}
  p:  {measure: meter, division: 0.1 N, expect: W, uncertainty: 0.2 N}
`, "+")+"```readings a\ncolumns: [z, r]\n```\n\n```readings b\ncolumns: [p]\n```\n\n"+ask("q", "answer: W\nunit: N")))
	if err != nil {
		t.Fatal(err)
	}
	if v := l.Value("T"); !v.Type.Point || math.Abs(v.From-281.15) > 1e-9 || v.Step != 0.5 || v.Show.Step != 0.1 {
		t.Errorf("T: %+v", v)
	}
	if v := l.Value("R"); len(v.Picks) != 25 || v.Picks[0].X != 10 || v.Picks[24].X != 1000 || v.Show.Step != 1 {
		t.Errorf("R: %v, step %g", v.Picks, v.Show.Step)
	}
	if v := l.Value("E"); v.Show.Step != 0.1 || v.Show.Format(v.Picks[1], v.Type) != "3.0\u00a0V" {
		t.Errorf("E: %+v", v)
	}
	if v := l.Value("s"); v.Type.Kind != quantity.Name || v.Picks[1].Name != "steel" {
		t.Errorf("s: %+v", v)
	}
	f := l.NewFrame(9.81)
	f[l.Value("W").Slot].X = 3
	f[l.Value("m").Slot].X = 2
	for _, name := range []string{"z", "y", "k", "r"} {
		v := l.Value(name)
		if f[v.Slot], err = l.Compute(v, f, nil); err != nil {
			t.Fatal(err)
		}
	}
	for name, want := range map[string]string{"z": "0, 2, 4, 6, 8\u00a0cm", "y": "0.0, 2.0, 8.0, 12.0, 16.0\u00a0cm", "k": "3.00\u00a0N/kg", "r": "0, 20, 40, 60, 80\u00a0mm"} {
		if got, err := l.Fill(name, f); got != want || err != nil {
			t.Errorf("%s is %q, %v; want %q", name, got, err, want)
		}
	}
	if u := l.Value("r").StandardUncertainty(); math.Abs(u-0.001/math.Sqrt(12)) > 1e-15 {
		t.Errorf("u of a reading within 1 mm is %g m", u)
	}
	if u := l.Value("p").StandardUncertainty(); u != 0.2 {
		t.Errorf("the stated uncertainty is %g N, want 0.2 N", u)
	}
	if order := l.Order; index2(order, "z") > index2(order, "y") || index2(order, "W") > index2(order, "k") {
		t.Errorf("a value comes before what it is computed from: %v", order)
	}
}

func index2(values []*Value, name string) int {
	for i, v := range values {
		if v.Name == name {
			return i
		}
	}
	return -1
}

// TestNoise: the deviate is scaled and added before rounding.
// Working space is a height, blank or with lines.
func TestSpace(t *testing.T) {
	l, err := Parse("x.md", []byte(template("", "", "+"+ask("a", "answer: W\nunit: N\nspace: 3 cm")+ask("b", "answer: 2*W\nunit: N\nspace: 34 mm ruled")+ask("c", "answer: 3*W\nunit: N"))))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct {
		mm    float64
		ruled bool
	}{{30, false}, {34, true}, {0, false}} {
		if q := l.Questions[i]; math.Abs(q.Space-want.mm) > 1e-9 || q.Ruled != want.ruled {
			t.Errorf("%s: %g mm, ruled %v", q.ID, q.Space, q.Ruled)
		}
	}
}

func TestNoise(t *testing.T) {
	l, err := Parse("x.md", []byte(template("", "+  x: {calc: 2*W, show: 0.1 N, noise: 0.5 N}\n", "")))
	if err != nil {
		t.Fatal(err)
	}
	f := l.NewFrame(9.81)
	f[l.Value("W").Slot].X = 1
	v, err := l.Compute(l.Value("x"), f, func() float64 { return 1.26 })
	if err != nil || math.Abs(v.X-2.6) > 1e-12 { // 2 + 0.63
		t.Errorf("2 N with 1.26 deviates of 0.5 N is %g, %v; want 2.6", v.X, err)
	}
}

// TestNetwork: 9 V with 1 Ω inside over 2 Ω and 6 Ω carries 1 A.
func TestNetwork(t *testing.T) {
	l, err := Parse("x.md", []byte(template("", "  R: {const: 6 ohm}\n  E: {const: 9 V}\n  I: {calc: current(N.R1), show: 0.1 A, hidden: true}\n",
		"```network N\nB1: battery a 0 E, inside 1 ohm\nR1: resistor a b 2 ohm\nR2: resistor b 0 R\n```\n\n```figure circuit\nnetwork: N\n```\n\n"+
			ask("i", "answer: current(N.B1)\nunit: mA\nmistakes:\n  - {value: voltage(N.R2), why: no}")+ask("p", "answer: i*potential(N.b)\nunit: W"))))
	if err != nil {
		t.Fatal(err)
	}
	f := l.NewFrame(9.81)
	for _, v := range l.Order {
		if f[v.Slot], err = l.Compute(v, f, nil); err != nil {
			t.Fatal(err)
		}
	}
	if err := l.Solve(f); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]float64{"I": 1, "i": 1, "p": 6, "voltage(N.R2)": 6} {
		if _, slot, ok := l.Lookup(name); !ok || math.Abs(f[slot].X-want) > 1e-9 {
			t.Errorf("%s = %g, want %g", name, f[slot].X, want)
		}
	}
	if got, _ := l.Solution(l.Question("i"), f); len(got) != 2 || got[1] != `i = 1000\,\text{mA}` {
		t.Errorf("worked solution %q", got)
	}
}

// TestUncertainty propagates by hand: Q = F/(x·y) with readings F, x, y has (u/Q)² = Σ(u_i/i)² (JCGM 100:2008, 5.1.6).
func TestUncertainty(t *testing.T) {
	values := `  F: {measure: meter, division: 0.1 N, expect: 4 N}
  x: {measure: ruler, division: 1 mm, expect: 50 mm}
  y: {measure: ruler, division: 1 mm, expect: 20 mm, uncertainty: 0.5 mm}
  n: {measure: counts, division: 1, rows: 3, expect: '[1, 2, 6]'}
`
	body := "```readings a\ncolumns: [F, x, y]\n```\n\n```readings b\ncolumns: [n]\n```\n\n" +
		ask("A", "answer: x*y\nunit: mm^2") + ask("Q", "answer: F/A\nunit: Pa") + ask("U", "answer: u(Q)\nunit: Pa") +
		ask("mean_n", "answer: mean(n)\nunit: 1") + ask("V", "answer: u(mean_n)\nunit: 1")
	l, err := Parse("x.md", []byte(template("", values, body)))
	if err != nil {
		t.Fatal(err)
	}
	f := l.NewFrame(9.81)
	for _, v := range l.Order {
		if f[v.Slot], err = l.Compute(v, f, nil); err != nil {
			t.Fatal(err)
		}
	}
	if err := l.Solve(f); err != nil {
		t.Fatal(err)
	}
	third := 1 / math.Sqrt(12)
	share := math.Sqrt(math.Pow(0.1*third/4, 2) + math.Pow(1*third/50, 2) + math.Pow(0.5/20, 2))
	for name, want := range map[string]float64{"Q": 4000, "U": 4000 * share, "V": third / math.Sqrt(3)} {
		if _, slot, _ := l.Lookup(name); math.Abs(f[slot].X-want) > 1e-4*want {
			t.Errorf("%s = %g, want %g", name, f[slot].X, want)
		}
	}
	if q := l.Question("Q"); !q.Bench || l.Question("U").Bench != true {
		t.Error("an answer from readings is not marked as from the bench")
	}
}

// TestDefaults: `marking` gives what questions do not say themselves.
func TestDefaults(t *testing.T) {
	head := "title: A\ntopic: balance\nlevel: core\nminutes: 5\ncautions: [a]\nmarking: {sf: 3, within: 5 %, unit_mark: 1}\n"
	l, err := Parse("x.md", []byte(template(head, "", "+"+ask("a", "answer: W\nunit: N")+ask("b", "answer: W\nunit: N\nsf: 2..3\nwithin: 0.2 N\nunit_mark: 0\nmarks: 3"))))
	if err != nil {
		t.Fatal(err)
	}
	a, b := l.Question("a"), l.Question("b")
	if a.SFLow != 3 || a.SFHigh != 3 || a.UnitMark != 1 || *a.Within != (Tolerance{Relative: 0.05}) {
		t.Errorf("a: %+v", a)
	}
	if b.SFLow != 2 || b.SFHigh != 3 || b.UnitMark != 0 || *b.Within != (Tolerance{Absolute: 0.2}) || b.Marks != 3 {
		t.Errorf("b: %+v", b)
	}
}

// TestTables: a row of the lab's own is used like the handbook's.
func TestTables(t *testing.T) {
	head := "title: A\ntopic: balance\nlevel: core\nminutes: 5\ncautions: [a]\ntables: {density: {our_foam: 32 kg/m^3}}\n"
	l, err := Parse("x.md", []byte(template(head, "+  rho: {calc: density(our_foam), show: 1 kg/m^3}\n", "")))
	if err != nil {
		t.Fatal(err)
	}
	if v, err := l.Compute(l.Value("rho"), l.NewFrame(9.81), nil); err != nil || v.X != 32 {
		t.Errorf("density(our_foam) = %g, %v; want 32", v.X, err)
	}
}

// FuzzParse: whatever the file, Parse returns a lab that can be computed with, or faults that lie within the file.
func FuzzParse(f *testing.F) {
	example, err := os.ReadFile("testdata/weigh-twice.md")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(example)
	f.Add([]byte(template("", "+  z: {series: 0 cm .. 8 cm step 2 cm}\n  y: {each: z, calc: 2*z, show: 1 cm}\n", "+```plot\npoints: {x: z, y: y}\nline: {y: 2*z, over: z}\n```\n"+ask("q", "answer: W\nunit: N"))))
	f.Add([]byte("---\na: &a [*a]\n---\n```figure circuit\nnetwork: N\n```\n"))
	f.Fuzz(func(t *testing.T, source []byte) {
		l, err := Parse("x.md", source)
		if err != nil {
			var faults Errors
			if !errors.As(err, &faults) || len(faults) == 0 {
				t.Fatalf("an error of another kind: %v", err)
			}
			for _, fault := range faults {
				if fault.Line < 1 || fault.Col < 1 || fault.Line > strings.Count(string(source), "\n")+strings.Count(string(source), "\r")+1 {
					t.Fatalf("a place outside the file: %v", fault)
				}
			}
			return
		}
		frame := l.NewFrame(9.81)
		for _, v := range l.Order {
			if v.Source != Drawn && v.Source != Picked {
				if x, err := l.Compute(v, frame, nil); err == nil {
					frame[v.Slot] = x
				}
			}
		}
		_ = l.Solve(frame) // may well divide by zero, but must not panic
	})
}
