package physics

import (
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"keelmark/labs/quantity"
)

// Outside its range a function gives an error that says the range and the source.
func TestRangesAreTold(t *testing.T) {
	for _, c := range []struct {
		function string
		args     []any
		says     string
	}{
		{"water_density", []any{celsius(60)}, "water temperature 60 °C is outside 0 °C to 40 °C (Tanaka et al., Metrologia 38 (2001) 301)"},
		{"water_density", []any{celsius(-0.5)}, "-0.5 °C is outside 0 °C to 40 °C"},
		{"seawater_density", []any{43, celsius(10)}, "practical salinity 43 is outside 0 to 42 (EOS-80"},
		{"seawater_density", []any{35, celsius(41)}, "sea water temperature 41 °C is outside -2 °C to 40 °C (EOS-80"},
		{"seawater_density", []any{35, celsius(4), 2e8}, "gauge pressure 2000 bar is outside 0 bar to 1000 bar (EOS-80"},
		{"air_density", []any{celsius(5), 101325, 0.5}, "air temperature 5 °C is outside 15 °C to 27 °C (CIPM-2007"},
		{"air_density", []any{celsius(20), 1000, 0.5}, "pressure 10 hPa is outside 600 hPa to 1100 hPa (CIPM-2007"},
		{"air_density", []any{celsius(20), 101325, 50}, "relative humidity 50 is outside 0 to 1 (CIPM-2007"},
		{"gravity", []any{2}, "latitude 114.592° is outside -90° to 90° (WGS 84"},
		{"next_fuse", []any{41}, "current for a blade fuse 41 A is outside 0 A to 40 A (ISO 8820-3)"},
		{"awg_diameter", []any{60}, "wire gauge 60 is outside -3 to 56 (ASTM B258)"},
		{"awg_area", []any{18.5}, "a whole number, not 18.5 (ASTM B258)"},
		{"iec_wire", []any{3e-6, 2}, "3 mm² is no standard cross-section; there are 0.5 0.75 1 1.5 2.5 4 6 10 16 25 35 mm² (IEC 60228"},
		{"iec_wire", []any{1e-6, 3}, "class 1, 2, 5 or 6, not 3 (IEC 60228"},
		{"copper_resistance", []any{1, 1e-6, celsius(300)}, "copper temperature 300 °C is outside -40 °C to 150 °C (IEC 60028"},
		{"preferred", []any{"E12", 1e13}, "from 1e-12 to 1e12"},
		{"box_righting_arm", []any{1, 1, 1, 500, 0.5, 1000, 2}, "heel 114.592° is outside -90° to 90°"},
		{"box_righting_arm", []any{1, 1, 1, 1500, 0.5, 1000, 0.1}, "the box sinks: it weighs 1500 kg and can carry 1000 kg"},
		{"box_equilibrium", []any{1, 0.2, 1, 100, 0.9, 0.1, 1000}, "capsizes"},
		{"pitch_at_rest", []any{0, 0, 0, 0}, "rests at any tilt"},
		{"gas_volume", []any{1, 1e5, 0}, "absolute pressure p2 must be positive, not 0"},
		{"pressure_at", []any{-1, 1000}, "depth must not be negative: -1"},
		{"series", []any{10, -1}, "a resistance must not be negative: -1"},
		{"area_moment", []any{"annulus", 1, 2}, "the hole of an annulus is smaller"},
		{"centroid", []any{[]float64{1, -1}, []float64{1, 2}}, "the sum of the masses must be positive"},
		{"disc_efficiency", []any{0, 1, 1000, 0}, "has no efficiency"},
		{"terminal_speed", []any{-1, 1000, 1, 1}, "force must not be negative"},
		{"motor_point", []any{6, 2, 0.01, 0.05, 1e-5}, "does not start: 0.03 N·m at standstill against 0.05 N·m of friction"},
		{"sqrt", []any{-2}, "sqrt(-2) does not exist"},
		{"asin", []any{1.01}, "asin(1.01) does not exist"},
		{"ln", []any{0}, "ln(0) does not exist"},
		{"atan2", []any{0, 0}, "has no direction"},
		{"nearest", []any{1, -1, 2}, "-1 is not positive"},
	} {
		_, err := Functions()[c.function].Call(arguments(t, c.args))
		if !errors.Is(err, ErrRange) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s%v: %v\nwant %q", c.function, c.args, err, c.says)
		}
	}
}

