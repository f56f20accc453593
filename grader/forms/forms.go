// Package forms reads the answers out of a fill-in PDF. It knows nothing of sheets or marks: it gives the fields by name,
// as text. It is the only package that links a PDF reader. Start with [Read].
package forms

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"sync"

	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/form"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"
)

const (
	maxSize    = 64 << 20 // bytes
	sheetField = "sheet"  // the read-only field that holds the sheet's code
	unitSuffix = "_unit"  // of the small box in which a pupil writes the unit of the answer beside it
)

// The faults that spoil a whole file. Errors of Read wrap one of them where it applies.
var (
	ErrFlat    = errors.New("holds no form fields: it was printed or flattened; hand in the filled-in form itself, or type its answers into answers.csv")
	ErrForeign = errors.New("is a form, but not one of this kind: it has no sheet code")
	ErrLocked  = errors.New("is protected by a password; save it without one")
)

// once keeps the PDF library from making a folder for settings in the user's home.
var once = sync.OnceFunc(api.DisableConfigDir)

// Read gives the fields of a filled-in form by name, the sheet's code under "sheet". A unit from a box of its own is
// joined to its number.
func Read(path string) (map[string]string, error) {
	once()
	file, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("cannot be read: %w", plain(err))
	}
	defer file.Close()
	info, err := file.Stat()
	switch {
	case err != nil:
		return nil, fmt.Errorf("cannot be read: %w", plain(err))
	case info.Size() > maxSize:
		return nil, fmt.Errorf("is larger than %d MB: no form", maxSize>>20)
	}
	conf := model.NewDefaultConfiguration()
	conf.ValidationMode = model.ValidationRelaxed
	group, err := api.ExportForm(file, path, conf)
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

func plain(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}

// explain turns the library's words into what a teacher can act on.
func explain(err error) error {
	words := err.Error()
	switch {
	case errors.Is(err, api.ErrNoFormFieldsAffected), strings.Contains(words, "no form"):
		return ErrFlat
	case strings.Contains(words, "password"), strings.Contains(words, "encrypt"):
		return fmt.Errorf("%w (%v)", ErrLocked, err)
	}
	return fmt.Errorf("cannot be read as a PDF (%w); hand it in anew, or type its answers into answers.csv", err)
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
