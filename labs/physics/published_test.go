package physics

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"keelmark/labs/quantity"
)

// published is one value of the literature against one function of the core. Arguments are in coherent SI: numbers, columns,
// or a name. want is the value recomputed at full precision from the stated inputs; printed is the value as the source
// prints it, in the unit unit ("" when the source prints none).
type published struct {
	id, source, function string
	args                 []any
	want                 float64
	printed              string
	unit                 float64 // of want and printed, in SI; 0 means 1
	last                 float64 // how far the printed value may be off, in units of its last digit; 0 means a half
}

func arguments(t *testing.T, args []any) []quantity.Value {
	t.Helper()
	var out []quantity.Value
	for _, a := range args {
		switch a := a.(type) {
		case float64:
			out = append(out, quantity.Value{X: a})
		case int:
			out = append(out, quantity.Value{X: float64(a)})
		case string:
			out = append(out, quantity.Value{Name: a})
		case []float64:
			out = append(out, quantity.Value{Col: a})
		default:
			t.Fatalf("argument %v", a)
		}
	}
	return out
}

func (p published) check(t *testing.T) {
	t.Run(p.id+" "+p.source, func(t *testing.T) {
		f := Functions()[p.function]
		if f == nil {
			t.Fatalf("no function %s", p.function)
		}
		v, err := f.Call(arguments(t, p.args))
		if err != nil {
			t.Fatalf("%s%v: %v", p.function, p.args, err)
		}
		unit := p.unit
		if unit == 0 {
			unit = 1
		}
		agree(t, v.X/unit, p.want, p.printed, p.last)
	})
}

// agree holds got against the recomputed value to 9 digits, and against the printed one to its own last digit.
func agree(t *testing.T, got, want float64, printed string, last float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*math.Abs(want)+1e-16 {
		t.Errorf("got %.12g, recomputed %.12g", got, want)
	}
	if printed == "" {
		return
	}
	if last == 0 {
		last = 0.5
	}
	value, digit := readPrinted(t, printed)
	if math.Abs(got-value) > digit*last*(1+1e-9) {
		t.Errorf("got %.12g, printed %s", got, printed)
	}
}

// readPrinted gives a printed number and the size of its last digit.
func readPrinted(t *testing.T, s string) (value, digit float64) {
	t.Helper()
	value, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	mantissa, exponent, _ := strings.Cut(s, "e")
	_, decimals, _ := strings.Cut(mantissa, ".")
	power, _ := strconv.Atoi(exponent)
	return value, math.Pow10(power - len(decimals))
}

func celsius(t float64) float64 { return t + zeroCelsius }

// t68 turns a temperature on IPTS-68 in °C to kelvin on ITS-90, as Saunders (WOCE Newsletter 10, 1990) does.
func t68(t float64) float64 { return t/1.00024 + zeroCelsius }

const deg = math.Pi / 180

const (
	tanakaTable = "Tanaka et al. 2001 table"
	unesco44    = "UNESCO 44 check table p. 19"
	smow        = "UNESCO 44 eq. 14"
	cp          = "OpenStax College Physics 2e "
	up1         = "OpenStax University Physics 1 "
	up2         = "OpenStax University Physics 2 "
	hsp         = "OpenStax High School Physics "
)

