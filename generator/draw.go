package generator

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"keelmark/labs"
	"keelmark/labs/quantity"
)

const (
	maxGroupTries = 2000 // draws of one group until its conditions hold
	maxTries      = 400  // draws of a sheet until its answers keep the rules
	surveyed      = 41   // draws that tell what is usual for a lab
	attemptsApart = maxTries * maxGroupTries
)

// drawer draws one sheet, again and again until it is kept.
type drawer struct {
	*plan
	seed, student string
	has           func(*labs.Question) bool // questions on the sheet
	lenient       bool                      // mistakes may look right
	attempts      []int                     // by group
	frame         labs.Frame
	tries         int
	rejected      map[breach]int // nil: not counted
	streams       *streams       // of the seed
}

// draw is a sheet's numbers: the frame with values and answers, and the target of each question.
type draw struct {
	frame   labs.Frame
	targets aims
}

func (p *plan) drawer(seed, student string, has func(*labs.Question) bool) *drawer {
	d := &drawer{plan: p, seed: seed, student: student, has: has, frame: slices.Clone(p.base), rejected: map[breach]int{}, streams: keyed(seed)}
	d.attempts = make([]int, len(p.groups))
	for g := range d.attempts {
		d.attempts[g] = -1
	}
	return d
}

// next draws until all rules hold but the one about copying. The error names the rule that is broken most.
func (d *drawer) next(ctx context.Context) (*draw, error) {
	redraw := d.all()
	for range maxTries {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		targets, b, err := d.once(redraw)
		if err != nil {
			return nil, err
		}
		if b.rule == noRule {
			return &draw{slices.Clone(d.frame), targets}, nil
		}
		d.rejected[b]++
		if len(d.groups) == 0 {
			break // it will never be otherwise
		}
		redraw = d.concerned(b)
	}
	return nil, d.failure()
}

// fork gives another drawer of the same sheet, to redraft with.
func (d *drawer) fork() *drawer {
	f := *d
	f.rejected, f.frame, f.streams = nil, slices.Clone(d.base), keyed(d.seed)
	f.attempts = make([]int, len(d.groups))
	return &f
}

// redraft drafts the k-th redraw, k ≥ 1, which is the same whatever was drawn before. ok tells that it keeps the rules
// that a draft can keep.
func (d *drawer) redraft(k int) (ok bool) {
	d.tries = 0
	copy(d.frame, d.base)
	for g := range d.attempts {
		d.attempts[g] = k*attemptsApart - 1
	}
	b, err := d.draft(d.all())
	return err == nil && b.rule == noRule
}

// once draws the groups given anew and computes all that hangs on them, and proves the rules.
func (d *drawer) once(groups []int) (aims, breach, error) {
	if b, err := d.draft(groups); err != nil || b.rule != noRule {
		return nil, b, err
	}
	targets, b := d.prove()
	return targets, b, nil
}

// draft draws the groups given anew and computes values and answers.
func (d *drawer) draft(groups []int) (breach, error) {
	d.tries++
	for _, g := range groups {
		if err := d.group(g); err != nil {
			return breach{}, err
		}
	}
	for _, v := range d.mixed {
		if b, ok := d.value(v); !ok {
			return b, nil
		}
	}
	if b, ok := d.answers(d.frame); !ok {
		return b, nil
	}
	if d.late {
		if c, _ := d.lab.Met(d.frame); c != nil { // one that cannot be computed is returned as well
			return breach{rule: conditions, condition: c}, nil
		}
	}
	return breach{}, nil
}

// prove finds the targets of a draft and proves the rules about answers.
func (d *drawer) prove() (aims, breach) {
	targets, b, ok := d.aim(d.frame)
	if !ok {
		return nil, b
	}
	if b, ok := d.worth(d.frame); !ok {
		return nil, b
	}
	if !d.lenient {
		if b, ok := d.discriminates(d.frame, targets, d.has); !ok {
			return nil, b
		}
	}
	return targets, breach{}
}

// group draws one group until its conditions hold.
func (d *drawer) group(g int) error {
	for range maxGroupTries {
		d.attempts[g]++
		b, ok := d.groupOnce(&d.groups[g])
		if ok {
			return nil
		}
		d.tries++
		if d.rejected != nil {
			d.rejected[b]++
		}
	}
	return d.failure()
}

func (d *drawer) groupOnce(g *group) (breach, bool) {
	for _, v := range g.variables {
		if b, ok := d.value(v); !ok {
			return b, false
		}
	}
	for _, c := range g.require {
		if x, err := c.Run.Eval(d.frame); err != nil || x.X == 0 {
			return breach{rule: conditions, condition: c}, false
		}
	}
	return breach{}, true
}

