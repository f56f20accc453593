package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"strings"

	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// readData brings the columns of a CSV file to the bench. A header is name/unit, or a name alone for bare numbers.
func (b *bench) readData(file string) error {
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.TrimLeadingSpace = true
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	if len(records) < 2 {
		return fmt.Errorf("%s: a header line such as load/N,extension/cm and at least one line of readings are needed", file)
	}
	for i, header := range records[0] {
		name, unitText, hasUnit := strings.Cut(strings.TrimPrefix(header, "\ufeff"), "/")
		if !hasUnit {
			unitText = "1"
		}
		unit, err := quantity.ParseUnit(strings.TrimSpace(unitText))
		if err != nil {
			return fmt.Errorf("%s:1: column %q: %w", file, header, err)
		}
		column := make([]float64, 0, len(records)-1)
		for row, record := range records[1:] {
			outcome := quantity.ReadAs(record[i], unit)
			if outcome.Verdict != "ok" {
				return fmt.Errorf("%s:%d: column %s: %q: %s", file, row+2, name, record[i], outcome.Why)
			}
			column = append(column, outcome.Readings[0].SI(unit))
		}
		point := unit.Offset != 0
		b.set(strings.TrimSpace(name), quantity.Type{Kind: quantity.Column, Dim: unit.Dim, Point: point}, quantity.Value{Col: column})
	}
	return nil
}

// readNetwork solves the netlist in a file and puts what its elements carry on the bench, as current(R1) and the like.
func (b *bench) readNetwork(file string) error {
	text, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	lines, err := physics.ParseNetlist(string(text))
	if err != nil {
		var fault *physics.NetlistError
		if errors.As(err, &fault) {
			return fmt.Errorf("%s:%d:%d: %w", file, fault.Line, fault.Col, err)
		}
		return fmt.Errorf("%s: %w", file, err)
	}
	elements := make([]physics.Element, len(lines))
	for i, l := range lines {
		if elements[i], err = b.element(fmt.Sprintf("%s:%d: ", file, l.Line), l); err != nil {
			return err
		}
	}
	solution, err := physics.SolveNetwork(elements)
	if err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	ampere, volt, watt := quantity.Base(0, 0, 0, 1), quantity.Base(2, 1, -3, -1), quantity.Base(2, 1, -3)
	for _, carried := range []struct {
		what   string
		dim    quantity.Dim
		values map[string]float64
	}{{"current", ampere, solution.Current}, {"voltage", volt, solution.Voltage}, {"power", watt, solution.Power}, {"potential", volt, solution.Potential}} {
		for name, x := range carried.values {
			b.set(carried.what+"("+name+")", quantity.Type{Dim: carried.dim}, quantity.Value{X: x})
		}
	}
	return nil
}

// element evaluates the formulas of one line of a netlist.
func (b *bench) element(where string, l physics.NetlistLine) (e physics.Element, err error) {
	e = physics.Element{Name: l.Name, Kind: l.Kind, Plus: l.Plus, Minus: l.Minus, HasValue: l.Value != "", HasInside: l.Inside != ""}
	column := func(src string) (v quantity.Value) {
		if src != "" && err == nil {
			_, v, err = b.eval(where, src, b)
		}
		return v
	}
	e.Value, e.Inside = column(l.Value).X, column(l.Inside).X
	e.VTable, e.ITable = column(l.VTable).Col, column(l.ITable).Col
	return e, err
}
