package generator

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"keelmark/labs"
	"keelmark/labs/judge"
)

// What a seed draws for a lab is a promise, too: sheets added to an old set must not change with a release.
func TestDrawGolden(t *testing.T) {
	s := makeSet(t, parseLab(t, basin), nil)
	sheet := s.Set.Sheets[0]
	got := fmt.Sprint(sheet.Code, sheet.Values["T"].Value, sheet.Values["V"].Value, sheet.Values["W"].Value, sheet.Values["p"].Value, sheet.Choices["sinks"])
	const want = "N5JX1LBQ22.5 159 7.22 [94 191 295 389 489] [3 2 1]"
	if got != want {
		t.Errorf("drew %s\nwant %s", got, want)
	}
}

func TestGroupsFollowConditions(t *testing.T) {
	p, err := newPlan(parseLab(t, basin), 9.81, nil)
	if err != nil {
		t.Fatal(err)
	}
	of := p.groupOf
	if of["T"] != of["V"] || of["V"] != of["W"] {
		t.Errorf("groups %v: W > 2*rho*g*V ties T, V and W", of)
	}
	if of["p"] == of["T"] {
		t.Errorf("groups %v: nothing ties the noise of p to T", of)
	}
	if len(p.groups) != 2 || len(p.mixed) != 1 || p.mixed[0].Name != "p" {
		t.Errorf("%d groups, mixed %v", len(p.groups), p.mixed)
	}
}

// Adding a variable to a lab changes no other draw.
func TestAnotherVariableChangesNothing(t *testing.T) {
	before := makeSet(t, parseLab(t, basin), nil)
	after := makeSet(t, parseLab(t, edited(t, "values:\n", "values:\n  L: {from: 1 m, to: 2 m, step: 1 cm, hidden: true}\n")), nil)
	for i, sheet := range after.Set.Sheets {
		delete(sheet.Values, "L")
		if diff := cmp.Diff(before.Set.Sheets[i], sheet); diff != "" {
			t.Fatalf("sheet %d changed:\n%s", i, diff)
		}
	}
}

func TestNoDrawIsPossible(t *testing.T) {
	for _, c := range []struct {
		name  string
		pairs []string
		want  []string // all in the error
	}{
		{"a condition that never holds", []string{"W > 2*rho*g*V", "W > 20 N"}, []string{"basin.md:21:", "the condition W > 20 N does not hold"}},
		{"a mistake that is right", []string{"value: rho*V,", "value: rho*g*V*1.001,"}, []string{"basin.md:41:", "question U", "too close to the right answer"}},
		{"an answer that is zero", []string{"answer: W - U", "answer: W - W"}, []string{"question A: the answer is zero"}},
		{"an answer that is printed", []string{"answer: W - U", "answer: W + 0*U"}, []string{"basin.md:44:4: ", "question A: the answer equals the printed value W"}},
		{"an answer that is no choice", []string{"if(A > 0 N, 2, 1)", "if(A > 0 N, 4, 1.5)"},
			[]string{"basin.md:59:4: ", "question sinks: the answer is not the number of a choice, 1 to 3"}},
		{"an answer that cannot be computed", []string{"answer: W - U", "answer: sqrt(0 N^2 - W^2)"}, []string{"question A: the answer cannot be computed", "; in the last, A: sqrt"}},
		{"a value that cannot be computed", []string{"calc: water_density(T), show", "calc: water_density(T + 100 K), show"}, []string{"value rho cannot be computed", "; in the last, rho: water temperature 1"}},
		{"a lamp beyond its table", []string{"answer: W - U\nunit: N", "answer: current(N.L1)\nunit: A", "\n```question A", "\n```network N\nB1: battery a 0 W*1 V/N\nL1: lamp a 0 [0, 1] V [0, 1] A\n```\n\n```question A",
			"if(A > 0 N", "if(A > 0 A"}, []string{"question A: the answer cannot be computed", "voltage at lamp L1", "is outside 0 V to 1 V (its table)"}},
	} {
		l, err := labs.Parse("basin.md", []byte(edited(t, c.pairs...)))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		_, err = Make(context.Background(), MakeOptions{Lab: l, Roster: crew(2), Seed: "s", Dir: t.TempDir() + "/set"})
		var placed *labs.TemplateError
		if !errors.As(err, &placed) {
			t.Errorf("%s: error %v, want one with a place", c.name, err)
			continue
		}
		for _, part := range append(c.want, "no draw is possible", l.Name) {
			if !strings.Contains(err.Error(), part) {
				t.Errorf("%s: error %v, want %q in it", c.name, err, part)
			}
		}
	}
}

