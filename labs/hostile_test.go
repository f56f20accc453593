package labs

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// many joins n texts, each made from its number.
func many(n int, text func(i int) string) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(text(i))
	}
	return b.String()
}

// times is a text n times over; it keeps the tables below short.
func times(n int, text string) string { return strings.Repeat(text, n) }

const (
	plainHead = "title: A\ntopic: balance\nlevel: core\nminutes: 5\ncautions: [a]\n"
	numeric   = "answer: W/m\nunit: N/kg"
)

// hostile are templates that ask for more than a lab may hold. Each is refused at the place given; want is part of why.
var hostile = map[string]struct {
	head, values, body string
	line, col          int
	want               string
}{
	"bytes":            {body: times(maxSource/2, "x\n"), line: 1, col: 1, want: "largest template"},
	"quotes on a line": {body: "\n" + times(8000, ">"), line: 13, col: 1, want: "longest line"},
	"brackets of YAML": {head: plainHead + "aims: " + times(200, "[") + times(200, "]") + "\n", line: 7, col: 19, want: "nested more than 12 deep"},
	"brackets, open":   {head: plainHead + "aims: " + times(2000, "[") + "\n", line: 9, col: 4, want: "a bracket of YAML is not closed"},
	"lists on a line":  {head: plainHead + "aims:\n  " + times(2000, "- ") + "x\n", line: 8, col: 27, want: "nested more than 12 deep"},
	"aliases":          {head: plainHead + "aims: &a [x, x]\nkit: &b [*a, *a]\n", line: 7, col: 7, want: "anchors and aliases"},
	"a paragraph":      {body: "\n" + times(9, times(1000, "[")+"\n"), line: 13, col: 1, want: "8192 bytes without an empty line"},
	"a text of YAML":   {head: plainHead + "aims:\n  - |\n" + times(9, "    "+times(1000, "*")+"\n"), line: 8, col: 5, want: "longest text"},
	"a wide table":     {body: times(51, "|"), line: 12, col: 1, want: "51 bars"},
	"values":           {values: many(250, func(i int) string { return fmt.Sprintf("  v%d: {const: 1 N}\n", i) }), line: 108, col: 3, want: "at most 100 values"},
	"a list":           {head: plainHead + "kit: [" + times(201, "x, ") + "]\n", line: 7, col: 607, want: "kit holds at most 200, and there are 201"},
	"questions":        {body: many(41, func(i int) string { return ask(fmt.Sprint("q", i), numeric) + "\n" }), line: 252, col: 4, want: "at most 40 questions"},
	"blocks":           {body: times(99, "```teacher\nx\n```\n\n"), line: 252, col: 4, want: "at most 60 blocks"},
	"drawings":         {body: times(99, "```grid\nx: 0 N .. 1 N\ny: 0 N .. 1 N\n```\n\n"), line: 72, col: 4, want: "at most 12 plots, grids and figures"},
	"images":           {body: times(99, "*![x](a.png)*\n\n"), line: 36, col: 1, want: "at most 12 images"},
	"networks": {body: many(11, func(i int) string {
		return fmt.Sprintf("```network N%d\nB: battery a 0 9 V\nR: resistor a 0 1 ohm\n```\n\n", i)
	}), line: 62, col: 4, want: "at most 10 networks"},
	"elements":                      {body: "```network N\n" + many(51, func(i int) string { return fmt.Sprintf("R%d: resistor a 0 1 ohm\n", i) }) + "```\n", line: 63, col: 1, want: "at most 50 elements"},
	"mistakes":                      {body: ask("q", numeric+"\nmistakes:\n"+times(21, "  - {value: 2*W, why: no}\n")), line: 37, col: 5, want: "at most 20 mistakes"},
	"parts of a figure":             {body: "```figure beam\npivot: 1 m\nload: [" + times(17, "W, ") + "]\nat: [1 m]\n```\n", line: 14, col: 56, want: "load holds at most 16"},
	"steps of an answer":            {body: ask("q", "answer: W/m"+times(15, " + W/m")+"\nunit: N/kg"), line: 14, col: 9, want: "an answer of 63 names, numbers and operations"},
	"steps of a mistake":            {body: ask("q", numeric+"\nmistakes: [{value: W"+times(30, "+W")+", why: no}]"), line: 16, col: 20, want: "a mistake of 61 names"},
	"characters of a formula":       {values: "+  x: {calc: W" + times(1100, "+W") + ", show: 1 N}\n", line: 10, col: 13, want: "at most 2048"},
	"brackets of a formula":         {values: "+  x: {calc: " + times(500, "(") + "W" + times(500, ")") + ", show: 1 N}\n", line: 10, col: 113, want: "nested more than 100 deep"},
	"signs of a formula":            {values: "+  x: {calc: " + times(500, "-") + "W, show: 1 N}\n", line: 10, col: 113, want: "nested more than 100 deep"},
	"a number":                      {values: "+  x: {const: 1e999 N}\n", line: 10, col: 14, want: "1e999 is too large"},
	"a number in its unit":          {values: "+  x: {const: 1e308 kN}\n", line: 10, col: 14, want: "1e308 kN is too large"},
	"a power of a unit":             {values: "+  x: {const: 1 m^999999}\n", line: 10, col: 16, want: "from -12 to 12"},
	"an overflowing power":          {values: "+  x: {const: 1 m^99999999999999999999}\n", line: 10, col: 16, want: "from -12 to 12"},
	"a step too fine":               {values: "+  x: {from: 0 N, to: 1 N, step: 1e-15 N}\n", line: 10, col: 33, want: "more than 1000000 steps"},
	"a step that vanishes":          {values: "+  x: {from: 0 N, to: 0 N, step: 1e-323 mN}\n", line: 10, col: 33, want: "more than 1000000 steps"},
	"ends without end":              {values: "+  x: {from: 1 kN, to: 1e308 kN, step: 1 kN}\n", line: 10, col: 23, want: "too large"},
	"a series":                      {values: "+  x: {series: 0 N .. 1e300 N step 1 N}\n", line: 10, col: 15, want: "at most 200"},
	"rows":                          {values: "+  x: {measure: a, division: 1 N, expect: W, rows: 99999999999999999999}\n", body: "+```readings r\ncolumns: [x]\n```\n\n" + ask("q", numeric), line: 10, col: 51, want: "from 2 to 40"},
	"marks":                         {body: ask("q", numeric+"\nmarks: 99999999999999999999"), line: 16, col: 8, want: "from 0 to 100"},
	"figures":                       {body: ask("q", numeric+"\nsf: 99999999999999999999"), line: 16, col: 5, want: "from 1 to 12"},
	"choices":                       {body: ask("q", "answer: 1\nchoices: ["+many(27, func(i int) string { return fmt.Sprint("c", i, ", ") })+"]"), line: 15, col: 1, want: "2 to 26 choices"},
	"uncertainty of an uncertainty": {values: "+  L: {measure: a, division: 1 N, expect: W, rows: 9}\n", body: "+```readings r\ncolumns: [L]\n```\n\n" + ask("a", "answer: mean(L)\nunit: N") + ask("b", "answer: u(a)\nunit: N") + ask("c", "answer: u(b)\nunit: N"), line: 31, col: 9, want: "follows from an uncertainty itself"},
	"space":                         {body: ask("q", numeric+"\nspace: 1e308 km"), line: 16, col: 8, want: "a height on the page"},
}

