package grader

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/quantity"
)

const (
	plausibleShare     = 0.25 // of what is expected, where the template says nothing
	plausibleDivisions = 3    // of the instrument; the larger of the two counts
)

// splitReadings parts a list of readings. A comma is never a separator: it may be a decimal mark.
func splitReadings(text string) []string {
	parts := strings.Split(text, ";")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return parts
}

// readBench puts the pupil's bench readings into the truth, where they are printed values of the pupil's own making.
func (s *marking) readBench() {
	read := map[*labs.Value][]float64{}
	part := s.sheet.Part(s.lab)
	for _, v := range s.measured {
		entry := s.reading(v, read)
		if entry.Written == "" && !part.Reads(v) {
			continue // a follow-up sheet does not ask for it
		}
		s.marks.Readings = append(s.marks.Readings, entry)
	}
	s.pairColumns(read)
	for _, v := range s.measured {
		switch values := read[v]; {
		case s.missing[v.Name] != "":
		case v.Type.Kind == quantity.Column:
			s.truth[v.Slot] = quantity.Value{Col: values}
		default:
			s.truth[v.Slot] = quantity.Value{X: values[0]}
		}
	}
}

// reading reads one measured value or column. A gap in a column is NaN.
func (s *marking) reading(v *labs.Value, read map[*labs.Value][]float64) *classset.BenchReading {
	text, kind := s.text(v.Name)
	entry := &classset.BenchReading{Name: v.Name, Written: s.paper.Text[v.Name], Unit: v.Show.Text, Plausible: true}
	if text == "" {
		shared := s.shared[v.Name]
		text, kind, entry.From = shared.text, shared.kind, shared.from
	}
	expected := s.truth[v.Slot].Col
	if v.Type.Kind != quantity.Column {
		expected = []float64{s.truth[v.Slot].X}
	}
	parts := splitReadings(text)
	switch {
	case strings.Trim(text, "; ") == "":
		s.lack(v, entry, fmt.Sprintf("the bench reading %s is missing", v.Name))
		return entry
	case kind == DateCell:
		s.unreadable(v, entry, "the spreadsheet has turned a reading into a date; type it again into cells formatted as text")
		return entry
	case len(parts) > max(1, v.Rows):
		s.unreadable(v, entry, fmt.Sprintf("%d readings, where the sheet has room for %d", len(parts), max(1, v.Rows)))
		return entry
	}
	var doubts []string
	for n, part := range parts {
		if part == "" {
			read[v] = append(read[v], math.NaN())
			continue
		}
		near := expected[min(n, len(expected)-1)]
		x, why := s.readPart(v, part, near)
		if why != "" {
			s.unreadable(v, entry, fmt.Sprintf("%q: %s", part, why))
			return entry
		}
		read[v] = append(read[v], x)
		entry.Values = append(entry.Values, inUnit(v, x))
		entry.Expected = append(entry.Expected, inUnit(v, near))
		if !plausible(v, x, near) {
			doubts = append(doubts, fmt.Sprintf("%s where about %s is to be expected", part, v.Show.Format(quantity.Value{X: near}, scalar(v.Type))))
		}
	}
	if len(doubts) > 0 {
		entry.Plausible = false
		entry.Message = "check this reading: " + strings.Join(doubts, "; ")
	}
	return entry
}

// scalar is the type of one element.
func scalar(t quantity.Type) quantity.Type {
	t.Kind = quantity.Number
	return t
}

func inUnit(v *labs.Value, si float64) float64 {
	if v.Type.Point {
		return v.Show.Unit.From(si)
	}
	return v.Show.Unit.FromSpan(si)
}

// readPart reads one reading, in coherent SI. Of two sensible readings the one nearer to what is expected is taken: a
// bench reading is judged by what the bench can give.
func (s *marking) readPart(v *labs.Value, text string, near float64) (x float64, why string) {
	readings, why := s.texts.read(text)
	found := false
	for _, r := range likeliest(readings, s.convention) {
		if !r.Fits(v.Show.Unit) {
			continue
		}
		y := r.Span(v.Show.Unit)
		if v.Type.Point {
			y = r.SI(v.Show.Unit)
		}
		if !found || math.Abs(y-near) < math.Abs(x-near) {
			x, found = y, true
		}
	}
	switch {
	case found:
		return x, ""
	case len(readings) > 0:
		return 0, fmt.Sprintf("%s is not a unit of this reading (%s)", readings[0].Unit.Symbol, v.Show.Text)
	case why == "":
		return 0, "nothing that could be read"
	}
	return 0, why
}