func TestEndsOfARangeBelongToIt(t *testing.T) {
	for _, k := range []float64{273.15, 313.15} {
		if _, err := WaterDensity(k); err != nil {
			t.Errorf("%v K: %v", k, err)
		}
	}
}

func TestRules(t *testing.T) {
	num := func(m measure) quantity.Type { return m.number() }
	col := func(m measure) quantity.Type { c := m.number(); c.Kind = quantity.Column; return c }
	name := quantity.Type{Kind: quantity.Name}
	for _, c := range []struct {
		function string
		args     []quantity.Type
		names    []string
		want     quantity.Type
		says     string
	}{
		{"water_density", []quantity.Type{num(temperature)}, []string{""}, num(density), ""},
		{"water_density", []quantity.Type{col(temperature)}, []string{""}, col(density), ""},
		{"water_density", []quantity.Type{num(mass)}, []string{""}, quantity.Type{}, "water_density(T): argument T must be a temperature (°C), not kg"},
		{"water_density", []quantity.Type{{Dim: temperature.dim}}, []string{""}, quantity.Type{}, "not a difference of temperatures"},
		{"water_density", nil, nil, quantity.Type{}, "water_density(T) takes 1 argument, not 0"},
		{"seawater_density", []quantity.Type{num(plain)}, []string{""}, quantity.Type{}, "takes 2 to 3 arguments, not 1"},
		{"seawater_density", []quantity.Type{num(plain), num(temperature), num(length)}, []string{"", "", ""}, quantity.Type{}, "argument p must be a pressure (Pa), not m"},
		{"sqrt", []quantity.Type{num(area)}, []string{""}, num(length), ""},
		{"sqrt", []quantity.Type{num(temperature)}, []string{""}, quantity.Type{}, "temperature on a scale"},
		{"max", []quantity.Type{col(force)}, []string{""}, num(force), ""},
		{"max", []quantity.Type{num(force), num(mass)}, []string{"", ""}, quantity.Type{}, "argument number 2 must be of the same dimension as the first"},
		{"max", []quantity.Type{col(force), num(force)}, []string{"", ""}, quantity.Type{}, "one column, or several numbers"},
		{"mean", []quantity.Type{col(temperature)}, []string{""}, num(temperature), ""},
		{"sd", []quantity.Type{col(temperature)}, []string{""}, quantity.Type{Dim: temperature.dim}, ""},
		{"sum", []quantity.Type{col(temperature)}, []string{""}, quantity.Type{}, "they do not add up"},
		{"count", []quantity.Type{col(force)}, []string{""}, num(plain), ""},
		{"nearest", []quantity.Type{num(density), num(density), num(mass)}, []string{"", "", ""}, quantity.Type{}, "argument b must be of the same dimension"},
		{"slope", []quantity.Type{col(length), col(force)}, []string{"", ""}, quantity.Type{Dim: quantity.Base(0, 1, -2)}, ""},
		{"slope", []quantity.Type{num(length), col(force)}, []string{"", ""}, quantity.Type{}, "argument x must be a column"},
		{"density", []quantity.Type{name}, []string{"brass"}, num(density), ""},
		{"density", []quantity.Type{name}, []string{""}, num(density), ""},
		{"density", []quantity.Type{name}, []string{"putty"}, quantity.Type{}, `density has no "putty": it knows abs acrylic aluminium`},
		{"density", []quantity.Type{num(mass)}, []string{""}, quantity.Type{}, "must be a name"},
		{"preferred", []quantity.Type{name, num(resistance)}, []string{"E24", ""}, num(resistance), ""},
		{"preferred", []quantity.Type{name, num(resistance)}, []string{"E25", ""}, quantity.Type{}, "it knows E12 E24 E6"},
		{"area_moment", []quantity.Type{name, num(length), num(length)}, []string{"rectangle", "", ""}, num(secondMoment), ""},
		{"area_moment", []quantity.Type{name, num(length)}, []string{"rectangle", ""}, quantity.Type{}, "area_moment(rectangle, …) takes b, h"},
		{"parallel", []quantity.Type{num(resistance), num(voltage)}, []string{"", ""}, quantity.Type{}, "same dimension"},
		{"parallel", []quantity.Type{col(voltage)}, []string{""}, quantity.Type{}, "must be a resistance (Ω), not V"},
		{"moment", []quantity.Type{num(force), num(length)}, []string{"", ""}, num(torque), ""},
	} {
		got, err := Functions()[c.function].Rule(c.args, c.names)
		if c.says == "" && (err != nil || got != c.want) {
			t.Errorf("%s%v = %v, %v; want %v", c.function, c.args, got, err, c.want)
		}
		if c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%s%v: %v, want %q", c.function, c.args, err, c.says)
		}
	}
}

