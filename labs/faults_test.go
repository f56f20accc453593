package labs

import (
	"errors"
	"strings"
	"testing"
	"unicode/utf8"
)

// template builds a small lab from its parts; an empty part stands for one that is well.
func template(head, values, body string) string {
	if head == "" {
		head = "title: A test\ntopic: balance\nlevel: core\nminutes: 10\ncautions: [Dry hands.]\n"
	}
	if values == "" {
		values = "  W: {from: 1 N, to: 5 N, step: 0.1 N}\n  m: {const: 2 kg}\n"
	}
	if body == "" {
		body = "Weight {{W}}, mass {{m}}.\n\n" + ask("q", "answer: W/m\nunit: N/kg")
	}
	if strings.HasPrefix(values, "+") {
		values = "  W: {from: 1 N, to: 5 N, step: 0.1 N}\n  m: {const: 2 kg}\n" + values[1:]
	}
	if strings.HasPrefix(body, "+") {
		body = "Weight {{W}}, mass {{m}}.\n\n" + body[1:]
	}
	return "---\n" + head + "values:\n" + values + "---\n\n" + body
}

// ask is a question block.
func ask(id, rest string) string { return "```question " + id + "\nask: What?\n" + rest + "\n```\n" }

// marked are templates that mark their own fault: ‸ stands before the character that the error must point at.
var marked = map[string]struct{ head, values, body, want string }{
	"dimension in a question": {body: "+" + ask("q", "answer: W ‸- m\nunit: N"), want: "cannot subtract N - kg"},
	"dimension in quotes":     {body: "+" + ask("q", "answer: 'W ‸- m'\nunit: N"), want: "cannot subtract"},
	"dimension in a literal":  {body: "+" + ask("q", "answer: |\n   W ‸- m\nunit: N"), want: "cannot subtract"},
	"dimension in the head":   {values: "+  x: {calc: W ‸+ m, show: 1 N}\n", want: "cannot add N + kg"},
	"dimension in a fence that is indented": {
		body: "+1. item\n\n   ```question q\n   ask: What?\n   answer: W ‸- m\n   unit: N\n   ```\n", want: "cannot subtract"},
	"space":                  {body: "+" + ask("q", "answer: W/m\nunit: N/kg\nspace: ‸30 N"), want: "such as 30 mm, or 30 mm ruled"},
	"space of some kind":     {body: "+" + ask("q", "answer: W/m\nunit: N/kg\nspace: ‸30 mm squared"), want: "such as 30 mm, or 30 mm ruled"},
	"unknown name":           {body: "+" + ask("q", "answer: W/‸mass\nunit: N/kg"), want: "unknown name mass"},
	"unknown key in head":    {head: "title: A\ntopic: balance\nlevel: core\nminutes: 5\ncautions: [a]\n‸caution: b\n", want: "did you mean cautions?"},
	"unknown key":            {body: "+" + ask("q", "answer: W/m\nunit: N/kg\n‸mark: 2"), want: "did you mean marks?"},
	"unknown topic":          {head: "title: A\ntopic: ‸balanse\nlevel: core\nminutes: 5\ncautions: [a]\n", want: "did you mean balance?"},
	"no cautions":            {head: "‸title: A\ntopic: balance\nlevel: core\nminutes: 5\n", want: "no cautions"},
	"cautions without one":   {head: "title: A\ntopic: balance\nlevel: core\nminutes: 5\n‸cautions: []\n", want: "cautions is empty"},
	"minutes":                {head: "title: A\ntopic: balance\nlevel: core\nminutes: ‸ten\ncautions: [a]\n", want: "whole number from 1"},
	"comma in braces":        {values: "+  x: {calc: ‸max(W, 2 N), show: 1 N}\n", want: "cuts a value at its commas"},
	"comma in a text":        {values: "+  x: {const: 1 N, what: the force, ‸all of it}\n", want: "cuts a value at its commas"},
	"opens with {{":          {body: "```question q\nask: ‸{{W}} is what?\nby_hand: 1\n```\n", want: "opens with {{"},
	"colon":                  {body: "```question q\nask: One thing‸: what?\nby_hand: 1\n```\n", want: `holds ": "`},
	"colon in a list":        {body: "+```tick q\nitems:\n  - first: ‸then\n```\n", want: `holds ": "`},
	"tag":                    {body: "```question q\nask: ‸!x what?\nby_hand: 1\n```\n", want: "tag of YAML"},
	"anchor":                 {body: "```question q\nask: ‸&x what?\nby_hand: 1\n```\n", want: "anchors"},
	"cut by a comment":       {body: "+" + ask("q", "answer: ‸(W  # weight\nunit: N"), want: "if # belongs to the formula"},
	"twice":                  {values: "+  ‸W: {const: 1 N}\n", want: "here twice"},
	"twice, a question":      {body: "+```‸question W\nask: What?\nanswer: m\nunit: kg\n```\n", want: "already declared"},
	"circle":                 {values: "+  ‸a: {calc: 2*b, show: 1 N}\n  b: {calc: c, show: 1 N}\n  c: {calc: a, show: 1 N}\n", want: "a → b → c → a"},
	"no source":              {values: "+  ‸a: {show: 1 N}\n", want: "where it comes from"},
	"two sources":            {values: "+  a: {const: 1 N, ‸pick: [1 N]}\n", want: "both const and pick"},
	"no show":                {values: "+  ‸a: {calc: 2*W}\n", want: "needs `show`"},
	"show, dimension":        {values: "+  a: {calc: 2*W, show: ‸1 kg}\n", want: "show is in kg"},
	"grid that misses":       {values: "+  a: {from: 1 N, to: ‸2 N, step: 0.3 N}\n", want: "whole number of steps"},
	"step of another kind":   {values: "+  a: {from: 1 N, to: 2 N, step: ‸1 g}\n", want: "step is in kg"},
	"noise":                  {values: "+  a: {calc: 2*W, show: 1 N, noise: ‸1 m}\n", want: "noise is in m"},
	"unit unknown":           {values: "+  a: {const: 1 ‸Nn}\n", want: "Nn"},
	"difference in degC":     {values: "+  T: {from: 8 degC, to: 24 degC, step: 1 degC}\n  D: {calc: T - 3 degC, show: ‸1 degC}\n", want: "show it in K"},
	"points that add":        {values: "+  T: {from: 8 degC, to: 24 degC, step: 1 degC}\n  D: {calc: T ‸+ T, show: 1 degC}\n", want: "cannot add two temperatures"},
	"series of resistors":    {values: "+  R: {pick: ‸E13 1 ohm .. 10 ohm}\n", want: "E13"},
	"pick not in the table":  {values: "+  ‸s: {pick: [brass, brasss]}\n  d: {calc: density(s), show: 1 kg/m^3}\n", want: "s cannot be brasss"},
	"hidden in an answer":    {values: "+  h: {const: 1 N, hidden: true}\n", body: "+" + ask("q", "answer: W + ‸h\nunit: N"), want: "h is hidden"},
	"hidden in a text":       {values: "+  h: {const: 1 N, hidden: true}\n", body: "+It is {{‸h}}.\n\n" + ask("q", "answer: W\nunit: N"), want: "would tell it"},
	"answer in a text":       {body: "+It is {{‸q}}.\n\n" + ask("q", "answer: W\nunit: N"), want: "is an answer"},
	"later answer":           {body: "+" + ask("a", "answer: ‸b\nunit: N") + "\n" + ask("b", "answer: W\nunit: N"), want: "later question"},
	"own answer":             {body: "+" + ask("a", "answer: 2*‸a\nunit: N"), want: "own answer"},
	"answer of some":         {body: "+" + ask("a", "answer: W\nunit: N\nlevels: [core]") + "\n" + ask("b", "answer: ‸a\nunit: N"), want: "not asked on every sheet"},
	"answer in a value":      {values: "+  x: {calc: 2*‸q, show: 1 N/kg}\n", want: "q is an answer"},
	"never shown":            {body: "Weight {{W}}.\n\n" + ask("q", "answer: W/‸m\nunit: N/kg"), want: "never shows m"},
	"unit that does not fit": {body: "+" + ask("q", "answer: W\nunit: ‸kg"), want: "cannot be given in kg"},
	"within":                 {body: "+" + ask("q", "answer: W\nunit: N\nwithin: ‸2 kg"), want: "within is in kg"},
	"answer and by hand":     {body: "+" + ask("q", "‸answer: W\nby_hand: 2"), want: "answer does not go with by_hand"},
	"choices":                {body: "+" + ask("q", "answer: ‸W\nchoices: [a, b]"), want: "number of the right one"},
	"condition":              {body: "+" + ask("q", "answer: ‸W > 1 N\nunit: N"), want: "an answer is one number"},
	"mistake":                {body: "+" + ask("q", "answer: W\nunit: N\nmistakes:\n  - {value: ‸ww, why: no}"), want: "unknown name ww"},
	"placeholder":            {body: "+Text {{W in ‸kg}}.\n\n" + ask("q", "answer: W\nunit: N"), want: "cannot be given in kg"},
	"placeholder in ask":     {body: "+```question q\nask: Is it {{‸ww}}?\nanswer: W\nunit: N\n```\n", want: "unknown name ww"},
	"placeholder in TeX":     {body: "+Text $F = {{‸W}}$.\n\n" + ask("q", "answer: W\nunit: N"), want: "within $ $"},
	"block misspelt":         {body: "+```‸qestion q\n```\n\n" + ask("q", "answer: W\nunit: N"), want: "did you mean question?"},
	"block left open":        {body: "+" + ask("q", "answer: W\nunit: N") + "```‸teacher\nLook.\n", want: "never closed"},
	"figure kind":            {body: "+```‸figure hangs\n```\n" + ask("q", "answer: W\nunit: N"), want: "did you mean hang?"},
	"figure key":             {body: "+```figure hang\nair: W\nwater: 1 N\n‸meter: 5\n```\n" + ask("q", "answer: W\nunit: N"), want: `no key "meter"`},
	"figure dimension":       {body: "+```figure hang\nair: ‸m\nwater: 1 N\n```\n" + ask("q", "answer: W\nunit: N"), want: "cannot be in kg"},
	"no readings":            {values: "+  ‸r: {measure: meter, division: 0.1 N, expect: W}\n", want: "no readings block"},
	"reading in a text":      {values: "+  r: {measure: meter, division: 0.1 N, expect: W}\n", body: "+It is {{‸r}}.\n\n```readings t\ncolumns: [r]\n```\n\n" + ask("q", "answer: r\nunit: N"), want: "read at the bench"},
	"division":               {values: "+  r: {measure: meter, division: 0.1 N, expect: ‸m}\n", body: "+```readings t\ncolumns: [r]\n```\n\n" + ask("q", "answer: r\nunit: N"), want: "reading is in N"},
	"netlist":                {body: "+```network N\nB1: battery a 0 9 V\nR1: resistor a 0 ‸W\n```\n\n" + ask("q", "answer: current(N.R1)\nunit: A"), want: "this is in N, but ohm is needed"},
	"series without a value": {values: "+  R: {pick: ‸E12 11 ohm .. 11.5 ohm}\n", want: "E12 has no value from 11 ohm .. 11.5 ohm"},
	"netlist that is used": {
		body: "+```network N\nB1: battery a 0 9 V\nR1: ‸resistr a 0 2 ohm\n```\n\n```figure circuit\nnetwork: N\n```\n\n" + ask("q", "answer: current(N.R1)\nunit: A"), want: "no kind of element"},
	"netlist line":         {body: "+```network N\nR1: ‸resistr a 0 2 ohm\n```\n\n" + ask("q", "answer: W\nunit: N"), want: "no kind of element"},
	"network part":         {body: "+```network N\nB1: battery a 0 9 V\nR1: resistor a 0 3 ohm\n```\n\n" + ask("q", "answer: ‸current(N.R2)\nunit: A"), want: "current(N.R2)"},
	"u of what is printed": {body: "+" + ask("q", "answer: ‸u(W)\nunit: N"), want: "no uncertainty"},
	"require":              {head: "title: A\ntopic: balance\nlevel: core\nminutes: 5\ncautions: [a]\nrequire: [W >‸ ]\n", want: "missing at the end"},
	"reserved id":          {body: "+```‸question name\nask: What?\nanswer: W\nunit: N\n```\n", want: "column of its own"},
}

// TestFaults: each fault is told once, where it is.
func TestFaults(t *testing.T) {
	for name, c := range marked {
		t.Run(name, func(t *testing.T) {
			source := template(c.head, c.values, c.body)
			at := strings.Index(source, "‸")
			if at < 0 {
				t.Fatal("no fault is marked")
			}
			line := strings.Count(source[:at], "\n") + 1
			col := utf8.RuneCountInString(source[strings.LastIndex(source[:at], "\n")+1:at]) + 1
			_, err := Parse("x.md", []byte(strings.Replace(source, "‸", "", 1)))
			var faults Errors
			if !errors.As(err, &faults) {
				t.Fatalf("no fault found: %v", err)
			}
			for _, f := range faults {
				if f.Line == line && f.Col == col && strings.Contains(f.Err.Error(), c.want) {
					if len(faults) > 1 {
						t.Errorf("one fault gives %d errors:\n%v", len(faults), err)
					}
					return
				}
			}
			t.Errorf("want %d:%d %q; got\n%v", line, col, c.want, err)
		})
	}
}