func TestPublishedFluids(t *testing.T) {
	for _, p := range []published{
		{id: "A01", source: tanakaTable, function: "water_density", args: []any{celsius(0)}, want: 999.8428256219338, printed: "999.8428"},
		{id: "A02", source: tanakaTable, function: "water_density", args: []any{celsius(4)}, want: 999.9749477037103, printed: "999.9749"},
		{id: "A03", source: tanakaTable, function: "water_density", args: []any{celsius(8)}, want: 999.8512702860422, printed: "999.8513"},
		{id: "A04", source: tanakaTable, function: "water_density", args: []any{celsius(22)}, want: 997.7729769381818, printed: "997.7730"},
		{id: "A05", source: tanakaTable, function: "water_density", args: []any{celsius(10)}, want: 999.7027016287869, printed: "999.7027"},
		{id: "A06", source: tanakaTable, function: "water_density", args: []any{celsius(15)}, want: 999.1025717180356, printed: "999.1026"},
		{id: "A07", source: tanakaTable, function: "water_density", args: []any{celsius(20)}, want: 998.2067455596167, printed: "998.2067"},
		{id: "A08", source: tanakaTable, function: "water_density", args: []any{celsius(25)}, want: 997.047021671824, printed: "997.0470"},
		{id: "A09", source: tanakaTable, function: "water_density", args: []any{celsius(30)}, want: 995.6487971840886, printed: "995.6488"},
		{id: "A11", source: smow, function: "seawater_density", args: []any{0, t68(20)}, want: 998.2063193823999, printed: "998.2063"},
		{id: "A13a", source: smow, function: "seawater_density", args: []any{0, t68(10)}, want: 999.7020815032, printed: "999.7021"},
		{id: "A13b", source: smow, function: "seawater_density", args: []any{0, t68(16)}, want: 998.9449703373753, printed: "998.9450"},
		{id: "A13c", source: smow, function: "seawater_density", args: []any{0, t68(24)}, want: 997.2994144806471, printed: "997.2994"},
		{id: "A14", source: unesco44, function: "seawater_density", args: []any{0, t68(5), 0}, want: 999.9667507866625, printed: "999.96675"},
		{id: "A15", source: unesco44, function: "seawater_density", args: []any{35, t68(5), 0}, want: 1027.6754652782759, printed: "1027.67547"},
		{id: "A16", source: unesco44, function: "seawater_density", args: []any{35, t68(25), 0}, want: 1023.3430584772268, printed: "1023.34306"},
		{id: "A17", source: unesco44, function: "seawater_density", args: []any{0, t68(5), 1e8}, want: 1044.1280157475776, printed: "1044.12802"},
		{id: "A18", source: unesco44, function: "seawater_density", args: []any{35, t68(5), 1e8}, want: 1069.4891379837518, printed: "1069.48914"},
		{id: "A20a", source: "WGS 84 at the equator", function: "gravity", args: []any{0}, want: 9.7803253359, printed: "9.7803253359"},
		{id: "A20b", source: "WGS 84 at the pole", function: "gravity", args: []any{90 * deg}, want: 9.832184937859008, printed: "9.8321849378", last: 1.5},
		{id: "A21", source: "WGS 84 formula", function: "gravity", args: []any{45 * deg}, want: 9.806197769373233},
		{id: "A24", source: cp + "Ex. 11.3", function: "pressure_at", args: []any{40, 1000, 9.80}, want: 392000, printed: "3.92e5"},
		{id: "A25", source: cp + "Ex. 11.5", function: "pressure_at", args: []any{10.306122448979592, 1000, 9.80}, want: 1.01e5, printed: "1.01e5"},
		// The book prints 0.760 m for this column: its own inputs give 0.758 m.
		{id: "A26", source: cp + "11.4", function: "pressure_at", args: []any{0.7578031212484994, 13.6e3, 9.80}, want: 1.01e5},
		{id: "A31", source: "OpenStax Chemistry 2e, Boyle", function: "gas_volume", args: []any{15.0, 13.0, 26.0}, want: 7.5, printed: "7.5"},
		{id: "A34", source: "CIPM-2007 formula", function: "air_density", args: []any{celsius(20), 101325, 0.5}, want: 1.1993138954744933},
	} {
		p.check(t)
	}
}

