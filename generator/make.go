package generator

import (
	"bytes"
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"time"

	"keelmark/generator/page"
	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/parallel"
)

// perFile is the most sheets in one file, so that memory stays flat.
const perFile = 200

// DefaultGravity is g in m/s² where the settings name none.
const DefaultGravity = 9.81

// MakeOptions say what class set to make.
type MakeOptions struct {
	Lab      *labs.Lab
	Roster   []classset.Pupil
	Seed     string // the class seed; one is made when empty
	Settings classset.Settings
	Dir      string
	Engine   string    // version of the program, stored in the set
	Made     time.Time // stored in the set by its day; now when zero

	// Questions makes a follow-up set: only these questions, and the earlier ones they need, to each student named.
	Questions map[string][]string

	// Progress is told how many of all sheets are drawn and set; it may be called from several goroutines.
	Progress func(stage string, done, total int)
}

// Summary tells what was made.
type Summary struct {
	Set   *classset.Set
	Made  int // sheets printed now: those of Set, or some of them
	Dir   string
	Files []string // made, relative to Dir, set.json apart
	Notes []string // for the teacher: what was replaced, made smaller, left as it was
}

// Make makes a class set in a folder. Every file appears whole, set.json last; when Make fails or ctx is cancelled, what
// was in the folder before stays. A folder that holds another set is refused.
//
// The error names the lab, the question and the rule when no draw is possible.
func Make(ctx context.Context, o MakeOptions) (*Summary, error) {
	if o.Dir == "" {
		return nil, errors.New("no folder to print to")
	}
	m, err := drawSet(ctx, o)
	if err != nil {
		return nil, err
	}
	if m.folder, err = openFolder(o.Dir); err != nil {
		return nil, err
	}
	defer m.folder.close()
	if err := m.sameAsBefore(); err != nil {
		return nil, err
	}
	return m.write(wholeSet)
}

// Draw draws the numbers of a class set as [Make] does, and prints nothing: Dir is not used. The error is Make's.
func Draw(ctx context.Context, o MakeOptions) (*classset.Set, error) {
	m, err := drawSet(ctx, o)
	if err != nil {
		return nil, err
	}
	return m.set, nil
}

// drawSet draws a new set for the roster.
func drawSet(ctx context.Context, o MakeOptions) (*maker, error) {
	if err := o.complete(); err != nil {
		return nil, err
	}
	m := &maker{ctx: ctx, lab: o.Lab, progress: o.Progress, set: &classset.Set{
		Format: classset.Format, Engine: o.Engine, Lab: o.Lab.Name, Seed: o.Seed, Made: o.Made.UTC().Format(time.DateOnly), Settings: o.Settings}}
	var err error
	if m.plan, err = newPlan(o.Lab, o.Settings.Gravity, o.Settings.Fixed); err != nil {
		return nil, err
	}
	for _, p := range o.Roster {
		s := p.Sheet(o.Lab)
		if s.Questions, err = followUp(o.Lab, o.Questions[p.ID]); err != nil {
			return nil, err
		}
		m.set.Sheets = append(m.set.Sheets, s)
	}
	return m, m.draw(nil, m.set.Sheets)
}

// complete fills in defaults and proves the rest.
func (o *MakeOptions) complete() error {
	s := &o.Settings
	s.Gravity = cmp.Or(s.Gravity, DefaultGravity)
	s.Paper = cmp.Or(s.Paper, "a4")
	if len(s.Fixed) == 0 {
		s.Fixed = nil // as it is read back
	}
	switch {
	case o.Lab == nil:
		return errors.New("no lab to print")
	case len(o.Roster) == 0:
		return errors.New("the roster holds no pupil")
	case s.Paper != "a4" && s.Paper != "letter":
		return fmt.Errorf("paper %q; want a4 or letter", s.Paper)
	case !(s.Gravity >= 0.1 && s.Gravity <= 30):
		return fmt.Errorf("g of %v m/s²; want 0.1 to 30", s.Gravity)
	}
	seen := map[string]bool{}
	for _, p := range o.Roster {
		if p.ID == "" || seen[p.ID] {
			return fmt.Errorf("student %q: every pupil needs an id of their own", p.ID)
		}
		seen[p.ID] = true
	}
	if o.Seed == "" {
		o.Seed = strings.ToLower(rand.Text()[:12])
	}
	if o.Made.IsZero() {
		o.Made = time.Now()
	}
	return nil
}

