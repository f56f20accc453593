package quantity

// A kind is one unit with a symbol of its own.
type kind struct {
	symbol   string  // as typeset, and as formulas write it
	size     string  // in coherent SI, an exact rational: "0.45359237", "5/9"
	offset   float64 // SI = (x + offset) × size; for °C and °F only
	dim      Dim
	prefixes string // the prefixes it takes, separated by spaces
	spelt    string // other spellings in formulas, separated by spaces; prefixes apply
	names    string // names in full, separated by commas, regular plurals understood; prefixes apply by name ("milliamp")
	casual   string // what people write and formulas do not, in any case of letters, separated by commas
}

// prefixes are those of the SI that a school bench meets.
var prefixes = map[string]struct {
	name  string
	power int
}{
	"p": {"pico", -12}, "n": {"nano", -9}, "µ": {"micro", -6}, "m": {"milli", -3}, "c": {"centi", -2}, "d": {"deci", -1},
	"h": {"hecto", 2}, "k": {"kilo", 3}, "M": {"mega", 6}, "G": {"giga", 9},
}

var (
	dimLength   = Base(1)
	dimVolume   = Base(3)
	dimMass     = Base(0, 1)
	dimTime     = Base(0, 0, 1)
	dimForce    = Base(1, 1, -2)
	dimPressure = Base(-1, 1, -2)
	dimEnergy   = Base(2, 1, -2)
	dimPower    = Base(2, 1, -3)
	dimCharge   = Base(0, 0, 1, 1)
	dimSpeed    = Base(1, 0, -1)
	dimKelvin   = Base(0, 0, 0, 0, 1)
)

