package judge_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelmark/labs"
	"keelmark/labs/judge"
	"keelmark/labs/quantity"
)

const head = `---
title: Judging
topic: balance
level: core
minutes: 10
aims: [Judge.]
kit: [paper]
cautions: [None beyond paper cuts.]
values:
  W1: {from: 2 N, to: 8 N, step: 0.01 N, show: 0.01 N, what: weight}
  W2: {from: 1 N, to: 7 N, step: 0.1 N, show: 0.1 N, what: weight}
  T1: {from: 8 degC, to: 24 degC, step: 0.5 degC, show: 0.5 degC, what: temperature}
  x:  {measure: ruler, rows: 5, division: 1 mm, expect: '[10, 20, 30, 40, 50] mm'}
  F:  {measure: newton meter, rows: 5, division: 0.1 N, expect: '[1, 2, 3, 4, 5] N'}
---

{{W1}} {{W2}} {{T1}}

` + "```readings r\ncolumns: [x, F]\n```\n"

// lab is a lab whose question q has the keys given, after an earlier question e (the sum of the weights).
func lab(t testing.TB, keys ...string) (*labs.Lab, *labs.Question) {
	t.Helper()
	source := head + "\n```question e\nask: The sum?\nanswer: W1 + W2\nunit: N\nmarks: 1\n```\n\n```question q\nask: What?\nmarks: 2\n" +
		strings.Join(keys, "\n") + "\n```\n"
	l, err := labs.Parse("judging.md", []byte(source))
	if err != nil {
		t.Fatal(err)
	}
	return l, l.Question("q")
}

// frame has W1, W2 (in newtons), and readings that lie on a line of 100 N/m but for the spread given.
func frame(t testing.TB, l *labs.Lab, w1, w2, spread float64) labs.Frame {
	t.Helper()
	f := l.NewFrame(9.81)
	f[l.Value("W1").Slot].X = w1
	f[l.Value("W2").Slot].X = w2
	f[l.Value("T1").Slot].X = 293.15
	f[l.Value("x").Slot].Col = []float64{0.01, 0.02, 0.03, 0.04, 0.05}
	f[l.Value("F").Slot].Col = []float64{1, 2 + spread, 3 - spread, 4 + spread, 5}
	if _, err := l.Answer(l.Question("e"), f); err != nil {
		t.Fatal(err)
	}
	f[l.Question("e").Slot].X = w1 + w2
	return f
}

func TestTolerance(t *testing.T) {
	cases := []struct {
		name      string
		keys      []string
		spread    float64
		tolerance float64
	}{
		{"within, a share", []string{"answer: W1*W2/W1", "unit: N", "within: 5 %"}, 0, 0.05 * 3},
		{"within, an amount", []string{"answer: W1*W2/W1", "unit: N", "within: 0.2 N"}, 0, 0.2},
		{"within goes before everything else", []string{"answer: W1 - W2", "unit: N", "within: 0.001 N"}, 0, 0.001},
		{"a difference: the coarsest last digit", []string{"answer: W1 - W2", "unit: N"}, 0, 0.1},
		{"a sum of one value twice", []string{"answer: W1 + W1", "unit: N"}, 0, 0.01},
		{"a product: 2 %", []string{"answer: W1*W2", "unit: N^2"}, 0, 0.02 * 12},
		{"with an earlier answer: 2 %", []string{"answer: e - W1", "unit: N"}, 0, 0.02 * 3},
		// e - 6.9 N = 0.1 N. Rounding e = 7.00 N to three figures can change it by 0.005 N, and the difference itself by 0.0005 N.
		{"a small difference of an earlier answer: three figures of it", []string{"answer: e - 6.9 N", "unit: N"}, 0, 0.005 + 0.0005},
		{"a gradient: 5 %", []string{"answer: slope(x, F)", "unit: N/m"}, 0, 5},
		// TestScatteredGradient has the sums: u = 6.1 N/m, and t(3) = 3.18 times that is beyond 15 %.
		{"a gradient through scattered points: t·u, at most 15 %", []string{"answer: slope(x, F)", "unit: N/m"}, 0.2, 15},
		{"what is worked out from a gradient is calculated", []string{"answer: slope(x, F)*2", "unit: N/m"}, 0, 4},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			l, q := lab(t, c.keys...)
			target, err := judge.Aim(l, q, frame(t, l, 4, 3, c.spread))
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(target.Tolerance-c.tolerance) > 1e-6*c.tolerance {
				t.Errorf("%v ± %v; want ± %v", target.Value, target.Tolerance, c.tolerance)
			}
			for _, side := range []float64{-1, 1} {
				if x := target.Value + side*c.tolerance; !target.Fits(x, 0, true) {
					t.Errorf("%v on the border is not right", x)
				}
				if x := target.Value + side*c.tolerance*1.001; target.Fits(x, 0, true) {
					t.Errorf("%v beyond the border is right", x)
				}
			}
		})
	}
}

