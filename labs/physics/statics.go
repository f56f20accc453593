package physics

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"keelmark/labs/quantity"
)

const geometry = "geometry, standard tables of sections"

func balance() []*Function {
	return []*Function{
		centroid(),
		declare("moment(F, d, [angle])", "moment of a force F on an arm d; angle between them 90° unless given", "statics").
			takes(torque, force, length, plain).gives(func(x []quantity.Value) (float64, error) {
			if len(x) == 3 {
				return x[0].X * x[1].X * math.Sin(x[2].X), nil
			}
			return x[0].X * x[1].X, nil
		}),
		shaped("area_moment(shape, a, [b])", "second moment of area about the centroid: rectangle b h, circle d, annulus D d, triangle b h, semicircle r", secondMoment, areaMoments),
		shaped("shape_centroid(shape, size)", "height of the centroid above the base: triangle h, semicircle r, quarter_circle r, cone h, hemisphere r, paraboloid h", length, centroids),
		declare("pitch_at_rest(x_G, z_G, x_B, z_B)", "tilt at which a submerged craft hangs, its centre of mass G under its centre of buoyancy B; positive towards +x down, z upwards", "statics").
			takes(plain, length, length, length, length).gives(of4(PitchAtRest)),
	}
}

func centroid() *Function {
	return pair(declare("centroid(m, x)", "sum(m*x)/sum(m), the centre of the masses (or weights, areas) m at x", "statics"),
		func(_, x quantity.Type) (quantity.Type, error) { return quantity.Type{Dim: x.Dim, Point: x.Point}, nil },
		Centroid)
}

// Centroid returns Σm·x/Σm. The m may be masses, weights, areas or volumes, negative for a hole; their sum must be positive.
func Centroid(m, x []float64) (float64, error) {
	if len(m) != len(x) || len(m) == 0 {
		return 0, fmt.Errorf("a centroid needs as many positions as masses, not %d and %d", len(x), len(m))
	}
	var sum, first float64
	for i := range m {
		sum += m[i]
		first += m[i] * x[i]
	}
	if err := positive("the sum of the masses", sum); err != nil {
		return 0, err
	}
	return first / sum, nil
}

// PitchAtRest returns the tilt in rad, -π to π, of a free submerged body whose centre of mass (xG, zG) comes to rest under
// its centre of buoyancy (xB, zB); z is upwards in the body. More than π/2 means that it rolls over. It fails where the two
// centres meet, for then any tilt is a rest.
func PitchAtRest(xG, zG, xB, zB float64) (float64, error) {
	if xG == xB && zG == zB {
		return 0, fmt.Errorf("the centres of mass and of buoyancy meet: the craft rests at any tilt: %w", ErrRange)
	}
	return math.Atan2(xG-xB, zB-zG), nil
}

// shape is a formula for a named shape and the lengths it takes.
type shape struct {
	sizes   string // "b, h"
	count   int
	compute func(a, b float64) float64
}

// areaMoments are second moments in m⁴ about the centroidal axis parallel to the base.
var areaMoments = map[string]shape{
	"rectangle": {"b, h", 2, func(b, h float64) float64 { return b * h * h * h / 12 }},
	"triangle":  {"b, h", 2, func(b, h float64) float64 { return b * h * h * h / 36 }},
	"circle":    {"d", 1, func(d, _ float64) float64 { return math.Pi * d * d * d * d / 64 }},
	"annulus":   {"D, d", 2, func(D, d float64) float64 { return math.Pi * (D*D*D*D - d*d*d*d) / 64 }},
	"semicircle": {"r", 1, func(r, _ float64) float64 {
		return (math.Pi/8 - 8/(9*math.Pi)) * r * r * r * r
	}},
}

// centroids are heights in m above the base or flat face.
var centroids = map[string]shape{
	"triangle":       {"h", 1, func(h, _ float64) float64 { return h / 3 }},
	"semicircle":     {"r", 1, func(r, _ float64) float64 { return 4 * r / (3 * math.Pi) }},
	"quarter_circle": {"r", 1, func(r, _ float64) float64 { return 4 * r / (3 * math.Pi) }},
	"cone":           {"h", 1, func(h, _ float64) float64 { return h / 4 }},
	"hemisphere":     {"r", 1, func(r, _ float64) float64 { return 3 * r / 8 }},
	"paraboloid":     {"h", 1, func(h, _ float64) float64 { return h / 3 }},
}

// shaped is a function of a shape's name and its lengths.
func shaped(signature, doc string, result measure, table map[string]shape) *Function {
	f := declare(signature, doc, geometry)
	f.Symbols = func(i int) bool { return i == 0 }
	find := func(name string, sizes int) (shape, error) {
		s, ok := table[name]
		if !ok {
			return s, unknownSymbol(f.Name, name, slices.Sorted(maps.Keys(table)))
		}
		if s.count != sizes {
			return s, fmt.Errorf("%s(%s, …) takes %s", f.Name, name, s.sizes)
		}
		return s, nil
	}
	f.Rule = f.rule(result, func(args []quantity.Type, names []string) error {
		if args[0].Kind != quantity.Name {
			return f.fault(0, "must be the name of a shape")
		}
		for i, a := range args[1:] {
			if !length.fits(a) {
				return f.fault(i+1, "must be %s, not %s", length.words, called(a))
			}
		}
		if names[0] == "" {
			return nil
		}
		_, err := find(names[0], len(args)-1)
		return err
	})
	return f.gives(func(x []quantity.Value) (float64, error) {
		s, err := find(x[0].Name, len(x)-1)
		if err != nil {
			return 0, err
		}
		for _, size := range x[1:] {
			if err := positive("size of the "+x[0].Name, size.X); err != nil {
				return 0, err
			}
		}
		if s.count == 1 {
			return s.compute(x[1].X, 0), nil
		}
		if x[0].Name == "annulus" && x[2].X >= x[1].X {
			return 0, fmt.Errorf("the hole of an annulus is smaller than its outside: D %.6g m, d %.6g m: %w", x[1].X, x[2].X, ErrRange)
		}
		return s.compute(x[1].X, x[2].X), nil
	})
}