// kinds are the units known, with the prefixes each takes in use: nobody at a bench has megametres, and MM is then a
// millimetre shouted. Sizes are exact by definition (NIST SP 811 (2008) B.8; SI Brochure, 9th ed.), but for the
// degree, whose π is that of float64, and mmHg, which is the conventional one.
var kinds = []*kind{
	{symbol: "m", size: "1", dim: dimLength, prefixes: "n µ m c d k", names: "metre,meter", casual: "mtr,mtrs"},
	{symbol: "in", size: "0.0254", dim: dimLength, names: "inch,inches", casual: `",ins`},
	{symbol: "ft", size: "0.3048", dim: dimLength, names: "foot,feet"},
	{symbol: "yd", size: "0.9144", dim: dimLength, names: "yard", casual: "yds"},
	{symbol: "mi", size: "1609.344", dim: dimLength, names: "mile"},
	{symbol: "nmi", size: "1852", dim: dimLength, names: "nautical mile"},
	{symbol: "mil", size: "0.0000254", dim: dimLength, names: "thou"},
	{symbol: "ha", size: "10000", dim: Base(2), names: "hectare"},
	{symbol: "L", size: "0.001", dim: dimVolume, prefixes: "µ m c d k", spelt: "l", names: "litre,liter", casual: "ltr,ltrs,ℓ"},
	{symbol: "cc", size: "0.000001", dim: dimVolume, casual: "ccm,ccs,c.c"},
	{symbol: "gal", size: "0.003785411784", dim: dimVolume, casual: "us gal,us gallon,us gallons"},
	{symbol: "imp gal", size: "0.00454609", dim: dimVolume, casual: "imperial gallon,imperial gallons,uk gal"},
	{symbol: "g", size: "0.001", dim: dimMass, prefixes: "µ m k", names: "gram,gramme", casual: "gm,gms,gr"},
	{symbol: "t", size: "1000", dim: dimMass, names: "tonne,metric ton"},
	{symbol: "lb", size: "0.45359237", dim: dimMass, names: "pound", casual: "lbs,lbm"},
	{symbol: "oz", size: "0.028349523125", dim: dimMass, names: "ounce"},
	{symbol: "short ton", size: "907.18474", dim: dimMass, casual: "us ton,us tons,short tons"},
	{symbol: "long ton", size: "1016.0469088", dim: dimMass, casual: "uk ton,uk tons,imperial ton,imperial tons,long tons"},
	{symbol: "s", size: "1", dim: dimTime, prefixes: "n µ m", names: "second", casual: "sec,secs"},
	{symbol: "min", size: "60", dim: dimTime, names: "minute", casual: "mins"},
	{symbol: "h", size: "3600", dim: dimTime, names: "hour", casual: "hr,hrs"},
	{symbol: "d", size: "86400", dim: dimTime, names: "day"},
	{symbol: "A", size: "1", dim: Base(0, 0, 0, 1), prefixes: "n µ m k", names: "ampere,amp", casual: "amps"},
	{symbol: "K", size: "1", dim: dimKelvin, prefixes: "m", names: "kelvin", casual: "°k"},
	{symbol: "°C", size: "1", offset: 273.15, dim: dimKelvin, spelt: "degC", names: "degree celsius,degrees celsius,celsius,degree centigrade,degrees centigrade,centigrade",
		casual: "c,deg c,° c,degree c,degrees c,degree,degrees,deg,degs,°"},
	{symbol: "°F", size: "5/9", offset: 459.67, dim: dimKelvin, spelt: "degF", names: "degree fahrenheit,degrees fahrenheit,fahrenheit",
		casual: "f,deg f,° f,degree f,degrees f"},
	{symbol: "mol", size: "1", dim: Base(0, 0, 0, 0, 0, 1), prefixes: "µ m k", names: "mole"},
	{symbol: "cd", size: "1", dim: Base(0, 0, 0, 0, 0, 0, 1), names: "candela"},
	{symbol: "N", size: "1", dim: dimForce, prefixes: "µ m c k M", names: "newton", casual: "nt"},
	{symbol: "gf", size: "0.00980665", dim: dimForce, prefixes: "k", names: "gram force,gram-force", casual: "grams force"},
	{symbol: "lbf", size: "4.4482216152605", dim: dimForce, casual: "pound force,pound-force,pounds force,lb force,lbs force"},
	{symbol: "dyn", size: "0.00001", dim: dimForce, names: "dyne"},
	{symbol: "Pa", size: "1", dim: dimPressure, prefixes: "µ m h k M G", names: "pascal"},
	{symbol: "bar", size: "100000", dim: dimPressure, prefixes: "m"},
	{symbol: "atm", size: "101325", dim: dimPressure, names: "atmosphere"},
	{symbol: "psi", size: "8896443230521/1290320000", dim: dimPressure, casual: "psig,psia"},
	{symbol: "mmHg", size: "133.322387415", dim: dimPressure, casual: "mm hg,millimetres of mercury,millimeters of mercury,mm of mercury"},
	{symbol: "J", size: "1", dim: dimEnergy, prefixes: "µ m k M G", names: "joule"},
	{symbol: "Wh", size: "3600", dim: dimEnergy, prefixes: "m k M", names: "watt hour,watt-hour,watthour"},
	{symbol: "cal", size: "4.184", dim: dimEnergy, prefixes: "k", names: "calorie"},
	{symbol: "W", size: "1", dim: dimPower, prefixes: "µ m k M G", names: "watt"},
	{symbol: "hp", size: "745.69987158227022", dim: dimPower},
	{symbol: "metric hp", size: "735.49875", dim: dimPower, casual: "metric horsepower,PS"},
	{symbol: "C", size: "1", dim: dimCharge, prefixes: "n µ m", names: "coulomb"},
	{symbol: "Ah", size: "3600", dim: dimCharge, prefixes: "m", names: "amp hour,amp-hour,ampere hour,ampere-hour,amphour", casual: "a·hr"},
	{symbol: "V", size: "1", dim: Base(2, 1, -3, -1), prefixes: "n µ m k", names: "volt"},
	{symbol: "Ω", size: "1", dim: Base(2, 1, -3, -2), prefixes: "µ m k M G", spelt: "ohm", names: "ohm", casual: "r"},
	{symbol: "F", size: "1", dim: Base(-2, -1, 4, 2), prefixes: "p n µ m", names: "farad"},
	{symbol: "S", size: "1", dim: Base(-2, -1, 3, 2), prefixes: "µ m", names: "siemens"},
	{symbol: "H", size: "1", dim: Base(2, 1, -2, -2), prefixes: "n µ m", names: "henry,henries"},
	{symbol: "T", size: "1", dim: Base(0, 1, -2, -1), prefixes: "µ m", names: "tesla"},
	{symbol: "P", size: "0.1", dim: Base(-1, 1, -1), prefixes: "c", names: "poise"},
	{symbol: "Hz", size: "1", dim: Base(0, 0, -1), prefixes: "m k M G", names: "hertz"},
	{symbol: "rpm", size: "1/60", dim: Base(0, 0, -1), names: "rev per minute,revs per minute,revolution per minute,revolutions per minute,rotations per minute", casual: "rev/min,revs/min,r/min"},
	{symbol: "kn", size: "463/900", dim: dimSpeed, names: "knot", casual: "kt,kts"},
	{symbol: "mph", size: "0.44704", dim: dimSpeed},
	{symbol: "kmph", size: "5/18", dim: dimSpeed, casual: "kph,kmh"},
	{symbol: "rad", size: "1", prefixes: "m", names: "radian", casual: "rads"},
	{symbol: "°", size: degree, spelt: "deg", names: "degree", casual: "degs"},
	{symbol: "%", size: "1/100", casual: "percent,per cent,pct,pc"},
}

