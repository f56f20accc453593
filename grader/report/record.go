package report

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strconv"

	"keelmark/labs"
	"keelmark/labs/classset"
)

// The levels of a skill, by the rule that [RecordRule] states.
const (
	Secure   = "secure"
	Unsteady = "unsteady"
	NotYet   = "not yet"
)

const (
	secureShare = 0.8 // of a skill's marks
	notYetShare = 0.5
	secureMarks = 2    // seen at least
	readyShare  = 0.75 // of the capstone's skills that must be secure
	capstoneLab = "craft/own-craft"
)

// RecordRule says how a record is made, for whoever reads it.
const RecordRule = "A skill is secure with at least 80 % of its marks, over two marks or more; not yet with less than half; unsteady in " +
	"between. Each question counts once: where a lab was sat again, the latest sitting in which the question was marked. " +
	"The marks of every sitting stand beside each other. Ready for the capstone: every skill it asks for has been seen, none is " +
	"not yet, and three in four are secure."

// Record is the record of a term: what pupils can do, over several marked sets. It is worked out anew from the sets on disk.
type Record struct {
	Rule     string         `json:"rule"`
	Sets     []RecordSet    `json:"sets"`     // in the order they were made
	Skills   []string       `json:"skills"`   // in the order the sets ask for them
	Capstone []string       `json:"capstone"` // the skills the capstone asks for
	Pupils   []*PupilRecord `json:"pupils"`   // in the order of the rosters
}

// RecordSet is one set of a record.
type RecordSet struct {
	Dir     string `json:"dir"`
	Lab     string `json:"lab"`
	Title   string `json:"title"`
	Made    string `json:"made"`
	Sitting int    `json:"sitting"` // of this lab: 1, and 2 for a re-sit
}

// PupilRecord is one pupil's record.
type PupilRecord struct {
	Student string                  `json:"student"`
	Name    string                  `json:"name"`
	Class   string                  `json:"class"`
	Totals  []*SetTotal             `json:"totals"` // by set; null where the pupil had no sheet
	Skills  map[string]*SkillRecord `json:"skills"` // those of which anything has been marked

	// For the capstone, and which of its skills are in the way; of the unseen ones nothing has been marked.
	Ready    bool     `json:"ready"`
	NotYet   []string `json:"not_yet"`
	Unsteady []string `json:"unsteady"`
	Unseen   []string `json:"not_seen"`

	latest map[[2]string]*sat // by lab and question
}

// SetTotal is a pupil's total in one set.
type SetTotal struct {
	Total  int  `json:"total"`
	Open   int  `json:"open"`
	OutOf  int  `json:"out_of"`
	Absent bool `json:"absent"`
}

// String writes the total as "11/13", "8 + ?/13", "absent", or nothing where the pupil had no sheet.
func (t *SetTotal) String() string {
	switch {
	case t == nil:
		return ""
	case t.Absent:
		return classset.Absent
	case t.Open > 0:
		return fmt.Sprintf("%d + ?/%d", t.Total, t.OutOf)
	}
	return fmt.Sprintf("%d/%d", t.Total, t.OutOf)
}

// SkillRecord is what a pupil has shown of a skill.
type SkillRecord struct {
	Won   int    `json:"won"`
	OutOf int    `json:"out_of"`
	Level string `json:"level"`
}

// sat is a question as it was last marked.
type sat struct {
	skill      string
	won, outOf int
}

// MakeRecord reads marked sets from their folders. The error names a folder that holds no marked set.
func MakeRecord(dirs []string) (*Record, error) {
	type marked struct {
		dir     string
		set     *classset.Set
		lab     *labs.Lab
		marking *classset.Marking
	}
	var sets []marked
	for _, dir := range dirs {
		set, lab, err := classset.Open(dir)
		if err != nil {
			return nil, err
		}
		marking, err := classset.OpenMarking(dir)
		if err != nil {
			return nil, err
		}
		sets = append(sets, marked{dir, set, lab, marking})
	}
	slices.SortStableFunc(sets, func(a, b marked) int { return cmp.Compare(a.set.Made, b.set.Made) })
	r := &Record{Rule: RecordRule, Sets: []RecordSet{}, Skills: []string{}, Pupils: []*PupilRecord{}}
	capstone, err := labs.Load(capstoneLab)
	if err != nil {
		return nil, err
	}
	r.Capstone = skillsOf(capstone, nil)
	sittings := map[string]int{}
	for i, s := range sets {
		sittings[s.set.Lab]++
		r.Sets = append(r.Sets, RecordSet{filepath.ToSlash(s.dir), s.set.Lab, s.lab.Title, s.set.Made, sittings[s.set.Lab]})
		r.Skills = skillsOf(s.lab, r.Skills)
		for _, m := range s.marking.Sheets {
			r.pupil(s.set, m).add(i, len(sets), s.lab, m)
		}
	}
	for _, p := range r.Pupils {
		p.finish(r.Capstone)
	}
	return r, nil
}

// skillsOf adds the skills of a lab to a list, each once.
func skillsOf(l *labs.Lab, list []string) []string {
	for _, q := range l.Questions {
		if q.Skill != "" && !slices.Contains(list, q.Skill) {
			list = append(list, q.Skill)
		}
	}
	return list
}

