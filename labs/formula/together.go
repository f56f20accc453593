package formula

import (
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// Together gives the columns of the scope that the formula takes element by element, or in one function, so that the n-th
// of one belongs to the n-th of the others: of sum(m*x)/sum(V) it gives [m x]. The formula compiles in the scope.
func (e *Expr) Together(scope Scope, fns map[string]*physics.Function) [][]string {
	var groups [][]string
	var columns func(n *node) []string // that n is made of, as long as it is a column itself
	columns = func(n *node) (names []string) {
		if n.op == name {
			if t, _, ok := scope.Lookup(n.text); ok && t.Kind == quantity.Column {
				names = []string{n.text}
			}
			return names
		}
		meeting := 0
		for _, a := range n.args {
			if more := columns(a); more != nil {
				names = append(names, more...)
				meeting++
			}
		}
		if meeting > 1 {
			groups = append(groups, names)
		}
		if n.op == call && len(names) > 0 {
			if p, err := (&Expr{e.src, n}).Compile(scope, fns); err != nil || p.Type().Kind != quantity.Column {
				return nil
			}
		}
		return names
	}
	columns(e.root)
	return groups
}
