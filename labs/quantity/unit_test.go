package quantity

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func parse(t testing.TB, s string) Unit {
	t.Helper()
	u, err := ParseUnit(s)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// The sources: UCUM essence 2.2 (2024-06-17), github.com/ucum-org/ucum; NIST SP 811 (2008) appendix B.8, which agrees
// where it lists the unit; GNU Units 2.22 for the conventional millimetre of mercury.
func TestConversions(t *testing.T) {
	for _, c := range []struct {
		from, to string
		want     float64
		source   string
	}{
		{"in", "mm", 25.4, "UCUM [in_i]"},
		{"lb", "kg", 0.45359237, "UCUM [lb_av]"},
		{"lbf", "N", 4.4482216152605, "UCUM [lbf_av]"},
		{"psi", "Pa", 6894.757293168361, "UCUM [psi]"},
		{"gal", "L", 3.785411784, "UCUM [gal_us]"},
		{"kgf", "N", 9.80665, "UCUM kgf"},
		{"atm", "Pa", 101325, "UCUM atm"},
		{"kn", "m/s", 0.5144444444444444, "UCUM [kn_i]"},
		{"mi/h", "m/s", 0.44704, "UCUM [mi_i]/h"},
		{"mph", "m/s", 0.44704, "UCUM [mi_i]/h"},
		{"ft^3", "L", 28.316846592, "UCUM [cft_i]"},
		{"g/cm^3", "kg/m^3", 1000, "UCUM g/cm3"},
		{"hp", "W", 745.69987158227022, "UCUM [HP]"},
		{"Wh", "J", 3600, "UCUM W.h"},
		{"Ah", "C", 3600, "UCUM A.h"},
		{"mil", "µm", 25.4, "UCUM [mil_i]"},
		{"P", "Pa*s", 0.1, "UCUM P"},
		{"bar", "kPa", 100, "UCUM bar"},
		{"nmi", "m", 1852, "UCUM [nmi_i]"},
		{"oz", "g", 28.349523125, "UCUM [oz_av]"},
		{"dyn", "N", 1e-5, "UCUM dyn"},
		{"ft", "m", 0.3048, "UCUM [ft_i]"},
		{"in^2", "cm^2", 6.4516, "UCUM [sin_i]"},
		{"in^3", "mL", 16.387064, "UCUM [cin_i]"},
		{"imp gal", "L", 4.54609, "UCUM [gal_br]"},
		{"lbf*ft", "N*m", 1.3558179483314004, "UCUM [lbf_av].[ft_i]"},
		{"cal", "J", 4.184, "UCUM cal_th"},
		{"mmHg", "Pa", 133.322387415, "GNU Units, conventional mmHg"},
		{"km/h", "m/s", 1 / 3.6, "SI Brochure 9th ed., table 8"},
		{"%", "1", 0.01, "ISO 80000-1"},
		{"deg", "rad", math.Pi / 180, "SI Brochure 9th ed., table 8"},
		{"cm^3", "m^3", 1e-6, "SI Brochure 9th ed., 5.4.1"},
	} {
		from, to := parse(t, c.from), parse(t, c.to)
		if from.Dim != to.Dim {
			t.Errorf("%s and %s differ in dimension", c.from, c.to)
		}
		if got := to.FromSpan(from.Span(1)); math.Abs(got-c.want) > 3e-16*c.want {
			t.Errorf("1 %s = %.17g %s, want %.17g (%s)", c.from, got, c.to, c.want, c.source)
		}
	}
}

// Conversions of the functional tests of UCUM (github.com/FHIR/Ucum-java, UcumFunctionalTests.xml) that a laboratory
// meets, rounded to the figures of the answer as there.
func TestFunctionalConversions(t *testing.T) {
	for _, c := range []struct {
		id      string
		value   float64
		from    string
		to      string
		figures int
		want    float64
	}{
		{"3-102", 6.3, "mm", "m", 2, 0.0063},
		{"3-103", 6.3, "mm", "cm", 2, 0.63},
		{"3-104", 6.3, "s*m^-1", "s/m", 2, 6.3},
		{"3-105", 6.3, "s*mm^-1", "s*m^-1", 2, 6300},
		{"3-106", 6.3, "s*mm^-2", "s*m^-2", 2, 6300000},
		{"3-112", 6.3, "ms/m", "s/m", 2, 0.0063},
		{"3-118", 6.30, "in", "m", 3, 0.160},
	} {
		from, to := parse(t, c.from), parse(t, c.to)
		if got := RoundFigures(to.From(from.SI(c.value)), c.figures); got != c.want || from.Dim != to.Dim {
			t.Errorf("%s: %v %s = %v %s, want %v", c.id, c.value, c.from, got, c.to, c.want)
		}
	}
}

// Fixed points of the scales: NIST SP 811 (2008) B.9. A difference has no offset.
func TestTemperaturePointsAndDifferences(t *testing.T) {
	c, f, k := parse(t, "degC"), parse(t, "degF"), parse(t, "K")
	for _, p := range []struct{ celsius, fahrenheit, kelvin float64 }{
		{20, 68, 293.15}, {37, 98.6, 310.15}, {25, 77, 298.15}, {0, 32, 273.15}, {100, 212, 373.15}, {-40, -40, 233.15}, {-273.15, -459.67, 0},
	} {
		if got := c.SI(p.celsius); math.Abs(got-p.kelvin) > 1e-12 {
			t.Errorf("%v °C = %v K", p.celsius, got)
		}
		if got := f.SI(p.fahrenheit); math.Abs(got-p.kelvin) > 1e-12 {
			t.Errorf("%v °F = %v K", p.fahrenheit, got)
		}
		if got := f.From(k.SI(p.kelvin)); math.Abs(got-p.fahrenheit) > 1e-12 {
			t.Errorf("%v K = %v °F", p.kelvin, got)
		}
	}
	if got := f.Span(9); got != 5 {
		t.Errorf("a difference of 9 °F = %v K", got)
	}
	if got := c.Span(5); got != 5 {
		t.Errorf("a difference of 5 °C = %v K", got)
	}
	if u := parse(t, "J/degC"); u.Offset != 0 || u.Symbol != "J/°C" {
		t.Errorf("J/degC = %+v: in a quotient °C is a difference", u)
	}
	r, _ := Read("20 °C")
	if point, span := r[0].SI(k), r[0].Span(k); point != 293.15 || span != 20 {
		t.Errorf("20 °C = %v K as a point, %v K as a difference", point, span)
	}
}

func TestSizesAreExactToTheLastBit(t *testing.T) {
	for _, c := range []struct {
		unit     string
		x, scale float64
	}{
		{"cm^3", 90, 9e-05}, {"mm", 3, 0.003}, {"g", 45, 0.045}, {"mA", 7, 0.007}, {"kPa", 101.325, 101325}, {"mm^2", 1.5, 1.5e-6}, {"mmHg", 1, 133.322387415}, {"degC", 20, 293.15}, {"km/h", 5.4, 1.5},
	} {
		u := parse(t, c.unit)
		if got := u.SI(c.x); got != c.scale {
			t.Errorf("%v %s = %v, want %v", c.x, c.unit, got, c.scale)
		}
		if got := u.From(c.scale); got != c.x {
			t.Errorf("%v = %v %s, want %v", c.scale, got, c.unit, c.x)
		}
	}
}

func TestParseUnit(t *testing.T) {
	for _, c := range []struct{ text, symbol, dim string }{
		{"m/s^2", "m/s²", "m/s^2"}, {"ohm*m", "Ω·m", "ohm*m"}, {"lb/ft^3", "lb/ft³", "kg/m^3"}, {"1", "", "1"}, {"degC", "°C", "K"},
		{"1/s", "s⁻¹", "1/s"}, {"s^-1", "s⁻¹", "1/s"}, {"W/(m*K)", "W/(m·K)", "W/m/K"}, {"W/m/K", "W/(m·K)", "W/m/K"}, {"m*m", "m²", "m^2"},
		{"N·m", "N·m", "J"}, {"kg/m³", "kg/m³", "kg/m^3"}, {"°C", "°C", "K"}, {"uA", "µA", "A"}, {"kohm", "kΩ", "ohm"}, {"µm", "µm", "m"},
		{"l", "L", "m^3"}, {"mmHg", "mmHg", "Pa"}, {"min", "min", "s"}, {"cd", "cd", "cd"}, {"%", "%", "1"}, {"deg", "°", "1"}, {"C", "C", "C"},
		{"kg*m^2/s^3/A", "kg·m²/(s³·A)", "V"}, {" N ", "N", "N"}, {"m*s^-1", "m/s", "m/s"}, {"rpm", "rpm", "1/s"},
	} {
		u, err := ParseUnit(c.text)
		if err != nil || u.Symbol != c.symbol || u.Dim.String() != c.dim {
			t.Errorf("%q: %q %v (%v), want %q %s", c.text, u.Symbol, u.Dim, err, c.symbol, c.dim)
		}
	}
}

func TestParseUnitErrors(t *testing.T) {
	for text, want := range map[string]string{
		"":                          "write 1 for a plain number",
		"m3":                        "write the power of m with ^, as in m^2",
		"s-1":                       "write the power of s with ^",
		"KPa":                       "did you mean kPa?",
		"newtons":                   "did you mean N?",
		"ton":                       "more than one size",
		"tons":                      "more than one size",
		"blob":                      `unknown unit "blob"`,
		"m*":                        "a unit symbol is missing",
		"/s":                        "a unit symbol is missing",
		"m^^2":                      "whole number",
		"m^99":                      "whole number",
		"m^0":                       "whole number",
		"m^12*m^12":                 "too large",
		"N m":                       "unexpected \" m\" in the unit \"N m\"; symbols are joined by *",
		"Nm":                        "did you mean N*m?",
		"(m":                        "not closed",
		"m)":                        "unexpected",
		"m*m*m*m*m*m*m*m*m*m":       "factors",
		strings.Repeat("m*", 40):    "too long",
		"kkg":                       "unknown unit",
		"Mm":                        "did you mean mm?",
		"((((((((m":                 "a unit symbol is missing",
		"kg^12*m^12/s^12*kg^12*m^9": "too large",
	} {
		if u, err := ParseUnit(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %+v, error %v, want %q", text, u, err, want)
		}
	}
}

// Every symbol has one meaning in formulas. The collisions listed are those of an exact symbol with a prefixed one, which
// goes after it; a new one must be looked at.
func TestNoSymbolHasTwoMeanings(t *testing.T) {
	known := map[string]bool{"min": true, "cd": true, "ft": true, "mol": true, "nmi": true, "hp": true, "mil": true}
	seen := map[string]string{}
	for _, k := range kinds {
		for _, prefix := range append(strings.Fields(k.prefixes), "") {
			for _, spelling := range append(strings.Fields(k.spelt), k.symbol) {
				symbol := prefix + spelling
				if other, ok := seen[symbol]; ok && other != k.symbol && !known[symbol] {
					t.Errorf("%s is %s and %s", symbol, other, k.symbol)
				}
				seen[symbol] = k.symbol
			}
		}
		for _, prefix := range strings.Fields(k.prefixes) {
			if _, ok := prefixes[prefix]; !ok {
				t.Errorf("%s has the unknown prefix %s", k.symbol, prefix)
			}
		}
	}
}

func TestReadUnitNotesAndFlags(t *testing.T) {
	for text, want := range map[string]string{
		"Kg": "Kg read as kg", "KPa": "KPa read as kPa", "MM": "MM read as mm !", "MA": "MA read as mA !", "kn": ", kn read as kN", "kg": "",
		"gal": " !, gal read as imp gal !", "ohm": "", "newtons": "", "C": ", C read as °C", "mpa": "mpa read as mPa", "Mpa": "Mpa read as MPa",
	} {
		var notes []string
		for _, r := range ReadUnit(text) {
			note := r.Note
			if r.Flag {
				note += " !"
			}
			notes = append(notes, note)
		}
		if got := strings.Join(notes, ", "); got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
	for _, text := range []string{"", "blob", "m^0", "m//s", "per", "m per", "/", strings.Repeat("m", 70), strings.Repeat("N m ", 500), "kkg", "sq", "m^"} {
		if found := ReadUnit(text); len(found) > 0 {
			t.Errorf("%.20q read as %v", text, found)
		}
	}
}

// The tables of words name units that exist.
func TestWordsNameKnownUnits(t *testing.T) {
	for phrase, formula := range phrases {
		if _, err := ParseUnit(formula); err != nil {
			t.Errorf("%s: %v", phrase, err)
		}
	}
	for word, symbols := range clipped {
		for _, s := range symbols {
			if units().symbols[s] == nil {
				t.Errorf("%s: no unit %s", word, s)
			}
		}
	}
}

// drawUnit draws a unit of one to three factors that the unit language can write.
func drawUnit(t *rapid.T) Unit {
	symbols := make([]string, 0, len(units().symbols))
	for _, k := range kinds {
		for _, prefix := range append(strings.Fields(k.prefixes), "") {
			symbols = append(symbols, prefix+k.symbol)
		}
	}
	text := rapid.SampledFrom(symbols).Draw(t, "unit")
	if !strings.Contains(text, " ") {
		for range rapid.IntRange(0, 2).Draw(t, "more") {
			text += rapid.SampledFrom([]string{"*", "/"}).Draw(t, "op") + rapid.SampledFrom([]string{"m", "s", "kg", "A", "cm^2", "L", "N"}).Draw(t, "factor")
		}
	}
	u, err := ParseUnit(text)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	if strings.HasPrefix(u.Symbol, "°") && u.Dim != (Dim{}) && u.Offset == 0 {
		t.Skip("°C·m/m is a difference of temperatures, which is written as a point is")
	}
	return u
}

func TestSymbolsParseBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := drawUnit(t)
		if u.Symbol == "" {
			return // m/m
		}
		back, err := ParseUnit(u.Symbol)
		if err != nil || back != u {
			t.Fatalf("%+v is parsed back as %+v, %v", u, back, err)
		}
	})
}

