package main

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/formula"
	"keelmark/labs/physics"
	"keelmark/labs/quantity"
)

// maxData is the most bytes of a file that calc reads: some fifty thousand readings.
const maxData = 1 << 20

// readData brings the columns of a CSV file to the bench. A header is name/unit, or a name alone for bare numbers.
func (b *bench) readData(file string) error {
	text, err := labs.ReadFile(file, maxData)
	if err != nil {
		return err
	}
	records, lines, err := readRecords(text)
	if err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	if len(records) < 2 {
		return fmt.Errorf("%s: a header line such as load/N,extension/cm and at least one line of readings are needed", file)
	}
	for i, header := range records[0] {
		name, unitText, hasUnit := strings.Cut(header, "/")
		if !hasUnit {
			unitText = "1"
		}
		unit, err := quantity.ParseUnit(strings.TrimSpace(unitText))
		if err != nil {
			return fmt.Errorf("%s:%d: column %.60q: %w", file, lines[0], header, err)
		}
		name = strings.TrimSpace(name)
		if _, _, twice := b.Lookup(name); !formula.IsName(name) || twice && name != "g" {
			return fmt.Errorf("%s:%d: column %.60q: each column has a name of its own, of letters, digits and _, and its unit after a stroke, as in load/N",
				file, lines[0], header)
		}
		column := make([]float64, 0, len(records)-1)
		for k, record := range records[1:] {
			outcome := quantity.ReadAs(record[i], unit)
			if outcome.Verdict != "ok" {
				return fmt.Errorf("%s:%d: column %s: %.60q: %s", file, lines[k+1], name, record[i], cmp.Or(outcome.Why, "nothing stands there; want a number"))
			}
			column = append(column, outcome.Readings[0].SI(unit))
		}
		point := unit.Offset != 0
		b.set(name, quantity.Type{Kind: quantity.Column, Dim: unit.Dim, Point: point}, quantity.Value{Col: column})
	}
	return nil
}

// readRecords reads CSV with # comments, parted by whichever of comma, semicolon and tab its first line uses most, and the
// line on which each record begins. Records without any text are left out.
func readRecords(data []byte) (records [][]string, lines []int, err error) {
	text, _ := classset.DecodeText(data)
	header := strings.TrimLeft(text, "\r\n")
	for strings.HasPrefix(header, "#") {
		_, header, _ = strings.Cut(header, "\n")
		header = strings.TrimLeft(header, "\r\n")
	}
	r := csv.NewReader(strings.NewReader(text))
	r.Comma = classset.Separator(header)
	r.TrimLeadingSpace = r.Comma != '\t' // where a tab parts, a cell may be nothing but that
	r.Comment = '#'
	r.FieldsPerRecord = -1
	for {
		record, err := r.Read()
		switch {
		case errors.Is(err, io.EOF):
			return records, lines, nil
		case err != nil:
			return nil, nil, err
		case strings.TrimSpace(strings.Join(record, "")) == "":
			continue
		}
		line, _ := r.FieldPos(0)
		if len(records) > 0 && len(record) != len(records[0]) {
			return nil, nil, fmt.Errorf("line %d has %d cells, and the header has %d; write decimals with a point, or part the columns with semicolons",
				line, len(record), len(records[0]))
		}
		records, lines = append(records, record), append(lines, line)
	}
}

// readNetwork solves the netlist in a file and puts what its elements carry on the bench, as current(R1) and the like.
func (b *bench) readNetwork(file string) error {
	text, err := labs.ReadFile(file, maxData)
	if err != nil {
		return err
	}
	carried, err := labs.SolveNetlist(string(text), b, b.frame)
	var fault *physics.NetlistError
	switch {
	case errors.As(err, &fault):
		return usagef("%s:%d:%d: %w", file, fault.Line, fault.Col, err)
	case err != nil:
		return fmt.Errorf("%s: %w", file, err)
	}
	for _, c := range carried {
		b.set(c.Name, quantity.Type{Dim: c.Dim}, quantity.Value{X: c.X})
	}
	return nil
}
