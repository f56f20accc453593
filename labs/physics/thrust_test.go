package physics

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The closed form of a run from rest against its differential equation, stepped by Runge and Kutta's fourth-order method.
func TestRunFromRestAgainstODE(t *testing.T) {
	const F, m, rho, Cd, A = 6.0, 4.5, 998.2, 0.9, 0.02
	accelerate := func(v float64) float64 { return (F - 0.5*rho*Cd*A*v*v) / m }
	const steps = 20000
	for _, duration := range []float64{0.1, 0.5, 2, 10} {
		h, v, s := duration/steps, 0.0, 0.0
		for range steps {
			k1 := accelerate(v)
			k2 := accelerate(v + h/2*k1)
			k3 := accelerate(v + h/2*k2)
			k4 := accelerate(v + h*k3)
			s += h * (v + h/6*(k1+k2+k3))
			v += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
		}
		gotV, gotS, err := RunFromRest(F, m, rho, Cd, A, duration)
		if err != nil || math.Abs(gotV-v) > 1e-10 || math.Abs(gotS-s) > 1e-10 {
			t.Errorf("after %g s: %.12g m/s, %.12g m, %v; stepped %.12g m/s, %.12g m", duration, gotV, gotS, err, v, s)
		}
	}
	if v, s, err := RunFromRest(F, m, rho, Cd, A, 1e6); err != nil || math.IsInf(s, 0) || v == 0 {
		t.Errorf("after a long run: %g m/s, %g m, %v", v, s, err)
	}
}

// The working point satisfies the motor's two laws and the propeller's.
func TestMotorPointFitsItsLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		U := rapid.Float64Range(3, 24).Draw(t, "U")
		R := rapid.Float64Range(0.2, 5).Draw(t, "R")
		k := rapid.Float64Range(0.002, 0.05).Draw(t, "k")
		friction := rapid.Float64Range(0, 0.9).Draw(t, "friction") * k * U / R
		kQ := math.Pow(10, rapid.Float64Range(-7, -3).Draw(t, "log kQ"))
		p, err := SolveMotor(U, R, k, friction, kQ)
		if err != nil {
			t.Fatal(err)
		}
		if d := R*p.Current + k*2*math.Pi*p.Turns - U; math.Abs(d) > 1e-9*U {
			t.Fatalf("voltages are %g V apart at %+v", d, p)
		}
		if d := k*p.Current - friction - p.Torque; math.Abs(d) > 1e-9*k*U/R {
			t.Fatalf("torques are %g N·m apart at %+v", d, p)
		}
	})
	if _, err := SolveMotor(6, 2, 0.01, 0.05, 1e-5); !errors.Is(err, ErrRange) {
		t.Errorf("a motor weaker than its friction turns: %v", err)
	}
}

// Thrust and induced speed undo each other, and the power is what the efficiency says: η = 2/(1+√(1+T/(½ρAV²))).
func TestDiscLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		T := rapid.Float64Range(0.01, 50).Draw(t, "T")
		A := rapid.Float64Range(1e-4, 0.1).Draw(t, "A")
		V := rapid.Float64Range(0.01, 5).Draw(t, "V")
		v, err := DiscInduced(T, A, 1000, V)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := DiscThrust(v, A, 1000, V); err != nil || math.Abs(back-T) > 1e-12*T {
			t.Fatalf("thrust %g comes back as %g, %v", T, back, err)
		}
		eta, err := DiscEfficiency(T, A, 1000, V)
		if want := 2 / (1 + math.Sqrt(1+T/(500*A*V*V))); err != nil || math.Abs(eta-want) > 1e-12 {
			t.Fatalf("efficiency %g, %v; want %g", eta, err, want)
		}
	})
}