// Between 5 % and 15 % the scatter of the points decides: t(3; 97.5 %) = 3.182446 (tables of Student's t) times slope_u.
func TestScatteredGradient(t *testing.T) {
	l, q := lab(t, "answer: slope(x, F)", "unit: N/m")
	const d = 0.08
	target, err := judge.Aim(l, q, frame(t, l, 4, 3, d))
	if err != nil {
		t.Fatal(err)
	}
	// Deviations 0, d, -d, d, 0 from a line of slope 100: the slope is 100 exactly ((d·-1 + 0 + d·1)·0.01 = 0), the mean is
	// moved by d/5, residuals -d/5, 4d/5, -6d/5, 4d/5, -d/5 with squares 70d²/25 = 2.8 d²; Sxx = 0.001 m².
	u := math.Sqrt(2.8*d*d/3) / math.Sqrt(0.001)
	if want := 3.182446 * u; math.Abs(target.Tolerance-want) > 1e-5*want || want < 5 || want > 15 {
		t.Errorf("tolerance %v, want %v", target.Tolerance, want)
	}
}

func TestOwnRounding(t *testing.T) {
	target := judge.Target{Value: 0.9132, Tolerance: 0.001}
	cases := []struct {
		x, digit float64
		enough   bool
		fits     bool
	}{
		{0.9142, 0, true, true},
		{0.9143, 0, true, false},
		{0.91, 0.01, true, true},   // half a unit of the last digit written
		{0.918, 0.01, true, true},  // 0.0048 off
		{0.919, 0.01, true, false}, // 0.0058 off
		{0.9, 0.1, false, false},   // one figure is not enough to be allowed half a unit of it
		{-0.9132, 0, true, false},
	}
	for _, c := range cases {
		if got := target.Fits(c.x, c.digit, c.enough); got != c.fits {
			t.Errorf("%v, last digit %v, enough figures %v: %v", c.x, c.digit, c.enough, got)
		}
	}
}

func TestSteps(t *testing.T) {
	cases := []struct {
		answer string
		w1, w2 float64
		right  []float64
		wrong  []float64
	}{
		{"ceil(W1 / W2)", 7, 3, []float64{3}, []float64{2, 4, 2.33}},
		{"ceil(W1 / W2)", 6.01, 3, []float64{3, 2}, []float64{1, 4}},  // 2.0033: to three figures 2.00
		{"ceil(W1 / W2)", 6.04, 3, []float64{3}, []float64{2, 4}},     // 2.013: 2.01
		{"floor(W1 / W2)", 6, 3, []float64{2, 1}, []float64{3, 1.99}}, // 2 exactly, and a calculator's 1.9999…
		{"round(W1*1.001/W2)", 7.49, 3, []float64{2, 3}, []float64{1}},
		{"floor(e / 1 N)", 4, 3, []float64{7, 6}, []float64{8}}, // an earlier answer may have been rounded
	}
	for _, c := range cases {
		l, q := lab(t, "answer: "+c.answer, "unit: '1'")
		target, err := judge.Aim(l, q, frame(t, l, c.w1, c.w2, 0))
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range c.right {
			if !target.Fits(x, 0, true) {
				t.Errorf("%s with %v and %v: %v is not right (%+v)", c.answer, c.w1, c.w2, x, target)
			}
		}
		for _, x := range c.wrong {
			if target.Fits(x, 1, true) {
				t.Errorf("%s with %v and %v: %v is right (%+v)", c.answer, c.w1, c.w2, x, target)
			}
		}
	}
}

// A pupil who rounds every step to three figures is right, whatever the numbers.
func TestRoundingEveryStepIsRight(t *testing.T) {
	l, q := lab(t, "answer: W1*(W1 - W2/3)/(W1 + W2)", "unit: N")
	rapid.Check(t, func(t *rapid.T) {
		w1 := float64(rapid.IntRange(200, 800).Draw(t, "W1")) / 100
		w2 := float64(rapid.IntRange(10, 70).Draw(t, "W2")) / 10
		f := l.NewFrame(9.81)
		f[l.Value("W1").Slot].X, f[l.Value("W2").Slot].X = w1, w2
		target, err := judge.Aim(l, q, f)
		if err != nil {
			t.Skip("no answer here")
		}
		three := func(x float64) float64 { return quantity.RoundFigures(x, 3) }
		x := three(three(w1*three(w1-three(w2/3))) / three(w1+w2))
		if !target.Fits(x, 0, true) {
			t.Fatalf("%v, to three figures at every step %v, allowed %v", target.Value, x, target.Tolerance)
		}
	})
}

func TestImpossible(t *testing.T) {
	l, q := lab(t, "answer: W1/(W2 - 3 N)", "unit: '1'")
	if _, err := judge.Aim(l, q, frame(t, l, 4, 3, 0)); err == nil {
		t.Error("a division by zero has no target")
	}
}

func TestGravities(t *testing.T) {
	if got := judge.Gravities(9.81); len(got) != 4 || got[0] != 9.81 || got[3] != 10 {
		t.Error(got)
	}
	if got := judge.Gravities(9.79); len(got) != 5 || got[0] != 9.79 {
		t.Error(got)
	}
}

func TestDirections(t *testing.T) {
	cases := []struct {
		asked, written string
		want           judge.Agreement
	}{
		{"up", "", judge.Unsaid}, {"", "up", judge.Unsaid}, {"up", "up", judge.Agrees}, {"upwards", "up", judge.Agrees},
		{"up", "down", judge.Opposite}, {"up", "left", judge.Foreign}, {"clockwise", "anticlockwise", judge.Opposite},
		{"forward", "backward", judge.Opposite}, {"north", "east", judge.Foreign}, {"along the tether", "up", judge.Foreign},
	}
	for _, c := range cases {
		if got := judge.Directions(c.asked, c.written); got != c.want {
			t.Errorf("%q asked, %q written: %v, want %v", c.asked, c.written, got, c.want)
		}
	}
}
