package labs

import (
	"errors"
	"fmt"

	"keelmark/labs/formula"
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// Carried is what an element or node of a network carries, in coherent SI. Name is spelt as formulas have it: "current(R1)".
type Carried struct {
	Name string
	Dim  quantity.Dim
	X    float64
}

// SolveNetlist solves a netlist that stands by itself, whose values are formulas of the names in scope, and gives what it
// carries in no order. The dimension of every value is checked first; a fault in the text is a *[physics.NetlistError].
func SolveNetlist(text string, s formula.Scope, f Frame) ([]Carried, error) {
	lines, err := physics.ParseNetlist(text)
	if err != nil {
		return nil, err
	}
	elements := make([]physics.Element, len(lines))
	for i, line := range lines {
		if elements[i], err = evalLine(line, s, f); err != nil {
			return nil, err
		}
	}
	solution, err := physics.SolveNetwork(elements)
	if err != nil {
		return nil, err
	}
	var all []Carried
	for kind, values := range map[string]map[string]float64{
		"current": solution.Current, "voltage": solution.Voltage, "power": solution.Power, "potential": solution.Potential,
	} {
		for name, x := range values {
			all = append(all, Carried{fmt.Sprintf("%s(%s)", kind, name), pseudoDims[kind], x})
		}
	}
	return all, nil
}

// evalLine checks and evaluates the formulas of one line.
func evalLine(line physics.NetlistLine, s formula.Scope, f Frame) (physics.Element, error) {
	var values [4]quantity.Value
	sources, cols := partSources(line)
	for k, source := range sources {
		if source == "" {
			continue
		}
		v, err := evalPart(source, line.Kind, k, s, f)
		if err != nil {
			fault := &physics.NetlistError{Line: line.Line, Col: cols[k] + column(err), Msg: fmt.Sprintf("%s: %s", line.Name, err)}
			var inFormula *formula.Error
			if errors.As(err, &inFormula) {
				fault.Msg += "\n" + inFormula.Snippet()
			}
			return physics.Element{}, fault
		}
		values[k] = v
	}
	return element(line, values[:]), nil
}

// evalPart checks and evaluates formula k of an element of that kind.
func evalPart(source, element string, k int, s formula.Scope, f Frame) (v quantity.Value, err error) {
	e, err := formula.Parse(source)
	if err != nil {
		return v, err
	}
	run, err := e.Compile(s, nil)
	if err != nil {
		return v, err
	}
	kind, dim := partType(element, k)
	if err := mustBe(run.Type(), kind, dim); err != nil {
		return v, err
	}
	return run.Eval(f)
}
