package physics

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"keelmark/labs/quantity"
)

// columns reads a data file of testdata: a comment with its source, a header, numbers.
func columns(t *testing.T, file string) map[string][]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", file))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]float64{}
	for _, row := range rows[1:] {
		for j, cell := range row {
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			out[rows[0][j]] = append(out[rows[0][j]], x)
		}
	}
	return out
}

// digits is the number of digits in which got agrees with want, as NIST counts them.
func digits(got, want float64) float64 {
	if got == want {
		return 16
	}
	if want == 0 {
		return -math.Log10(math.Abs(got))
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

func TestCertifiedLines(t *testing.T) {
	norris, noint := columns(t, "norris.csv"), columns(t, "noint1.csv")
	for _, c := range []struct {
		source, function string
		data             map[string][]float64
		want             float64
	}{
		{"NIST StRD Norris", "intercept", norris, -0.262323073774029},
		{"NIST StRD Norris", "slope", norris, 1.00211681802045},
		{"NIST StRD Norris", "intercept_u", norris, 0.232818234301152},
		{"NIST StRD Norris", "slope_u", norris, 0.429796848199937e-03},
		{"NIST StRD Norris", "resid_sd", norris, 0.884796396144373},
		{"NIST StRD Norris", "r2", norris, 0.999993745883712},
		{"NIST StRD NoInt1", "slope0", noint, 2.07438016528926},
		{"NIST StRD NoInt1", "slope0_u", noint, 0.165289256198347e-01},
	} {
		t.Run(c.source+" "+c.function, func(t *testing.T) {
			v, err := Functions()[c.function].Call(arguments(t, []any{c.data["x"], c.data["y"]}))
			if err != nil {
				t.Fatal(err)
			}
			d := digits(v.X, c.want)
			t.Logf("%.1f digits", d)
			if d < 11 {
				t.Errorf("%.15g agrees with the certified %.15g in %.1f digits", v.X, c.want, d)
			}
		})
	}
}

func TestCertifiedUnivariate(t *testing.T) {
	michelso := columns(t, "michelso.csv")["v"]
	numAcc2 := []float64{1.2}
	for range 500 {
		numAcc2 = append(numAcc2, 1.1, 1.3)
	}
	for _, c := range []struct {
		source   string
		xs       []float64
		mean, sd float64
		atLeast  float64
	}{
		{"NIST StRD Michelso", michelso, 299.852400000000, 0.0790105478190518, 12},
		{"NIST StRD NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 15},
		{"NIST StRD NumAcc2", numAcc2, 1.2, 0.1, 13},
		{"GUM 4.2.3 definitions", []float64{9.8, 10.1, 9.9, 10.0, 10.2}, 10, 0.15811388300841897, 14},
	} {
		t.Run(c.source, func(t *testing.T) {
			n := math.Sqrt(float64(len(c.xs)))
			for name, want := range map[string]float64{"mean": c.mean, "sd": c.sd, "sem": c.sd / n} {
				v, err := Functions()[name].Call([]quantity.Value{{Col: c.xs}})
				if err != nil || digits(v.X, want) < c.atLeast {
					t.Errorf("%s = %.15g, %v; certified %.15g", name, v.X, err, want)
				}
			}
		})
	}
}

func TestCertifiedRegressions(t *testing.T) {
	longley, wampler := columns(t, "longley.csv"), columns(t, "wampler.csv")
	var economy, powers [][]float64
	for i := range longley["y"] {
		row := []float64{1}
		for _, name := range []string{"x1", "x2", "x3", "x4", "x5", "x6"} {
			row = append(row, longley[name][i])
		}
		economy = append(economy, row)
	}
	y1, y2 := []float64{}, []float64{}
	for _, x := range wampler["x"] {
		powers = append(powers, []float64{1, x, x * x, x * x * x, math.Pow(x, 4), math.Pow(x, 5)})
		y1 = append(y1, poly(x, 1, 1, 1, 1, 1, 1))
		y2 = append(y2, poly(x, 1, 0.1, 0.01, 0.001, 0.0001, 0.00001))
	}
	ones := []float64{1, 1, 1, 1, 1, 1}
	deviations := func(scale float64) []float64 {
		unit := []float64{2152.32624678170, 2363.55173469681, 779.343524331583, 101.475507550350, 5.64566512170752, 0.112324854679312}
		out := make([]float64, len(unit))
		for i := range out {
			out[i] = unit[i] * scale
		}
		return out
	}
	for _, c := range []struct {
		name               string
		rows               [][]float64
		y                  []float64
		coefficients       []float64
		errors             []float64 // nil where the fit is exact
		sd, r2             float64
		atLeast, atLeastSE float64 // digits
	}{
		{"Longley", economy, longley["y"],
			[]float64{-3482258.63459582, 15.0618722713733, -0.358191792925910e-01, -2.02022980381683, -1.03322686717359, -0.511041056535807e-01, 1829.15146461355},
			[]float64{890420.383607373, 84.9149257747669, 0.334910077722432e-01, 0.488399681651699, 0.214274163161675, 0.226073200069370, 455.478499142212},
			304.854073561965, 0.995479004577296, 13, 12},
		{"Wampler1", powers, y1, ones, nil, 0, 1, 14, 0},
		{"Wampler2", powers, y2, []float64{1, 0.1, 0.01, 0.001, 0.0001, 0.00001}, nil, 0, 1, 11, 0},
		{"Wampler3", powers, wampler["y3"], ones, deviations(1), 2360.14502379268, 0.999995559025820, 14, 12},
		{"Wampler4", powers, wampler["y4"], ones, deviations(100), 236014.502379268, 0.957478440825662, 14, 12},
		{"Wampler5", powers, wampler["y5"], ones, deviations(10000), 23601450.2379268, 0.224668921574940e-02, 14, 12},
	} {
		t.Run("NIST StRD "+c.name, func(t *testing.T) {
			fit, err := Fit(c.rows, c.y)
			if err != nil {
				t.Fatal(err)
			}
			worst, worstSE := 16.0, 16.0
			for i, want := range c.coefficients {
				worst = min(worst, digits(fit.Coefficients[i], want))
				if c.errors != nil {
					worstSE = min(worstSE, digits(fit.StandardErrors[i], c.errors[i]))
				}
			}
			t.Logf("coefficients to %.1f digits, standard errors to %.1f", worst, worstSE)
			if worst < c.atLeast || worstSE < c.atLeastSE {
				t.Errorf("wanted %g and %g digits", c.atLeast, c.atLeastSE)
			}
			if c.errors != nil && (digits(fit.ResidualSD, c.sd) < 10 || digits(fit.R2, c.r2) < 9) {
				t.Errorf("residual sd %.15g, R² %.15g", fit.ResidualSD, fit.R2)
			}
		})
	}
}

func TestNoInt1Uncentred(t *testing.T) {
	d := columns(t, "noint1.csv")
	var rows [][]float64
	for _, x := range d["x"] {
		rows = append(rows, []float64{x})
	}
	fit, err := Fit(rows, d["y"])
	if err != nil || digits(fit.R2, 0.999365492298663) < 12 || digits(fit.ResidualSD, 3.56753034006338) < 12 {
		t.Errorf("R² %.15g, residual sd %.15g, %v", fit.R2, fit.ResidualSD, err)
	}
}

// Four sets with one line: the fit must tell them apart (Anscombe 1973).
func TestAnscombe(t *testing.T) {
	d := columns(t, "anscombe.csv")
	for _, c := range []struct {
		set   int
		x, y  string
		slope float64 // R 4.2 datasets::anscombe
		flag  string  // "" for none
	}{
		{1, "x1", "y1", 0.5000909091, ""},
		{2, "x1", "y2", 0.5, "quadratic"},
		{3, "x1", "y3", 0.4997272727, "outlier: point 3 "},
		{4, "x4", "y4", 0.4999090909, "leverage: the line hangs on point 8 "},
	} {
		f, err := FitLine(d[c.x], d[c.y])
		if err != nil || math.Abs(f.Slope-c.slope) > 1e-9 || math.Abs(f.Intercept-3) > 0.003 {
			t.Errorf("set %d: slope %.10g, intercept %.10g, %v", c.set, f.Slope, f.Intercept, err)
		}
		if (c.flag == "") != (len(f.Warnings) == 0) || !strings.Contains(strings.Join(f.Warnings, "\n"), c.flag) {
			t.Errorf("set %d: warnings %q, want %q", c.set, f.Warnings, c.flag)
		}
	}
}

func TestExactLineGivesNoWarning(t *testing.T) {
	f, err := FitLine([]float64{0.1, 0.2, 0.3, 0.4, 0.5}, []float64{1.3, 1.6, 1.9, 2.2, 2.5})
	if err != nil || len(f.Warnings) != 0 || math.Abs(f.Slope-3) > 1e-12 {
		t.Errorf("%+v, %v", f, err)
	}
}

func TestFitsRefuse(t *testing.T) {
	for _, c := range []struct {
		function string
		x, y     []float64
		says     string
	}{
		{"slope", []float64{1}, []float64{1}, "at least 2 points"},
		{"slope", []float64{1, 2}, []float64{1}, "as many y as x"},
		{"slope", []float64{2, 2, 2}, []float64{1, 2, 3}, "two different x"},
		{"slope_u", []float64{1, 2}, []float64{1, 2}, "at least 3 points"},
		{"slope0", []float64{0, 0}, []float64{1, 2}, "an x that is not 0"},
	} {
		_, err := Functions()[c.function].Call(arguments(t, []any{c.x, c.y}))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s(%v, %v): %v, want %q", c.function, c.x, c.y, err, c.says)
		}
	}
	same := [][]float64{{1, 1}, {1, 1}, {1, 1}, {1, 1}}
	if _, err := Fit(same, []float64{1, 2, 3, 4}); err == nil || !strings.Contains(err.Error(), "not independent") {
		t.Errorf("equal columns: %v", err)
	}
	if _, err := Fit([][]float64{{1, 2}}, []float64{1}); err == nil {
		t.Error("two coefficients from one observation")
	}
}

func ExampleFitLine() {
	load, extension := []float64{0, 1, 2, 3, 4}, []float64{0.1, 2.0, 4.2, 5.9, 8.1}
	f, err := FitLine(load, extension)
	fmt.Printf("%.2f ± %.2f, %d warnings, %v\n", f.Slope, f.SlopeU, len(f.Warnings), err)
	// Output: 1.99 ± 0.04, 0 warnings, <nil>
}
