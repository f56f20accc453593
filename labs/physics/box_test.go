package physics

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The lever of a small heel is GM·sin φ.
func TestRightingArmAtSmallHeel(t *testing.T) {
	gm, err := BoxGM(0.6, 0.4, 12, 0.06, 1000)
	if err != nil {
		t.Fatal(err)
	}
	b, err := NewBox(0.6, 0.4, 0.2, 12, 1000)
	if err != nil {
		t.Fatal(err)
	}
	for _, degrees := range []float64{0.01, 0.1, -0.1} {
		heel := degrees * deg
		got, err := b.RightingArm(0.06, 0, heel)
		if want := gm * math.Sin(heel); err != nil || math.Abs(got-want) > 1e-5*math.Abs(want) {
			t.Errorf("heel %g°: lever %g m, %v; GM·sin φ = %g m", degrees, got, err, want)
		}
	}
}

// Until an edge dips, the wall-sided formula is exact: GZ = sin φ·(GM + BM·tan²φ/2).
func TestRightingArmOfWallSides(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		breadth := rapid.Float64Range(0.1, 2).Draw(t, "B")
		depth := rapid.Float64Range(0.1, 2).Draw(t, "D")
		share := rapid.Float64Range(0.05, 0.95).Draw(t, "immersed")
		kg := rapid.Float64Range(0, 1).Draw(t, "KG")
		draught := share * depth
		dips := math.Atan(2 * min(draught, depth-draught) / breadth)
		heel := dips * rapid.Float64Range(-0.999, 0.999).Draw(t, "heel")
		b, err := NewBox(1, breadth, depth, 1000*breadth*draught, 1000)
		if err != nil {
			t.Fatal(err)
		}
		got, err := b.RightingArm(kg, 0, heel)
		if err != nil {
			t.Fatal(err)
		}
		gm, err := BoxGM(1, breadth, 1000*breadth*draught, kg, 1000)
		if err != nil {
			t.Fatal(err)
		}
		tan := math.Tan(heel)
		want := math.Sin(heel) * (gm + breadth*breadth/(12*draught)*tan*tan/2)
		if math.Abs(got-want) > 1e-9*(breadth+depth+breadth*breadth/draught) {
			t.Fatalf("lever %g, wall-sided %g", got, want)
		}
	})
}

// At any heel the lever agrees with a count of small cells under the water.
func TestRightingArmAgainstCells(t *testing.T) {
	const n, breadth, depth, share, kg = 600, 0.5, 0.3, 0.62, 0.1
	b, err := NewBox(1, breadth, depth, 1000*breadth*depth*share, 1000)
	if err != nil {
		t.Fatal(err)
	}
	for _, degrees := range []float64{20, 45, 70, 90} {
		sin, cos := math.Sincos(degrees * deg)
		height := func(i, j int) (y, z float64) {
			x, up := (float64(i)+0.5)/n*breadth-breadth/2, (float64(j)+0.5)/n*depth
			return x*cos + up*sin, up*cos - x*sin
		}
		count := func(level float64) (wet int, side float64) {
			for i := range n {
				for j := range n {
					if y, z := height(i, j); z <= level {
						wet++
						side += y
					}
				}
			}
			return wet, side
		}
		low, high := -1.0, 1.0
		for range 30 {
			level := (low + high) / 2
			if wet, _ := count(level); float64(wet) < share*n*n {
				low = level
			} else {
				high = level
			}
		}
		wet, side := count(high)
		want := side/float64(wet) - kg*sin
		got, err := b.RightingArm(kg, 0, degrees*deg)
		if err != nil || math.Abs(got-want) > 2e-4 {
			t.Errorf("heel %g°: lever %g m, %v; by cells %g m", degrees, got, err, want)
		}
	}
}

// A square log floats upright when its relative density is below (3-√3)/6 = 0.2113 or above (3+√3)/6 = 0.7887, and heels
// between.
func TestSquareLog(t *testing.T) {
	for _, limit := range []float64{(3 - math.Sqrt(3)) / 6, (3 + math.Sqrt(3)) / 6} {
		gm, err := BoxGM(1, 1, 1000*limit, 0.5, 1000)
		if err != nil || math.Abs(gm) > 1e-15 {
			t.Errorf("relative density %.4f: GM %g m, %v", limit, gm, err)
		}
	}
	for _, c := range []struct {
		density float64
		upright bool
	}{{0.2112, true}, {0.2114, false}, {0.5, false}, {0.7886, false}, {0.7888, true}} {
		b, err := NewBox(1, 1, 1, 1000*c.density, 1000)
		if err != nil {
			t.Fatal(err)
		}
		heel, err := b.Equilibrium(0.5, 0)
		if err != nil || (heel == 0) != c.upright {
			t.Errorf("relative density %g: rests at %g°, %v", c.density, heel/deg, err)
		}
	}
	b, err := NewBox(1, 1, 1, 500, 1000)
	if err != nil {
		t.Fatal(err)
	}
	if heel, err := b.Equilibrium(0.5, 0); err != nil || math.Abs(heel-45*deg) > 1e-9 {
		t.Errorf("a square log half as dense as water rests at %g°, %v; want 45°", heel/deg, err)
	}
}

func TestEquilibrium(t *testing.T) {
	b, err := NewBox(0.6, 0.4, 0.2, 12, 1000)
	if err != nil {
		t.Fatal(err)
	}
	right, err := b.Equilibrium(0.06, 0.01)
	if err != nil || right <= 0 {
		t.Fatalf("rests at %g°, %v", right/deg, err)
	}
	if arm, _ := b.RightingArm(0.06, 0.01, right); math.Abs(arm) > 1e-12 {
		t.Errorf("the lever at rest is %g m", arm)
	}
	if left, _ := b.Equilibrium(0.06, -0.01); left != -right {
		t.Errorf("rests at %g° one way and %g° the other", right/deg, left/deg)
	}
	if heel, err := b.Equilibrium(0.06, 0); heel != 0 || err != nil {
		t.Errorf("rests at %g°, %v; want upright", heel, err)
	}
	if _, err := b.Equilibrium(0.6, 0.1); !errors.Is(err, ErrRange) {
		t.Errorf("a tall mast of lead does not capsize it: %v", err)
	}
	if _, err := NewBox(0.6, 0.4, 0.2, 48.1, 1000); !errors.Is(err, ErrRange) {
		t.Errorf("a box heavier than the water it fills floats: %v", err)
	}
}
