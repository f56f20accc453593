package grader

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

const (
	// A likeness of strangers is none where this many sheets as like may be expected by chance: among ten thousand sheets
	// there is always one that two wrong answers fit.
	strangeLimit = 0.1
	// An answer that is right on more than this share of the sheets tells no stranger from another.
	commonShare = 0.05
)

// strangers finds likeness between sheets far apart in the roster. For each question the sheets are sorted by their true
// answer, so that only sheets which share an answer are ever held against each other.
type strangers struct {
	*comparison
	sorted [][]trueAnswer // by rule; none where answers may not be compared
	tied   [][]float64    // by two rules: of sheets alike in the first, the share alike in the second too
	count  []int          // by sheet, while answers are looked up: how many are right there; else 0
}

// trueAnswer is what is right on a sheet, and half a unit of the last figure to which an answer must agree with it.
type trueAnswer struct {
	value, half float64
	sheet       int
}

func (t trueAnswer) agrees(x compared) bool { return math.Abs(x.value-t.value) <= t.half }

// newStrangers sorts the sheets of a comparison.
func newStrangers(c *comparison) *strangers {
	s := &strangers{comparison: c, count: make([]int, len(c.done))}
	for k, r := range c.rules {
		var list []trueAnswer
		for j := range c.done {
			if t := c.there[j][k]; r.compares() && !math.IsNaN(t) {
				list = append(list, trueAnswer{t, halfUnit(t, talkFigures), j})
			}
		}
		slices.SortStableFunc(list, func(a, b trueAnswer) int { return cmp.Compare(a.value, b.value) })
		s.sorted = append(s.sorted, list)
	}
	for k := range c.rules {
		s.tied = append(s.tied, s.tiedTo(k))
	}
	return s
}

// tiedTo gives for each rule the share of sheets alike in rule k that are alike in it too: near 1 where one answer follows
// from the other, which makes them one coincidence and not two. It is learnt from the true answers of the class.
func (s *strangers) tiedTo(k int) []float64 {
	pairs, both := 1, make([]float64, len(s.rules))
	for n := 1; n < len(s.sorted[k]); n++ {
		a, b := s.sorted[k][n-1], s.sorted[k][n]
		if b.value-a.value > b.half {
			continue
		}
		pairs++
		for r := range both {
			if agreesTo(s.there[a.sheet][r], s.there[b.sheet][r], talkFigures) {
				both[r]++
			}
		}
	}
	for r := range both {
		both[r] = (both[r] + 1) / float64(pairs) // one more, so that what was never seen is not held impossible
	}
	return both
}

// rareAnswer is an answer with the share of sheets on which it is right to enough figures.
type rareAnswer struct {
	compared
	share float64
	near  []trueAnswer // all of those, and some that are not right
}

// like are the sheets on which at least two of the answers are right to enough figures, and more of them than chance would
// bring, in roster order.
func (s *strangers) like(answers []compared) (found []int) {
	var rare []rareAnswer
	for _, x := range answers {
		if !x.fine {
			continue
		}
		near := s.around(x)
		n := 0
		for _, t := range near {
			if t.agrees(x) {
				n++
			}
		}
		share := float64(n) / float64(len(s.done))
		if share > commonShare {
			continue
		}
		rare = append(rare, rareAnswer{x, share, near})
		for _, t := range near {
			if !t.agrees(x) {
				continue
			}
			if s.count[t.sheet]++; s.count[t.sheet] == talkLeast {
				found = append(found, t.sheet)
			}
		}
	}
	for _, x := range rare {
		for _, t := range x.near {
			s.count[t.sheet] = 0
		}
	}
	found = slices.DeleteFunc(found, func(j int) bool { return s.chance(rare, j) >= strangeLimit })
	slices.Sort(found)
	return found
}

// around are the sheets on which x is right to enough figures, and where it is next to a power of ten a few more.
func (s *strangers) around(x compared) []trueAnswer {
	sorted := s.sorted[x.rule]
	width := max(0, halfUnit(x.value*(1+2*closest), talkFigures))
	from := sort.Search(len(sorted), func(n int) bool { return sorted[n].value >= x.value-width })
	to := sort.Search(len(sorted), func(n int) bool { return sorted[n].value > x.value+width })
	return sorted[from:to]
}

// chance is how many sheets may be expected to be as like as sheet j if none was copied: the number of sheets, times the
// ways to choose as many of the answers, times the share of sheets that agree in the first, times the shares of those that
// then agree in each further one.
func (s *strangers) chance(rare []rareAnswer, j int) float64 {
	expected := float64(len(s.done))
	var agreeing []int // rules
	for _, x := range rare {
		if !agreesTo(x.value, s.there[j][x.rule], talkFigures) {
			continue
		}
		p := x.share
		for _, k := range agreeing {
			p = max(p, s.tied[k][x.rule])
		}
		ways := float64(len(rare)-len(agreeing)) / float64(len(agreeing)+1)
		expected *= p * ways
		agreeing = append(agreeing, x.rule)
	}
	return expected
}