// followUp gives the questions named and the earlier ones whose answers they need, in the order of the lab.
func followUp(l *labs.Lab, ids []string) ([]string, error) {
	need := map[string]bool{}
	for _, id := range ids {
		q := l.Question(id)
		if q == nil {
			return nil, fmt.Errorf("lab %s has no question %s", l.Name, id)
		}
		need[id] = true
		for _, earlier := range q.Follows() {
			need[earlier.ID] = true
		}
	}
	var list []string
	for _, q := range l.Questions {
		if need[q.ID] {
			list = append(list, q.ID)
		}
	}
	return list, nil
}

// maker makes the files of one set.
type maker struct {
	ctx      context.Context
	lab      *labs.Lab
	plan     *plan
	set      *classset.Set
	folder   *folder
	progress func(stage string, done, total int)

	mu    sync.Mutex
	notes []string
}

func (m *maker) note(format string, args ...any) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if n := fmt.Sprintf(format, args...); !slices.Contains(m.notes, n) {
		m.notes = append(m.notes, n)
	}
}

func (m *maker) report(stage string, done, total int) {
	if m.progress != nil {
		m.progress(stage, done, total)
	}
}

// draw draws the numbers and codes of new sheets, beside those already in the set.
func (m *maker) draw(old, sheets []*classset.Sheet) error {
	codes := map[string]bool{}
	for _, s := range old {
		codes[s.Code] = true
	}
	for _, s := range sheets {
		for attempt := 0; s.Code == "" || codes[s.Code]; attempt++ {
			s.Code = classset.NewCode(newStream(m.set.Seed, m.lab.Name, s.Student, "sheet code", attempt).IntN)
		}
		codes[s.Code] = true
	}
	same := m.set.Settings.Same
	lenient := len(m.plan.fixed) > 0 || len(m.plan.groups) == 0
	c := newClass(m.plan, same || lenient)
	drawer := func(s *classset.Sheet) *drawer {
		student, has := s.Student, s.Has
		if same {
			student, has = "", everyQuestion // one draw must do for all levels
		}
		d := m.plan.drawer(m.set.Seed, student, has)
		d.lenient = lenient
		return d
	}
	if err := m.seatOld(c, old); err != nil {
		return err
	}
	err := c.drawAll(m.ctx, sheets, drawer, func(i int, f labs.Frame) {
		m.store(sheets[i], f)
		if lenient && i == 0 {
			m.warn(f, sheets[i])
		}
		m.report("draw", i+1, len(sheets))
	})
	m.set.Copying = c.copying()
	return err
}

// warn notes what the first sheet cannot keep apart where the numbers are fixed.
func (m *maker) warn(f labs.Frame, s *classset.Sheet) {
	targets, _, ok := m.plan.aim(f)
	if !ok {
		return
	}
	if b, ok := m.plan.discriminates(f, targets, s.Has); !ok {
		m.note("%v; the numbers are fixed, so it stays", b)
	}
}

// seatOld takes the sheets of a set already made into the class as they are.
func (m *maker) seatOld(c *class, old []*classset.Sheet) error {
	if c.off {
		return nil
	}
	for _, s := range old {
		f, err := m.set.Frame(m.lab, s)
		if err != nil {
			return err
		}
		targets, b, ok := m.plan.aim(f)
		if !ok {
			return fmt.Errorf("sheet %s: %v", s.Code, b)
		}
		c.add(c.placed(s, f, targets))
	}
	return nil
}

