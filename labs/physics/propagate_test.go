package physics

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// monteCarlo propagates normal distributions by sampling (JCGM 101:2008, 7): the mean and standard deviation of f. Pairs of
// inputs are correlated through the Cholesky factor of r.
func monteCarlo(f func([]float64) float64, x, u []float64, r [][]float64, trials int) (mean, sd float64) {
	source := rand.New(rand.NewPCG(1, 2))
	n := len(x)
	factor := make([][]float64, n)
	for i := range factor {
		factor[i] = make([]float64, n)
		for j := range i + 1 {
			sum := 0.0
			if r != nil {
				sum = r[i][j]
			} else if i == j {
				sum = 1
			}
			for k := range j {
				sum -= factor[i][k] * factor[j][k]
			}
			if i == j {
				factor[i][j] = math.Sqrt(max(sum, 0))
			} else {
				factor[i][j] = sum / factor[j][j]
			}
		}
	}
	ys, z, at := make([]float64, trials), make([]float64, n), make([]float64, n)
	for t := range ys {
		for i := range z {
			z[i] = source.NormFloat64()
		}
		for i := range at {
			at[i] = x[i]
			for k := range i + 1 {
				at[i] += u[i] * factor[i][k] * z[k]
			}
		}
		ys[t] = f(at)
	}
	mean, sd, _ = MeanSD(ys)
	return mean, sd
}

func sure(f func([]float64) float64) func([]float64) (float64, error) {
	return func(x []float64) (float64, error) { return f(x), nil }
}

// gaugeBlock is the length of an end gauge in nm, from its standard's length, the difference measured, the difference of
// their expansion coefficients, the deviation of the temperature, the standard's coefficient and the difference of
// temperatures (GUM H.1.2).
func gaugeBlock(x []float64) float64 {
	ls, d, dAlpha, theta, alpha, dTheta := x[0], x[1], x[2], x[3], x[4], x[5]
	return ls + d - ls*(dAlpha*theta+alpha*dTheta)
}

func TestGUMH1(t *testing.T) {
	x := []float64{50.000623e6, 215, 0, -0.1, 11.5e-6, 0}
	u := []float64{25, 9.7, 1e-6 / math.Sqrt(3), 0.41, 2e-6 / math.Sqrt(3), 0.05 / math.Sqrt(3)}
	if l := gaugeBlock(x); math.Abs(l-50.000838e6) > 0.5 {
		t.Errorf("GUM H.1.5: l = %.9g nm", l)
	}
	got, err := Propagate(sure(gaugeBlock), x, u, nil)
	if err != nil || math.Round(got) != 32 {
		t.Errorf("GUM H.1.4: u_c(l) = %.4g nm, %v; printed 32 nm", got, err)
	}
	// The law of propagation leaves out what two uncertain factors do together: 34 nm (GUM H.1.7).
	if _, sd := monteCarlo(gaugeBlock, x, u, nil, 400000); math.Round(sd) != 34 {
		t.Errorf("GUM H.1.7: u(l) = %.4g nm by Monte Carlo; printed 34 nm", sd)
	}
}

func TestGUMH2(t *testing.T) {
	d := columns(t, "gum_h2.csv")
	names := []string{"V", "I_mA", "phi_rad"}
	x, u, r := make([]float64, 3), make([]float64, 3), make([][]float64, 3)
	dev := make([][]float64, 3)
	for i, name := range names {
		mean, sd, err := MeanSD(d[name])
		if err != nil {
			t.Fatal(err)
		}
		x[i], u[i] = mean, sd/math.Sqrt(float64(len(d[name])))
		for _, v := range d[name] {
			dev[i] = append(dev[i], (v-mean)/sd/math.Sqrt(float64(len(d[name])-1)))
		}
	}
	for i := range r {
		r[i] = make([]float64, 3)
		for j := range r[i] {
			for k := range dev[i] {
				r[i][j] += dev[i][k] * dev[j][k]
			}
		}
		r[i][i] = 1
	}
	for _, c := range []struct {
		i, j int
		want float64
	}{{0, 1, -0.36}, {0, 2, 0.86}, {1, 2, -0.65}} {
		if math.Abs(r[c.i][c.j]-c.want) > 0.005 {
			t.Errorf("GUM table H.2: r(%s, %s) = %.4f, printed %g", names[c.i], names[c.j], r[c.i][c.j], c.want)
		}
	}
	for _, c := range []struct {
		name                 string
		f                    func([]float64) float64
		want, u              float64
		printed, printedU    string
		lastDigitsOfPrintedU float64
	}{
		{"R", func(x []float64) float64 { return x[0] / x[1] * 1000 * math.Cos(x[2]) }, 127.7321699281, 0.07107140739, "127.732", "0.071", 0.5},
		{"X", func(x []float64) float64 { return x[0] / x[1] * 1000 * math.Sin(x[2]) }, 219.8465119126, 0.29558167736, "219.847", "0.295", 1.5},
		{"Z", func(x []float64) float64 { return x[0] / x[1] * 1000 }, 254.259701948, 0.23633613008, "254.260", "0.236", 0.5},
	} {
		t.Run("GUM H.2.4 "+c.name, func(t *testing.T) {
			agree(t, c.f(x), c.want, c.printed, 0)
			got, err := Propagate(sure(c.f), x, u, r)
			if err != nil {
				t.Fatal(err)
			}
			agree(t, got, c.u, c.printedU, c.lastDigitsOfPrintedU)
			if _, sd := monteCarlo(c.f, x, u, r, 200000); math.Abs(sd/got-1) > 0.01 {
				t.Errorf("u = %.4g, by Monte Carlo (JCGM 101) %.4g", got, sd)
			}
		})
	}
	t.Run("F06 correlation dropped", func(t *testing.T) {
		got, err := Propagate(sure(func(x []float64) float64 { return x[0] / x[1] * 1000 * math.Cos(x[2]) }), x, u, nil)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-0.19454445) > 1e-8 {
			t.Errorf("u(R) = %.9g without its correlations, want 0.19454445", got)
		}
	})
}

