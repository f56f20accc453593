package labs

import (
	"math"
	"strconv"
	"strings"

	"keelmark/labs/quantity"
)

// figures is the number of significant figures of a value that has no last printed digit of its own.
const figures = 3

// Display says how a value is shown: the unit, as typeset and as written in the template, and the last printed digit or
// the division of the instrument in that unit (0: to three figures).
type Display struct {
	Unit  quantity.Unit
	Text  string // the unit as ParseUnit reads it: "cm^3", "degC", "1"
	Step  float64
	Exact bool // a count or a step of a series: 14 and not 14.0; numbers of more than four figures are no such
}

// exactFigures hide the noise of binary arithmetic.
const exactFigures = 9

// Round gives x, in coherent SI, as it is printed: a whole multiple of Step, or three figures.
func (d Display) Round(x float64) float64 {
	shown := d.Unit.From(x)
	if d.Step > 0 {
		return d.Unit.SI(quantity.RoundTo(shown, d.Step))
	}
	return d.Unit.SI(quantity.RoundFigures(shown, figures))
}

// Number writes x, in coherent SI, in the unit shown but without it.
func (d Display) Number(x float64) string {
	shown := d.Unit.From(x)
	if whole := quantity.RoundFigures(shown, exactFigures); d.Exact && quantity.RoundFigures(shown, figures+1) == whole {
		return quantity.FormatStep(whole, finest([]float64{whole}))
	}
	if d.Step > 0 {
		return quantity.FormatStep(shown, d.Step)
	}
	return quantity.FormatFigures(shown, figures)
}

// Format writes a value with its unit: "2.46 N", a column as "1.0, 2.0 N", a name as words.
func (d Display) Format(v quantity.Value, t quantity.Type) string {
	return quantity.WithUnit(d.bare(v, t), d.Unit)
}

// bare writes a value without its unit.
func (d Display) bare(v quantity.Value, t quantity.Type) string {
	switch t.Kind {
	case quantity.Name:
		return strings.ReplaceAll(v.Name, "_", " ")
	case quantity.Bool:
		return strconv.FormatBool(v.X != 0)
	case quantity.Column:
		parts := make([]string, len(v.Col))
		for i, x := range v.Col {
			parts[i] = d.Number(x)
		}
		return strings.Join(parts, ", ")
	}
	return d.Number(v.X)
}

// in gives the display in another unit with as many figures as x, in coherent SI, has in this one.
func (d Display) in(unit quantity.Unit, text string, x float64) Display {
	other := Display{Unit: unit, Text: text}
	shown, converted := math.Abs(d.Unit.From(x)), math.Abs(unit.From(x))
	if d.Step <= 0 || shown == 0 || converted == 0 {
		return other
	}
	count := max(1, math.Floor(math.Log10(shown))-math.Floor(math.Log10(d.Step))+1)
	other.Step = math.Pow(10, math.Floor(math.Log10(converted))-count+1)
	return other
}

// Labels are the texts that a drawing may print beside the numbers of a formula, in coherent SI: those of a value given by
// its name alone, as it is shown, and of a literal, as the template writes it. A formula that computes has none, since its
// result may be what a question asks for; nor has what the sheet may not tell: hidden values, bench readings, answers.
func (l *Lab) Labels(f *Formula, si []float64) []string {
	texts := make([]string, len(si))
	var show Display
	if numbers, unit, ok := f.Expr.Literal(); ok {
		show = Display{Unit: unit, Step: finest(numbers)}
	} else if v := l.Value(f.Expr.String()); v != nil && !v.Hidden && v.Source != Measured {
		show = v.Show
	} else {
		return texts
	}
	for i, x := range si {
		texts[i] = quantity.WithUnit(show.Number(x), show.Unit)
	}
	return texts
}

// displayOf is the display of a dimension in its coherent SI unit; ok is false when that has no name units can be read by.
func displayOf(t quantity.Type) (d Display, ok bool) {
	text := t.Dim.String()
	if t.Point {
		text = "degC"
	}
	unit, err := quantity.ParseUnit(text)
	return Display{Unit: unit, Text: text}, err == nil
}

// finest is the largest power of ten, at most 1, of which every x is a whole multiple as written: the step that shows them
// all exactly.
func finest(xs []float64) float64 {
	places := 0
	for _, x := range xs {
		text := strconv.FormatFloat(x, 'f', -1, 64)
		if _, fraction, ok := strings.Cut(text, "."); ok {
			places = max(places, len(fraction))
		}
	}
	return math.Pow(10, -float64(min(places, 12)))
}
