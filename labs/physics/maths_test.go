package physics

import (
	"math"
	"testing"

	"keelmark/labs/quantity"
)

// call runs a function of the core on numbers.
func call(t *testing.T, name string, xs ...float64) (float64, error) {
	t.Helper()
	args := make([]quantity.Value, len(xs))
	for i, x := range xs {
		args[i].X = x
	}
	v, err := Functions()[name].Call(args)
	return v.X, err
}

func TestPlainMathematics(t *testing.T) {
	for _, c := range []struct {
		name string
		in   []float64
		want float64
	}{
		{"sqrt", []float64{2}, math.Sqrt2},
		{"abs", []float64{-3}, 3},
		{"min", []float64{3, -1, 2}, -1},
		{"max", []float64{3, -1, 2}, 3},
		{"sum", []float64{3, -1, 2}, 4},
		{"mean", []float64{3, -1, 4}, 2},
		{"count", []float64{3, -1, 4}, 3},
		{"sin", []float64{math.Pi / 6}, 0.5},
		{"cos", []float64{math.Pi / 3}, 0.5},
		{"tan", []float64{math.Pi / 4}, 1},
		{"asin", []float64{0.5}, math.Pi / 6},
		{"acos", []float64{0.5}, math.Pi / 3},
		{"atan", []float64{1}, math.Pi / 4},
		{"atan2", []float64{1, -1}, 3 * math.Pi / 4},
		{"round", []float64{-2.5}, -3},
		{"floor", []float64{-2.5}, -3},
		{"ceil", []float64{-2.5}, -2},
		{"ln", []float64{math.E}, 1},
		{"exp", []float64{1}, math.E},
		{"nearest", []float64{7000, 2700, 7140, 7850, 8500}, 2},
		// 10 and 40 are as far from 20 in ratio; 29 is nearer than 10 though its difference is not much smaller.
		{"nearest", []float64{20, 10.5, 29}, 2},
	} {
		got, err := call(t, c.name, c.in...)
		if err != nil || math.Abs(got-c.want) > 1e-15*max(1, math.Abs(c.want)) {
			t.Errorf("%s(%v) = %v, %v; want %v", c.name, c.in, got, err, c.want)
		}
	}
}

func TestColumns(t *testing.T) {
	f := Functions()
	v, err := f["sqrt"].Call([]quantity.Value{{Col: []float64{1, 4, 9}}})
	if err != nil || len(v.Col) != 3 || v.Col[2] != 3 {
		t.Errorf("sqrt of a column: %v, %v", v, err)
	}
	v, err = f["max"].Call([]quantity.Value{{Col: []float64{1, 4, 2}}})
	if err != nil || v.X != 4 || v.Col != nil {
		t.Errorf("max of a column: %v, %v", v, err)
	}
	if _, err = f["atan2"].Call([]quantity.Value{{Col: []float64{1, 2}}, {Col: []float64{1, 2, 3}}}); err == nil {
		t.Error("columns of 2 and 3 values went together")
	}
	if _, err = f["mean"].Call([]quantity.Value{{Col: []float64{}}}); err == nil {
		t.Error("an empty column has a mean")
	}
}
