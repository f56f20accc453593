package classset

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"keelmark/labs"
)

const float = `---
title: Float
topic: archimedes
level: core
minutes: 10
aims: [Find an upthrust.]
kit: [nothing]
cautions: [Wipe spills at once.]
values:
  T: {from: 8 degC, to: 24 degC, step: 0.5 degC}
  V: {from: 60 cm^3, to: 110 cm^3, step: 1 cm^3}
  z: {series: 1 cm .. 3 cm step 1 cm}
  metal: {pick: [brass, steel], hidden: true}
  R: {measure: newton meter, division: 0.01 N, expect: 1000 kg/m^3 * g * V}
---

At {{T}} a float of {{V}} hangs in the canal.

` + "```table\ncolumns: [z]\n```\n\n```readings r\ncolumns: [R]\n```\n\n```question M\nask: What mass of water does it push aside?\nanswer: water_density(T)*V\nunit: g\nmarks: 1\n```\n"

// savedSet saves a set of one sheet.
func savedSet(t *testing.T, change func(*Set)) string {
	t.Helper()
	dir := t.TempDir()
	os.WriteFile(filepath.Join(dir, LabFile), []byte(float), 0o644)
	s := &Set{Lab: "archimedes/float", Settings: Settings{Gravity: 9.81, Paper: "a4"}, Sheets: []*Sheet{{Code: testCode("4F7KQ2X"), Values: map[string]Value{
		"T": {Value: 15.0, Unit: "degC"}, "V": {Value: 90.0, Unit: "cm^3"}, "z": {Value: []float64{1, 2, 3}, Unit: "cm"}, "metal": {Name: "brass"}}}}}
	if change != nil {
		change(s)
	}
	if err := s.Save(dir); err != nil {
		t.Fatal(err)
	}
	return dir
}

func TestOpenAndFrame(t *testing.T) {
	set, lab, err := Open(savedSet(t, nil))
	if err != nil {
		t.Fatal(err)
	}
	f, err := set.Frame(lab, set.Sheets[0])
	if err != nil {
		t.Fatal(err)
	}
	// Tanaka et al., Metrologia 38 (2001) 301, table: 999.1026 kg/m³ at 15 °C.
	for name, want := range map[string]float64{"T": 288.15, "V": 90e-6, "R": 0.88} {
		if got := f[lab.Value(name).Slot].X; math.Abs(got-want) > 1e-12*want {
			t.Errorf("%s = %v, want %v", name, got, want)
		}
	}
	if got, want := f[lab.Question("M").Slot].X, 999.1026*90e-6; math.Abs(got-want) > 1e-6*want {
		t.Errorf("M = %v, want %v", got, want)
	}
	if got := f[lab.Value("z").Slot].Col; len(got) != 3 || math.Abs(got[2]-0.03) > 1e-15 {
		t.Errorf("z = %v", got)
	}
	for _, v := range lab.Values { // what is stored is what is read back
		if v.Source == labs.Measured {
			continue
		}
		sheet := Sheet{Values: map[string]Value{v.Name: Printed(v, f[v.Slot])}}
		again, err := sheet.value(v)
		if err != nil || again.Name != f[v.Slot].Name || math.Abs(again.X-f[v.Slot].X) > 1e-15*math.Abs(again.X) {
			t.Errorf("%s stored as %+v: %v", v.Name, sheet.Values[v.Name], err)
		}
	}
}

