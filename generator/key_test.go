package generator

import (
	"strings"
	"testing"

	"keelmark/generator/page"
	"keelmark/labs"
)

// The key of a lab at the bench says which of its answers rest on readings as expected, so that nobody marks a pupil's own
// readings by them; that of a lab without readings does not speak of any.
func TestKeySaysWhatHangsOnReadings(t *testing.T) {
	for name, want := range map[string]string{"craft/ready-check": "R_loop, I_p, I_b, differ, leak, insulated, tilt, extra, left", "archimedes/hover": ""} {
		l, err := labs.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		key, err := newRenderer(l, makeSet(t, l, nil).Set).key()
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, b := range key.Body {
			if p, ok := b.(page.Paragraph); ok && len(p.Text) == 1 {
				text, _ := p.Text[0].(page.Text)
				said += text.S
			}
		}
		if speaks := strings.Contains(key.Note, "readings as expected"); speaks != (want != "") {
			t.Errorf("%s: the note is %q", name, key.Note)
		}
		if want != "" && !strings.Contains(said, "readings as expected at the bench: "+want+". ") {
			t.Errorf("%s: %q does not name %s", name, said, want)
		}
	}
}

// The key of a follow-up set speaks of readings only where one of its questions hangs on them.
func TestKeyOfFollowUpWithoutReadings(t *testing.T) {
	l, err := labs.Load("circuits/straight-line")
	if err != nil {
		t.Fatal(err)
	}
	for question, want := range map[string]string{"R_l": "", "R": "R"} {
		s := makeSet(t, l, func(o *MakeOptions) {
			o.Roster = crew(1)
			o.Questions = map[string][]string{"p01": {question}}
		})
		if got := strings.Join(newRenderer(l, s.Set).fromBench(), " "); got != want {
			t.Errorf("a sheet with question %s: %q hang on readings, want %q", question, got, want)
		}
	}
}

// The notes speak of questions by the numbers of the whole lab; where the mark scheme counts those of a follow-up sheet, the
// notes say so.
func TestNotesOfFollowUp(t *testing.T) {
	l, err := labs.Load("archimedes/hover")
	if err != nil {
		t.Fatal(err)
	}
	s := makeSet(t, l, func(o *MakeOptions) {
		o.Roster = crew(2)
		o.Questions = map[string][]string{"p01": {"why"}}
	})
	for i, want := range []string{"Notes, with the question numbers of the whole lab", "Notes"} {
		w, err := newRenderer(l, s.Set).writer(s.Set.Sheets[i])
		if err != nil {
			t.Fatal(err)
		}
		notes, err := w.notes()
		if err != nil {
			t.Fatal(err)
		}
		h, ok := notes[0].(page.Heading)
		if !ok || len(h.Text) != 1 || h.Text[0].(page.Text).S != want {
			t.Errorf("sheet %d: the notes begin with %v, want the heading %q", i, notes[0], want)
		}
	}
}

func TestOverUnit(t *testing.T) {
	for unit, want := range map[string]string{"N": " / N", "N·cm": " / N·cm", "N/m": " / (N/m)", "kg/m³": " / (kg/m³)"} {
		if got := overUnit(unit); got != want {
			t.Errorf("%s: %q, want %q", unit, got, want)
		}
	}
}