// store keeps what was drawn in the sheet, as printed.
func (m *maker) store(s *classset.Sheet, f labs.Frame) {
	s.Values = make(map[string]classset.Value, len(m.lab.Values))
	for _, v := range m.lab.Values {
		if v.Source != labs.Measured {
			s.Values[v.Name] = classset.Printed(v, f[v.Slot])
		}
	}
	student := s.Student
	if m.set.Settings.Same {
		student = ""
	}
	for _, q := range m.plan.shuffled {
		if s.Choices == nil {
			s.Choices = map[string][]int{}
		}
		s.Choices[q.ID] = newStream(m.set.Seed, m.lab.Name, student, "choices of "+q.ID, 0).Perm(len(q.Choices))
	}
}

// sameAsBefore lets a run that was cut short, or is made again with the same seed, roster and lab, write its files anew;
// any other set in the folder is in the way.
func (m *maker) sameAsBefore() error {
	if !m.folder.exists(classset.SetFile) {
		return m.noOtherLab()
	}
	const remedy = "choose another folder for --to; --only prints lost sheets of this set again, --add adds pupils to it"
	before, err := classset.Read(m.folder.dir)
	if err != nil {
		return fmt.Errorf("the folder holds a set already, and it cannot be read: %w; %s", err, remedy)
	}
	if before.Lab != m.set.Lab || before.Seed != m.set.Seed || !reflect.DeepEqual(before.Settings, m.set.Settings) || !reflect.DeepEqual(before.Sheets, m.set.Sheets) {
		return fmt.Errorf("%s holds another class set (%s, made %s, %d sheets); %s",
			m.folder.dir, before.Lab, before.Made, len(before.Sheets), remedy)
	}
	m.set.Made = before.Made
	return nil
}

// noOtherLab proves that a lab.md in the folder, where there is no set, is what a run that was cut short left: any other
// may be a template of the teacher's.
func (m *maker) noOtherLab() error {
	path := filepath.Join(m.folder.dir, classset.LabFile)
	there, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) || err == nil && bytes.Equal(there, m.lab.Source) {
		return nil
	}
	return fmt.Errorf("%s is there already and holds another lab, which would be written over; choose another folder for --to", path)
}

// job says which files to write.
type job struct {
	sheets  []*classset.Sheet // nil: all
	pdf     string            // name of the file of sheets, without .pdf
	answers string            // name of the table for answers, "" for none
	key     bool              // and the lab, and set.json
	beside  bool              // pdf and answers take new names where files of these names are there already
}

var wholeSet = job{pdf: "sheets", answers: "answers", key: true}

// write writes the files of a job and puts them into place, set.json last.
func (m *maker) write(j job) (*Summary, error) {
	if j.sheets == nil {
		j.sheets = m.set.Sheets
	}
	r := newRenderer(m.lab, m.set)
	tasks := m.sheetTasks(r, j)
	if j.key {
		tasks = append(tasks, m.keyTasks(r)...)
	}
	if j.answers != "" {
		tasks = append(tasks, m.tableTasks(j)...)
	}
	if err := parallel.Do(m.ctx, tasks); err != nil {
		return nil, err
	}
	names := slices.Sorted(maps.Keys(m.folder.names))
	if j.beside {
		for _, name := range names {
			if strings.HasPrefix(name, j.pdf) || strings.HasPrefix(name, j.answers) {
				if err := m.folder.beside(name); err != nil {
					return nil, err
				}
			}
		}
		names = slices.Sorted(maps.Keys(m.folder.names))
	}
	if j.key {
		if err := m.set.Save(m.folder.stage.Dir()); err != nil {
			return nil, err
		}
	}
	if err := m.folder.stage.Commit(classset.SetFile); err != nil {
		return nil, err
	}
	slices.Sort(m.notes)
	return &Summary{Set: m.set, Made: len(j.sheets), Dir: m.folder.dir, Files: names, Notes: m.notes}, nil
}

