package formula_test

import (
	"errors"
	"fmt"

	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// readings is a scope of three values: two readings of a newton meter, and g.
type readings struct{}

func (readings) Lookup(name string) (t quantity.Type, slot int, ok bool) {
	newton, metrePerSecondSquared := quantity.Base(1, 1, -2), quantity.Base(1, 0, -2)
	switch name {
	case "Wa":
		return quantity.Type{Dim: newton}, 0, true
	case "Ww":
		return quantity.Type{Dim: newton}, 1, true
	case "g":
		return quantity.Type{Dim: metrePerSecondSquared}, 2, true
	}
	return t, 0, false
}

func Example() {
	e, err := formula.Parse("(Wa - Ww) / (1000 kg/m^3 * g)")
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := e.Compile(readings{}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	frame := []quantity.Value{{X: 2.46}, {X: 1.55}, {X: 9.81}}
	v, err := p.Eval(frame)
	fmt.Printf("%v = %.3g %v %v\n", e, v.X, p.Type().Dim, err)
	fmt.Println(e.TeX(nil))
	// Output:
	// (Wa - Ww)/(1000 kg/m^3 * g) = 9.28e-05 m^3 <nil>
	// \frac{\text{Wa} - \text{Ww}}{1000\,\text{kg/m³} \times g}
}

func ExampleError_Snippet() {
	e, _ := formula.Parse("Wa - Ww/g")
	_, err := e.Compile(readings{}, nil)
	var fault *formula.Error
	if errors.As(err, &fault) {
		fmt.Printf("column %d: %v\n%s\n", fault.Col, fault, fault.Snippet())
	}
	// Output:
	// column 4: cannot subtract N - kg
	//   Wa - Ww/g
	//      ^
}

func ExampleExpr_Variants() {
	e, _ := formula.Parse("(Wa - Ww)/g")
	for _, v := range e.Variants(nil) {
		fmt.Println(v.Kind, v.Expr)
	}
	// Output:
	// factor-lost 1/g
	// factor-twice (Wa - Ww)*(Wa - Ww)/g
	// g-forgotten Wa - Ww
	// g-twice (Wa - Ww)/g/g
	// upside-down g/(Wa - Ww)
	// plus-for-minus (Wa + Ww)/g
	// swap-difference (Ww - Wa)/g
	// sign -((Wa - Ww)/g)
}