// value draws or computes one value into the frame.
func (d *drawer) value(v *variable) (breach, bool) {
	if !v.random() {
		x, err := d.lab.Compute(v.Value, d.frame, nil)
		d.frame[v.Slot] = x
		return breach{rule: computable, variable: v.Value}, err == nil
	}
	s := d.streams.stream(d.lab.Name, d.student, v.Name, d.attempts[d.groupOf[v.Name]])
	switch v.Source {
	case labs.Drawn:
		d.frame[v.Slot] = quantity.Value{X: onGrid(v.Value, s.IntN(v.grid))}
	case labs.Picked:
		d.frame[v.Slot] = v.Picks[s.IntN(len(v.Picks))]
	default:
		x, err := d.lab.Compute(v.Value, d.frame, s.Normal)
		d.frame[v.Slot] = x
		return breach{rule: computable, variable: v.Value}, err == nil
	}
	return breach{}, true
}

// concerned are the groups to draw anew after a breach. A slip, or a printed value, may hang on any.
func (d *drawer) concerned(b breach) []int {
	if b.question == nil || b.rule == slipRight || b.rule == notPrinted {
		return d.all()
	}
	if of := d.question(b.question).groups; len(of) > 0 {
		return of
	}
	return d.all()
}

// all are the numbers of all groups.
func (d *drawer) all() []int {
	all := make([]int, len(d.groups))
	for g := range all {
		all[g] = g
	}
	return all
}

// question finds the plan of a question of the lab.
func (p *plan) question(q *labs.Question) *question {
	i := slices.IndexFunc(p.questions, func(known *question) bool { return known.Question == q })
	return p.questions[i]
}

// failure tells which rule stood in the way most often.
func (d *drawer) failure() error {
	if len(d.rejected) == 0 {
		return fmt.Errorf("lab %s: no draw is possible in %d tries", d.lab.Name, d.tries)
	}
	worst := slices.MaxFunc(breaches(d.rejected), func(a, b breach) int { return cmp.Compare(d.rejected[a], d.rejected[b]) })
	return d.cannot(worst.place(), fmt.Errorf("lab %s: no draw is possible: %v (in %d of %d draws)%s", d.lab.Name, worst, d.rejected[worst], d.tries, d.reason(worst)))
}

// reason says why the value or answer of a breach cannot be computed from what was drawn last; "" where it can, or where the
// breach is of another rule.
func (d *drawer) reason(b breach) string {
	var err error
	switch {
	case b.rule != computable:
	case b.variable == nil:
		_, err = d.lab.Answer(b.question, d.frame)
	case b.variable.CalcExpr != nil:
		_, err = d.lab.Compute(b.variable, d.frame, nil)
	}
	if err == nil {
		return ""
	}
	return "; in the last, " + err.Error()
}

// breaches lists breaches in the order of the template.
func breaches(counts map[breach]int) []breach {
	list := make([]breach, 0, len(counts))
	for b := range counts {
		list = append(list, b)
	}
	slices.SortFunc(list, func(a, b breach) int {
		return cmp.Or(cmp.Compare(a.place().Line, b.place().Line), cmp.Compare(a.place().Col, b.place().Col), cmp.Compare(a.rule, b.rule))
	})
	return list
}

// survey finds what most draws of the lab cannot keep apart: a listed mistake near the right answer, two mistakes that
// give the same number, a common slip that is always right, such as one name for another of nearly the same value. No
// sheet could be drawn if these counted; the check reports them.
func (p *plan) survey() {
	near, same := map[breach]int{}, map[breach]int{}
	right := make([][]int, len(p.questions))
	d := p.drawer("survey", "", func(*labs.Question) bool { return true })
	d.lenient = true
	drawn := 0
	for ; drawn < surveyed; drawn++ {
		made, err := d.next(context.Background())
		if err != nil {
			break // drawing a sheet will tell
		}
		for i, q := range p.questions {
			xs := p.mistakes(q, made.frame)
			for k, x := range xs {
				if margin(made.targets[i], x) < apart {
					near[breach{question: q.Question, mistake: k}]++
				}
				for other := range k {
					if alike(xs[other], x) {
						same[breach{question: q.Question, mistake: k, other: other}]++
					}
				}
			}
			if q.catalogue != nil {
				right[i] = append(right[i], len(p.slipsRight(q, made.frame, made.targets[i])))
			}
		}
	}
	for i, q := range p.questions {
		if len(right[i]) > 0 {
			slices.Sort(right[i])
			q.unseen = right[i][len(right[i])/2]
		}
	}
	for b, n := range near {
		if 2*n > drawn {
			p.question(b.question).apart[b.mistake] = 1
		}
	}
	for b, n := range same {
		if 2*n > drawn {
			p.question(b.question).alike[[2]int{b.other, b.mistake}] = true
		}
	}
}
