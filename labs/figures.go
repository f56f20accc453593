package labs

import (
	"fmt"
	"strings"

	"keelmark/labs/quantity"
)

// FigureHolds says what a key of a figure holds.
type FigureHolds uint8

// What a key holds.
const (
	HoldsNumber  FigureHolds = iota // one formula that gives a number
	HoldsColumn                     // one formula that gives a number or a column, or a list of formulas
	HoldsWords                      // names, read as they stand: a word or a list of words
	HoldsNetwork                    // the id of a network block of the same lab
)

// FigureKey is one key of a figure block.
type FigureKey struct {
	Key      string
	Holds    FigureHolds
	Dims     []quantity.Dim // dimensions allowed, for numbers and columns; nil: any
	Like     string         // the key whose dimension this one must share, "" when none
	Required bool
	Choices  []string // the words allowed; nil: any
	Meaning  string
}

// FigureKind is one kind of figure: what it shows, and its keys in the order of the manual.
type FigureKind struct {
	Name, Shows string
	Keys        []FigureKey
}

// FigureLabels is the key that every kind of figure has besides its own.
var FigureLabels = FigureKey{Key: "labels", Holds: HoldsWords, Choices: []string{"all", "parts", "none"},
	Meaning: "all: names and values stand beside what they belong to (so when absent); parts, none: names without values"}

// AllKeys are the kind's own keys and FigureLabels.
func (k FigureKind) AllKeys() []FigureKey {
	return append(k.Keys[:len(k.Keys):len(k.Keys)], FigureLabels)
}

// FigureKindNamed returns the kind of that name.
func FigureKindNamed(name string) (FigureKind, bool) {
	for _, kind := range FigureKinds {
		if kind.Name == name {
			return kind, true
		}
	}
	return FigureKind{}, false
}

var (
	lengthDim = []quantity.Dim{quantity.Base(1)}
	volumeDim = []quantity.Dim{quantity.Base(3)}
	massDim   = []quantity.Dim{quantity.Base(0, 1)}
	forceDim  = []quantity.Dim{quantity.Base(1, 1, -2)}
	speedDim  = []quantity.Dim{quantity.Base(1, 0, -1)}
	timeDim   = []quantity.Dim{quantity.Base(0, 0, 1)}
	plainDim  = []quantity.Dim{{}}
	loadDims  = []quantity.Dim{forceDim[0], massDim[0]}
	plateDims = []quantity.Dim{massDim[0], quantity.Base(2), forceDim[0], {}}
	tableKeys = []FigureKey{
		{Key: "part", Holds: HoldsWords, Required: true, Meaning: "names of the parts, in the order of the columns"},
		{Key: "x", Holds: HoldsColumn, Dims: lengthDim, Required: true, Meaning: "distance of each part ahead of the datum; the bow is on the right"},
	}
)

