package labs

import (
	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// Condition is one line of `require`.
type Condition struct {
	Expr  *formula.Expr
	Run   *formula.Program
	Place Place
}

// QuestionKind says how a question is answered.
type QuestionKind uint8

// The kinds of question.
const (
	Numeric QuestionKind = iota
	Choice
	ByHand
	Ticks // a `tick` block
)

// Mistake is a listed mistake.
type Mistake struct {
	Expr  *formula.Expr
	Run   *formula.Program // plain
	Marks int
	Why   string // Markdown with {{…}} and $…$
	Place Place
}

// Question is one question, in the order of the sheet.
type Question struct {
	ID            string
	Kind          QuestionKind
	Slot          int // of the answer in the frame (Numeric: SI; Choice: 1, 2, …)
	Type          quantity.Type
	Ask, Hint     string // Markdown
	Expr          *formula.Expr
	Run           *formula.Program
	Show          Display // unit of the box; Step 0
	Choices       []string
	Shuffle       bool
	Marks         int
	UnitMark      int // 1: the pupil must give the unit
	SFMark        int
	SFLow, SFHigh int // 2..4 unless stated
	Within        *Tolerance
	Direction     string
	Mistakes      []Mistake
	LookFor       []string
	Skill         string
	Space         float64 // for working, in mm; 0: by the marks
	Ruled         bool    // with lines in it
	MayEqual      bool
	Levels        []string // nil: all
	Items         []string // Ticks
	Bench         bool     // depends, directly or through earlier answers, on a measured value
	Stepped       bool
	Uses          []string // names of the lab that the formula uses directly
	Place         Place

	needs []*pseudo   // what the formula and the mistakes need besides values and answers
	chain []*Question // the earlier questions that the answer follows from, in order, itself last
	bench []*Value    // the measured values that the answer follows from
}

// Follows gives the earlier questions that the answer follows from, in the order of the lab.
func (q *Question) Follows() []*Question { return q.chain[:max(0, len(q.chain)-1)] }

// Tolerance is `within`: a share of the answer ("3 %") or an absolute amount in coherent SI.
type Tolerance struct{ Relative, Absolute float64 }
