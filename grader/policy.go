package grader

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"keelmark/labs/classset"
	"keelmark/labs/formula"
	"keelmark/labs/slips"
)

// Policy says how many marks a slip costs, by its id, where the usual rule (one mark) is not wanted.
type Policy map[string]int

const maxPolicy = 64 << 10 // bytes of its file: there are some thirty slips

// ReadPolicy reads a policy: YAML of the form `radius-for-diameter: 2`, a line a slip. Faults name file, line and remedy.
func ReadPolicy(path string) (Policy, error) {
	data, err := classset.ReadFile(path, maxPolicy)
	if err != nil {
		return nil, err
	}
	var root yaml.Node
	if err := yaml.Unmarshal(data, &root); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	policy := Policy{}
	if len(root.Content) == 0 {
		return policy, nil
	}
	body := root.Content[0]
	if body.Kind != yaml.MappingNode {
		return nil, fmt.Errorf("%s:%d: want a line a slip, such as %s: 1", path, body.Line, UnitOther)
	}
	known := slipIDs()
	for i := 0; i+1 < len(body.Content); i += 2 {
		key, value := body.Content[i], body.Content[i+1]
		if !slices.Contains(known, key.Value) {
			return nil, fmt.Errorf("%s:%d: no slip %.60q; want one of %s", path, key.Line, key.Value, strings.Join(known, ", "))
		}
		if _, twice := policy[key.Value]; twice {
			return nil, fmt.Errorf("%s:%d: %s stands twice", path, key.Line, key.Value)
		}
		lost, err := strconv.Atoi(value.Value)
		if err != nil || lost < 0 {
			return nil, fmt.Errorf("%s:%d: %s: %.60q; want the marks lost, a whole number, 0 or more", path, value.Line, key.Value, value.Value)
		}
		policy[key.Value] = lost
	}
	return policy, nil
}

// slipIDs are the ids a policy may name: those of package slips and the faults that marking itself sees. Listed mistakes
// have their marks in the lab.
func slipIDs() []string {
	ids := []string{UnitMissing, UnitOther, MassForForce, FiguresFault, DirectionOpposite,
		slips.PowerOfTen, slips.UnitOfTime, slips.UnitOfInput, slips.PrintedValue, slips.CarriedSlip}
	for _, kind := range []formula.Kind{formula.PlusForMinus, formula.MinusForPlus, formula.SwapDifference, formula.Sign,
		formula.FactorLost, formula.FactorTwice, formula.GForgotten, formula.GTwice, formula.UpsideDown, formula.SquareForgotten,
		formula.RootForgotten, formula.DegreesAsRadians, formula.Half, formula.Double, formula.SeriesForParallel,
		formula.ParallelForSeries, formula.OtherName} {
		ids = append(ids, string(kind))
	}
	return ids
}
