// Package forms reads the answers out of a fill-in PDF. It knows nothing of sheets or marks: it gives the fields by name,
// as text. It is the only package that links a PDF reader. Start with [Read].
package forms

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"sync"

	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/form"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"
)

const (
	maxWords   = 300     // bytes of the library's words in an error
	sheetField = "sheet" // the read-only field that holds the sheet's code
	unitSuffix = "_unit" // of the small box in which a pupil writes the unit of the answer beside it
)

// The faults that spoil a whole file. Errors of Read wrap one of them where it applies.
var (
	ErrFlat    = errors.New("holds no form fields: it was printed or flattened; hand in the filled-in form itself, or type its answers into answers.csv")
	ErrForeign = errors.New("is a form, but not one of this kind: it has no sheet code")
	ErrLocked  = errors.New("is a locked PDF, protected by a password or against copying and changes: save it without protection and hand that in, or type its answers into answers.csv")
)

// once keeps the PDF library from making a folder for settings in the user's home.
var once = sync.OnceFunc(api.DisableConfigDir)

// Read gives the fields of a filled-in form by name, the sheet's code under "sheet". A unit from a box of its own is
// joined to its number. What is read is bounded, as a file may hold far more than a form: 16 MB, 20 000 objects.
func Read(pdf []byte) (map[string]string, error) {
	once()
	if err := vet(pdf); err != nil {
		return nil, explain(err)
	}
	conf := model.NewDefaultConfiguration()
	conf.ValidationMode = model.ValidationRelaxed
	conf.Limits = limits()
	group, err := api.ExportForm(bytes.NewReader(pdf), "", conf)
	if err != nil && bytes.Contains(pdf, []byte("/Encrypt")) { // whatever the library stumbled over: the lock comes first
		return nil, fmt.Errorf("%w (%s)", ErrLocked, bounded(err))
	}
	if err != nil {
		return nil, explain(err)
	}
	fields := map[string]string{}
	for _, f := range group.Forms {
		collect(fields, f)
	}
	if strings.TrimSpace(fields[sheetField]) == "" {
		return nil, ErrForeign
	}
	joinUnits(fields)
	return fields, nil
}

// bounded gives the words of an error of the library, which names every object on the way, to maxWords.
func bounded(err error) string {
	words := err.Error()
	if len(words) > maxWords {
		words = strings.ToValidUTF8(words[:maxWords], "") + " …"
	}
	return words
}

// explain turns the library's words into what a teacher can act on.
func explain(err error) error {
	words := bounded(err)
	if errors.Is(err, api.ErrNoFormFieldsAffected) || strings.Contains(words, "no form") {
		return ErrFlat
	}
	return fmt.Errorf("cannot be read as a PDF (%s); hand it in anew, or type its answers into answers.csv", words)
}

// collect gathers the fields that hold text or a choice.
func collect(fields map[string]string, f form.Form) {
	put := func(name, id, value string) {
		if name == "" {
			name = id
		}
		if value != "" || fields[name] == "" {
			fields[name] = value
		}
	}
	for _, t := range f.TextFields {
		put(t.Name, t.ID, t.Value)
	}
	for _, d := range f.DateFields { // a text that looks like a date
		put(d.Name, d.ID, d.Value)
	}
	for _, c := range f.ComboBoxes {
		put(c.Name, c.ID, c.Value)
	}
	for _, r := range f.RadioButtonGroups {
		put(r.Name, r.ID, r.Value)
	}
	for _, l := range f.ListBoxes {
		put(l.Name, l.ID, strings.Join(l.Values, "; "))
	}
}

func joinUnits(fields map[string]string) {
	for name, unit := range fields {
		stem, ok := strings.CutSuffix(name, unitSuffix)
		number, there := fields[stem]
		if !ok || !there {
			continue
		}
		delete(fields, name)
		fields[stem] = strings.TrimSpace(number + " " + unit)
	}
}
