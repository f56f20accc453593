package grader

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
)

// decisions are the rows of look.csv that a person has filled in.
type decisions struct {
	of   map[string]map[string]classset.Look // those to apply, by sheet and by question or bench reading
	rows []classset.Look                     // all of them, applied or not: none is ever lost
}

// readDecisions reads look.csv. A decision applies to the answer it was made for; one whose answer has changed since, or
// that makes no sense, is kept and reported, not applied.
func (r *Result) readDecisions(dir string, papers map[string]*Paper, scheme *Scheme) (*decisions, error) {
	d := &decisions{of: map[string]map[string]classset.Look{}}
	rows, faults, err := classset.ReadLook(dir)
	if err != nil {
		return nil, err
	}
	path := filepath.Join(dir, classset.MarkedDir, "look.csv")
	var list findings
	defer func() { r.Findings = append(r.Findings, list.list()...) }()
	if len(faults) > 0 { // look.csv is written anew without these rows: keep the file they stand in
		kept, err := keepFaulty(path)
		if err != nil {
			return nil, err
		}
		for _, fault := range faults {
			list.find(path, fault.Line, "%v; the row was not applied and is kept in %s", fault.Err, kept)
		}
	}
	sheets := map[string]*classset.Sheet{}
	for _, s := range r.Set.Sheets {
		sheets[s.Code] = s
	}
	for _, row := range rows {
		if !row.Decided() {
			continue
		}
		row = pinned(row, r.Lab, papers[row.Sheet])
		d.rows = append(d.rows, row)
		if why := r.refuses(row, sheets[row.Sheet], papers[row.Sheet], scheme); why != "" {
			list.find(path, row.Line, "decision not applied: %s", why)
			continue
		}
		if d.of[row.Sheet] == nil {
			d.of[row.Sheet] = map[string]classset.Look{}
		}
		d.of[row.Sheet][row.Question] = row
	}
	return d, nil
}

// keepFaulty copies look.csv to look-faulty.csv beside it, or to the next such name that holds no other copy.
func keepFaulty(path string) (kept string, err error) {
	data, err := classset.ReadFile(path, classset.MaxFile)
	if err != nil {
		return "", err
	}
	for n := 1; ; n++ {
		kept = filepath.Join(filepath.Dir(path), "look-faulty.csv")
		if n > 1 {
			kept = filepath.Join(filepath.Dir(path), fmt.Sprintf("look-faulty-%d.csv", n))
		}
		switch before, err := classset.ReadFile(kept, classset.MaxFile); {
		case errors.Is(err, fs.ErrNotExist):
			return kept, classset.WriteFile(kept, data)
		case err != nil:
			return "", err
		case bytes.Equal(before, data):
			return kept, nil
		}
	}
}

// pinned ties a row that a person added for an answer as it stands, without copying it, to that answer.
func pinned(row classset.Look, l *labs.Lab, paper *Paper) classset.Look {
	row.Answer = strings.TrimSpace(row.Answer)
	if row.Answer == "" && row.Why == "" && paper != nil {
		row.Answer, row.Why = paper.written(l, row.Question), "decided without being asked"
	}
	return row
}

// join puts the decisions below what is open. Where both speak of one answer, as when it has changed since, the decision
// stands and says why it did not settle the matter: look.csv has one row for each answer.
func (d *decisions) join(open []classset.Look) (rows []classset.Look) {
	at := map[[2]string]int{}
	for i, row := range d.rows {
		at[[2]string{row.Sheet, row.Question}] = i
	}
	for _, row := range open {
		if i, ok := at[[2]string{row.Sheet, row.Question}]; ok {
			d.rows[i].Why = row.Why
			continue
		}
		rows = append(rows, row)
	}
	return append(rows, d.rows...)
}

// refuses tells why a decision cannot be applied; "" when it can.
func (r *Result) refuses(row classset.Look, sheet *classset.Sheet, paper *Paper, scheme *Scheme) string {
	q, v := r.Lab.Question(row.Question), r.Lab.Value(row.Question)
	code := classset.ShowCode(row.Sheet)
	switch {
	case sheet == nil:
		return "sheet " + code + " is not in this set"
	case q == nil && (v == nil || v.Source != labs.Measured), q != nil && !sheet.Has(q):
		return "sheet " + code + " has no question " + classset.Quote(row.Question)
	case paper == nil:
		return "sheet " + code + " was not handed in"
	case paper.written(r.Lab, row.Question) != row.Answer:
		return "the answer to " + row.Question + " on sheet " + code + " has changed since, from " + quote(row.Answer) + " to " + quote(paper.written(r.Lab, row.Question)) +
			"; decide again, and put the new answer into the column answer"
	case row.Marks != nil && q == nil:
		return "a bench reading has no marks; put what it says into read_as"
	case row.Marks != nil && *row.Marks > scheme.marks(q):
		return fmt.Sprintf("%d is more than the %s of question %s", *row.Marks, count(scheme.marks(q), "mark"), row.Question)
	}
	return ""
}

func quote(answer string) string {
	if answer == "" {
		return "nothing"
	}
	return classset.Quote(answer)
}
