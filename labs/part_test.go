package labs

import (
	"slices"
	"strings"
	"testing"

	"github.com/yuin/goldmark/ast"
)

// outlineOf names what stays of a lab's body: headings, paragraphs by their first word, lists, and blocks with the columns
// that are left.
func outlineOf(l *Lab, p *Part) string {
	var out []string
	for n := l.Body.FirstChild(); n != nil; n = n.NextSibling() {
		b := l.Blocks[n]
		switch {
		case p.Omits(n):
		case b == nil:
			text := string(n.Lines().Value(l.BodySource))
			if n.Kind() == ast.KindList {
				text = "list"
			}
			word, _, _ := strings.Cut(text, " ")
			out = append(out, strings.TrimSpace(word))
		case b.Readings != nil:
			var columns []string
			for _, v := range p.Columns(b.Readings) {
				columns = append(columns, v.Name)
			}
			out = append(out, "readings("+strings.Join(columns, " ")+")")
		case b.Question != nil:
			out = append(out, b.Question.ID+"?")
		case b.Network == nil && b.Teacher == "":
			out = append(out, b.Kind)
		}
	}
	return strings.Join(out, " ")
}

// A part keeps the tables, figures and sections that its questions use, and no others.
func TestPart(t *testing.T) {
	for _, c := range []struct{ lab, questions, want string }{
		// Nothing is read for the lamp: no method, no table, no graph paper.
		{"circuits/straight-line", "times", "The figure Questions R_l? times?"},
		{"circuits/straight-line", "R", "The figure Method list readings(I V) grid Questions R?"},
		// Lines to be drawn "that still fit your points": a question without a formula goes with the one before it.
		{"circuits/straight-line", "u_R", "The figure Method list readings(I V) grid Questions u_R?"},
		{"circuits/straight-line", "why", "The figure Questions why?"},
		// Receipts alone, not six masses, volumes and positions; the heading of questions that are not there goes.
		{"craft/own-craft", "money", "This Method list readings(cost) Predict money?"},
		{"craft/own-craft", "v_m", "This Method list readings(t_run) Measured v_m?"},
		{"craft/own-craft", "agree", "This Method list readings(m V) readings(F_b) Predict m_t? F_p? Measured agree?"},
		// Printed depths stay beside the readings; "Fully under water, the meter reads" goes with what it leads up to.
		{"archimedes/lowering", "k", "A figure Method list readings(z F) Plot grid Questions k?"},
		{"archimedes/lowering", "H", "A figure Method list readings(z F) Fully readings(F_deep) Plot grid Questions k? W? H?"},
		{"archimedes/lowering", "why", "A figure Questions why?"},
		// The plot is read, though its points are in no formula; the figure shows air squeezed by the same pressure.
		{"archimedes/squeezed-air", "read", "A plot figure Method list Questions read?"},
		// A figure of what is not asked for goes.
		{"archimedes/hover", "why", "The Method list A why?"},
		{"balance/see-saw", "P", "The figure Questions P?"},
		{"balance/plate", "off", "The figure Method list readings(x_m y_m) Questions A? x_2? x_G? off?"},
		{"circuits/two-loops", "P_3", "For figure At Method list Questions V? I_3? P_3?"},
	} {
		l, err := Load(c.lab)
		if err != nil {
			t.Fatal(err)
		}
		var asked []string
		for _, id := range strings.Fields(c.questions) {
			for _, earlier := range l.Question(id).Follows() {
				asked = append(asked, earlier.ID)
			}
			asked = append(asked, id)
		}
		got := outlineOf(l, l.Part(func(q *Question) bool { return slices.Contains(asked, q.ID) }))
		if got != c.want {
			t.Errorf("%s, %s:\n got %s\nwant %s", c.lab, c.questions, got, c.want)
		}
	}
}

// Of the paragraphs before a question that is left out, only words that it ends go with it.
func TestPartLeadsUp(t *testing.T) {
	for before, stays := range map[string]bool{
		"Now the meter reads":               false,
		"**Then read:**":                    false,
		"A whole sentence stays.":           true,
		"(So does one in brackets.)":        true,
		"$$F = \\rho g V$$":                 true,
		"![the gate, from below](gate.png)": true,
		"The load {{W}} hangs from":         true, // needed
	} {
		l, err := Parse("float.md", []byte("---\ntitle: A float\ntopic: archimedes\nlevel: core\nminutes: 20\naims: [Weigh it.]\ncautions: [Wipe spills.]\n"+
			"values:\n  W: {from: 1 N, to: 9 N, step: 0.1 N}\n  U: {from: 1 N, to: 9 N, step: 0.1 N}\n---\n\nIts upthrust is {{U}}.\n\n"+before+
			"\n\n```question a\nask: '?'\nanswer: 2*U\nunit: N\nmarks: 1\n```\n\nWeight: {{W}}.\n\n```question b\nask: '?'\nanswer: 2*W\nunit: N\nmarks: 1\n```\n"))
		if err != nil {
			t.Fatal(err)
		}
		p := l.Part(func(q *Question) bool { return q.ID == "b" })
		if n := l.Body.FirstChild().NextSibling(); p.Omits(n) == stays {
			t.Errorf("%s: left out %v, want %v", before, p.Omits(n), !stays)
		}
	}
}

// Whatever questions are asked, what they need to be answered stays: every reading that their answers follow from, and
// with all of them the whole lab.
func TestPartIsEnough(t *testing.T) {
	for _, name := range Names() {
		l, err := Load(name)
		if err != nil {
			t.Fatal(err)
		}
		if all, whole := outlineOf(l, l.Part(func(*Question) bool { return true })), outlineOf(l, nil); all != whole {
			t.Errorf("%s with all its questions:\n got %s\nwant %s", name, all, whole)
		}
		for _, q := range l.Questions {
			p := l.Part(func(other *Question) bool { return other == q || slices.Contains(q.Follows(), other) })
			for _, v := range q.bench {
				if !p.Reads(v) || !strings.Contains(outlineOf(l, p), v.Name) {
					t.Errorf("%s: question %s has no room for the reading %s", name, q.ID, v.Name)
				}
			}
		}
	}
}
