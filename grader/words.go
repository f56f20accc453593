package grader

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"keelmark/labs"
	"keelmark/labs/judge"
	"keelmark/labs/quantity"
)

// What pupils are told. The words are for a twelve-year-old: what happened, and what to do next.
const (
	sayBlank   = "Nothing is written here, so there was nothing to mark. Read the worked steps and try the first of them."
	sayUnread  = "Your teacher will look at this one: it could not be read for certain. One number and its unit is best."
	sayOpen    = "Your teacher will mark this one."
	sayVoid    = "This question does not count."
	sayFull    = "Everyone has full marks for this question."
	sayDecided = "Your teacher has marked this one."

	sayBeforeStep = "That is a number on the way: it still has to become the whole number, or the standard size, that is asked for."
)

func sayGap(rows, columns []string) string {
	if len(rows) == 1 {
		return fmt.Sprintf("row %s of %s has a gap and was left out", rows[0], list(columns))
	}
	return fmt.Sprintf("rows %s of %s have gaps and were left out", list(rows), list(columns))
}

func sayCarried(earlier string) string {
	return fmt.Sprintf("Your method is right. It goes on from your own answer to %s, so it earns full marks.", earlier)
}

// nearby is how far from the right answer, as a share of it, a number is still called close.
const nearby = 0.1

// sayWrong tells how a number stands to the right one, where that helps to find what happened.
func sayWrong(q *labs.Question, c candidate, t judge.Target) string {
	const next = " Go through the worked steps and see where yours part from them."
	ratio := c.value / t.Value
	switch {
	case q.Type.Point, t.Value == 0, ratio-ratio != 0, t.Exact:
		return "This number is not the one the data lead to." + next
	case ratio == 0:
		return "The answer is not zero here." + next
	case ratio < 0 && math.Abs(-ratio-1) < nearby:
		return "The size is close, but the sign is the other way round." + next
	case ratio < 0:
		return "The sign is the other way round, and the size differs too." + next
	case ratio > 1.5:
		return fmt.Sprintf("Your number is about %s times too large.", times(ratio)) + next
	case ratio < 1/1.5:
		return fmt.Sprintf("Your number is about %s times too small.", times(1/ratio)) + next
	case ratio > 1+nearby:
		return fmt.Sprintf("Your number is too large by %s.", percent(ratio-1)) + next
	case ratio < 1-nearby:
		return fmt.Sprintf("Your number is too small by %s.", percent(1-ratio)) + next
	case ratio > 1:
		return fmt.Sprintf("Your number is close, but too large by %s.", percent(ratio-1)) + next
	}
	return fmt.Sprintf("Your number is close, but too small by %s.", percent(1-ratio)) + next
}

func times(x float64) string { return quantity.FormatFigures(x, 2) }

func percent(x float64) string {
	if x < 0.01 {
		return "less than 1 %"
	}
	return fmt.Sprintf("about %.0f %%", 100*x)
}

// list joins words as a sentence does: a, b and c.
func list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// count writes a number of things: 1 mark, 2 marks.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// product matches the sign of a product in a formula of the lab, between its factors.
var product = regexp.MustCompile(`([\pL\d_)])\*([\pL\d_(])`)

// withDots writes the products of a formula with a dot: a star would be emphasis in Markdown, and is none of a pupil's signs.
func withDots(s string) string {
	for product.MatchString(s) { // factors are shared: a*b*c
		s = product.ReplaceAllString(s, "$1·$2")
	}
	return s
}