// sheetTasks write the pupils' sheets, and the fill-in forms.
func (m *maker) sheetTasks(r *renderer, j job) (tasks []func() error) {
	var mu sync.Mutex
	done := 0
	one := func(s *classset.Sheet) (page.Sheet, error) {
		if err := m.ctx.Err(); err != nil {
			return page.Sheet{}, err
		}
		p, err := r.page(s)
		mu.Lock()
		done++
		m.report("print", done, len(j.sheets))
		mu.Unlock()
		return p, err
	}
	for i := 0; i < len(j.sheets); i += perFile {
		part := j.sheets[i:min(i+perFile, len(j.sheets))]
		name := j.pdf + ".pdf"
		if len(j.sheets) > perFile {
			name = fmt.Sprintf("%s-%03d.pdf", j.pdf, i/perFile+1)
		}
		tasks = append(tasks, func() error {
			doc := m.document()
			doc.Duplex = true
			for _, s := range part {
				p, err := one(s)
				if err != nil {
					return err
				}
				doc.Sheets = append(doc.Sheets, p)
			}
			return m.pdf(r, name, doc)
		})
	}
	if !m.set.Settings.Forms {
		return tasks
	}
	for _, s := range j.sheets {
		tasks = append(tasks, func() error {
			if err := m.ctx.Err(); err != nil {
				return err
			}
			p, err := r.page(s)
			if err != nil {
				return err
			}
			doc := m.document()
			doc.Forms, doc.Tagged, doc.Sheets = true, true, []page.Sheet{p}
			return m.pdf(r, filepath.Join("forms", s.Code+".pdf"), doc)
		})
	}
	return tasks
}

func (m *maker) document() *page.Document {
	s := m.set.Settings
	return &page.Document{Title: m.lab.Title, Lang: "en-GB", Paper: s.Paper, Large: s.Large, Plain: s.Plain}
}

// pdf stages a document and passes on what the press has to say.
func (m *maker) pdf(r *renderer, name string, doc *page.Document) error {
	return m.folder.create(name, func(w io.Writer) error {
		notes, err := r.press.Write(w, doc)
		for _, n := range notes {
			m.note("%s: %s", n.Sheet, n.Text)
		}
		return err
	})
}

// keyTasks write the teacher's pages and the lab as it was printed, with its images.
func (m *maker) keyTasks(r *renderer) []func() error {
	tasks := []func() error{
		func() error {
			sheet, err := r.key()
			if err != nil {
				return fmt.Errorf("key: %w", err)
			}
			doc := m.document()
			doc.Large = false
			doc.Title = "Key: " + m.lab.Title
			doc.Sheets = []page.Sheet{sheet}
			return m.pdf(r, "key.pdf", doc)
		},
		func() error {
			return m.folder.write(classset.LabFile, m.lab.Source)
		},
	}
	for _, image := range r.images {
		tasks = append(tasks, func() error {
			data, err := r.image(image)
			if err != nil {
				return err
			}
			return m.folder.write(image, data)
		})
	}
	return tasks
}

// tableTasks write the tables for answers, and the list of names where the sheets bear none. A table that is there
// already may hold answers and is left alone.
func (m *maker) tableTasks(j job) (tasks []func() error) {
	rows := answerRows(m.lab, m.set, j.sheets)
	add := func(name string, write func(name string) error) {
		if !j.beside && m.folder.exists(name) {
			m.note("%s was there already and is left as it is", name)
			return
		}
		tasks = append(tasks, func() error { return write(name) })
	}
	add(j.answers+".csv", func(name string) error { return m.folder.table(name, rows) })
	add(j.answers+".xlsx", func(name string) error {
		return m.folder.create(name, func(w io.Writer) error { return writeWorkbook(w, rows) })
	})
	if m.set.Settings.CodesOnly {
		tasks = append(tasks, func() error { return m.folder.table("names.csv", nameRows(m.set.Sheets)) })
	}
	return tasks
}