// TestHostile: what asks for too much is refused where it does, and before it is done.
func TestHostile(t *testing.T) {
	for name, c := range hostile {
		t.Run(name, func(t *testing.T) {
			_, err := Parse("x.md", []byte(template(c.head, c.values, c.body)))
			var faults Errors
			if !errors.As(err, &faults) {
				t.Fatalf("no fault found: %v", err)
			}
			for _, f := range faults {
				if f.Line == c.line && (f.Col == c.col || c.col == 0) && strings.Contains(f.Err.Error(), c.want) {
					return
				}
			}
			t.Errorf("want %d:%d %q; got\n%.2000v", c.line, c.col, c.want, err)
		})
	}
}

// TestShortTelling: however long the line at fault, what is told of it fits a screen.
func TestShortTelling(t *testing.T) {
	_, err := Parse("x.md", []byte(template("", "+  x: {calc: "+times(1000, "(")+"W, show: 1 N}\n", "")))
	if err == nil || len(err.Error()) > 600 {
		t.Errorf("%d bytes: %.1000v", len(fmt.Sprint(err)), err)
	}
}

// TestAllowed: what is just within the bounds is read.
func TestAllowed(t *testing.T) {
	for name, source := range map[string]string{
		"questions":  template("", "", "{{W}} {{m}}\n\n"+many(maxQuestions, func(i int) string { return ask(fmt.Sprint("q", i), numeric) + "\n" })),
		"steps":      template("", "", "{{W}} {{m}}\n\n"+ask("q", "answer: W/m"+times(14, "+W/m")+"\nunit: N/kg")),
		"a list":     template(plainHead+"kit: ["+times(maxItems-1, "x, ")+"x]\n", "", ""),
		"a grid":     template("", "+  x: {from: 0 N, to: 1 N, step: 1e-6 N}\n", ""),
		"a line":     template("", "", "+"+times(maxLine-1, "x")+"\n\n"+ask("q", numeric)),
		"line ends":  strings.ReplaceAll(template("", "", ""), "\n", "\r\n"),
		"a mark":     "\uFEFF" + template("", "", ""),
		"no newline": strings.TrimRight(template("", "", ""), "\n"),
	} {
		if _, err := Parse("x.md", []byte(source)); err != nil {
			t.Errorf("%s: %.500v", name, err)
		}
	}
}

// TestReadFile: what is no file of the size allowed is refused without being read.
func TestReadFile(t *testing.T) {
	dir := t.TempDir()
	file := func(name string, size int64) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Truncate(path, size); err != nil { // holes: nothing is written
			t.Fatal(err)
		}
		return path
	}
	if data, err := ReadFile(file("fits", 10), 10); err != nil || len(data) != 10 {
		t.Errorf("a file that fits: %d bytes, %v", len(data), err)
	}
	for path, want := range map[string]string{
		file("large", 100<<20):       "104857600 bytes, and at most 10 are read",
		dir:                          "a folder",
		filepath.Join(dir, "nobody"): "nobody",
		os.DevNull:                   "a pipe or a device",
	} {
		if _, err := ReadFile(path, 10); err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: %v, want %q", path, err, want)
		}
	}
}
