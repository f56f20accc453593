package physics_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// noNames is a scope in which only numbers, units and functions are known.
type noNames struct{}

func (noNames) Lookup(string) (quantity.Type, int, bool) { return quantity.Type{}, 0, false }

// worked is a worked example of the literature, written as a formula: the core, the units and the language together.
type worked struct {
	id, source, formula, unit string
	want                      float64 // recomputed at full precision from the stated inputs, in unit
	printed                   string  // as the source prints it; "" where it prints none, or prints what its inputs do not give
}

func (w worked) run(t *testing.T) {
	e, err := formula.Parse(w.formula)
	if err != nil {
		t.Fatal(err)
	}
	p, err := e.Compile(noNames{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	v, err := p.Eval(nil)
	if err != nil {
		t.Fatal(err)
	}
	unit, err := quantity.ParseUnit(w.unit)
	if err != nil {
		t.Fatal(err)
	}
	if p.Type().Dim != unit.Dim {
		t.Fatalf("%s is in %v, not in %s", w.formula, p.Type().Dim, w.unit)
	}
	got := unit.From(v.X)
	if math.Abs(got-w.want) > 1e-9*math.Abs(w.want) {
		t.Errorf("%s = %.12g %s, recomputed %.12g", w.formula, got, w.unit, w.want)
	}
	if w.printed == "" {
		return
	}
	printed, err := strconv.ParseFloat(w.printed, 64)
	if err != nil {
		t.Fatal(err)
	}
	mantissa, exponent, _ := strings.Cut(w.printed, "e")
	_, decimals, _ := strings.Cut(mantissa, ".")
	power, _ := strconv.Atoi(exponent)
	if half := math.Pow10(power-len(decimals)) / 2; math.Abs(got-printed) > half*(1+1e-9) {
		t.Errorf("%s = %.12g %s, printed %s", w.formula, got, w.unit, w.printed)
	}
}

func TestWorkedExamples(t *testing.T) {
	for section, rows := range map[string][]worked{"pressure and gases": pressures, "upthrust": upthrusts, "moments": moments, "circuits": circuits, "thrust and power": thrusts} {
		t.Run(section, func(t *testing.T) {
			for _, w := range rows {
				t.Run(w.id+" "+w.source, w.run)
			}
		})
	}
}

const (
	cp   = "OpenStax College Physics 2e "
	up1  = "OpenStax University Physics 1 "
	up2  = "OpenStax University Physics 2 "
	hsp  = "OpenStax High School Physics "
	chem = "OpenStax Chemistry 2e "
)

var pressures = []worked{
	{"A24 p", cp + "Ex. 11.3", "pressure_at(80.0 m/2, 1000 kg/m^3, 9.80 m/s^2)", "Pa", 392000, "3.92e5"},
	{"A24 F", cp + "Ex. 11.3", "pressure_at(80.0 m/2, 1000 kg/m^3, 9.80 m/s^2)*500 m*80.0 m", "N", 1.568e10, "1.57e10"},
	{"A25", cp + "Ex. 11.5", "1.01e5 Pa/(1000 kg/m^3*9.80 m/s^2)", "m", 10.306122448979592, "10.3"},
	// The book prints 0.760 m, which needs 1.013e5 Pa.
	{"A26", cp + "11.4", "1.01e5 Pa/(13.6e3 kg/m^3*9.80 m/s^2)", "m", 0.7578031212484994, ""},
	{"A27", cp + "11.3", "55.0 kg*9.80 m/s^2/1.50 cm^2", "Pa", 3593333.3333333335, "3.59e6"},
	{"A29", cp + "Ex. 11.2", "pi*(0.150 m)^2/4*6.90e6 Pa", "N", 121933.06486745382, "1.22e5"},
	{"A30", cp + "11.3", "pi*(1.00 mm)^2/4*3.00e9 Pa", "N", 2356.1944901923443, "2.36e3"},
	{"A31", chem + "Boyle", "13.0 psi*15.0 mL/7.5 mL", "psi", 26, "26"},
	{"A32", cp + "Ex. 13.6", "7.00e5 Pa*308/291", "Pa", 740893.470790378, "7.41e5"},
	{"A33", chem + "Charles", "0.300 L*303/283", "L", 0.3212014134275618, "0.321"},
	{"A36", chem + "scuba", "gas_volume(13.2 L, 153 atm, 3.13 atm)*310/300", "L", 666.7476038338658, "667"},
	{"A37", chem + "hair spray", "360 kPa*323/297", "kPa", 391.5151515151515, "3.9e2"},
	{"A38", cp + "Ex. 13.8", "44.5 mol/m^3*28.8 g/mol", "kg/m^3", 1.2816, "1.28"},
}

var upthrusts = []worked{
	{"B01 V", cp + "Ex. 11.8", "1.00e7 kg/(7.8e3 kg/m^3)", "m^3", 1282.051282051282, "1.28e3"},
	{"B01 F", cp + "Ex. 11.8", "1000 kg/m^3*9.80 m/s^2*1.00e7 kg/(7.8e3 kg/m^3)", "N", 12564102.564102564, "1.3e7"},
	{"B02 F", cp + "Ex. 11.8", "1000 kg/m^3*9.80 m/s^2*1.00e5 m^3", "N", 9.8e8, "9.80e8"},
	{"B02 W", cp + "Ex. 11.8", "1.00e7 kg*9.80 m/s^2", "N", 9.8e7, "9.80e7"},
	{"B03", cp + "Ex. 11.9", "97.0 %*1000 kg/m^3", "kg/m^3", 970, "970"},
	{"B04 V", cp + "Ex. 11.10", "(8.630 g - 7.800 g)/(1.000 g/cm^3)", "cm^3", 0.83, "0.830"},
	{"B04 rho", cp + "Ex. 11.10", "8.630 g/((8.630 g - 7.800 g)/(1.000 g/cm^3))", "g/cm^3", 10.397590361445785, "10.4"},
	{"B05", cp + "11.7", "density(ice)/(1000 kg/m^3)", "%", 91.7, "91.7"},
	{"B06 V", cp + "11.7", "(45.0 g - 3.60 g)/(1.00 g/cm^3)", "cm^3", 41.4, "41.4"},
	{"B06 rho", cp + "11.7", "45.0 g/(45.0 g - 3.60 g)*1.00 g/cm^3", "g/cm^3", 1.0869565217391304, "1.09"},
	{"B07", cp + "11.7", "(1025/1015 - 1)*85.0 kg*9.80 m/s^2", "N", 8.206896551724128, "8.21"},
	{"B08", cp + "11.7", "1 - 0.96*1000/1025", "%", 6.341463414634141, "6.34"},
	// The book prints 60 %, the part under water; the question asks for the part above.
	{"B09 above", cp + "11.2", "1 - (0.1 kg + 0.5 kg)/(1000 kg/m^3*(10 cm)^3)", "%", 40, ""},
	{"B09 ethanol", cp + "11.2", "(0.1 kg + 0.5 kg)/(790 kg/m^3*(10 cm)^3)", "%", 75.94936708860759, "76"},
	{"B10", cp + "11.2", "31.103 g/(19.32 g/cm^3)", "cm^3", 1.6098861283643893, "1.610"},
	{"B11 fresh", up1 + "14.4", "995/1000", "%", 99.5, "99.5"},
	{"B11 salt", up1 + "14.4", "995/1027", "%", 96.88412852969816, "96.9"},
	{"B12", cp + "11.2", "240 g/89.0 cm^3", "g/cm^3", 2.696629213483146, "2.70"},
	{"B13", cp + "Ex. 11.1", "1000 kg/m^3*50.0 km^2*40.0 m", "kg", 2e12, "2.00e12"},
	{"B14", cp + "11.2", "(2.50 kg + 20.0 L*0.68e3 kg/m^3)/(20.0 L + 2.50 kg/(7.8e3 kg/m^3))", "kg/m^3", 792.3028391167194, "7.9e2"},
	{"C16 draught", "thefluidmechanic.com Q6", "144 t/(1030 kg/m^3*10.3 m*7.3 m)", "m", 1.859367272811789, ""},
	{"C15 draught", "holooly.com, loaded pontoon", "200000 kg/(1025 kg/m^3*20 m*9 m)", "m", 1.0840108401084012, "1.08"},
	{"C18", "BM = I/V", "12500 m^4/8000 m^3", "m", 1.5625, "1.56"},
}

var moments = []worked{
	{"C01 r", cp + "Ex. 9.1", "26.0 kg*1.60 m/32.0 kg", "m", 1.3, "1.30"},
	{"C01 F", cp + "Ex. 9.1", "(26.0 kg + 32.0 kg)*9.80 m/s^2", "N", 568.4, "568"},
	{"C02 r", cp + "9.2", "(26.0 kg*1.60 m + 12.0 kg*0.160 m)/32.0 kg", "m", 1.36, "1.36"},
	{"C02 F", cp + "9.2", "(26.0 kg + 32.0 kg + 12.0 kg)*9.80 m/s^2", "N", 686, "686"},
	{"C03 right", cp + "Ex. 9.2", "moment(5.00 kg*9.80 m/s^2, 0.600 m)/0.900 m", "N", 32.666666666666664, "32.7"},
	{"C03 left", cp + "Ex. 9.2", "moment(5.00 kg*9.80 m/s^2, 0.300 m)/0.900 m", "N", 16.333333333333332, "16.3"},
	{"C04 m", up1 + "Ex. 12.3", "(50.0 g*70 cm + 75.0 g*40 cm + 150.0 g*20 cm)/30 cm", "g", 316.6666666666667, "317"},
	{"C05", up1 + "Ex. 12.1", "centroid([0.52, 0.48], [2.5, 0] m)", "m", 1.3, "1.3"},
	{"C07 F", cp + "Ex. 9.3", "45.0 kg*9.80 m/s^2*0.075 m/1.02 m", "N", 32.4264705882353, "32.4"},
	{"C07 N", cp + "Ex. 9.3", "45.0 kg*9.80 m/s^2*(1 - 0.075 m/1.02 m)", "N", 408.57352941176475, "409"},
	{"C08", cp + "9.5", "1250 N/(45 cm/1.8 cm)", "N", 50, "50"},
	{"C10", cp + "9.2", "moment(55.0 N, 0.850 m, 90 deg)", "N*m", 46.75, "46.8"},
	{"C11", cp + "9.2", "moment(17.5 N, 0.600 m)/0.450 m", "N", 23.333333333333332, "23.3"},
	{"C12", cp + "Ex. 9.4", "(moment(2.50 kg*9.80 m/s^2, 0.160 m) + moment(4.00 kg*9.80 m/s^2, 0.380 m))/0.0400 m", "N", 470.4, "470"},
	{"C13", up1 + "Ex. 12.6", "moment(400 N, 1.00 m/2)/2.00 m", "N", 100, "100.0"},
	{"C17 GZ", "GZ = GM*sin(heel)", "0.35 m*sin(5 deg)", "m", 0.030504509961680356, ""},
	{"C17 moment", "GZ = GM*sin(heel)", "250 kg*9.80665 m/s^2*0.35 m*sin(5 deg)", "N*m", 74.78676315392816, ""},
}

var circuits = []worked{
	{"D02 R", cp + "Ex. 21.3", "1.00 ohm + parallel(6.00 ohm, 13.0 ohm)", "ohm", 5.105263157894737, "5.11"},
	{"D20", cp + "21.2", "2.00 V/5.00 A", "ohm", 0.4, "0.400"},
	{"D23", cp + "21.2", "(15.0 V - 12.0 V)/8.00 A", "ohm", 0.375, "0.375"},
	{"D24 R", cp + "Ex. 20.4", "12.0 V/2.50 A", "ohm", 4.8, "4.80"},
	{"D24 P", cp + "Ex. 20.7", "12.0 V*2.50 A", "W", 30, "30.0"},
	{"D25", cp + "20.3", "wire_resistance(1.72e-8 ohm*m, 20.0 m, pi*(2.053 mm)^2/4)", "ohm", 0.10391797193867999, "0.104"},
	{"D26", cp + "Ex. 20.6", "0.350 ohm*(1 + 4.5e-3*2830)", "ohm", 4.80725, "4.8"},
	{"D27 V", cp + "20.2", "0.300 ohm*5.00 A", "V", 1.5, "1.50"},
	{"D27 P", cp + "20.4", "0.300 ohm*(5.00 A)^2", "W", 7.5, "7.50"},
	{"D28", cp + "20.4", "1.00 A*h*1.58 V/1.00 W", "h", 1.58, "1.58"},
	{"D29 R", hsp + "19.4", "(18 V)^2/10 W", "ohm", 32.4, "32"},
	{"D29 I", hsp + "19.4", "10 W/18 V", "A", 0.5555555555555556, "0.56"},
	{"D31 A", cp + "Ex. 20.5", "5.6e-8 ohm*m*4.00 cm/0.350 ohm", "m^2", 6.4e-9, "6.40e-9"},
	{"D31 D", cp + "Ex. 20.5", "sqrt(4/pi*5.6e-8 ohm*m*4.00 cm/0.350 ohm)", "m", 9.027033336764102e-05, "9.0e-5"},
	{"D37 drop", "two-wire tether, IEC 60028", "3.0 A*copper_resistance(2*10 m, awg_area(18), 20 degC)", "V", 1.256894159875231, ""},
	{"D37 share", "two-wire tether, IEC 60028", "3.0 A*copper_resistance(2*10 m, awg_area(18), 20 degC)/12 V", "%", 10.474117998960258, ""},
}

var thrusts = []worked{
	{"E11 F", cp + "Ex. 4.7", "sqrt((2.7e5 N)^2 + (3.6e5 N)^2)", "N", 450000, "4.5e5"},
	{"E11 drag", cp + "Ex. 4.7", "sqrt((2.7e5 N)^2 + (3.6e5 N)^2) - 5.0e6 kg*7.5e-2 m/s^2", "N", 75000, "7.5e4"},
	{"E12 thrust", cp + "Ex. 8.8", "1.40e4 kg/s*2.40e3 m/s", "N", 33600000, "3.36e7"},
	{"E12 a", cp + "Ex. 8.8", "1.40e4 kg/s*2.40e3 m/s/2.80e6 kg - 9.80 m/s^2", "m/s^2", 2.2, "2.20"},
	{"E13", up1 + "Ex. 9.20", "200 kg/s*250 m/s/(2.0e4 kg - 15 s*200 kg/s)", "m/s^2", 2.9411764705882355, "2.9"},
	{"E14", cp + "Ex. 7.11", "60.0 kg*((2.00 m/s)^2/2 + 9.80 m/s^2*3.00 m)/3.50 s", "W", 538.2857142857143, "538"},
	{"E15", cp + "7.7", "(600 N + 950 kg*9.80 m/s^2*sin(2.00 deg))*30.0 m/s", "W", 27747.429429008524, "2.77e4"},
	{"E16 in", up2 + "Ex. 9.9", "115 V*20.00 A", "W", 2300, "2300.00"},
	{"E16 out", up2 + "Ex. 9.9", "4900 N*10.00 m/30.00 s", "W", 1633.3333333333333, "1633.33"},
	{"E16 R", up2 + "Ex. 9.9", "(115 V*20.00 A - 4900 N*10.00 m/30.00 s)/(20.00 A)^2", "ohm", 1.666666666666667, "1.67"},
	{"E17", hsp + "9.3", "40 N*0.1 m/(11 N*0.4 m)", "%", 90.9090909090909, "91"},
	{"E18", cp + "8.7", "196 kg/s*2.50e3 m/s/10000 kg - 9.80 m/s^2", "m/s^2", 39.2, "39.2"},
	{"E19", cp + "8.7", "2.00e3 m/s*ln(4000/(4000 - 3500))", "m/s", 4158.883083359671, "4.16e3"},
	{"E20", cp + "Ex. 4.2", "(2100 kg*49 m/s^2 + 650 N)/4", "N", 25887.5, "2.6e4"},
	{"E21", cp + "Ex. 12.6", "0.920e6 Pa*40.0 L/s", "W", 36800, "3.68e4"},
	{"E22", cp + "7.8", "7.27 kg*((14.0 m/s)^2/2 + 9.80 m/s^2*0.800 m)/1.20 s", "W", 641.2139999999999, "641"},
	{"E23", cp + "20.4", "750 kg*(25.0 m/s)^2/2/60 s/12.0 V/0.95", "A", 342.65350877192986, "343"},
	{"F12 A", cp + "1.3", "4.00 m*3.00 m", "m^2", 12, "12.0"},
	{"F08 rectangular", "GUM 4.3.7", "0.50 N/sqrt(3)", "N", 0.2886751345948129, "0.2887"},
	{"F08 triangular", "GUM 4.3.9", "0.50 N/sqrt(6)", "N", 0.20412414523193154, "0.2041"},
	{"F09", "GUM F.2.2.1", "0.1 N/sqrt(12)", "N", 0.02886751345948129, "0.029"},
}
