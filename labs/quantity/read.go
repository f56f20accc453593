package quantity

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// Reading is one sensible reading of an answer.
type Reading struct {
	Number      float64 // as written, in the unit written
	HasUnit     bool
	Unit        Unit    // the unit written; the plain number 1 when none
	Low, High   int     // bounds of the significant figures; 0, 0 when exact (fractions, words)
	Digit       float64 // size of one unit in the last digit written, in the unit written; 0 when exact
	Uncertainty float64 // stated with ± or in brackets, in the unit written; 0 when none
	Direction   string  // direction word set aside, normalised ("up"); "" when none
	Note        string  // how it was read, where that is not plain
	Convention  string  // "comma" or "point", the decimal mark supposed, when a single comma has two senses; else ""
	Mark        string  // the decimal mark that the writing shows beyond doubt: "comma" (0,91), "point" (0.91), or ""
	Flag        bool    // the unit's name stands for several sizes (gal, ton, hp) or was bent by a factor (MM)
}

// SI is the reading in coherent SI units, a temperature as a point on its scale; a bare number counts in the unit box.
func (r Reading) SI(box Unit) float64 {
	if r.HasUnit {
		return r.Unit.SI(r.Number)
	}
	return box.SI(r.Number)
}

// Span is the reading in coherent SI units as a difference: 9 °F are 5 K. A bare number counts in the unit box.
func (r Reading) Span(box Unit) float64 {
	if r.HasUnit {
		return r.Unit.Span(r.Number)
	}
	return box.Span(r.Number)
}

// Fits tells whether the reading can answer where the unit box is asked for: its unit is of that dimension, or it is a
// bare number.
func (r Reading) Fits(box Unit) bool { return !r.HasUnit || r.Unit.Dim == box.Dim }

// maxAnswer bounds an answer, in characters. Nothing a person means as one number is longer.
const maxAnswer = 120

// Read returns every sensible reading of an answer as a pupil wrote it, whatever its dimension; why says what stands in
// the way when there is none, and is empty for an empty answer (blank). An answer is read whole or not at all: what is
// neither number, unit nor a word known to carry no number is never dropped. It takes well under a millisecond.
func Read(answer string) (readings []Reading, why string) {
	if utf8.RuneCountInString(answer) > maxAnswer {
		return nil, fmt.Sprintf("too long: more than %d characters", maxAnswer)
	}
	if !utf8.ValidString(answer) {
		return nil, "characters that no known encoding explains"
	}
	text := fold(answer)
	if text == "" {
		return nil, ""
	}
	if strings.Trim(text, "? ") == "" {
		return nil, "marked as impossible to read by the person who typed it"
	}
	a, why := unwrap(text)
	if why != "" {
		return nil, why
	}
	if readings, why = readBody(a.text); why != "" {
		return nil, why
	}
	for i := range readings {
		readings[i].Direction = a.direction
		if a.figures > 0 && readings[i].High > 0 {
			readings[i].Low, readings[i].High = a.figures, a.figures
		}
	}
	return readings, ""
}

var spreadPattern = regexp.MustCompile(`(?i) ?(?:±|\+/-|\+-|\+ or -|plus or minus|plus-minus) ?`)

// spreadSigns are characters of which every match of spreadPattern has one.
const spreadSigns = "±+pP"

// readBody reads a number with its unit and, where stated, its uncertainty.
func readBody(text string) ([]Reading, string) {
	if !strings.ContainsAny(text, spreadSigns) {
		return readPlain(text)
	}
	parts := spreadPattern.Split(text, -1)
	switch {
	case len(parts) == 1:
		return readPlain(text)
	case len(parts) > 2:
		return nil, "more than one ±"
	}
	value, spread := parts[0], parts[1]
	if inner, ok := strings.CutPrefix(value, "("); ok { // (5 ± 0.2) N
		before, after, closed := strings.Cut(spread, ")")
		if !closed {
			return nil, "a bracket is not closed"
		}
		value, spread = inner, strings.TrimSpace(before+" "+strings.TrimSpace(after))
	}
	return readSpread(value, spread)
}

// readSpread joins a value and the uncertainty after its ±. The unit may stand after either or both.
func readSpread(value, spread string) ([]Reading, string) {
	values, why := readPlain(value)
	if why != "" {
		return nil, why
	}
	spreads, why := readPlain(spread)
	if why != "" {
		return nil, "after the ±: " + why
	}
	var found []Reading
	for _, v := range values {
		for _, s := range spreads {
			r, ok := v.spread(s)
			same := func(f Reading) bool { return f.Number == r.Number && f.Unit == r.Unit }
			if ok && !slices.ContainsFunc(found, same) {
				found = append(found, r)
			}
		}
	}
	if len(found) == 0 {
		return nil, "the value and the uncertainty after ± do not fit together"
	}
	return found, ""
}