// clipped are words for prefixed units that do not follow from the parts, and words that stand for units of several
// sizes: any of those may be meant, and a person should know.
var clipped = map[string][]string{
	"mms": {"mm"}, "cms": {"cm"}, "kms": {"km"}, "kgs": {"kg"}, "kilo": {"kg"}, "kilos": {"kg"}, "mls": {"mL"},
	"msec": {"ms"}, "msecs": {"ms"}, "kilohm": {"kΩ"}, "kilohms": {"kΩ"}, "megohm": {"MΩ"}, "megohms": {"MΩ"}, "kohms": {"kΩ"}, "mohms": {"mΩ", "MΩ"},
	"kilograms force": {"kgf"}, "kilos force": {"kgf"}, "kgs force": {"kgf"}, "mcg": {"µg"}, "micron": {"µm"}, "microns": {"µm"},
	"gal": {"gal", "imp gal"}, "gals": {"gal", "imp gal"}, "gallon": {"gal", "imp gal"}, "gallons": {"gal", "imp gal"},
	"ton": {"t", "short ton", "long ton"}, "tons": {"t", "short ton", "long ton"},
	"hp": {"hp", "metric hp"}, "horsepower": {"hp", "metric hp"}, "bhp": {"hp", "metric hp"},
}

// phrases are those that their parts do not explain, as where the pound is that of force, and what they are in formulas.
var phrases = map[string]string{
	"sqm": "m^2", "sqcm": "cm^2", "sqmm": "mm^2", "sqft": "ft^2", "sqin": "in^2", "cucm": "cm^3", "cuft": "ft^3",
	"pounds per square inch": "psi", "pound per square inch": "psi", "lb per square inch": "psi", "lbs per square inch": "psi",
	"lb per sq in": "psi", "lb/in^2": "psi", "lbs/in^2": "psi", "lb/in2": "psi", "lbs/in2": "psi", "lb/sq in": "psi",
	"ft lb": "ft*lbf", "ft-lb": "ft*lbf", "ft lbs": "ft*lbf", "ft-lbs": "ft*lbf", "ft*lb": "ft*lbf", "foot pounds": "ft*lbf", "foot-pounds": "ft*lbf",
	"foot pound": "ft*lbf", "foot-pound": "ft*lbf", "lb ft": "lbf*ft", "lb-ft": "lbf*ft", "lb*ft": "lbf*ft", "pound feet": "lbf*ft", "pound-feet": "lbf*ft",
	"in lb": "in*lbf", "in-lb": "in*lbf", "inch pounds": "in*lbf",
}

// degree is π/180 to 17 figures, more than float64 tells apart.
const degree = "0.017453292519943295769"