// Every function says what it is, where it comes from, and survives any number of arguments.
func TestEveryFunction(t *testing.T) {
	fs := Functions()
	for _, name := range slices.Sorted(maps.Keys(fs)) {
		f := fs[name]
		if f.Name != name || !strings.HasPrefix(f.Signature, name+"(") || f.Doc == "" || f.Symbols == nil {
			t.Errorf("%s is not declared in full: %+v", name, f)
		}
		for n := range 9 {
			fits := n >= f.Least && (f.Most < 0 || n <= f.Most)
			if _, err := f.Call(make([]quantity.Value, n)); err == nil && !fits {
				t.Errorf("%s took %d arguments", f.Signature, n)
			}
			if _, err := f.Rule(make([]quantity.Type, n), make([]string, n)); err == nil && !fits {
				t.Errorf("the rule of %s took %d arguments", f.Signature, n)
			}
		}
	}
}

func TestWithTables(t *testing.T) {
	fs, err := WithTables(Tables{"density": {"our_foam": 32}, "drag_coefficient": {"our_hull": 0.8}})
	if err != nil {
		t.Fatal(err)
	}
	v, err := fs["density"].Call([]quantity.Value{{Name: "our_foam"}})
	if err != nil || v.X != 32 {
		t.Errorf("our_foam: %v, %v", v.X, err)
	}
	if v, err = fs["drag_coefficient"].Call([]quantity.Value{{Name: "our_hull"}}); err != nil || v.X != 0.8 {
		t.Errorf("our_hull: %v, %v", v.X, err)
	}
	if _, err = Functions()["density"].Call([]quantity.Value{{Name: "our_foam"}}); err == nil {
		t.Error("a lab's row reached the shared table")
	}
	if _, err = WithTables(Tables{"colour": {"red": 1}}); err == nil || !strings.Contains(err.Error(), "no table") {
		t.Errorf("table colour: %v", err)
	}
	if _, err = WithTables(Tables{"density": {"nothing": 0}}); err == nil || !strings.Contains(err.Error(), "positive") {
		t.Errorf("density 0: %v", err)
	}
}

func TestHandbookRanges(t *testing.T) {
	for _, table := range []map[string]Handbook{materials, dragCoefficients} {
		for name, row := range table {
			if row.Source == "" || row.Low != 0 && !(row.Low <= row.Value && row.Value <= row.High) {
				t.Errorf("%s: %+v", name, row)
			}
		}
	}
}

func TestNumbersAllocateNothing(t *testing.T) {
	for name, xs := range map[string][]any{
		"sqrt": {2}, "max": {1, 2, 3}, "water_density": {290}, "seawater_density": {35, 290}, "pressure_at": {1, 1000},
		"box_righting_arm": {1, 1, 1, 500, 0.5, 1000, 0.1}, "density": {"brass"}, "parallel": {10, 20}, "nearest": {1, 2, 3},
		"disc_power": {2, 0.01, 1000, 0.5}, "speed_run": {5, 4, 1000, 1, 0.02, 3}, "motor_point": {12, 2, 0.02, 0, 1e-5},
	} {
		f, args := Functions()[name], arguments(t, xs)
		if n := testing.AllocsPerRun(20, func() {
			if _, err := f.Call(args); err != nil {
				t.Fatal(err)
			}
		}); n > 0 {
			t.Errorf("%s allocates %g times", name, n)
		}
	}
}

func TestPreferredValues(t *testing.T) {
	got, err := PreferredValues("E12", 10, 100)
	if err != nil || len(got) != 13 || got[0] != 10 || got[12] != 100 {
		t.Errorf("E12 from 10 to 100: %v, %v", got, err)
	}
	if got, err = PreferredValues("E6", 0.33, 0.5); err != nil || !slices.Equal(got, []float64{0.33, 0.47}) {
		t.Errorf("E6 from 0.33 to 0.5: %v, %v", got, err)
	}
	if _, err = PreferredValues("E12", 0, 10); !errors.Is(err, ErrRange) {
		t.Errorf("from 0: %v", err)
	}
}
