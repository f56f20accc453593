// Package grader marks a class set: it reads answers as pupils wrote them, holds each against the lab's own formula, and
// says of every answer what it earns and why. It gives full marks for what is right or follows from the pupil's own
// earlier answers, names a slip only where chance is ruled out, and leaves to a person what it is not sure of. It never
// judges free text, never guesses in silence and never loses an answer. Start with [Mark], which works on files, or with
// [Marker], which works on what one pupil wrote.
package grader

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path/filepath"
	"strings"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/parallel"
)

// MarkOptions say what to mark.
type MarkOptions struct {
	Dir      string     // of the class set
	Files    []string   // answer files, or folders of them; none: mark again what was handed in before
	Replace  bool       // let a second, different answer for a sheet already marked take the first one's place
	Policy   Policy     // marks lost by slip; nil: one each
	ReadForm FormReader // for fill-in PDFs; nil: they are named as unread

	// Also writes what goes with the marking, such as feedback, while no other run can write to the set; may be nil. It
	// writes to the folder stage as to a set's own; from there all goes into place together.
	Also func(stage string, r *Result) error
}

// Result is a marked class set.
type Result struct {
	Set      *classset.Set
	Lab      *labs.Lab
	Marking  *classset.Marking
	Findings []Finding       // faults in files, refused answers, decisions not applied, swapped rows
	Look     []classset.Look // what a person must decide, then what was decided
	Open     int             // entries of Look that wait for a person
	Talk     []Talk          // answers that fit another pupil's sheet; for the teacher alone
	Changed  []Change        // totals that scheme.csv changed
	Replaced []string        // sheets whose answers and hand-given marks new answers took the place of, by code
}

// Change is a total that the mended mark scheme changed.
type Change struct {
	Sheet      *classset.Sheet
	From, To   int
	OutOf, Was int // marks that could be had, now and before

	wasOpen, open bool // entries were or are undecided
}

// String tells the change as totals are reported: "4F7K-Q2X7: 9/16 to 12/16", or "… 12 + ?/16" while entries are open.
func (c Change) String() string {
	return fmt.Sprintf("%s: %s/%d to %s/%d", classset.ShowCode(c.Sheet.Code), totalText(c.From, c.wasOpen), c.Was, totalText(c.To, c.open), c.OutOf)
}

// NeedsLook reports whether something needs a look by a person: a finding, an undecided entry, evidence to talk about.
func (r *Result) NeedsLook() bool { return len(r.Findings) > 0 || len(r.Talk) > 0 || r.Open > 0 }

// ErrNothing tells that no file held an answer that could be marked, and none was handed in before.
var ErrNothing = errors.New("no answers to mark")

// Mark marks answer files against the set in a folder and writes marked/: marks.csv, marking.json, look.csv, talk.csv.
// Answers add to what was handed in before. What is wrong with a file is found, named and passed over; after an error the
// set is marked as it was before.
func Mark(ctx context.Context, o MarkOptions) (*Result, error) {
	release, err := classset.Lock(o.Dir)
	if err != nil {
		return nil, err
	}
	defer release()
	if err := classset.Sweep(o.Dir); err != nil {
		return nil, err
	}
	set, lab, err := classset.Open(o.Dir)
	if err != nil {
		return nil, err
	}
	r := &Result{Set: set, Lab: lab}
	scheme, findings, err := readScheme(o.Dir, lab)
	if err != nil {
		return nil, err
	}
	r.Findings = findings
	papers, err := r.collect(o)
	if err != nil {
		return nil, err
	}
	decided, err := r.readDecisions(o.Dir, papers, scheme)
	if err != nil {
		return nil, err
	}
	m, err := NewMarker(lab, set, scheme, o.Policy)
	if err != nil {
		return nil, err
	}
	jobs := jobs(set, lab, papers, decided)
	done, err := m.all(ctx, jobs)
	if err != nil {
		return nil, err
	}
	if scheme != nil {
		if err := r.compareScheme(ctx, jobs, done, o.Policy); err != nil {
			return nil, err
		}
	}
	swapped, talk := m.compare(done)
	r.Findings, r.Talk = append(r.Findings, swapped...), talk
	r.Marking = &classset.Marking{Lab: set.Lab}
	for _, d := range done {
		r.Marking.Sheets = append(r.Marking.Sheets, d.marks)
		r.Look = append(r.Look, d.looks...)
	}
	r.Open = len(r.Look)
	r.Look = decided.join(r.Look)
	return r, r.write(o)
}

// write makes the files of marked/ and puts them into place together, marking.json last: until then the earlier marking
// holds.
func (r *Result) write(o MarkOptions) error {
	stage, err := classset.NewStage(o.Dir)
	if err != nil {
		return err
	}
	defer stage.Close()
	talk, err := stage.Path(filepath.Join(classset.MarkedDir, "talk.csv"))
	if err != nil {
		return err
	}
	if err := writeTalk(talk, r.Talk); err != nil {
		return err
	}
	if err := writeMarks(filepath.Join(filepath.Dir(talk), "marks.csv"), r.Lab, r.Marking); err != nil {
		return err
	}
	if err := classset.WriteLook(stage.Dir(), r.Look); err != nil {
		return err
	}
	if o.Also != nil {
		if err := o.Also(stage.Dir(), r); err != nil {
			return err
		}
	}
	if err := r.Marking.Save(stage.Dir()); err != nil {
		return err
	}
	return stage.Commit(filepath.Join(classset.MarkedDir, classset.MarkingFile))
}

