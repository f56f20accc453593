package templates_test

import (
	"math"
	"testing"

	"keelmark/labs"
	"keelmark/labs/formula"
	"keelmark/labs/quantity"
)

// handbook takes a published worked example of each lab's type: its numbers go in as fixed values, as --value would set
// them, and its printed answer must come out of the lab's own formula. Expected values are the full-precision results of
// the stated inputs, which round to what the source prints unless the comment says otherwise.
var handbook = []struct {
	lab, source string
	g           float64
	fixed       map[string]string
	answers     map[string]string // by question
}{
	{"archimedes/weigh-twice", "OpenStax College Physics 2e, Ex. 11.10: a coin of 8.630 g weighs 7.800 g in water", 9.80,
		map[string]string{"Wa": "0.084574 N", "Ww": "0.07644 N", "rho_w": "1.000 g/cm^3"},
		map[string]string{"V_s": "0.830 cm^3", "rho": "10.397590361 g/cm^3"}},
	{"archimedes/lowering", "Anscombe, Am. Stat. 27 (1973) 17, set 1: slope 0.500, intercept 3.00", 9.81,
		map[string]string{"z": "[10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5] cm", "F": "[8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68] N"},
		map[string]string{"k": "-0.5000909091 N/cm", "W": "3.000090909 N"}},
	{"archimedes/raft-draught", "a loaded pontoon, 200 t on 20 m by 9 m in sea water: draught 1.08 m (a collection of solved problems)", 9.81,
		map[string]string{"rho": "1025 kg/m^3", "L": "20 m", "B": "9 m", "m": "200000 kg"},
		map[string]string{"T": "1.0840108401 m"}},
	{"archimedes/hover", "OpenStax College Physics 2e, 11.7: a grouper of 85.0 kg, 1015 kg/m³, held under in sea water takes 8.21 N", 9.80,
		map[string]string{"rho_c": "1025 kg/m^3", "V": "0.083743842364532 m^3", "M": "85.0 kg"},
		map[string]string{"F_up": "8.2068965517 N"}},
	{"archimedes/squeezed-air", "OpenStax Chemistry 2e, Boyle: 15.0 mL at 13.0 psi, squeezed to 26 psi, is 7.5 mL", 9.80,
		map[string]string{"p_0": "13.0 psi", "V_0": "15.0 mL", "rho": "1000 kg/m^3", "z": "9.1461066134 m"},
		map[string]string{"p": "26 psi", "V": "7.5 mL"}},
	{"balance/see-saw", "OpenStax College Physics 2e, Ex. 9.1: 26.0 kg at 1.60 m balance 32.0 kg at 1.30 m; the pivot holds 568 N", 9.80,
		map[string]string{"m_1": "26.0 kg", "x_1": "1.60 m", "m_2": "32.0 kg"},
		map[string]string{"x_2": "1.30 m", "P": "568.4 N"}},
	{"balance/plate", "OpenStax University Physics 1, 9.6: a rod, half iron (8), half aluminium (2.7), 1 m; no printed answer, from the formula", 9.81,
		map[string]string{"a": "8 m", "b": "0.5 m", "c": "0.5 m", "e": "2.7 m"},
		map[string]string{"x_G": "0.3761682243 m"}},
	{"balance/parts-table", "OpenStax University Physics 1, Ex. 9.16: Earth and Moon (prints 4.64e6 m; its inputs give 4.652e6)", 9.81,
		map[string]string{"m_1": "5.97e24 kg", "x_1": "0 m", "m_2": "7.36e22 kg", "x_2": "3.82e8 m", "m_3": "0 kg", "m_4": "0 kg"},
		map[string]string{"x_G": "4652061.6851 m"}},
	{"balance/level-trim", "OpenStax University Physics 1, 9.6: the rod of iron and aluminium; OpenStax College Physics 2e, 9.2: 55.0 N at 0.850 m is 46.8 N·m", 10,
		map[string]string{"m_f": "8 kg", "x_f": "0.25 m", "m_b": "2.7 kg", "x_b": "0.75 m", "m_m": "0 kg"},
		map[string]string{"m_tot": "10.7 kg", "x_G": "0.3761682243 m"}},
	{"balance/tippy-raft", "a loaded pontoon, 200 t on 20 m by 9 m, KG 5.6 m, in sea water: KB 0.54, BM 6.23, GM 1.17 m (a collection of solved problems)", 9.81,
		map[string]string{"rho": "1025 kg/m^3", "L": "20 m", "B": "9 m", "D": "3 m", "m": "200000 kg", "KG": "5.6 m"},
		map[string]string{"T": "1.0840108401 m", "KB": "0.54200542005 m", "BM": "6.226875 m", "GM": "1.1688804201 m"}},
	{"circuits/straight-line", "OpenStax College Physics 2e, Ex. 20.4: a headlight takes 2.50 A at 12.0 V: 4.80 Ω", 9.81,
		map[string]string{"V_l": "12.0 V", "I_l": "2.50 A"},
		map[string]string{"R_l": "4.80 ohm"}},
	{"circuits/three-resistors", "OpenStax College Physics 2e, Ex. 21.3: 12.0 V on 1.00 Ω in series with 6.00 and 13.0 Ω: 2.35 A, 1.61 A", 9.81,
		map[string]string{"U": "12.0 V", "R_1": "1.00 ohm", "R_2": "6.00 ohm", "R_3": "13.0 ohm"},
		map[string]string{"R": "5.1052631579 ohm", "I": "2.3505154639 A", "I_2": "1.6082474227 A"}},
	{"circuits/long-lead", "OpenStax College Physics 2e, 20.3: 20.0 m of 12-gauge copper, 2.053 mm: 0.104 Ω", 9.81,
		map[string]string{"rho_cu": "1.72e-8 ohm*m", "L": "10.0 m", "A_w": "3.31030324767 mm^2"},
		map[string]string{"R": "0.10391797194 ohm"}},
	{"circuits/tired-battery", "OpenStax College Physics 2e, Ex. 21.4: 12.0 V, 0.100 Ω: 10.0 V left with a load of 0.500 Ω, 20.0 A", 9.81,
		map[string]string{"I": "[0, 1.1881188119, 20] A", "V": "[12.0, 11.88118811881, 10.0] V", "I_m": "20.0 A"},
		map[string]string{"emf": "12.0 V", "r": "0.100 ohm", "V_m": "10.0 V"}},
	{"circuits/run-time", "OpenStax College Physics 2e, 20.4: 1.00 A·h at 1.58 V drives 1.00 W for 1.58 h", 9.81,
		map[string]string{"U": "1.58 V", "C": "1.00 A*h", "use": "1", "I_1": "0.3 A", "I_2": "0.0329113924050633 A"},
		map[string]string{"P": "1.00 W", "t": "1.58 h"}},
	{"circuits/two-loops", "OpenStax University Physics 2, Ex. 10.6: I1 = 0.20, I2 = 0.30, I3 = 0.50 A", 9.81,
		map[string]string{"E_1": "1.1 V", "R_1": "3 ohm", "E_2": "2.9 V", "R_2": "8 ohm", "R_3": "1 ohm"},
		map[string]string{"I_1": "0.20 A", "I_2": "0.30 A", "I_3": "0.50 A"}},
	{"thrust/lever-pull", "OpenStax College Physics 2e, 9.5: a nail puller, 45 cm and 1.8 cm, 1250 N: 50 N", 9.81,
		map[string]string{"R_s": "[1250, 1250, 1250, 1250, 1250] N", "b": "1.8 cm", "a": "45 cm"},
		map[string]string{"F": "50 N"}},
	{"thrust/push-speed", "OpenStax College Physics 2e, Ex. 5.2: a skydiver of 85 kg, 0.70 m², C 1.0, air 1.21 kg/m³: 44 m/s", 9.80,
		map[string]string{"F": "[0.4235, 0.8470, 1.6940] N", "t": "[1, 0.707106781186548, 0.5] s", "s": "1 m", "T": "833 N"},
		map[string]string{"k": "0.4235 kg/m", "v_top": "44.350221519 m/s"}},
	{"thrust/three-motors", "OpenStax College Physics 2e, 9.2: 55.0 N at 0.850 m is 46.8 N·m", 9.80,
		map[string]string{"F": "55.0 N", "b": "1.70 m"},
		map[string]string{"M_1": "46.75 N*m"}},
	{"thrust/volts-to-thrust", "OpenStax College Physics 2e, Ex. 20.7: 2.50 A at 12.0 V is 30.0 W", 9.81,
		map[string]string{"I": "[0.5, 1.0, 1.5, 2.0, 2.5] A"},
		map[string]string{"P_12": "30.0 W"}},
	{"thrust/ideal-disc", "Rankine–Froude disc: 2.00 N at rest from 50 mm in water (from the formula; not printed)", 9.81,
		map[string]string{"rho": "1000 kg/m^3", "d": "50 mm", "F": "2.00 N"},
		map[string]string{"v": "0.71364964646 m/s", "P": "1.4272992929 W"}},
	{"craft/own-craft", "a two-wire tether of AWG 18 (ASTM B258, IEC 60028), 10 m each way, 3.0 A: from the formulas, not printed", 9.81,
		map[string]string{"R_km": "20.948235998 ohm/km", "L_t": "10 m", "I_1": "1.5 A"},
		map[string]string{"drop": "1.2568941599 V"}},
	{"craft/ready-check", "OpenStax College Physics 2e, Ex. 20.7: a cold headlight of 0.350 Ω takes 34.3 A at 12.0 V", 9.81,
		map[string]string{"U": "12.0 V", "R_p": "0.350 ohm", "R_z": "0 ohm"},
		map[string]string{"I_p": "34.285714286 A"}},
	{"craft/course-run", "NIST StRD NumAcc1: mean 10000002, standard deviation 1", 9.81,
		map[string]string{"t_a": "[10000001, 10000003, 10000002] s"},
		map[string]string{"a": "10000002 s", "sd_a": "1 s"}},
}