// No listed mistake of any sheet would be marked right, whatever the seed.
func TestDrawsDiscriminate(t *testing.T) {
	l := parseLab(t, basin)
	p, err := newPlan(l, 9.81, nil)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		d := p.drawer(rapid.String().Draw(t, "seed"), rapid.String().Draw(t, "student"), everyQuestion)
		made, err := d.next(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for i, q := range l.Questions {
			for _, m := range q.Mistakes {
				x, err := m.Run.Eval(made.frame)
				if err != nil {
					t.Fatal(err)
				}
				if made.targets[i].Fits(x.X, thirdFigure(x.X), true) {
					t.Fatalf("question %s: the mistake %s gives %v, which is right", q.ID, m.Expr, x.X)
				}
			}
		}
	})
}

// The rule of copying, worked out anew from the set as it is stored.
func TestCopyingDoesNotPay(t *testing.T) {
	l, err := labs.Load("archimedes/weigh-twice")
	if err != nil {
		t.Fatal(err)
	}
	s := makeSet(t, l, func(o *MakeOptions) { o.Roster = crew(30) })
	count := func(a, b labs.Frame) (right, questions int) {
		for _, q := range l.Questions {
			if q.Kind != labs.Numeric || q.Stepped || q.Bench {
				continue
			}
			questions++
			target, err := judge.Aim(l, q, b)
			if err != nil {
				t.Fatal(err)
			}
			if target.Fits(a[q.Slot].X, 0, false) {
				right++
			}
		}
		return right, questions
	}
	frames := make([]labs.Frame, len(s.Set.Sheets))
	worst, sum, pairs := 0, 0, 0
	for i, sheet := range s.Set.Sheets {
		if frames[i], err = s.Set.Frame(l, sheet); err != nil {
			t.Fatal(err)
		}
		for j := range i {
			there, n := count(frames[i], frames[j])
			back, _ := count(frames[j], frames[i])
			shared, limit := max(there, back), max(1, (n+4)/5)
			near := i-j <= 4 || sheet.Group == s.Set.Sheets[j].Group
			if near && shared > limit {
				t.Errorf("sheets %d and %d share %d answers, at most %d may be", i, j, shared, limit)
			}
			worst, sum, pairs = max(worst, shared), sum+shared, pairs+1
		}
	}
	if got := s.Set.Copying; got == nil || got.Worst != worst || got.Mean != float64(sum)/float64(pairs) {
		t.Errorf("stored %+v; worst %d, mean %v", got, worst, float64(sum)/float64(pairs))
	}
}

func TestCopyingCannotBePrevented(t *testing.T) {
	source := edited(t, "from: 60 cm^3, to: 160 cm^3", "from: 60 cm^3, to: 61 cm^3", "from: 2.00 N, to: 9.00 N", "from: 8.99 N, to: 9.00 N")
	_, err := Make(context.Background(), MakeOptions{Lab: parseLab(t, source), Roster: crew(12), Seed: "s", Dir: t.TempDir() + "/set"})
	if err == nil || !strings.Contains(err.Error(), "copying would pay") || !strings.Contains(err.Error(), "--same") {
		t.Errorf("error %v", err)
	}
}