func TestOpenFaults(t *testing.T) {
	for want, change := range map[string]func(*Set){
		"value V is missing":                 func(s *Set) { delete(s.Sheets[0].Values, "V") },
		"value V in g does not fit":          func(s *Set) { s.Sheets[0].Values["V"] = Value{Value: 1.0, Unit: "g"} },
		"value V: ":                          func(s *Set) { s.Sheets[0].Values["V"] = Value{Value: 1.0, Unit: "wet"} },
		"value V is not of the kind":         func(s *Set) { s.Sheets[0].Values["V"] = Value{Value: []float64{1}, Unit: "cm^3"} },
		"value z is not of the kind":         func(s *Set) { s.Sheets[0].Values["z"] = Value{Value: 1.0, Unit: "cm"} },
		"1001 characters long":               func(s *Set) { s.Sheets[0].Name = strings.Repeat("x", 1001) },
		"value metal has no name":            func(s *Set) { s.Sheets[0].Values["metal"] = Value{Value: 1.0} },
		"choices of question M do not fit":   func(s *Set) { s.Sheets[0].Choices = map[string][]int{"M": {2}} },
		"the lab has no question Q":          func(s *Set) { s.Sheets[0].Questions = []string{"Q"} },
		"was changed since the set was made": nil,
	} {
		dir := savedSet(t, change)
		if change == nil {
			os.WriteFile(filepath.Join(dir, LabFile), []byte(strings.Replace(float, "  z:", "  extra: {const: 1 N}\n  z:", 1)), 0o644)
			want = "changed since the set was printed"
		}
		if _, _, err := Open(dir); err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), dir) {
			t.Errorf("error %v, want %q in it", err, want)
		}
	}
	dir := savedSet(t, nil)
	os.Remove(filepath.Join(dir, LabFile))
	if _, _, err := Open(dir); err == nil || !strings.Contains(err.Error(), "put the file back") {
		t.Errorf("no lab.md: %v", err)
	}
}

// A set.json that is cut or changed at any byte opens, or gives an error that names it; cut, it never opens.
func TestSetCutOrEditedAnywhere(t *testing.T) {
	dir := savedSet(t, nil)
	_, lab, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(filepath.Join(dir, SetFile))
	if err != nil {
		t.Fatal(err)
	}
	try := func(what string, i int, data []byte) {
		set, err := parseSet(SetFile, data)
		if err == nil { // readable: a digit or a name was changed, which only the lab can tell, if at all
			if set.fits(lab) == nil {
				_, _ = set.Frame(lab, set.Sheets[0])
			}
			return
		}
		if !strings.HasPrefix(err.Error(), SetFile+":") {
			t.Errorf("%s byte %d: error %v does not name the file", what, i, err)
		}
	}
	for i := range whole {
		if _, err := parseSet(SetFile, whole[:i]); err == nil && strings.TrimSpace(string(whole[i:])) != "" {
			t.Errorf("cut at byte %d: read as if it were whole", i)
		}
		try("cut at", i, whole[:i])
		for _, c := range []byte("\x00\"{}[],:-9eN\xff") {
			edited := bytes.Clone(whole)
			edited[i] = c
			try("edited at", i, edited)
		}
	}
}

// A value that is no number is refused with its sheet and name, never taken for 0.
func TestSetValuesOfTheWrongKind(t *testing.T) {
	dir := savedSet(t, nil)
	whole, err := os.ReadFile(filepath.Join(dir, SetFile))
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{`"90"`, `"NaN"`, "null", "true", "{}", "[1, null]", `[1, "2"]`, "[[1]]", "1e999", "-1e999", "[1e999]", "1e300", "[1, -1e31]"} {
		data := strings.Replace(string(whole), `"value":90`, `"value":`+bad, 1)
		if data == string(whole) {
			t.Fatal("the value to change is not there")
		}
		want := "sheet " + testCode("4F7KQ2X") + `: value "V": `
		if _, err := parseSet(SetFile, []byte(data)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v, want %q in it", bad, err, want)
		}
	}
	for _, bad := range []string{"NaN", "Infinity", "0x10", "1.", ".5", "01", "+1"} {
		data := strings.Replace(string(whole), `"value":90`, `"value":`+bad, 1)
		if _, err := parseSet(SetFile, []byte(data)); err == nil || !strings.Contains(err.Error(), SetFile+":2:") {
			t.Errorf("%s: error %v, want one with line 2", bad, err)
		}
	}
}
