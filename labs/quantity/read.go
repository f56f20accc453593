package quantity

// ReadUnit returns every sensible meaning of a unit as a person writes it (marking.md), best first, each with a note
// where something was bent ("Kg read as kg").
func ReadUnit(s string) []UnitReading { panic("contract") }

type UnitReading struct {
	Unit Unit
	Note string
	Flag bool // two sizes exist (gal, ton, hp): a person should know
}

// Reading is one sensible reading of an answer.
type Reading struct {
	Number      float64 // as written, in the unit written
	HasUnit     bool
	Unit        Unit    // the unit written; the plain number 1 when none
	Low, High   int     // bounds of the significant figures; 0, 0 when exact (fractions, words)
	Digit       float64 // size of one unit in the last digit written, in the unit written; 0 when exact
	Uncertainty float64 // stated with ±, in the unit written; 0 when none
	Direction   string  // direction word set aside, normalised ("up"); "" when none
	Note        string  // how it was read, where that is not plain
	Convention  string  // "comma" or "point" when the reading depends on what a single comma means, else ""
	Flag        bool    // from UnitReading.Flag
}

// SI is the reading in coherent SI units; without a unit it is Number in the unit given.
func (r Reading) SI(box Unit) float64 { panic("contract") }

// Read returns every sensible reading of an answer as a pupil wrote it, whatever its dimension; why says what stands in
// the way when there is none ("" for an empty answer: blank). Bounded in time and length; never panics.
func Read(answer string) (readings []Reading, why string) { panic("contract") }

// Outcome is what `keelmark read --as UNIT` shows: the readings whose dimension fits the unit asked for (a bare number
// counts as in that unit), and "ok", "ambiguous" or "unread".
type Outcome struct {
	Readings []Reading
	Verdict  string
	Why      string
}

// ReadAs reads an answer where unit is asked for.
func ReadAs(answer string, unit Unit) Outcome { panic("contract") }
