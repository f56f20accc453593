package forms

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/form"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"
)

// testdata/form.pdf is the fill-in sheet 8CBH-0FFT of circuits/long-lead, as printed.
const printed = "testdata/form.pdf"

// filled is the printed form with some fields filled in, as a PDF reader would.
func filled(t *testing.T, values map[string]string) []byte {
	t.Helper()
	once()
	in, err := os.Open(printed)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	group, err := api.ExportForm(in, printed, model.NewDefaultConfiguration())
	if err != nil {
		t.Fatal(err)
	}
	for i := range group.Forms {
		for _, f := range group.Forms[i].TextFields {
			if v, ok := values[f.Name]; ok {
				f.Value = v
			}
		}
		for _, f := range group.Forms[i].ComboBoxes {
			if v, ok := values[f.Name]; ok {
				f.Value = v
			} else {
				f.Value = f.Options[0]
			}
		}
	}
	data, err := json.Marshal(group)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := api.FillForm(in, bytes.NewReader(data), &out, model.NewDefaultConfiguration()); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func load(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestRead(t *testing.T) {
	blank, err := Read(load(t, printed))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{"sheet": "8CBH-0FFT", "R": "", "V_drop": "", "V_m": "", "P": "", "share": "", "fuse": "", "len": "", "wire": "", "why": ""}
	if diff := cmp.Diff(want, blank); diff != "" {
		t.Errorf("the blank form (-want +got):\n%s", diff)
	}
	got, err := Read(filled(t, map[string]string{"R": "0,84 ohm", "V_drop": "1.5 V", "why": "the wire gets warm", "wire": "AWG 18"}))
	if err != nil {
		t.Fatal(err)
	}
	want["R"], want["V_drop"], want["why"], want["wire"] = "0,84 ohm", "1.5 V", "the wire gets warm", "AWG 18"
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the filled form (-want +got):\n%s", diff)
	}
}

func TestFaults(t *testing.T) {
	once()
	dir := t.TempDir()
	flat, foreign, locked := filepath.Join(dir, "flat.pdf"), filepath.Join(dir, "foreign.pdf"), filepath.Join(dir, "locked.pdf")
	var all []string
	group, err := Read(load(t, printed))
	if err != nil {
		t.Fatal(err)
	}
	for name := range group {
		all = append(all, name)
	}
	secret, owned := model.NewAESConfiguration("user", "owner", 256), filepath.Join(dir, "owned.pdf")
	// Programs that lock a form against changes alone write its choices in a way over which the library stumbles.
	choices := filepath.Join(dir, "choices.pdf")
	if err := os.WriteFile(choices, bytes.Replace(load(t, printed), []byte("/Opt [(AWG 22)"), []byte("/Opt [<414732>"), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{
		api.RemoveFormFieldsFile(printed, flat, all, nil),
		api.RemoveFormFieldsFile(printed, foreign, []string{sheetField}, nil),
		api.EncryptFile(printed, locked, secret),
		api.EncryptFile(choices, owned, model.NewAESConfiguration("", "owner", 256)),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for path, want := range map[string]error{flat: ErrFlat, foreign: ErrForeign, locked: ErrLocked, owned: ErrLocked} {
		if _, err := Read(load(t, path)); !errors.Is(err, want) {
			t.Errorf("%s: %v; want %v", filepath.Base(path), err, want)
		}
	}
}

// A unit in a box of its own joins its number; a box that only looks like one does not.
func TestJoinUnits(t *testing.T) {
	fields := map[string]string{"rho": "8385", "rho_unit": "kg/m³", "V": "", "V_unit": "", "odd_unit": "N"}
	joinUnits(fields)
	if diff := cmp.Diff(map[string]string{"rho": "8385 kg/m³", "V": "", "odd_unit": "N"}, fields); diff != "" {
		t.Error(diff)
	}
}

// collect takes a text that looks like a date for what it is, and lists as readings.
func TestCollect(t *testing.T) {
	fields := map[string]string{}
	collect(fields, form.Form{DateFields: []*form.DateField{{Name: "Fb", Value: "3/4/2026"}},
		RadioButtonGroups: []*form.RadioButtonGroup{{ID: "which", Value: "B"}}, ListBoxes: []*form.ListBox{{Name: "load", Values: []string{"1", "2"}}}})
	if diff := cmp.Diff(map[string]string{"Fb": "3/4/2026", "which": "B", "load": "1; 2"}, fields); diff != "" {
		t.Error(diff)
	}
}