// Formulas of other standards, which agree with the core's to a stated distance.
func TestOtherStandards(t *testing.T) {
	for _, c := range []struct {
		id, source, function string
		args                 []any
		want, apart          float64
	}{
		{"A12", "IAPWS-09 table 6", "water_density", []any{celsius(0)}, 999.843071, 3e-4},
		{"A19a", "ITTC 7.5-02-01-03 at 15 °C", "seawater_density", []any{35, celsius(15)}, 1026.0210, 0.06},
		{"A19b", "ITTC 7.5-02-01-03 at 10 °C", "seawater_density", []any{35, celsius(10)}, 1027.0000, 0.06},
		{"TEOS-10", "Sea-Ice-Air library, 35 g/kg, 300 K, 1 bar", "seawater_density", []any{35 / 1.004715, 300}, 1022.64272613, 0.06},
		{"A22", "UNESCO 44 gravity at 45°", "gravity", []any{45 * deg}, 9.8061898752, 1e-5},
		{"A34", "OIML R 111 short formula", "air_density", []any{celsius(20), 101325, 0.5}, 1.19929, 5e-5},
		{"A35", "ISO 2533, dry air at 15 °C", "air_density", []any{288.15, 101325, 0}, 1.225, 1e-3},
	} {
		t.Run(c.id+" "+c.source, func(t *testing.T) {
			v, err := Functions()[c.function].Call(arguments(t, c.args))
			if err != nil || math.Abs(v.X-c.want) > c.apart {
				t.Errorf("got %.9g, %v; want %.9g within %g", v.X, err, c.want, c.apart)
			}
		})
	}
}

func TestPublishedStatics(t *testing.T) {
	const sections = "standard tables of sections"
	for _, p := range []published{
		{id: "C01", source: cp + "Ex. 9.1", function: "centroid", args: []any{[]float64{26, 32}, []float64{-1.60, 1.30}}, want: 0},
		{id: "C02", source: cp + "9.2", function: "centroid", args: []any{[]float64{26, 32, 12}, []float64{-1.60, 1.36, -0.160}}, want: 0},
		{id: "C03", source: cp + "Ex. 9.2", function: "centroid", args: []any{[]float64{49.0 / 3, 98.0 / 3}, []float64{0, 0.9}}, want: 0.6, printed: "0.600"},
		{id: "C05", source: up1 + "Ex. 12.1", function: "centroid", args: []any{[]float64{0.52, 0.48}, []float64{2.5, 0}}, want: 1.3, printed: "1.3"},
		{id: "C06", source: up1 + "Ex. 9.16", function: "centroid", args: []any{[]float64{5.97e24, 7.36e22}, []float64{0, 3.82e8}}, want: 4652061.685088358, printed: "4.64e6", last: 1.5},
		{id: "C09", source: up1 + "9.6", function: "centroid", args: []any{[]float64{8, 2.7}, []float64{0.25, 0.75}}, want: 0.3761682242990655},
		{id: "C10", source: cp + "9.2", function: "moment", args: []any{55.0, 0.850}, want: 46.75, printed: "46.8"},
		{id: "C11", source: cp + "9.2", function: "moment", args: []any{23.333333333333332, 0.45, 90 * deg}, want: 17.5 * 0.6},
		{id: "C14", source: up1 + "12.1", function: "centroid", args: []any{[]float64{0.6, 0.4}, []float64{0, 3}}, want: 1.2},
		{id: "cone", source: up1 + "9.6", function: "shape_centroid", args: []any{"cone", 4}, want: 1, printed: "1"},
		{id: "semicircle", source: up1 + "9.6", function: "shape_centroid", args: []any{"semicircle", 1}, want: 0.4244131815783876, printed: "0.42441"},
		{id: "quarter circle", source: sections, function: "shape_centroid", args: []any{"quarter_circle", 1}, want: 0.4244131815783876},
		{id: "triangle", source: sections, function: "shape_centroid", args: []any{"triangle", 3}, want: 1},
		{id: "hemisphere", source: sections, function: "shape_centroid", args: []any{"hemisphere", 1}, want: 0.375},
		{id: "paraboloid", source: sections, function: "shape_centroid", args: []any{"paraboloid", 3}, want: 1},
		{id: "I rectangle", source: sections, function: "area_moment", args: []any{"rectangle", 2, 3}, want: 4.5},
		{id: "I triangle", source: sections, function: "area_moment", args: []any{"triangle", 2, 3}, want: 1.5},
		{id: "I circle", source: sections, function: "area_moment", args: []any{"circle", 2}, want: math.Pi / 4},
		{id: "I annulus", source: sections, function: "area_moment", args: []any{"annulus", 2, 1}, want: math.Pi * 15 / 64},
		{id: "I semicircle", source: sections, function: "area_moment", args: []any{"semicircle", 1}, want: 0.109756960646, printed: "0.10976"},
		{id: "C15 GM", source: "holooly.com, loaded pontoon", function: "box_gm", args: []any{20, 9, 200000, 5.6, 1025}, want: 1.168880420054201, printed: "1.17"},
		{id: "C15 BM", source: "holooly.com, loaded pontoon", function: "area_moment", args: []any{"rectangle", 20, 9}, want: 6.226875, printed: "6.23", unit: 200000.0 / 1025},
		{id: "C16 OG", source: "thefluidmechanic.com Q6", function: "centroid", args: []any{[]float64{74, 70}, []float64{1.2, 2.4 + 2.75}}, want: 3.120138888888889, printed: "3.12"},
		{id: "C16 GM", source: "thefluidmechanic.com Q6", function: "box_gm", args: []any{10.3, 7.3, 144000, 3.120138888888889, 1030}, want: 0.19790201198459867},
		{id: "pitch", source: "geometry", function: "pitch_at_rest", args: []any{0.03, 0, 0, 0.04}, want: math.Atan(0.75)},
	} {
		p.check(t)
	}
}

