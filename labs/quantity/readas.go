package quantity

import "fmt"

// Outcome is how an answer is understood where a unit is asked for.
type Outcome struct {
	Readings []Reading // those whose dimension fits; a bare number counts as in the unit asked for
	Verdict  string    // "ok", "ambiguous" (readings of different size) or "unread"
	Why      string    // what stands in the way of "ok"; "" for an empty answer, which is unread
}

// ReadAs reads an answer where unit is asked for.
func ReadAs(answer string, unit Unit) Outcome {
	all, why := Read(answer)
	o := Outcome{Verdict: "unread", Why: why}
	for _, r := range all {
		if r.Fits(unit) {
			o.Readings = append(o.Readings, r)
		}
	}
	if len(o.Readings) == 0 {
		if len(all) > 0 {
			o.Why = fmt.Sprintf("%s is not a unit of what is asked for (%s)", all[0].Unit.Symbol, name(unit))
		}
		return o
	}
	o.Verdict = "ok"
	for _, r := range o.Readings[1:] {
		if r.SI(unit) != o.Readings[0].SI(unit) {
			o.Verdict = "ambiguous"
			o.Why = fmt.Sprintf("may be %s or %s", o.Readings[0], r)
		}
	}
	return o
}

func name(u Unit) string {
	if u.Symbol == "" {
		return "a bare number"
	}
	return u.Symbol
}

// String writes the reading as the SI does, to the figures it was written with.
func (r Reading) String() string {
	n := r.High
	if n == 0 {
		n = 6
	}
	return WithUnit(FormatFigures(r.Number, n), r.Unit)
}
