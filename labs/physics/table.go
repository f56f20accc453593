// Package physics is the physics core: water, statics, circuits, propulsion, fitting and uncertainty, as plain functions
// on coherent SI numbers, and a table that offers them to the formula language. Every function names its source and its
// range, and gives an error, never a number, outside it. Start with [Functions].
package physics

import "keelmark/labs/quantity"

// Function is one function of the formula language.
type Function struct {
	Name      string
	Signature string // as documentation shows it: "water_density(T)"
	Doc       string // one line: what it gives, with its range
	Source    string // where the formula or table comes from; "" for plain mathematics
	Least     int    // fewest arguments
	Most      int    // most arguments; -1 when any number may follow
	// Rule gives the type of the result from the types of the arguments, or an error that says which argument is wrong.
	// names holds the literal symbol of each argument of kind Name where it is known before evaluation, else "".
	Rule func(args []quantity.Type, names []string) (quantity.Type, error)
	// Call computes the value; arguments are in coherent SI and fit the rule. It allocates nothing for numbers.
	Call func(args []quantity.Value) (quantity.Value, error)
	// Symbols reports whether argument i takes a symbol of the function's own table (density(brass), preferred(E24, R)).
	Symbols func(i int) bool
	// Doubts says what speaks against using the function on these arguments; nil for most.
	Doubts func(args []quantity.Value) []string
	// Stepped marks results that must match exactly (preferred, next_fuse, nearest, floor, ceil, round, count).
	Stepped bool
}
