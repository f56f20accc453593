package physics

// CONTRACT (stubs): the owner replaces every body and moves them into files by subject.

// Element is one line of a netlist, its values in coherent SI.
type Element struct {
	Name           string
	Kind           string  // resistor battery ammeter voltmeter motor lamp
	Plus, Minus    string  // node names; "0" is the reference
	Value          float64 // Ω for resistor, V for battery and motor (emf)
	HasValue       bool
	Inside         float64 // internal resistance
	HasInside      bool
	VTable, ITable []float64 // lamp
}

// Solution holds what the network's elements and nodes carry.
type Solution struct {
	Current, Voltage, Power map[string]float64
	Potential               map[string]float64
}

// SolveNetwork finds currents, voltages, powers and potentials by modified nodal analysis.
func SolveNetwork(elements []Element) (*Solution, error) { panic("contract") }

// Netlist is the shape of a network before its values are known: each value is formula text with its byte offset.
type NetlistLine struct {
	Line                                      int // 1-based within the text
	Name, Kind, Plus, Minus                   string
	Value, Inside                             string // formula sources, "" when absent; lamp: VTable, ITable
	VTable, ITable                            string
	ValueCol, InsideCol, VTableCol, ITableCol int // 1-based column of each source in its line
}

// ParseNetlist reads the lines of a network block; errors are *NetlistError with line and column.
func ParseNetlist(text string) ([]NetlistLine, error) { panic("contract") }

type NetlistError struct {
	Line, Col int
	Msg       string
}

func (e *NetlistError) Error() string { return e.Msg }

// Propagate gives the standard uncertainty of f at x from the standard uncertainties u and correlations r (nil: none).
func Propagate(f func(x []float64) (float64, error), x, u []float64, r [][]float64) (float64, error) {
	panic("contract")
}

// LineFit is a straight-line fit with its warnings.
type LineFit struct {
	Slope, Intercept, SlopeU, InterceptU, ResidSD, R2 float64
	N                                                 int
	Warnings                                          []string // quadratic, outlier, leverage (physics.md)
}

func FitLine(x, y []float64) (LineFit, error) { panic("contract") }
