package generator

import (
	"context"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"keelmark/labs"
	"keelmark/labs/classset"
)

const (
	nearest    = 4   // neighbours in the roster among whom copying may never pay
	remembered = 40  // neighbours against whom the best draw is kept
	redraws    = 200 // draws compared for that
	maxRedraws = 2000
)

// placed is a draw with its place in the roster.
type placed struct {
	*draw
	sheet *classset.Sheet
}

// class draws the sheets of a class so that copying does not pay.
type class struct {
	*plan
	off    bool // every sheet the same, or nothing drawn
	sheets []placed
	groups map[string][]int // bench group -> sheets

	pairs, matches, worst, limit int
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
		for _, j := range c.rivals(s.sheet) {
			n, limit := c.shared(s, c.sheets[j])
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

// rivals are the sheets before the next one that it is compared with: the last in the roster and its bench group.
func (c *class) rivals(s *classset.Sheet) []int {
	first := max(0, len(c.sheets)-remembered)
	var all []int
	for _, j := range c.groups[bench(s)] {
		if j < first {
			all = append(all, j)
		}
	}
	for j := first; j < len(c.sheets); j++ {
		all = append(all, j)
	}
	return all
}

// hard tells whether copying between the next sheet and sheet j must not pay at all.
func (c *class) hard(s *classset.Sheet, j int) bool {
	return j >= len(c.sheets)-nearest || bench(s) != "" && bench(s) == bench(c.sheets[j].sheet)
}

// shared counts the answers of one sheet that would be marked right on the other, the worse way round, and gives the
// number that is allowed: a fifth of the numeric questions, rounded up, at least one.
func (c *class) shared(a, b placed) (n, limit int) {
	there, back, questions := 0, 0, 0
	for i, q := range c.questions {
		if !q.copied || !a.sheet.Has(q.Question) || !b.sheet.Has(q.Question) {
			continue
		}
		questions++
		x, y := a.frame[q.Slot].X, b.frame[q.Slot].X
		if b.targets[i].Fits(x, 0, false) {
			there++
		}
		if a.targets[i].Fits(y, 0, false) {
			back++
		}
	}
	return max(there, back), max(1, (questions+4)/5)
}

// excess sums up by how much a sheet shares too many answers: with those it must not, and with the others.
func (c *class) excess(s placed) (hard, soft int) {
	for _, j := range c.rivals(s.sheet) {
		n, limit := c.shared(s, c.sheets[j])
		switch over := max(0, n-limit); {
		case c.hard(s.sheet, j):
			hard += over
		default:
			soft += over
		}
	}
	return hard, soft
}

// seat draws a sheet until it shares few enough answers with those before it, and takes it into the class. first is a draw
// already made by d.
func (c *class) seat(ctx context.Context, sheet *classset.Sheet, d *drawer, first *draw) error {
	best := placed{first, sheet}
	if !c.off {
		hard, soft := c.excess(best)
		for tried := 0; hard > 0 && tried < maxRedraws || soft > 0 && tried < redraws; tried++ {
			again, err := d.next(ctx)
			if err != nil {
				return err
			}
			h, s := c.excess(placed{again, sheet})
			if h < hard || h == hard && s < soft {
				best.draw, hard, soft = again, h, s
			}
		}
		if hard > 0 {
			return c.copyingFailure(best)
		}
	}
	sheet.Attempts = d.tries
	c.add(best)
	return nil
}

// drawAll draws the sheets in roster order. What needs no look at other sheets is done on every core.
func (c *class) drawAll(ctx context.Context, sheets []*classset.Sheet, drawerOf func(*classset.Sheet) *drawer, done func(int)) error {
	const window = 256 // sheets drawn ahead
	for start := 0; start < len(sheets); start += window {
		part := sheets[start:min(start+window, len(sheets))]
		drawers := make([]*drawer, len(part))
		first := make([]*draw, len(part))
		err := parallel(ctx, len(part), func(i int) (err error) {
			drawers[i] = drawerOf(part[i])
			first[i], err = drawers[i].next(ctx)
			return err
		})
		if err != nil {
			return err
		}
		for i, s := range part {
			if err := c.seat(ctx, s, drawers[i], first[i]); err != nil {
				return err
			}
			done(start + i + 1)
		}
	}
	return nil
}

// copyingFailure names the question whose answers are alike most often among the sheets that must differ.
func (c *class) copyingFailure(s placed) error {
	alike := map[*labs.Question]int{}
	worst := c.questions[0].Question
	for _, j := range c.rivals(s.sheet) {
		if !c.hard(s.sheet, j) {
			continue
		}
		for i, q := range c.questions {
			if q.copied && c.sheets[j].targets[i].Fits(s.frame[q.Slot].X, 0, false) {
				if alike[q.Question]++; alike[q.Question] > alike[worst] {
					worst = q.Question
				}
			}
		}
	}
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

// parallel runs work for 0..n-1 on every core. It gives the error of the least number that failed, so that what is told
// does not hang on the number of cores.
func parallel(ctx context.Context, n int, work func(i int) error) error {
	errs := make([]error, n)
	var next atomic.Int64
	var failed atomic.Bool
	var wg sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= n || failed.Load() || ctx.Err() != nil {
					return
				}
				if errs[i] = work(i); errs[i] != nil {
					failed.Store(true)
				}
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return ctx.Err()
}