// FigureKinds are all kinds of figure with their keys: the only place that says what a figure block may hold.
var FigureKinds = []FigureKind{
	{"hang", "a body on a newton meter, in air and in water", []FigureKey{
		{Key: "air", Dims: forceDim, Required: true, Meaning: "reading in air"},
		{Key: "water", Dims: forceDim, Required: true, Meaning: "reading with the body under water"},
		{Key: "full", Dims: forceDim, Meaning: "full scale of the meter; chosen from the readings when absent"},
	}},
	{"float", "a body afloat: draught, freeboard, weight and upthrust", []FigureKey{
		{Key: "length", Dims: lengthDim, Required: true, Meaning: "length of the body"},
		{Key: "breadth", Dims: lengthDim, Meaning: "breadth; adds the view from the end"},
		{Key: "depth", Dims: lengthDim, Required: true, Meaning: "height of the body from keel to deck"},
		{Key: "draught", Dims: lengthDim, Required: true, Meaning: "how deep the keel lies; from 0 to depth"},
		{Key: "weight", Dims: forceDim, Meaning: "weight, as an arrow to scale"},
		{Key: "upthrust", Dims: forceDim, Meaning: "upthrust, as an arrow to the same scale; the weight's when absent"},
	}},
	{"column", "trapped air under water: one vessel at each depth, the air to one scale of area", []FigureKey{
		{Key: "depth", Holds: HoldsColumn, Dims: lengthDim, Required: true, Meaning: "depth of the top of the vessel, or of several"},
		{Key: "volume", Holds: HoldsColumn, Dims: volumeDim, Required: true, Meaning: "volume of the air at each depth"},
		{Key: "vessel", Dims: volumeDim, Meaning: "volume of the vessel; the largest volume of air when absent"},
	}},
	{"beam", "a beam on its pivot with loads and distances", []FigureKey{
		{Key: "pivot", Dims: lengthDim, Required: true, Meaning: "position of the pivot along the beam"},
		{Key: "load", Holds: HoldsColumn, Dims: loadDims, Required: true, Meaning: "loads as forces or masses; a negative force pulls up"},
		{Key: "at", Holds: HoldsColumn, Dims: lengthDim, Required: true, Meaning: "position of each load, from the same zero; negative to its left"},
		{Key: "length", Dims: lengthDim, Meaning: "length of the beam from its zero; a little beyond the loads on both sides when absent"},
		{Key: "names", Holds: HoldsWords, Meaning: "a name for each load"},
	}},
	{"plate", "a flat shape, its outline or its parts, centre of mass left to mark", []FigureKey{
		{Key: "x", Holds: HoldsColumn, Dims: lengthDim, Required: true, Meaning: "with m the centre of each part, from the left; without m the corners of the outline in order"},
		{Key: "y", Holds: HoldsColumn, Dims: lengthDim, Required: true, Meaning: "the same from below"},
		{Key: "m", Holds: HoldsColumn, Dims: plateDims, Meaning: "mass, area, weight or number of each part; negative: cut out"},
		{Key: "w", Holds: HoldsColumn, Dims: lengthDim, Meaning: "width of each part, drawn as a rectangle (with h)"},
		{Key: "h", Holds: HoldsColumn, Dims: lengthDim, Meaning: "height of each part (with w)"},
		{Key: "part", Holds: HoldsWords, Meaning: "a name for each part; numbers when absent"},
	}},
	{"craft-side", "a craft from the side: parts, thrust, lines of action", append(tableKeys[:2:2],
		FigureKey{Key: "z", Holds: HoldsColumn, Dims: lengthDim, Required: true, Meaning: "height of each part above the datum"},
		FigureKey{Key: "m", Holds: HoldsColumn, Dims: massDim, Meaning: "mass of each part; with all masses the centre of mass can be shown"},
		FigureKey{Key: "V", Holds: HoldsColumn, Dims: volumeDim, Meaning: "volume of each part, drawn as a box of that size"},
		FigureKey{Key: "thrust", Holds: HoldsColumn, Dims: forceDim, Meaning: "thrust of each part ahead (negative: astern; 0: none)"},
		FigureKey{Key: "show", Holds: HoldsWords, Choices: []string{"G", "B"}, Meaning: "mark the centre of mass G (from m), of buoyancy B (from V), or both; left to the pupil when absent"},
	)},
	{"craft-top", "a craft from above: parts, thrust, lines of action", append(tableKeys[:2:2],
		FigureKey{Key: "y", Holds: HoldsColumn, Dims: lengthDim, Meaning: "distance of each part to port of the centre line; z is read when absent"},
		FigureKey{Key: "z", Holds: HoldsColumn, Dims: lengthDim, Meaning: "read as y when y is absent"},
		FigureKey{Key: "m", Holds: HoldsColumn, Dims: massDim, Meaning: "mass of each part; with all masses the centre of mass can be shown"},
		FigureKey{Key: "V", Holds: HoldsColumn, Dims: volumeDim, Meaning: "volume of each part, drawn as a box of that size"},
		FigureKey{Key: "thrust", Holds: HoldsColumn, Dims: forceDim, Meaning: "thrust of each part ahead (negative: astern; 0: none)"},
		FigureKey{Key: "angle", Holds: HoldsColumn, Dims: plainDim, Meaning: "direction of each thrust, anticlockwise from ahead; straight ahead when absent"},
		FigureKey{Key: "show", Holds: HoldsWords, Choices: []string{"G", "B"}, Meaning: "mark the centre of mass G (from m), of buoyancy B (from V), or both"},
	)},
	{"heel", "a box-shaped raft heeled over: G, B, M and the righting lever", []FigureKey{
		{Key: "L", Dims: lengthDim, Meaning: "length; not seen from the end, but needed with m"},
		{Key: "B", Dims: lengthDim, Required: true, Meaning: "breadth"},
		{Key: "D", Dims: lengthDim, Required: true, Meaning: "depth from keel to deck"},
		{Key: "KG", Dims: lengthDim, Required: true, Meaning: "height of the centre of mass above the keel"},
		{Key: "heel", Dims: plainDim, Required: true, Meaning: "angle of heel, 0 to 90 deg"},
		{Key: "draught", Dims: lengthDim, Meaning: "draught when upright; from m, else half the depth, when absent"},
		{Key: "m", Dims: massDim, Meaning: "mass; gives the draught, with L"},
		{Key: "rho", Dims: []quantity.Dim{quantity.Base(-3, 1)}, Meaning: "density of the water for m; 1000 kg/m³ when absent"},
	}},
	{"circuit", "the circuit diagram of a network", []FigureKey{
		{Key: "network", Holds: HoldsNetwork, Required: true, Meaning: "id of the network block"},
	}},
	{"scale", "the scale of an instrument with its pointer, to be read to half a division", []FigureKey{
		{Key: "value", Required: true, Meaning: "what the instrument shows"},
		{Key: "from", Like: "value", Required: true, Meaning: "lower end of the scale"},
		{Key: "to", Like: "value", Required: true, Meaning: "upper end of the scale"},
		{Key: "division", Like: "value", Required: true, Meaning: "one division; a straight scale holds 130 of them, a dial 200"},
		{Key: "form", Holds: HoldsWords, Choices: []string{"dial", "linear", "upright"}, Meaning: "dial (when absent), a straight scale, or an upright one"},
	}},
	{"disc", "the flow through a propeller disc", []FigureKey{
		{Key: "v", Dims: speedDim, Required: true, Meaning: "speed the disc adds to the water where it passes; above 0"},
		{Key: "V", Dims: speedDim, Meaning: "speed of the craft; 0 when absent"},
		{Key: "d", Dims: lengthDim, Meaning: "diameter of the disc"},
		{Key: "thrust", Dims: forceDim, Meaning: "thrust, as an arrow"},
	}},
	{"run", "speed against time, and the way covered along a track below", []FigureKey{
		{Key: "t", Holds: HoldsColumn, Dims: timeDim, Required: true, Meaning: "times, rising"},
		{Key: "v", Holds: HoldsColumn, Dims: speedDim, Required: true, Meaning: "speed at each time"},
		{Key: "current", Dims: speedDim, Meaning: "current along the track; adds arrows (negative: against the run)"},
	}},
}

// FigureTable is FigureKinds as Markdown tables, for the contributors' guide.
func FigureTable() string {
	var b strings.Builder
	for _, kind := range FigureKinds {
		fmt.Fprintf(&b, "\n**%s**: %s.\n\n| key | holds | meaning |\n|---|---|---|\n", kind.Name, kind.Shows)
		for _, key := range kind.Keys {
			name := "`" + key.Key + "`"
			if key.Required {
				name += " (required)"
			}
			fmt.Fprintf(&b, "| %s | %s | %s |\n", name, key.holds(), key.Meaning)
		}
	}
	return b.String()
}

// holds says in words what the key holds.
func (k FigureKey) holds() string {
	switch {
	case k.Choices != nil:
		return strings.Join(k.Choices, ", ")
	case k.Holds == HoldsWords:
		return "words"
	case k.Holds == HoldsNetwork:
		return "a network"
	case k.Like != "":
		return "one, as `" + k.Like + "`"
	}
	count := "one"
	if k.Holds == HoldsColumn {
		count = "several"
	}
	if k.Dims == nil {
		return count + ", any dimension"
	}
	var dims []string
	for _, d := range k.Dims {
		dims = append(dims, d.String())
	}
	return count + ", " + strings.Join(dims, " or ")
}