func TestPublishedWiring(t *testing.T) {
	const (
		awgTable = "hyperphysics wire table"
		perKft   = 1 / 304.8 // Ω/1000 ft in Ω/m
		iec      = "IEC 60228 tables"
		eseries  = "IEC 60063"
		blade    = "ISO 8820-3"
		inch     = 0.0254
		mm2      = 1e-6
	)
	gauge := func(n float64) float64 { a, _ := AWGArea(n); return a }
	for _, p := range []published{
		{id: "D25", source: cp + "20.3", function: "wire_resistance", args: []any{1.72e-8, 20.0, math.Pi / 4 * 2.053e-3 * 2.053e-3}, want: 0.10391797193867999, printed: "0.104"},
		{id: "D31", source: cp + "Ex. 20.5", function: "wire_resistance", args: []any{5.6e-8, 0.04, 6.40e-9}, want: 0.35, printed: "0.350"},
		{id: "D34 mm", source: "ASTM B258", function: "awg_diameter", args: []any{18}, want: 1.0236873428326523, printed: "1.0237", unit: 1e-3},
		{id: "D34 in", source: awgTable, function: "awg_diameter", args: []any{18}, want: 0.04030265129262411, printed: "0.0403", unit: inch},
		{id: "D34 R", source: awgTable, function: "copper_resistance", args: []any{1, gauge(18), celsius(20)}, want: 6.385022332166174, printed: "6.385", unit: perKft},
		{id: "D35 mm", source: "ASTM B258", function: "awg_diameter", args: []any{22}, want: 0.6438032984904795, printed: "0.6438", unit: 1e-3},
		{id: "D35 in", source: awgTable, function: "awg_diameter", args: []any{22}, want: 0.025346586554743287, printed: "0.02535", unit: inch},
		{id: "D35 R", source: awgTable, function: "copper_resistance", args: []any{1, gauge(22), celsius(20)}, want: 16.143239607173477, printed: "16.14", unit: perKft},
		{id: "D36 mm", source: "ASTM B258", function: "awg_diameter", args: []any{26}, want: 0.40489187450565084, printed: "0.4049", unit: 1e-3},
		{id: "D36 in", source: awgTable, function: "awg_diameter", args: []any{26}, want: 0.015940624980537436, printed: "0.01594", unit: inch},
		{id: "D36 R", source: awgTable, function: "copper_resistance", args: []any{1, gauge(26), celsius(20)}, want: 40.814921461081596, printed: "40.81", unit: perKft},
		{id: "D37", source: "two-wire tether, IEC 60028", function: "copper_resistance", args: []any{20, gauge(18), celsius(20)}, want: 0.41896471995841034},
		{id: "D38", source: "IEC 60028, warmed to 75 °C", function: "copper_resistance", args: []any{58, mm2, celsius(75)}, want: 1.21615},
		{id: "0.5 class 2", source: iec, function: "iec_wire", args: []any{0.5 * mm2, 2}, want: 36.0, printed: "36.0", unit: 1e-3},
		{id: "0.5 class 5", source: iec, function: "iec_wire", args: []any{0.5 * mm2, 5}, want: 39.0, printed: "39.0", unit: 1e-3},
		{id: "1 class 1", source: iec, function: "iec_wire", args: []any{mm2, 1}, want: 18.1, printed: "18.1", unit: 1e-3},
		{id: "1 class 6", source: iec, function: "iec_wire", args: []any{mm2, 6}, want: 19.5, printed: "19.5", unit: 1e-3},
		{id: "2.5 class 2", source: iec, function: "iec_wire", args: []any{2.5 * mm2, 2}, want: 7.41, printed: "7.41", unit: 1e-3},
		{id: "2.5 class 5", source: iec, function: "iec_wire", args: []any{2.5 * mm2, 5}, want: 7.98, printed: "7.98", unit: 1e-3},
		{id: "6 class 2", source: iec, function: "iec_wire", args: []any{6 * mm2, 2}, want: 3.08, printed: "3.08", unit: 1e-3},
		{id: "6 class 5", source: iec, function: "iec_wire", args: []any{6 * mm2, 5}, want: 3.30, printed: "3.30", unit: 1e-3},
		{id: "32.4 E12", source: eseries, function: "preferred", args: []any{"E12", 32.4}, want: 33},
		{id: "32.4 E24", source: eseries, function: "preferred", args: []any{"E24", 32.4}, want: 33},
		{id: "250 E12", source: eseries, function: "preferred", args: []any{"E12", 250}, want: 270},
		{id: "250 E24", source: eseries, function: "preferred", args: []any{"E24", 250}, want: 240},
		{id: "4.4k E12", source: eseries, function: "preferred", args: []any{"E12", 4400}, want: 4700},
		{id: "4.4k E24", source: eseries, function: "preferred", args: []any{"E24", 4400}, want: 4300},
		{id: "9.6 E6", source: eseries, function: "preferred", args: []any{"E6", 9.6}, want: 10},
		{id: "4.5 A", source: blade, function: "next_fuse", args: []any{4.5}, want: 5},
		{id: "7.5 A", source: blade, function: "next_fuse", args: []any{7.5}, want: 7.5},
		{id: "30.1 A", source: blade, function: "next_fuse", args: []any{30.1}, want: 40},
		{id: "D01", source: cp + "Ex. 21.1", function: "series", args: []any{1.00, 6.00, 13.0}, want: 20, printed: "20.0"},
		{id: "D04", source: hsp + "19.3", function: "parallel", args: []any{[]float64{10, 25, 15}}, want: 4.838709677419355, printed: "4.84"},
		{id: "D09", source: up2 + "Ex. 10.3", function: "parallel", args: []any{1.00, 2.00, 2.00}, want: 0.5, printed: "0.50"},
		{id: "D10", source: hsp + "19.3", function: "parallel", args: []any{15, 20}, want: 8.571428571428571, printed: "8.6"},
		{id: "D11 largest", source: cp + "21.1", function: "series", args: []any{36.0, 50.0, 700}, want: 786, printed: "786"},
		{id: "D11 smallest", source: up2 + "10", function: "parallel", args: []any{36.0, 50.0, 700}, want: 20.32258064516129, printed: "20.32"},
		{id: "D12 series", source: cp + "21.1", function: "series", args: []any{275, 275, 275, 275, 275, 275, 275, 275, 275, 275}, want: 2750, printed: "2.75e3"},
		{id: "D12 parallel", source: cp + "21.1", function: "parallel", args: []any{275, 275, 275, 275, 275, 275, 275, 275, 275, 275}, want: 27.5, printed: "27.5"},
		{id: "D15", source: hsp + "19.3", function: "parallel", args: []any{10, 20, 30}, want: 5.454545454545454, printed: "5.5"},
		{id: "shorted", source: "limit", function: "parallel", args: []any{10, 0}, want: 0},
	} {
		p.check(t)
	}
}

