package generator

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/judge"
	"keelmark/labs/parallel"
)

const (
	nearest    = 4   // neighbours in the roster among whom copying may never pay
	remembered = 40  // neighbours against whom the best draw is kept
	redraws    = 200 // draws compared for that
	maxRedraws = 2000
)

// placed is a sheet in the class with what the rule looks at: its answers and targets, by the number of the question
// among those that count.
type placed struct {
	sheet   *classset.Sheet
	on      []bool // the question stands on the sheet
	answers []float64
	targets []judge.Target // nil in a draft
}

// class draws the sheets of a class so that copying does not pay.
type class struct {
	*plan
	off     bool  // every sheet the same, or nothing drawn
	counted []int // numbers of the questions that count
	sheets  []placed
	groups  map[string][]int // bench group -> sheets

	pairs, matches, worst, limit int
}

func newClass(p *plan, off bool) *class {
	c := &class{plan: p, off: off, groups: map[string][]int{}}
	for i, q := range p.questions {
		if q.copied {
			c.counted = append(c.counted, i)
		}
	}
	return c
}

// placed makes a sheet ready to be compared. Without targets it is a draft.
func (c *class) placed(sheet *classset.Sheet, f labs.Frame, targets aims) placed {
	s := placed{sheet: sheet, on: make([]bool, len(c.counted)), answers: make([]float64, len(c.counted))}
	for k, i := range c.counted {
		q := c.questions[i]
		s.on[k], s.answers[k] = sheet.Has(q.Question), f[q.Slot].X
		if targets != nil {
			s.targets = append(s.targets, targets[i])
		}
	}
	return s
}

// bench names a sheet's bench group; "" when it has none.
func bench(s *classset.Sheet) string {
	if s.Group == "" {
		return ""
	}
	return s.Class + "\x00" + s.Group
}

// add takes a sheet into the class as it is.
func (c *class) add(s placed) {
	i := len(c.sheets)
	if !c.off {
		for _, r := range c.rivals(s.sheet) {
			n, limit := shared(&s, r.placed)
			c.pairs++
			c.matches += n
			c.worst = max(c.worst, n)
			c.limit = max(c.limit, limit)
		}
	}
	if b := bench(s.sheet); b != "" {
		c.groups[b] = append(c.groups[b], i)
	}
	c.sheets = append(c.sheets, s)
}

// rival is a sheet that another is compared with.
type rival struct {
	*placed
	hard bool // copying between the two must not pay at all
}

// rivals are the sheets before the next one that it is compared with: the last in the roster and its bench group.
func (c *class) rivals(s *classset.Sheet) []rival {
	first := max(0, len(c.sheets)-remembered)
	group := bench(s)
	var all []rival
	for _, j := range c.groups[group] {
		if j < first {
			all = append(all, rival{&c.sheets[j], true})
		}
	}
	for j := first; j < len(c.sheets); j++ {
		hard := j >= len(c.sheets)-nearest || group != "" && group == bench(c.sheets[j].sheet)
		all = append(all, rival{&c.sheets[j], hard})
	}
	return all
}

// shared counts the answers of one sheet that would be marked right on the other, the worse way round, and gives the
// number that is allowed: a fifth of the numeric questions, rounded up, at least one. Of a draft only one way is known.
func shared(a, b *placed) (n, limit int) {
	there, back, questions := 0, 0, 0
	for k := range a.answers {
		if !a.on[k] || !b.on[k] {
			continue
		}
		questions++
		if b.targets[k].Fits(a.answers[k], 0, false) {
			there++
		}
		if a.targets != nil && a.targets[k].Fits(b.answers[k], 0, false) {
			back++
		}
	}
	return max(there, back), max(1, (questions+4)/5)
}

// excess is by how much a sheet shares too many answers, summed up: with those it must not, and with the others; and how
// many it shares in all.
type excess struct{ hard, soft, all int }

func (e excess) less(f excess) bool {
	return cmp.Or(cmp.Compare(e.hard, f.hard), cmp.Compare(e.soft, f.soft), cmp.Compare(e.all, f.all)) < 0
}

var unbounded = excess{hard: math.MaxInt}

