package slips

import (
	"fmt"

	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// phrase names a value in a sentence: "the reading in air", or its bare name.
func (b *builder) phrase(name string) string {
	if b.q.What != nil {
		if what := b.q.What(name); what != "" {
			return fmt.Sprintf("the %s (%s)", what, name)
		}
	}
	return name
}

// words describes a variant.
func (b *builder) words(v formula.Variant) Cause {
	at, to := b.phrase(v.At), b.phrase(v.To)
	c := Cause{ID: string(v.Kind)}
	switch v.Kind {
	case formula.PlusForMinus:
		c.Pupil = fmt.Sprintf("It looks as if you added; here one is taken from the other: %s.", v.At)
		c.Teacher = fmt.Sprintf("added: %s for %s", v.To, v.At)
	case formula.MinusForPlus:
		c.Pupil = fmt.Sprintf("It looks as if you subtracted; here the two go together: %s.", v.At)
		c.Teacher = fmt.Sprintf("subtracted: %s for %s", v.To, v.At)
	case formula.SwapDifference:
		c.Pupil = fmt.Sprintf("The difference is the wrong way round: it is %s.", v.At)
		c.Teacher = fmt.Sprintf("difference the wrong way round: %s for %s", v.To, v.At)
	case formula.Sign:
		c.Pupil = "The size is right, but the sign is the opposite one."
		c.Teacher = "opposite sign"
	case formula.GForgotten:
		c.Pupil = "It looks as if g was left out: a weight is a mass times g."
		c.Teacher = "g forgotten: mass and weight taken for the same"
	case formula.GTwice:
		c.Pupil = "It looks as if g was used twice: what is in newtons has g in it already."
		c.Teacher = "g used twice"
	case formula.Half:
		c.Pupil = fmt.Sprintf("It looks as if you used half of %s: is it a radius or a diameter?", at)
		c.Teacher = fmt.Sprintf("halved %s: radius for diameter", v.At)
	case formula.Double:
		c.Pupil = fmt.Sprintf("It looks as if you used twice %s: is it a radius or a diameter?", at)
		c.Teacher = fmt.Sprintf("doubled %s: diameter for radius", v.At)
	case formula.OtherName:
		c.Pupil = fmt.Sprintf("It looks as if you used %s where %s is needed.", to, at)
		c.Teacher = fmt.Sprintf("used %s for %s", v.To, v.At)
	case formula.FactorLost:
		c.Pupil = fmt.Sprintf("It looks as if %s was left out.", at)
		c.Teacher = fmt.Sprintf("left out %s", v.At)
	case formula.FactorTwice:
		c.Pupil = fmt.Sprintf("It looks as if %s was used twice.", at)
		c.Teacher = fmt.Sprintf("used %s twice", v.At)
	case formula.UpsideDown:
		c.Pupil = fmt.Sprintf("The fraction is upside down: it is %s.", v.At)
		c.Teacher = fmt.Sprintf("ratio upside down: %s for %s", v.To, v.At)
	case formula.SquareForgotten:
		c.Pupil = fmt.Sprintf("It looks as if the power was forgotten: it is %s.", v.At)
		c.Teacher = fmt.Sprintf("power forgotten in %s", v.At)
	case formula.RootForgotten:
		c.Pupil = fmt.Sprintf("It looks as if the root was forgotten: it is %s.", v.At)
		c.Teacher = fmt.Sprintf("root forgotten in %s", v.At)
	case formula.DegreesAsRadians:
		c.Pupil = "It looks as if your calculator was set to radians: set it to degrees."
		c.Teacher = "calculator in radians"
	case formula.SeriesForParallel:
		c.Pupil = "These are side by side (parallel); it looks as if you worked them out in a row (series)."
		c.Teacher = "series for parallel"
	case formula.ParallelForSeries:
		c.Pupil = "These are in a row (series); it looks as if you worked them out side by side (parallel)."
		c.Teacher = "parallel for series"
	}
	return c
}

// pair holds words for a number too big and for one too small.
type pair struct{ big, small string }

// powerWords describes a shift by k powers of ten in an answer of the dimension given.
func powerWords(k int, d quantity.Dim) (pupil, teacher pair) {
	times := []string{1: "10", 2: "100", 3: "1000", 4: "10 000", 6: "a million", 9: "1000 million"}[k]
	hint := "check the decimal point and the units"
	example := ""
	if pair := prefixes[d][k]; pair != "" {
		hint, example = "check the units ("+pair+")", ", perhaps "+pair
	}
	pupil.big = fmt.Sprintf("Your number is %s times too big: %s.", times, hint)
	pupil.small = fmt.Sprintf("Your number is %s times too small: %s.", times, hint)
	teacher.big = fmt.Sprintf("%s times too big%s", times, example)
	teacher.small = fmt.Sprintf("%s times too small%s", times, example)
	return pupil, teacher
}

// prefixes holds the pairs of units that pupils mix up, by dimension and the power of ten between them.
var prefixes = map[quantity.Dim]map[int]string{
	quantity.Base(0, 1):         {3: "g and kg"},
	quantity.Base(1):            {1: "mm and cm", 2: "cm and m", 3: "mm and m"},
	quantity.Base(2):            {2: "mm² and cm²", 4: "cm² and m²", 6: "mm² and m²"},
	quantity.Base(3):            {3: "cm³ and litres, or litres and m³", 6: "cm³ and m³"},
	quantity.Base(0, 0, 0, 1):   {3: "mA and A"},
	quantity.Base(2, 1, -3, -1): {3: "mV and V"},
	quantity.Base(2, 1, -3, -2): {3: "Ω and kΩ"},
	quantity.Base(1, 1, -2):     {3: "mN and N"},
	quantity.Base(-1, 1, -2):    {3: "Pa and kPa"},
	quantity.Base(-3, 1):        {3: "kg/m³ and g/cm³"},
}

// timeScale is a factor between two units that differ in their time.
type timeScale struct {
	factor float64
	units  string
}

var (
	duration = quantity.Base(0, 0, 1)
	speed    = quantity.Base(1, 0, -1)
)
