package physics

import (
	"fmt"
	"maps"
	"slices"
	"sync"

	"keelmark/labs/quantity"
)

// Functions returns every function of the core by name. The map is shared: do not change it.
func Functions() map[string]*Function { return core() }

var core = sync.OnceValue(func() map[string]*Function {
	all := map[string]*Function{}
	for _, subject := range [][]*Function{
		mathematics(), fluids(), balance(), floatingBoxes(), circuits(), propulsion(), fits(),
		{densityTable(materials), dragTable(dragCoefficients)},
	} {
		for _, f := range subject {
			all[f.Name] = f
		}
	}
	return all
})

// Tables are handbook rows that a template adds to the core's, by table ("density", "drag_coefficient") and name, in
// coherent SI. A row may also replace one of the core's.
type Tables map[string]map[string]float64

// WithTables returns the functions with the rows added. It fails for a table that the core does not have and for a value
// that is not positive.
func WithTables(t Tables) (map[string]*Function, error) {
	all := maps.Clone(core())
	for _, table := range slices.Sorted(maps.Keys(t)) {
		base, build := tableOf(table)
		if build == nil {
			return nil, fmt.Errorf("no table is called %q: there are density and drag_coefficient", table)
		}
		rows := maps.Clone(base)
		for _, name := range slices.Sorted(maps.Keys(t[table])) {
			value := t[table][name]
			if !(value > 0) {
				return nil, fmt.Errorf("table %s: %s must be positive, not %g", table, name, value)
			}
			rows[name] = Handbook{Value: value, Source: "the lab's own table"}
		}
		all[table] = build(rows)
	}
	return all, nil
}

// tableOf gives the rows of a table and the function over them, which has the name of the table; nil for no table.
func tableOf(name string) (map[string]Handbook, func(map[string]Handbook) *Function) {
	switch name {
	case "density":
		return materials, densityTable
	case "drag_coefficient":
		return dragCoefficients, dragTable
	default:
		return nil, nil
	}
}

// lookup is a function of one name, its value read from a handbook table.
func lookup(signature, doc, source string, result measure, rows map[string]Handbook) *Function {
	f := declare(signature, doc, source)
	f.Symbols = func(i int) bool { return i == 0 }
	find := func(name string) (Handbook, error) {
		row, ok := rows[name]
		if !ok {
			return row, unknownSymbol(f.Name, name, slices.Sorted(maps.Keys(rows)))
		}
		return row, nil
	}
	f.Rule = f.rule(result, func(args []quantity.Type, names []string) error {
		if args[0].Kind != quantity.Name {
			return f.fault(0, "must be a name from its table, such as %s", slices.Sorted(maps.Keys(rows))[0])
		}
		if names[0] == "" {
			return nil
		}
		_, err := find(names[0])
		return err
	})
	f.Call = func(args []quantity.Value) (quantity.Value, error) {
		if err := f.arity(len(args)); err != nil {
			return quantity.Value{}, err
		}
		row, err := find(args[0].Name)
		return quantity.Value{X: row.Value}, err
	}
	return f
}
