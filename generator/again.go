package generator

import (
	"context"
	"fmt"
	"slices"

	"keelmark/labs/classset"
)

// Reprint prints lost sheets of a set again, from what is stored: identical to the last digit. codes are as typed. The
// file is named after the code, or reprint.pdf for several.
func Reprint(ctx context.Context, dir string, codes []string, progress func(stage string, done, total int)) (*Summary, error) {
	set, lab, err := classset.Open(dir)
	if err != nil {
		return nil, err
	}
	var wanted []*classset.Sheet
	for _, typed := range codes {
		code, ok := classset.CheckCode(typed)
		if !ok {
			return nil, fmt.Errorf("%q is no sheet code (its check character does not fit); compare it with the sheet or with set.json", typed)
		}
		i := slices.IndexFunc(set.Sheets, func(s *classset.Sheet) bool { return s.Code == code })
		if i < 0 {
			return nil, fmt.Errorf("sheet %s is not in this set (%s, made %s)", classset.ShowCode(code), set.Lab, set.Made)
		}
		if !slices.Contains(wanted, set.Sheets[i]) {
			wanted = append(wanted, set.Sheets[i])
		}
	}
	if len(wanted) == 0 {
		return nil, fmt.Errorf("no sheet is named to be printed again")
	}
	m := &maker{ctx: ctx, lab: lab, set: set, progress: progress}
	if m.folder, err = openFolder(dir); err != nil {
		return nil, err
	}
	defer m.folder.close()
	name := "reprint"
	if len(wanted) == 1 {
		name += "-" + wanted[0].Code
	}
	return m.write(job{sheets: wanted, pdf: name})
}

// Add adds pupils to a set already made. Those in it already, by id and name, are passed over and noted; one with the id of
// another pupil is an error, and nothing is added. The new sheets are in a file of their own, and so is their table for
// answers, beside those of earlier additions; key.pdf and set.json then hold everybody.
func Add(ctx context.Context, dir string, pupils []classset.Pupil, progress func(stage string, done, total int)) (*Summary, error) {
	folder, err := openFolder(dir)
	if err != nil {
		return nil, err
	}
	defer folder.close()
	set, lab, err := classset.Open(dir)
	if err != nil {
		return nil, err
	}
	m := &maker{ctx: ctx, lab: lab, set: set, folder: folder, progress: progress}
	if m.plan, err = newPlan(lab, set.Settings.Gravity, set.Settings.Fixed); err != nil {
		return nil, err
	}
	known := map[string]*classset.Sheet{}
	for _, s := range set.Sheets {
		known[s.Student] = s
	}
	var added []*classset.Sheet
	for _, p := range pupils {
		switch s := known[p.ID]; {
		case s == nil:
			s = p.Sheet(lab)
			known[p.ID] = s
			added = append(added, s)
		case s.Name != p.Name:
			return nil, fmt.Errorf("the class list, line %d: id %s is that of %s in this set, so %s cannot have it; write a newcomer an id of their own, or leave the row out",
				p.Line, classset.Quote(p.ID), s.Name, p.Name)
		default:
			m.note("%s %s is in the set already", p.ID, p.Name)
		}
	}
	if len(added) == 0 {
		return nil, fmt.Errorf("all %d pupils are in the set already; there is nothing to add", len(pupils))
	}
	if err := m.draw(set.Sheets, added); err != nil {
		return nil, err
	}
	set.Sheets = append(set.Sheets, added...)
	return m.write(job{sheets: added, pdf: "sheets-added", answers: "answers-added", key: true, beside: true})
}
