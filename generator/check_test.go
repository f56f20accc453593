package generator

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"keelmark/labs"
)

func TestCheckCleanLab(t *testing.T) {
	r := Check(parseLab(t, basin), 100)
	if len(r.Faults) > 0 {
		t.Errorf("faults: %v", r.Faults)
	}
	if r.Draws != 100 || r.Pages < 1 || r.Nearest == nil || r.Nearest.Question != "U" || r.Nearest.Tolerances < apart {
		t.Errorf("%+v, nearest %+v", r, r.Nearest)
	}
	if !strings.HasPrefix(r.String(), "archimedes/basin: 100 draws, ") || strings.Contains(r.String(), "\n") {
		t.Errorf("line %q", r)
	}
	again := Check(parseLab(t, basin), 100)
	if diff := cmp.Diff(fmt.Sprintf("%v %+v", r, r.Notes), fmt.Sprintf("%v %+v", again, again.Notes)); diff != "" {
		t.Errorf("a second check differs:\n%s", diff)
	}
}

func TestCheckFaults(t *testing.T) {
	for _, c := range []struct {
		name  string
		pairs []string
		want  string
	}{
		{"TeX in the body", []string{`$\rho =$`, `$\rho \foo$`}, `foo`},
		{"TeX in a text", []string{"That is the mass of the water: times g.", `That is $\frac{m}$.`}, `$\frac{m}$`},
		{"a choice like the letter of another", []string{"[it floats, it sinks, it hovers]\nanswer: if(A > 0 N, 2, 1)\nshuffle: true", "[it floats, a, it hovers]\nanswer: if(A > 0 N, 2, 1)"}, `the choice "a" reads as the letter`},
		{"letters that are shuffled", []string{"[it floats, it sinks, it hovers]", "[A, it sinks, it hovers]"}, `the choice "A" reads as the letter`},
		{"a temperature without a tolerance", []string{"answer: W/g\nunit: g", "answer: T + 4 K\nunit: degC"}, "question m: a temperature needs a tolerance"},
		{"a letter in a formula", []string{"[it floats, it sinks, it hovers]", "[it floats, $A$, it hovers]"}, `the choice "$A$" reads as the letter`},
		{"no draw", []string{"W > 2*rho*g*V", "W > 20 N"}, "no draw is possible"},
		{"a mistake near the answer", []string{"value: rho*V,", "value: 1.04*rho*g*V,"}, "within 3 tolerances"},
		{"two mistakes alike", []string{"mistakes:\n", "mistakes:\n  - {value: V*rho, marks: 0, why: the same}\n"}, "give the same number"},
		{"a slip that is right", []string{"answer: W - U\nunit: N", "answer: W - U\nunit: N\nwithin: 9 N"}, "would be marked right"},
	} {
		l, err := labs.Parse("basin.md", []byte(edited(t, c.pairs...)))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		r := Check(l, 60)
		found := false
		for _, f := range r.Faults {
			found = found || strings.Contains(f.Error(), c.want) && strings.HasPrefix(f.Error(), "basin.md:")
		}
		if !found {
			t.Errorf("%s: faults %v, want %q among them", c.name, r.Faults, c.want)
		}
	}
}

func TestTeXFaultHasItsPlace(t *testing.T) {
	source := edited(t, `$\rho =$`, `$\rho \foo$`)
	line := 1 + strings.Count(source[:strings.Index(source, `\foo`)], "\n")
	r := Check(parseLab(t, source), 10)
	if len(r.Faults) != 1 || r.Faults[0].Line != line || r.Faults[0].Col < 60 {
		t.Errorf("faults %v, want one on line %d", r.Faults, line)
	}
}

// What cannot be set is told where it stands: ‸ is put before it.
func TestMarkdownFaultHasItsPlace(t *testing.T) {
	for _, pair := range [][2]string{
		{"The float weighs {{W}} and", "The float ‸<b>weighs</b> {{W}} and"},
		{"The float weighs {{W}} and", "‸<div>\nThe float weighs\n</div>\n\nIt weighs {{W}} and"},
		{"What is the upthrust on the float?", "What is the ‸<i>upthrust</i>?"},
		{"Weigh a lock gate's float in water.", "Weigh a float in ‸<sub>water</sub>."},
		{"The float weighs {{W}} and", "![‸float](gone.png)\n\nThe float weighs {{W}} and"},
	} {
		source := edited(t, pair[0], pair[1])
		at := strings.Index(source, "‸")
		line := 1 + strings.Count(source[:at], "\n")
		col := at - strings.LastIndex(source[:at], "\n")
		r := Check(parseLab(t, strings.Replace(source, "‸", "", 1)), 10)
		if len(r.Faults) != 1 || r.Faults[0].Line != line || r.Faults[0].Col != col {
			t.Errorf("%s: faults %v, want one at %d:%d", pair[1], r.Faults, line, col)
		}
	}
}

func TestLayoutFaultHasItsPlace(t *testing.T) {
	source := edited(t, "answer: W - U\n", "answer: W - U\nspace: 400 mm\n")
	line := 1 + strings.Count(source[:strings.Index(source, "```question A")], "\n")
	r := Check(parseLab(t, source), 10)
	if len(r.Faults) == 0 {
		t.Error("room of 400 mm fits a page")
	}
	for _, f := range r.Faults {
		if f.Line != line || !strings.Contains(f.Error(), "question 2 ") {
			t.Errorf("fault %v, want it on line %d", f, line)
		}
	}
}

// Every lab that is built in passes.
func TestBuiltInLabs(t *testing.T) {
	for _, name := range labs.Names() {
		t.Run(name, func(t *testing.T) {
			l, err := labs.Load(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range Check(l, 40).Faults {
				t.Error(f)
			}
		})
	}
}

func BenchmarkCheck(b *testing.B) {
	for _, name := range labs.Names() {
		l, err := labs.Load(name)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprint(name), func(b *testing.B) {
			for b.Loop() {
				Check(l, CheckDraws)
			}
		})
	}
}