// spread is the reading v with the uncertainty s, whose unit counts for both where v has none.
func (v Reading) spread(s Reading) (Reading, bool) {
	if s.Number < 0 || v.Convention != "" && s.Convention != "" && v.Convention != s.Convention {
		return v, false
	}
	switch {
	case s.HasUnit && s.Unit.Symbol == "%" && v.Unit.Symbol != "%":
		v.Uncertainty = s.Number / 100 * math.Abs(v.Number)
	case !s.HasUnit:
		v.Uncertainty = s.Number
	case !v.HasUnit:
		v.HasUnit, v.Unit, v.Flag = true, s.Unit, s.Flag
		v.Note = join2(v.Note, s.Note)
		v.Uncertainty = s.Number
	case s.Unit.Dim == v.Unit.Dim:
		v.Uncertainty = v.Unit.FromSpan(s.Unit.Span(s.Number))
	default:
		return v, false
	}
	return v, true
}

// readPlain reads a number and a unit, or two of each as in 1 min 30 s.
func readPlain(text string) ([]Reading, string) {
	text = strings.TrimSpace(text)
	numbers, rest, why := readNumber(text)
	if why != "" {
		if strings.HasPrefix(strings.ToLower(text), "inf") || strings.HasPrefix(text, "∞") || strings.EqualFold(text, "nan") {
			why = "not a finite number"
		}
		return nil, why
	}
	rest = strings.TrimSpace(rest)
	if rest == "" {
		var found []Reading
		for _, n := range numbers {
			found = append(found, n.reading())
		}
		return found, ""
	}
	if found := readTwoPart(numbers, rest); len(found) > 0 {
		return found, ""
	}
	meanings := unitTwice(rest)
	if len(meanings) == 0 {
		meanings = readUnit(unbracket(rest))
	}
	if len(meanings) == 0 {
		if strings.HasSuffix(rest, "?") {
			return nil, "a question mark: somebody was not sure"
		}
		if secondAnswer.MatchString(rest) {
			return nil, fmt.Sprintf("more than one answer: %q stands after the first", rest)
		}
		return nil, fmt.Sprintf("%q is not a unit", rest)
	}
	var found []Reading
	for _, n := range numbers {
		for _, m := range meanings {
			r := n.reading()
			r.HasUnit, r.Unit, r.Flag = true, m.Unit, m.Flag
			r.Note = join2(r.Note, m.Note)
			found = append(found, r)
		}
	}
	return found, ""
}

func (n numeral) reading() Reading {
	return Reading{Number: n.value, Unit: one, Low: n.low, High: n.high, Digit: n.digit, Uncertainty: n.uncertainty,
		Note: n.note, Convention: n.convention, Mark: n.mark}
}

// againPattern matches a unit with another in brackets after it.
var againPattern = regexp.MustCompile(`^([^()\[\]]+) ?[(\[]([^()\[\]]+)[)\]]$`)

// unitTwice reads a unit that is written once more in brackets, as in newtons (N); none when it is something else.
func unitTwice(unit string) (same []UnitReading) {
	m := againPattern.FindStringSubmatch(unit)
	if m == nil {
		return nil
	}
	again := readUnit(strings.TrimSpace(m[2]))
	for _, r := range readUnit(strings.TrimSpace(m[1])) {
		if slices.ContainsFunc(again, func(a UnitReading) bool { return a.Unit.Dim == r.Unit.Dim && a.Unit.Scale == r.Unit.Scale }) {
			same = append(same, r)
		}
	}
	return same
}

// unbracket takes the brackets off a unit written as [N] or (N).
func unbracket(unit string) string {
	last := len(unit) - 1
	if last > 1 && (unit[0] == '[' && unit[last] == ']' || unit[0] == '(' && unit[last] == ')') && !strings.ContainsAny(unit[1:last], "()[]") {
		return strings.TrimSpace(unit[1:last])
	}
	return unit
}

// secondAnswer matches a further answer after the first: "or 11 N", "N and 12".
var secondAnswer = regexp.MustCompile(`(?i)(^|\s)(or|and)\s+\S*\d`)
