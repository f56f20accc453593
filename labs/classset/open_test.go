package classset

import (
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