// Whatever is printed is read back: the number to its last digit, and the unit.
func TestFormattedQuantityIsReadBackInEveryUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := drawUnit(t)
		x := float64(rapid.IntRange(-99_999_999, 99_999_999).Draw(t, "x")) * math.Pow10(rapid.IntRange(-14, 6).Draw(t, "power"))
		n := rapid.IntRange(1, 10).Draw(t, "figures")
		step := math.Pow10(rapid.IntRange(-9, 3).Draw(t, "step"))
		for _, printed := range []struct {
			text string
			want float64
		}{{FormatFigures(x, n), RoundFigures(x, n)}, {FormatStep(x, step), RoundTo(x, min(step, 1))}} {
			text := WithUnit(printed.text, u)
			readings, why := Read(text)
			found := false
			for _, r := range readings {
				found = found || r.Number == printed.want && (r.Unit == u || u.Symbol == "" && !r.HasUnit)
			}
			if !found {
				t.Fatalf("%q is read as %v (%s), want %v %+v", text, readings, why, printed.want, u)
			}
		}
	})
}

func FuzzParseUnit(f *testing.F) {
	for _, s := range []string{"m/s^2", "W/(m*K)", "kg·m⁻³", "degC", "((m", "m^-12", "1/s", "µµF"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		u, err := ParseUnit(s)
		if err != nil || u.Symbol == "" {
			return
		}
		if back, err := ParseUnit(u.Symbol); err != nil || back.Dim != u.Dim || !near(back.Scale, u.Scale) {
			t.Errorf("%q is %+v, whose symbol is %+v (%v)", s, u, back, err)
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, c := range readCases(f) {
		f.Add(c.answer)
	}
	f.Fuzz(func(t *testing.T, answer string) {
		readings, why := Read(answer)
		if len(readings) > 0 && why != "" {
			t.Errorf("%q has readings and the reason %q", answer, why)
		}
		for _, r := range readings {
			for _, x := range []float64{r.Number, r.Digit, r.Uncertainty} {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Errorf("%q reads as %+v", answer, r)
				}
			}
			if r.Low > r.High || r.Low < 0 || r.Digit < 0 || r.Unit.Scale <= 0 {
				t.Errorf("%q reads as %+v", answer, r)
			}
		}
	})
}

func BenchmarkRead(b *testing.B) {
	cases := readCases(b)
	for i := 0; b.Loop(); i++ {
		Read(cases[i%len(cases)].answer)
	}
}
