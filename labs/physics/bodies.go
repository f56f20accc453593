package physics

import "keelmark/labs/quantity"

// of1 to of6 make the body of a function from a plain Go function of so many numbers.

func of1(f func(a float64) (float64, error)) scalar {
	return func(x []quantity.Value) (float64, error) { return f(x[0].X) }
}

func of2(f func(a, b float64) (float64, error)) scalar {
	return func(x []quantity.Value) (float64, error) { return f(x[0].X, x[1].X) }
}

func of3(f func(a, b, c float64) (float64, error)) scalar {
	return func(x []quantity.Value) (float64, error) { return f(x[0].X, x[1].X, x[2].X) }
}

func of4(f func(a, b, c, d float64) (float64, error)) scalar {
	return func(x []quantity.Value) (float64, error) { return f(x[0].X, x[1].X, x[2].X, x[3].X) }
}

func of5(f func(a, b, c, d, e float64) (float64, error)) scalar {
	return func(x []quantity.Value) (float64, error) { return f(x[0].X, x[1].X, x[2].X, x[3].X, x[4].X) }
}

func of6(f func(a, b, c, d, e, g float64) (float64, error)) scalar {
	return func(x []quantity.Value) (float64, error) {
		return f(x[0].X, x[1].X, x[2].X, x[3].X, x[4].X, x[5].X)
	}
}

// of3or is of3 with a value for the last number where it is left out.
func of3or(last float64, f func(a, b, c float64) (float64, error)) scalar {
	return func(x []quantity.Value) (float64, error) {
		if len(x) == 2 {
			return f(x[0].X, x[1].X, last)
		}
		return f(x[0].X, x[1].X, x[2].X)
	}
}