// TestHandbook covers every lab built in.
func TestHandbook(t *testing.T) {
	covered := map[string]bool{}
	for _, c := range handbook {
		covered[c.lab] = true
		t.Run(c.lab, func(t *testing.T) {
			l, err := labs.Load(c.lab)
			if err != nil {
				t.Fatal(err)
			}
			f := fill(t, l, c.g, c.fixed)
			for _, q := range l.Questions {
				if q.Kind != labs.Numeric && q.Kind != labs.Choice {
					continue
				}
				got, err := l.Answer(q, f)
				want, asked := c.answers[q.ID]
				if err == nil {
					f[q.Slot] = got // later questions may build on it
				}
				if !asked {
					continue
				}
				if err != nil {
					t.Errorf("%s: %v", q.ID, err)
					continue
				}
				x, unit := literal(t, want)
				if unit != q.Type.Dim {
					t.Errorf("%s is in %v, the example in %v", q.ID, q.Type.Dim, unit)
				}
				if math.Abs(got.X-x.X) > 1e-8*math.Abs(x.X) {
					t.Errorf("%s = %.10g, want %s (%.10g in SI); %s", q.ID, got.X, want, x.X, c.source)
				}
			}
			for id := range c.answers {
				if l.Question(id) == nil {
					t.Errorf("no question %s", id)
				}
			}
		})
	}
	for _, name := range labs.Names() {
		if !covered[name] {
			t.Errorf("no worked example for %s", name)
		}
	}
}

// fill gives the frame of a sheet with values fixed; what is not fixed takes the first of what could be drawn.
func fill(t *testing.T, l *labs.Lab, g float64, fixed map[string]string) labs.Frame {
	f := l.NewFrame(g)
	for _, v := range l.Order {
		text, ok := fixed[v.Name]
		switch {
		case ok:
			f[v.Slot], _ = literal(t, text)
		case v.Source == labs.Drawn:
			f[v.Slot] = quantity.Value{X: v.From}
		case v.Source == labs.Picked:
			f[v.Slot] = v.Picks[0]
		default:
			x, err := l.Compute(v, f, nil)
			if err != nil {
				t.Logf("%s is left out: %v", v.Name, err) // the example does not need it
			}
			f[v.Slot] = x
		}
	}
	for name := range fixed {
		if l.Value(name) == nil {
			t.Errorf("no value %s", name)
		}
	}
	return f
}

// literal reads a number or a column with its unit.
func literal(t *testing.T, text string) (quantity.Value, quantity.Dim) {
	t.Helper()
	e, err := formula.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	p, err := e.Compile(formula.NoNames{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	x, err := p.Eval(nil)
	if err != nil {
		t.Fatal(err)
	}
	return x, p.Type().Dim
}
