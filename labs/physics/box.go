package physics

import (
	"fmt"
	"math"

	"keelmark/labs/quantity"
)

func floatingBoxes() []*Function {
	return []*Function{
		declare("box_gm(L, B, m, KG, rho)", "metacentric height of a floating box of length L and breadth B, mass m, its centre of mass KG above the keel", "naval architecture: GM = KB + BM - KG, BM = I/V").
			takes(length, length, length, mass, length, density).gives(of5(BoxGM)),
		declare("box_righting_arm(L, B, D, m, KG, rho, heel)", "righting lever of a floating closed box of depth D at a heel of -90 to 90 deg, from its true immersed section", trueSection).
			takes(length, length, length, length, mass, length, density, plain).
			gives(func(x []quantity.Value) (float64, error) {
				b, err := NewBox(x[0].X, x[1].X, x[2].X, x[3].X, x[5].X)
				if err != nil {
					return 0, err
				}
				return b.RightingArm(x[4].X, 0, x[6].X)
			}),
		declare("box_equilibrium(L, B, D, m, KG, x_G, rho)", "heel at rest of a floating closed box, its centre of mass x_G off the middle (positive heels to +x); an error when it capsizes", trueSection).
			takes(plain, length, length, length, mass, length, length, density).
			gives(func(x []quantity.Value) (float64, error) {
				b, err := NewBox(x[0].X, x[1].X, x[2].X, x[3].X, x[6].X)
				if err != nil {
					return 0, err
				}
				return b.Equilibrium(x[4].X, x[5].X)
			}),
	}
}

const trueSection = "hydrostatics of the true immersed section"

// BoxGM returns the metacentric height in m, T/2 + B²/(12·T) − KG with the draught T = m/(rho·L·B), of a rectangular box
// afloat and upright. Lengths in m, mass in kg, density in kg/m³; negative means that it will not stay upright.
func BoxGM(L, B, m, KG, rho float64) (float64, error) {
	if err := allPositive("length, breadth, mass, density", L, B, m, rho); err != nil {
		return 0, err
	}
	draught := m / (rho * L * B)
	return draught/2 + B*B/(12*draught) - KG, nil
}

// Box is a closed rectangular box afloat, seen along its length: breadth and depth in m, and the area of its section under
// water in m², which no heel changes.
type Box struct {
	breadth, depth, immersed float64
}

// NewBox returns the box of length L, breadth B and depth D (m) and mass m (kg) in water of density rho (kg/m³). It fails
// when a size is not positive and when the box is too heavy to float.
func NewBox(L, B, D, m, rho float64) (Box, error) {
	if err := allPositive("length, breadth, depth, mass, density", L, B, D, m, rho); err != nil {
		return Box{}, err
	}
	b := Box{B, D, m / (rho * L)}
	if b.immersed >= B*D {
		return Box{}, fmt.Errorf("the box sinks: it weighs %.4g kg and can carry %.4g kg in all: %w", m, rho*L*B*D, ErrRange)
	}
	return b, nil
}

type point struct{ y, z float64 }

// RightingArm returns the horizontal distance in m from the centre of mass, KG above the keel and xG off the middle, to the
// centre of buoyancy at a heel in rad, -π/2 to π/2, towards +x down; positive rights the box. Outside it returns a
// *[RangeError].
func (b Box) RightingArm(KG, xG, heel float64) (float64, error) {
	if err := within("heel", heel*180/math.Pi, -90, 90, "°", trueSection); err != nil {
		return 0, err
	}
	return b.arm(KG, xG, heel), nil
}

func (b Box) arm(KG, xG, heel float64) float64 {
	sin, cos := math.Sincos(heel)
	turn := func(x, z float64) point { return point{x*cos + z*sin, z*cos - x*sin} }
	half := b.breadth / 2
	corners := [4]point{turn(-half, 0), turn(half, 0), turn(half, b.depth), turn(-half, b.depth)}
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range corners {
		low, high = min(low, c.z), max(high, c.z)
	}
	water := bisect(low, high, func(level float64) bool {
		a, _ := under(corners, level)
		return a >= b.immersed
	})
	_, buoyancy := under(corners, water)
	return buoyancy - turn(xG, KG).y
}

// under gives the area of the part of a section below a level, and where its centroid lies sideways.
func under(corners [4]point, level float64) (area, middle float64) {
	var cut [8]point
	n := 0
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		if p.z <= level {
			cut[n] = p
			n++
		}
		if (p.z <= level) != (q.z <= level) {
			cut[n] = point{p.y + (q.y-p.y)*(level-p.z)/(q.z-p.z), level}
			n++
		}
	}
	if n < 3 {
		return 0, 0
	}
	for i := 1; i+1 < n; i++ { // a fan of triangles from the first corner
		o, p, q := cut[0], cut[i], cut[i+1]
		a := ((p.y-o.y)*(q.z-o.z) - (q.y-o.y)*(p.z-o.z)) / 2
		area += a
		middle += a * (o.y + p.y + q.y) / 3
	}
	if area == 0 {
		return 0, 0
	}
	return area, middle / area
}

// bisect finds the smallest x of low to high where reached turns true, to the last bit; it is taken to be true at high.
func bisect(low, high float64, reached func(float64) bool) float64 {
	for {
		x := low + (high-low)/2
		if x <= low || x >= high {
			return high
		}
		if reached(x) {
			high = x
		} else {
			low = x
		}
	}
}

// Equilibrium returns the heel in rad at which the box comes to rest when it is let go upright, its centre of mass KG above
// the keel and xG off the middle; positive towards +x. A box that is unstable upright lolls; its angle of loll is given as
// positive. It fails when no heel up to 90° holds the box: it capsizes.
func (b Box) Equilibrium(KG, xG float64) (float64, error) {
	const steps = 180
	side := 1.0
	if xG < 0 {
		side = -1
	}
	holds := func(heel float64) bool { return b.arm(KG, math.Abs(xG), heel) >= 0 }
	for i := 1; i <= steps; i++ {
		heel := float64(i) * math.Pi / 2 / steps
		if !holds(heel) {
			continue
		}
		rest := bisect(float64(i-1)*math.Pi/2/steps, heel, holds)
		if rest < 1e-9 {
			return 0, nil // upright, but for rounding
		}
		return side * rest, nil
	}
	return 0, fmt.Errorf("the box capsizes: nothing rights it up to 90°, with its centre of mass %.4g m above the keel and %.4g m off the middle: %w", KG, xG, ErrRange)
}