// pupil finds a pupil by the roster's id, or starts a record. The latest set has the last word on name and class.
func (r *Record) pupil(set *classset.Set, m *classset.SheetMarks) *PupilRecord {
	i := slices.IndexFunc(r.Pupils, func(p *PupilRecord) bool { return p.Student == m.Student })
	if i < 0 {
		i = len(r.Pupils)
		r.Pupils = append(r.Pupils, &PupilRecord{Student: m.Student, Skills: map[string]*SkillRecord{},
			NotYet: []string{}, Unsteady: []string{}, Unseen: []string{}, latest: map[[2]string]*sat{}})
	}
	p := r.Pupils[i]
	p.Name, p.Class = m.Name, cmp.Or(m.Class, p.Class)
	if set.Settings.CodesOnly || p.Name == "" {
		p.Name = m.Student
	}
	return p
}

// add takes in the i-th of n sets.
func (p *PupilRecord) add(i, n int, l *labs.Lab, m *classset.SheetMarks) {
	for len(p.Totals) < n {
		p.Totals = append(p.Totals, nil)
	}
	p.Totals[i] = &SetTotal{Total: m.Total, Open: m.Open, OutOf: m.OutOf, Absent: m.Absent}
	if m.Absent {
		return
	}
	for _, a := range m.Answers {
		if q := l.Question(a.Question); q != nil && q.Skill != "" && !a.Open && !a.Void && a.OutOf > 0 {
			p.latest[[2]string{l.Name, a.Question}] = &sat{q.Skill, a.Marks, a.OutOf}
		}
	}
}

// finish judges the skills.
func (p *PupilRecord) finish(capstone []string) {
	for _, s := range p.latest {
		k := p.Skills[s.skill]
		if k == nil {
			k = &SkillRecord{}
			p.Skills[s.skill] = k
		}
		k.Won, k.OutOf = k.Won+s.won, k.OutOf+s.outOf
	}
	for _, k := range p.Skills {
		k.Level = level(k.Won, k.OutOf)
	}
	for _, skill := range capstone {
		switch k := p.Skills[skill]; {
		case k == nil:
			p.Unseen = append(p.Unseen, skill)
		case k.Level == NotYet:
			p.NotYet = append(p.NotYet, skill)
		case k.Level == Unsteady:
			p.Unsteady = append(p.Unsteady, skill)
		}
	}
	p.Ready = len(p.Unseen)+len(p.NotYet) == 0 && float64(len(p.Unsteady)) <= (1-readyShare)*float64(len(capstone))
}

// level judges a skill by its marks; outOf is above 0.
func level(won, outOf int) string {
	switch share := float64(won) / float64(outOf); {
	case share < notYetShare:
		return NotYet
	case share >= secureShare && outOf >= secureMarks:
		return Secure
	}
	return Unsteady
}

// heading names a set in a table: its lab, and which sitting.
func (s RecordSet) heading() string {
	if s.Sitting > 1 {
		return fmt.Sprintf("%s (%d)", s.Lab, s.Sitting)
	}
	return s.Lab
}

// Table gives the record as rows: a pupil each, with totals by set and levels by skill.
func (r *Record) Table() [][]string {
	head := []string{"student", "name", "class"}
	for _, s := range r.Sets {
		head = append(head, s.heading())
	}
	table := [][]string{slices.Concat(head, r.Skills, []string{"ready for the capstone"})}
	for _, p := range r.Pupils {
		row := []string{p.Student, p.Name, p.Class}
		for _, t := range p.Totals {
			row = append(row, t.String())
		}
		for _, skill := range r.Skills {
			level := ""
			if k := p.Skills[skill]; k != nil {
				level = k.Level
			}
			row = append(row, level)
		}
		table = append(table, append(row, strconv.FormatBool(p.Ready)))
	}
	return table
}

// WriteJSON writes the record as JSON.
func (r *Record) WriteJSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	return e.Encode(r)
}

// Save writes record.pdf, record.csv and record.json into a folder.
func (r *Record) Save(folder string) error {
	if err := classset.WriteTo(filepath.Join(folder, "record.pdf"), r.WritePDF); err != nil {
		return err
	}
	if err := classset.WriteTable(filepath.Join(folder, "record.csv"), r.Table()); err != nil {
		return err
	}
	return classset.WriteTo(filepath.Join(folder, "record.json"), r.WriteJSON)
}

// classSkill is a skill over all pupils who have shown any of it.
type classSkill struct {
	skill      string
	levels     map[string]int
	won, outOf int
	notYet     []string
}

// bySkill sums the record by skill.
func (r *Record) bySkill() []classSkill {
	var out []classSkill
	for _, skill := range r.Skills {
		c := classSkill{skill: skill, levels: map[string]int{}}
		for _, p := range r.Pupils {
			k := p.Skills[skill]
			if k == nil {
				continue
			}
			c.levels[k.Level]++
			c.won, c.outOf = c.won+k.Won, c.outOf+k.OutOf
			if k.Level == NotYet {
				c.notYet = append(c.notYet, p.legible())
			}
		}
		if len(c.levels) > 0 {
			out = append(out, c)
		}
	}
	return out
}

// unseenByAll are the capstone's skills that no set has asked for.
func (r *Record) unseenByAll() []string {
	seen := map[string]bool{}
	for _, p := range r.Pupils {
		for skill := range maps.Keys(p.Skills) {
			seen[skill] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(r.Capstone), func(skill string) bool { return seen[skill] })
}
