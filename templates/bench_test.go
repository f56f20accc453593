package templates_test

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"keelmark/generator"
	"keelmark/grader"
	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/quantity"
)

// At every bench a reading that lost two powers of ten is pointed out: of each measured value the largest that is expected,
// typed a hundred times too small, has a remark, and as it is expected it has none. The labs of the topic craft are left out:
// teams' own craft differ that much.
func TestReadingsOutOfScale(t *testing.T) {
	for _, name := range labs.Names() {
		l, err := labs.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		if l.Topic == "craft" {
			continue
		}
		s, err := generator.Make(context.Background(), generator.MakeOptions{Lab: l, Roster: []classset.Pupil{{ID: "1", Name: "Ada"}}, Seed: "bench",
			Dir: t.TempDir() + "/set", Engine: "test", Made: time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)})
		if err != nil {
			t.Fatal(err)
		}
		sheet := s.Set.Sheets[0]
		f := l.NewFrame(s.Set.Settings.Gravity)
		if err := sheet.Fill(l, f); err != nil {
			t.Fatal(err)
		}
		for _, v := range l.Values {
			if v.Source != labs.Measured {
				continue
			}
			column := f[v.Slot].Col
			if v.Type.Kind != quantity.Column {
				column = []float64{f[v.Slot].X}
			}
			top := slices.Max(column)
			for _, scale := range []float64{1, 0.01} {
				written := ""
				for _, x := range column {
					if x == top {
						x *= scale
					}
					written += fmt.Sprintf("%v;", v.Show.Unit.FromSpan(x))
				}
				marks, err := grader.MarkSheet(l, s.Set, sheet, map[string]string{v.Name: written[:len(written)-1]})
				if err != nil {
					t.Fatal(err)
				}
				for _, r := range marks.Readings {
					if r.Name == v.Name && r.Plausible != (scale == 1) {
						t.Errorf("%s: %s, %s where %v %s is expected: plausible %v, %s", name, v.Name, r.Written, r.Expected, r.Unit, r.Plausible, r.Message)
					}
				}
			}
		}
	}
}