func TestPublishedThrust(t *testing.T) {
	const g = 9.80
	small, larger := math.Pi/4*0.05*0.05, math.Pi/4*0.06*0.06
	for _, p := range []published{
		{id: "E01 v", source: rankineFroude, function: "disc_induced", args: []any{2.00, small, 1000, 0}, want: 0.7136496464611084},
		{id: "E01 P", source: rankineFroude, function: "disc_power", args: []any{2.00, small, 1000, 0}, want: 1.4272992929222168},
		{id: "E01 T", source: rankineFroude, function: "disc_thrust", args: []any{0.7136496464611084, small, 1000, 0}, want: 2},
		{id: "E02 v", source: rankineFroude, function: "disc_induced", args: []any{4.00, larger, 1000, 0.5}, want: 0.6274139858873039},
		{id: "E02 P", source: rankineFroude, function: "disc_power", args: []any{4.00, larger, 1000, 0.5}, want: 4.509655943549216},
		{id: "E02 eta", source: rankineFroude, function: "disc_efficiency", args: []any{4.00, larger, 1000, 0.5}, want: 0.4434928129851849},
		{id: "E03", source: cp + "Ex. 5.2", function: "terminal_speed", args: []any{85 * g, 1.21, 1.0, 0.70}, want: 44.35022151872898, printed: "44"},
		{id: "E04", source: cp + "6.4", function: "terminal_speed", args: []any{80.0 * g, 1.21, 0.70, 0.140}, want: 114.9919149152138, printed: "115"},
		{id: "E05", source: up1 + "6.4", function: "drag", args: []any{1.21, 0.5, 2.0, 110 / 3.6}, want: 2.863905325443787, printed: "2.86", unit: 0.5 * 1.21 * 0.5 * 2 * (65 / 3.6) * (65 / 3.6)},
		{id: "E06", source: cp + "5.2", function: "terminal_speed", args: []any{0.560 * g, 1.21, 1.0, 144e-4}, want: 25.09852029193777, printed: "25.1"},
		{id: "E07", source: cp + "Ex. 12.10", function: "reynolds", args: []any{1.29, 40.0, 0.0740, 1.81e-5}, want: 210961.32596685083, printed: "2.11e5"},
		{id: "E08", source: cp + "12.5", function: "reynolds", args: []any{1000, 0.5e-3 / (math.Pi * 0.9e-2 * 0.9e-2), 1.8e-2, 1.005e-3}, want: 35191.80610102716, printed: "3.51e4", last: 1.5},
		{id: "E09", source: cp + "Ex. 12.9", function: "reynolds", args: []any{1025, 1.70, 0.3e-3, 1.00e-3}, want: 522.75, printed: "523"},
		{id: "E10", source: cp + "12.5", function: "reynolds", args: []any{1000, 0.5e-3 / (math.Pi * 0.25e-2 * 0.25e-2), 0.5e-2, 1.005e-3}, want: 126690.50196369778, printed: "1.27e5"},
		{id: "Cd disc", source: cp + "5.2 table", function: "drag_coefficient", args: []any{"disc"}, want: 1.12, printed: "1.12"},
		{id: "Cd square plate", source: dataBook, function: "drag_coefficient", args: []any{"plate"}, want: 1.17, printed: "1.17"},
		{id: "Cd cylinder 1", source: dataBook, function: "drag_coefficient", args: []any{"cylinder_1"}, want: 0.63, printed: "0.63"},
		{id: "Cd cylinder 5", source: dataBook, function: "drag_coefficient", args: []any{"cylinder_5"}, want: 0.74, printed: "0.74"},
		{id: "Cd cylinder 40", source: dataBook, function: "drag_coefficient", args: []any{"cylinder_40"}, want: 0.98, printed: "0.98"},
	} {
		p.check(t)
	}
}