// excessOf gives the excess of s, or where that is no less than limit one that is no less either.
func excessOf(s placed, rivals []rival, limit excess) (e excess) {
	for _, r := range rivals {
		if !e.less(limit) {
			break
		}
		n, limit := shared(&s, r.placed)
		e.all += n
		if over := max(0, n-limit); r.hard {
			e.hard += over
		} else {
			e.soft += over
		}
	}
	return e
}

// batch is how many redraws are made at a time, on every core. Every sheet that shares any answer is redrawn that often, and
// the draw kept that shares least; while a sheet shares too many, the batches go on.
const batch = 25

// seat draws a sheet until it shares few enough answers with those before it, and takes it into the class. drawn is a draw
// already made by d. It gives the frame that is kept.
func (c *class) seat(ctx context.Context, sheet *classset.Sheet, d *drawer, drawn *draw) (labs.Frame, error) {
	kept, frame := c.placed(sheet, drawn.frame, drawn.targets), drawn.frame
	sheet.Attempts = d.tries
	if c.off {
		c.add(kept)
		return frame, nil
	}
	rivals := c.rivals(sheet)
	over := excessOf(kept, rivals, unbounded)
	forks := sync.Pool{New: func() any { return d.fork() }}
	for k := 1; over.all > 0 && k == 1 || over.hard > 0 && k < maxRedraws || over.soft > 0 && k < redraws; k += batch {
		least := make([]excess, batch) // of each redraw, or more than that where it is no use
		err := parallel.Each(ctx, batch, func(i int) error {
			fork := forks.Get().(*drawer)
			defer forks.Put(fork)
			least[i] = unbounded
			if fork.redraft(k + i) {
				least[i] = excessOf(c.placed(sheet, fork.frame, nil), rivals, over)
			}
			return nil // a redraw that fails is none
		})
		if err != nil {
			return nil, err
		}
		for i, e := range least { // in order, whatever the number of cores
			if !e.less(over) {
				continue
			}
			fork := d.fork()
			fork.redraft(k + i)
			targets, b := fork.prove()
			if b.rule != noRule {
				continue
			}
			s := c.placed(sheet, fork.frame, targets)
			if e := excessOf(s, rivals, over); e.less(over) {
				kept, frame, over = s, fork.frame, e
			}
		}
		sheet.Attempts += batch
	}
	if over.hard > 0 {
		return nil, c.copyingFailure(kept, rivals)
	}
	c.add(kept)
	return frame, nil
}

// drawAll draws the sheets in roster order and hands on the frame of each. What needs no look at other sheets is done on
// every core.
func (c *class) drawAll(ctx context.Context, sheets []*classset.Sheet, drawerOf func(*classset.Sheet) *drawer, done func(i int, f labs.Frame)) error {
	const window = 256 // sheets drawn ahead
	for start := 0; start < len(sheets); start += window {
		part := sheets[start:min(start+window, len(sheets))]
		drawers := make([]*drawer, len(part))
		first := make([]*draw, len(part))
		err := parallel.Each(ctx, len(part), func(i int) (err error) {
			drawers[i] = drawerOf(part[i])
			first[i], err = drawers[i].next(ctx)
			return err
		})
		if err != nil {
			return err
		}
		for i, s := range part {
			f, err := c.seat(ctx, s, drawers[i], first[i])
			if err != nil {
				return err
			}
			done(start+i, f)
		}
	}
	return nil
}

// copyingFailure names the question whose answers are alike most often among the sheets that must differ.
func (c *class) copyingFailure(s placed, rivals []rival) error {
	alike := make([]int, len(c.counted))
	for _, r := range rivals {
		for k := range c.counted {
			if r.hard && s.on[k] && r.on[k] && r.targets[k].Fits(s.answers[k], 0, false) {
				alike[k]++
			}
		}
	}
	worst := c.questions[c.counted[slices.Index(alike, slices.Max(alike))]]
	return c.cannot(worst.Place, fmt.Errorf("lab %s: no draw is possible for %s: copying would pay (question %s is alike on too many sheets of a bench group or of neighbours); draw its values from a wider range, make smaller groups, or print with --same",
		c.lab.Name, s.sheet.Student, worst.ID))
}

// copying are the figures achieved; nil where the rule is off or there is no pair.
func (c *class) copying() *classset.Copying {
	if c.pairs == 0 {
		return nil
	}
	return &classset.Copying{Mean: float64(c.matches) / float64(c.pairs), Worst: c.worst, Limit: c.limit}
}