// collect reads the answer files and joins them to what was handed in before, by sheet. Sheets whose files disagree are
// left as they were.
func (r *Result) collect(o MarkOptions) (map[string]*Paper, error) {
	in := newIntake(o.Dir, r.Set, r.Lab, o.ReadForm)
	read := in.read(o.Files)
	fresh := map[string]*Paper{}
	conflict := map[string]bool{}
	for _, p := range read {
		first := fresh[p.Code]
		switch {
		case first == nil:
			fresh[p.Code] = p
		case !first.add(r.Lab, p):
			conflict[p.Code] = true
			in.find(p.File, p.Line, "sheet %s has other answers in %s; neither was marked: leave the one that holds", classset.ShowCode(p.Code), first.where())
		}
	}
	papers, err := r.before(o.Dir)
	if err != nil {
		return nil, err
	}
	for _, p := range read { // in the order read
		if fresh[p.Code] != p || conflict[p.Code] {
			continue
		}
		switch old := papers[p.Code]; {
		case old == nil:
			papers[p.Code] = p
			continue
		case o.Replace:
			papers[p.Code] = old.replacedBy(r.Lab, p)
			if papers[p.Code] == p && !maps.Equal(old.Text, p.Text) {
				r.Replaced = append(r.Replaced, p.Code)
			}
			continue
		case old.add(r.Lab, p):
			continue
		}
		in.find(p.File, p.Line, "sheet %s is marked already, from other answers (%s); to mark these instead use --replace", classset.ShowCode(p.Code), papers[p.Code].where())
	}
	r.Findings = append(r.Findings, in.list()...)
	if len(papers) == 0 && len(conflict) == 0 {
		if len(r.Findings) > 0 {
			words := make([]string, len(r.Findings))
			for i, f := range r.Findings {
				words[i] = f.String()
			}
			return nil, fmt.Errorf("%w: %s", ErrNothing, strings.Join(words, "\n  "))
		}
		return nil, ErrNothing
	}
	return papers, nil
}

// before gives the papers that were marked earlier, by sheet.
func (r *Result) before(dir string) (map[string]*Paper, error) {
	papers := map[string]*Paper{}
	earlier, err := classset.OpenMarking(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return papers, nil
	}
	if err != nil {
		return nil, err
	}
	for _, s := range earlier.Sheets {
		if !s.Absent {
			papers[s.Code] = &Paper{Code: s.Code, File: s.From, Text: s.HandedIn, Cells: s.Cells}
			if s.HandedIn == nil {
				papers[s.Code].Text = map[string]string{}
			}
		}
	}
	return papers, nil
}

// jobs are the sheets of the set in roster order, with what is needed to mark each. Bench readings that a pupil lacks come
// from the first sheet of the same bench group that has them.
func jobs(set *classset.Set, l *labs.Lab, papers map[string]*Paper, d *decisions) []job {
	list := make([]job, len(set.Sheets))
	groups := map[string]map[string]sharedReading{}
	for _, s := range set.Sheets {
		p := papers[s.Code]
		if p == nil || s.Group == "" {
			continue
		}
		group := groups[s.Group]
		if group == nil {
			group = map[string]sharedReading{}
			groups[s.Group] = group
		}
		for _, v := range l.Values {
			text, kind := p.Text[v.Name], p.Cells[v.Name]
			if k, ok := d.of[s.Code][v.Name]; ok && k.ReadAs != "" {
				text, kind = k.ReadAs, ""
			}
			if _, there := group[v.Name]; v.Source == labs.Measured && text != "" && !there {
				group[v.Name] = sharedReading{text, kind, s.Code}
			}
		}
	}
	for i, s := range set.Sheets {
		list[i] = job{sheet: s, paper: papers[s.Code], decisions: d.of[s.Code], shared: groups[s.Group]}
	}
	return list
}

// all marks every sheet, spread over the processor's cores.
func (m *Marker) all(ctx context.Context, jobs []job) ([]*marked, error) {
	done := make([]*marked, len(jobs))
	err := parallel.Each(ctx, len(jobs), func(i int) (err error) {
		if jobs[i].paper == nil {
			done[i], err = m.absent(jobs[i].sheet)
		} else {
			done[i], err = m.mark(jobs[i])
		}
		return err
	})
	return done, err
}

// compareScheme notes the totals that the mended scheme changes, by marking once more without it.
func (r *Result) compareScheme(ctx context.Context, jobs []job, done []*marked, policy Policy) error {
	m, err := NewMarker(r.Lab, r.Set, nil, policy)
	if err != nil {
		return err
	}
	plain, err := m.all(ctx, jobs)
	if err != nil {
		return err
	}
	for i, d := range done {
		was, now := plain[i].marks, d.marks
		if !now.Absent && (was.Total != now.Total || was.OutOf != now.OutOf) {
			r.Changed = append(r.Changed, Change{Sheet: d.sheet, From: was.Total, To: now.Total, OutOf: now.OutOf, Was: was.OutOf,
				wasOpen: was.Open > 0, open: now.Open > 0})
		}
	}
	return nil
}
