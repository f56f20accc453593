package slips

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"keelmark/labs/formula"
)

const (
	chanceLimit  = 0.05          // from this probability on, chance explains a fit as well
	chanceRange  = 6 * math.Ln10 // the range of ln|x| over which an unrelated number may lie
	nearby       = 0.5           // share of the right answer within which a wrong number is most likely to lie
	fewestDigits = 3             // below this many figures only listed and scale slips are named
	rounding     = 1 + 1e-9      // lets a number rounded from half a unit away fit
)

// Finding is the cause found for a wrong number.
type Finding struct {
	Cause
	Tier    int
	Certain bool    // false: "perhaps", which earns nothing
	Marks   int     // of a listed mistake, which has a mark of its own; 0 in the other tiers
	Own     bool    // fits only when the pupil's own earlier answers are carried on
	Also    []Cause // others of the same tier that fit as well
}

// Find looks for the cause of a reading that is not right: on the true values first, then on the pupil's own earlier
// answers (own, nil when there are none). A cause that is certain goes before one that is not. ok is false when nothing
// fits.
func (c *Catalogue) Find(r Reading, truth, own Frame) (f Finding, ok bool) {
	f, ok = c.find(r, truth)
	if ok && f.Certain || own == nil {
		return f, ok
	}
	if g, found := c.find(r, own); found && (g.Certain || !ok) {
		g.Own = true
		return g, true
	}
	return f, ok
}

// hit is a candidate with its value on the frame.
type hit struct {
	*candidate
	x float64
}

// gravity is 1 for a slip with g, else 0. Where g is taken as 10, leaving it out shifts the decimal point as well; a pupil
// who takes 10 for g is likelier to have left it out.
func (h hit) gravity() int {
	if h.ID == string(formula.GForgotten) || h.ID == string(formula.GTwice) {
		return 1
	}
	return 0
}

// scratch is memory for one search, to use again: a class has thousands of them.
type scratch struct {
	frame     Frame
	all, fits []hit
}

// copy copies a frame: candidates work in it.
func (s *scratch) copy(f Frame) Frame {
	s.frame = append(s.frame[:0], f...)
	return s.frame
}

var scratches = sync.Pool{New: func() any { return new(scratch) }}

func (c *Catalogue) find(r Reading, f Frame) (Finding, bool) {
	x := c.unit.From(r.SI)
	if x == 0 || len(f) == 0 {
		return Finding{}, false
	}
	half := math.Abs(c.unit.FromSpan(r.Half)) * rounding
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	f = s.copy(f)
	all, fits := s.all[:0], s.fits[:0]
	defer func() { s.all, s.fits = all, fits }()
	for i := range c.candidates {
		k := &c.candidates[i]
		if r.Figures < fewestDigits && k.tier > 1 && !k.scale {
			continue
		}
		si, err := k.value(f)
		if err != nil {
			continue
		}
		h := hit{k, c.unit.From(si)}
		all = append(all, h)
		window := half
		if k.tier == 1 {
			window = max(half, r.Line*math.Abs(h.x))
		}
		if math.Abs(h.x-x) <= window && (len(fits) == 0 || k.tier == fits[0].tier) {
			fits = append(fits, h)
		}
	}
	if len(fits) == 0 {
		return Finding{}, false
	}
	if fits[0].tier > 1 && c.crowded(all, fits[0].tier, half, x, f) {
		return Finding{}, false
	}
	slices.SortStableFunc(fits, func(a, b hit) int {
		return cmp.Or(cmp.Compare(b.marks, a.marks), cmp.Compare(b.gravity(), a.gravity()))
	})
	best := fits[0]
	found := Finding{Cause: best.Cause, Tier: best.tier, Marks: best.marks}
	found.Certain = best.tier == 1 || chance(all, best.tier, half/math.Abs(x)) < chanceLimit
	for _, other := range fits[1:] {
		found.Also = append(found.Also, other.Cause)
	}
	return found, true
}

// crowded reports whether x lies near the right answer and the windows of tiers 2 to k cover so much there that chance
// explains a fit: questions such as a centre of mass have dozens of slips that change the answer little.
func (c *Catalogue) crowded(all []hit, k int, half, x float64, f Frame) bool {
	v, err := c.right.Eval(f)
	right := c.unit.From(v.X)
	if err != nil || math.Abs(x-right) > nearby*math.Abs(right) {
		return false
	}
	low, high := right-nearby*math.Abs(right), right+nearby*math.Abs(right)
	var near []float64
	for _, h := range all {
		if h.tier >= 2 && h.tier <= k && h.x >= low && h.x <= high {
			near = append(near, h.x)
		}
	}
	return union(near, -half, half) >= chanceLimit*(high-low)
}

// chance is p of the package comment: the share of six powers of ten that the windows of tiers 2 to k cover.
func chance(all []hit, k int, h float64) float64 {
	if h >= 1 {
		return 1
	}
	var centres []float64
	for _, c := range all {
		if c.tier >= 2 && c.tier <= k && c.x != 0 {
			centres = append(centres, math.Log(math.Abs(c.x)))
		}
	}
	return union(centres, math.Log1p(-h), math.Log1p(h)) / chanceRange
}

// union is the length that windows from below to above around the centres cover together. It sorts the centres.
func union(centres []float64, below, above float64) (covered float64) {
	slices.Sort(centres)
	end := math.Inf(-1)
	for _, at := range centres {
		covered += at + above - max(at+below, end)
		end = at + above
	}
	return covered
}