// JCGM 101:2008, 9.2: a sum of four inputs of standard uncertainty 1, and the same with one of 10.
func TestAdditiveModel(t *testing.T) {
	sum := func(x []float64) float64 { return x[0] + x[1] + x[2] + x[3] }
	for _, c := range []struct {
		last, want float64
	}{{1, 2.0}, {10, 10.1}} {
		got, err := Propagate(sure(sum), make([]float64, 4), []float64{1, 1, 1, c.last}, nil)
		if err != nil || math.Abs(got-c.want) > 0.05 {
			t.Errorf("u = %.4g, %v; JCGM 101 prints %g", got, err, c.want)
		}
		if _, sd := monteCarlo(sum, make([]float64, 4), []float64{1, 1, 1, c.last}, nil, 200000); math.Abs(sd/got-1) > 0.01 {
			t.Errorf("u = %.4g, by Monte Carlo %.4g", got, sd)
		}
	}
}

// Density by two weighings, its readings rectangular over one division: the law of propagation against sampling.
func TestDensityByTwoWeighings(t *testing.T) {
	density := func(x []float64) float64 { return 998.2 * x[0] / (x[0] - x[1]) }
	division := 0.01 / math.Sqrt(12)
	x, u := []float64{4.18, 3.60}, []float64{division, division}
	got, err := Propagate(sure(density), x, u, nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, sd := monteCarlo(density, x, u, nil, 200000); math.Abs(sd/got-1) > 0.01 {
		t.Errorf("u = %.4g kg/m³, by Monte Carlo %.4g kg/m³", got, sd)
	}
}

func TestRootSumSquare(t *testing.T) {
	area := func(x []float64) float64 { return x[0] * x[1] }
	got, err := Propagate(sure(area), []float64{4, 3}, []float64{0.08, 0.03}, nil)
	// The linear rule of the book gives 3 %; independent errors give 2.24 %.
	if err != nil || math.Abs(got/12-math.Hypot(0.02, 0.01)) > 1e-12 {
		t.Errorf("u/A = %.4g, %v", got/12, err)
	}
	full := [][]float64{{1, 1}, {1, 1}}
	if got, err = Propagate(sure(area), []float64{4, 3}, []float64{0.08, 0.03}, full); err != nil || math.Abs(got/12-0.03) > 1e-12 {
		t.Errorf("fully correlated u/A = %.4g, %v; want 3 %%", got/12, err)
	}
}

func TestPropagateAtTheEdgeOfARange(t *testing.T) {
	f := func(x []float64) (float64, error) { return WaterDensity(x[0]) }
	got, err := Propagate(f, []float64{zeroCelsius}, []float64{0.1}, nil)
	if err != nil || math.Abs(got-0.0068) > 1e-4 { // 0.068 kg/m³ per K at 0 °C
		t.Errorf("u = %.4g kg/m³, %v", got, err)
	}
	if _, err = Propagate(f, []float64{zeroCelsius - 5}, []float64{0.1}, nil); !errors.Is(err, ErrRange) {
		t.Errorf("ice has a water density: %v", err)
	}
}

func TestPropagateRefuses(t *testing.T) {
	f := sure(func(x []float64) float64 { return x[0] + x[1] + x[2] })
	x, u := []float64{1, 2, 3}, []float64{1, 1, 1}
	for name, r := range map[string][][]float64{
		"too small":     {{1}},
		"not symmetric": {{1, 0.5, 0}, {0, 1, 0}, {0, 0, 1}},
		"beyond 1":      {{1, 2, 0}, {2, 1, 0}, {0, 0, 1}},
		"contradictory": {{1, -1, -1}, {-1, 1, -1}, {-1, -1, 1}},
	} {
		if _, err := Propagate(f, x, u, r); err == nil {
			t.Errorf("correlations that are %s were taken", name)
		}
	}
	if _, err := Propagate(f, x, u[:2], nil); err == nil {
		t.Error("three inputs with two uncertainties were taken")
	}
	if _, err := Propagate(f, x, []float64{1, -1, 1}, nil); err == nil {
		t.Error("a negative uncertainty was taken")
	}
}