func plausible(v *labs.Value, x, near float64) bool {
	within := v.Within
	if within == 0 {
		within = plausibleDivisions * v.Division
		if !v.Type.Point {
			within = max(within, plausibleShare*math.Abs(near))
		}
	}
	return math.Abs(x-near) <= within*(1+1e-9)
}

// lack notes a reading that is not there; everything that uses it directly waits for a person.
func (s *marking) lack(v *labs.Value, entry *classset.BenchReading, why string) {
	s.missing[v.Name] = why
	entry.Plausible, entry.Message = false, why
}

func (s *marking) unreadable(v *labs.Value, entry *classset.BenchReading, why string) {
	entry.Values, entry.Expected = nil, nil
	s.lack(v, entry, fmt.Sprintf("the bench reading %s cannot be read", v.Name))
	entry.Message = why
	s.lookAt(v.Name, entry.Written, why)
}

// table is a table of readings: its number in the lab, which ties its columns together, and how many rows it has.
type table struct{ number, rows int }

// pairColumns makes columns that were read together equally long: a row in which one of them has a gap is left out of
// all, and of the fixed points printed beside them. Other tables keep theirs.
func (s *marking) pairColumns(read map[*labs.Value][]float64) {
	together := map[table][]*labs.Value{}
	for _, v := range s.measured {
		if v.Type.Kind == quantity.Column && s.missing[v.Name] == "" {
			t := table{v.Table, v.Rows}
			together[t] = append(together[t], v)
		}
	}
	keepOf := map[table][]bool{} // the rows to keep, where not all are
	for t, group := range together {
		keep, begun := make([]bool, t.rows), make([]bool, t.rows)
		for n := range keep {
			there := 0
			for _, v := range group {
				if n < len(read[v]) && !math.IsNaN(read[v][n]) {
					there++
				}
			}
			keep[n], begun[n] = there == len(group), there > 0
		}
		if !slices.Contains(keep, false) {
			continue
		}
		keepOf[t] = keep
		for n := range keep {
			if !keep[n] && slices.Contains(begun[n:], true) { // rows at the end that nobody began are no gap
				s.gaps[t] = append(s.gaps[t], strconv.Itoa(n+1))
			}
		}
		for _, v := range group {
			read[v] = pick(read[v], keep)
			s.keepRows(v, read[v], keep)
		}
	}
	for _, v := range s.lab.Values {
		if keep := keepOf[table{v.Table, len(s.truth[v.Slot].Col)}]; keep != nil && v.Source != labs.Measured {
			s.truth[v.Slot] = quantity.Value{Col: pick(s.truth[v.Slot].Col, keep)}
		}
	}
}

// keepRows leaves in what is stored of a column the rows that are kept, and says which: a solution worked from it later
// must pair the same readings as marking did. read holds the readings of these rows, in coherent SI.
func (s *marking) keepRows(v *labs.Value, read []float64, keep []bool) {
	i := slices.IndexFunc(s.marks.Readings, func(r *classset.BenchReading) bool { return r.Name == v.Name })
	if i < 0 {
		return
	}
	entry := s.marks.Readings[i]
	entry.Values, entry.Expected, entry.Rows = nil, nil, nil
	for n, near := range pick(s.truth[v.Slot].Col, keep) { // still what is expected
		entry.Values = append(entry.Values, inUnit(v, read[n]))
		entry.Expected = append(entry.Expected, inUnit(v, near))
	}
	for n := range keep {
		if keep[n] {
			entry.Rows = append(entry.Rows, n+1)
		}
	}
}

// pick returns a copy of the elements to keep.
func pick(column []float64, keep []bool) (picked []float64) {
	for n, x := range column {
		if n < len(keep) && keep[n] {
			picked = append(picked, x)
		}
	}
	return picked
}
