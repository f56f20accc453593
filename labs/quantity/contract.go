package quantity

// CONTRACT (stubs): the owner of this package replaces every body and may split files as wished; exported names and
// their meaning stay unless every user is changed in the same commit.

// Unit is a unit of measurement: its symbol as the SI prints it ("cm³", "kg/m³"), the factor to the coherent SI unit,
// and for °C and °F the offset: SI = (x + Offset) * Scale.
type Unit struct {
	Symbol string // typeset form: "N/m²", "°C", "" for the unit of a bare number
	Scale  float64
	Offset float64
	Dim    Dim
}

// SI converts x of this unit to coherent SI; From converts back. Span and FromSpan do so for a difference (no offset).
func (u Unit) SI(x float64) float64        { panic("contract") }
func (u Unit) From(si float64) float64     { panic("contract") }
func (u Unit) Span(x float64) float64      { panic("contract") }
func (u Unit) FromSpan(si float64) float64 { panic("contract") }

// ParseUnit reads a unit exactly as formulas and templates write it ("9.81 m/s^2" has the unit "m/s^2"; "degC", "ohm*m",
// "lb/ft^3", "1"): case as written, one meaning or an error with a hint. gal is US, ton is refused.
func ParseUnit(s string) (Unit, error) { panic("contract") }

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

// RoundTo rounds x half to even on its shortest decimal text to a whole multiple of step (NIST SP 811 B.7).
func RoundTo(x, step float64) float64 { panic("contract") }

// RoundFigures rounds x half to even on its decimal text to n significant figures.
func RoundFigures(x float64, n int) float64 { panic("contract") }

// FormatStep writes x (already in the unit shown) with as many decimals as step has, SI style: thin spaces in long
// numbers (U+2009), true minus, "× 10⁻³" with Unicode superscripts where needed.
func FormatStep(x, step float64) string { panic("contract") }

// FormatFigures writes x to n significant figures, SI style.
func FormatFigures(x float64, n int) string { panic("contract") }

// WithUnit joins a formatted number and a unit: no-break space before the symbol, none before °, nothing for "1".
func WithUnit(number string, u Unit) string { panic("contract") }
