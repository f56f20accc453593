package labs

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"keelmark/labs/formula"
)

// maxDepth is how deep lists and mappings may be nested; a lab needs four.
const maxDepth = 12

const quoteAdvice = "put the whole value in single quotes, or write each key on a line of its own"

// document is one piece of YAML within the template: the head, or the inside of a block. All its scalars are text.
type document struct {
	*faults
	lines  []string // of the piece
	first  int      // line of the file at which the piece starts
	indent []int    // characters of the file's line before the piece's, by line; nil: none
}

// place turns a position within the piece into one of the file.
func (d *document) place(line, col int) Place {
	if line >= 1 && line <= len(d.indent) {
		col += d.indent[line-1]
	}
	return Place{d.first + line - 1, max(col, 1)}
}

func (d *document) node(n *yaml.Node) Place { return d.place(n.Line, n.Column) }

// parse reads the piece and returns its root; nil when there is nothing in it, or after a fault, which it notes.
func (d *document) parse(text string) *yaml.Node {
	d.lines = strings.Split(text, "\n")
	var root yaml.Node
	if err := yaml.Unmarshal([]byte(text), &root); err != nil {
		d.syntax(err)
		return nil
	}
	for i, line := range d.lines {
		if line == "---" || line == "..." || strings.HasPrefix(line, "--- ") || strings.HasPrefix(line, "%") {
			d.at(d.place(i+1, 1), "%q: a block holds one piece of YAML, without markers", line)
			return nil
		}
	}
	if len(root.Content) == 0 {
		return nil
	}
	before := len(d.all)
	d.strict(root.Content[0], 0, false)
	if len(d.all) > before {
		return nil
	}
	return root.Content[0]
}

// syntax notes an error of the YAML reader, with the advice that helps.
func (d *document) syntax(err error) {
	p, msg := d.place(1, 1), err.Error()
	var load *yaml.LoadError
	if errors.As(err, &load) {
		msg = load.Message
		if load.Mark.Line > 0 {
			line := min(load.Mark.Line, len(d.lines))
			p = d.place(line, max(load.Mark.Column, 1))
			if advice, at := d.advice(line, load.ContextMark.Line, msg); advice != "" {
				if msg = advice; at > 0 {
					p = d.place(line, at)
				}
			}
		}
	}
	d.at(p, "%s", msg)
}

// advice says what to do about a line that YAML cannot read, "" when it is not one of the usual cases; at is the column of
// the fault where that is known better than YAML does, else 0.
func (d *document) advice(line, context int, msg string) (advice string, at int) {
	for _, n := range []int{line, context} {
		if n < 1 || n > len(d.lines) {
			continue
		}
		text := d.lines[n-1]
		key, value, found := strings.Cut(strings.TrimLeft(text, " -"), ": ")
		if !found {
			key, value = "", strings.TrimLeft(text, " -")
		}
		value = strings.TrimSpace(value)
		switch {
		case strings.Contains(text, "\t") && strings.Contains(msg, "start any token"):
			return "YAML is indented with spaces, not tabs", 0
		case value == "":
		case strings.HasPrefix(value, "{{"):
			return fmt.Sprintf("the value of %s opens with {{, which YAML takes for a mapping: %s", key, quoteAdvice), columnOf(text, "{{", n == line)
		case strings.Contains("@`%*&!|>", value[:1]):
			return fmt.Sprintf("the value opens with %s, which has a meaning in YAML: %s", value[:1], quoteAdvice), 0
		case strings.Contains(value, ": ") && !strings.HasPrefix(value, "{"):
			return fmt.Sprintf("the value of %s holds \": \", which YAML takes for another key: %s", key, quoteAdvice), 0
		}
	}
	switch {
	case strings.Contains(msg, "',' or '}'"), strings.Contains(msg, "',' or ']'"):
		return "a bracket of YAML is not closed, or a value within it holds one: " + quoteAdvice, 0
	case strings.Contains(msg, "anchor"):
		return "anchors and aliases are refused: " + quoteAdvice, 0
	}
	return "", 0
}

// columnOf is the column of part in text, from 1; 0 when that is not the line to point at.
func columnOf(text, part string, here bool) int {
	if !here {
		return 0
	}
	return utf8.RuneCountInString(text[:strings.Index(text, part)]) + 1
}

// strict notes everything that a template may not hold: tags, anchors, aliases, merge keys, too deep a nest, and formulas
// that YAML has cut at a comma.
func (d *document) strict(n *yaml.Node, depth int, flow bool) {
	switch {
	case depth > maxDepth:
		d.at(d.node(n), "lists and mappings are nested more than %d deep", maxDepth)
		return
	case n.Kind == yaml.AliasNode || n.Anchor != "":
		d.at(d.node(n), "anchors and aliases (& and *) are refused: write the value out, or %s", quoteAdvice)
		return
	case n.Style&yaml.TaggedStyle != 0:
		d.at(d.node(n), "a value that opens with ! is a tag of YAML, which is refused: %s", quoteAdvice)
		return
	}
	if plain := n.Kind == yaml.ScalarNode && n.Style&^yaml.FlowStyle == 0; plain && flow && unclosed(n.Value) {
		d.at(d.node(n), "%.60q: inside { } and [ ] YAML cuts a value at its commas: %s", n.Value, quoteAdvice)
		return
	}
	flow = flow || n.Style&yaml.FlowStyle != 0
	for i, c := range n.Content {
		if n.Kind == yaml.MappingNode && i%2 == 0 && c.Value == "<<" {
			d.at(d.node(c), "merge keys (<<) are refused: write the keys out")
			return
		}
		before := len(d.all)
		if d.strict(c, depth+1, flow); len(d.all) > before {
			return // what follows a formula cut in two is noise
		}
	}
}

// unclosed reports a bracket that is opened and not closed.
func unclosed(s string) bool {
	return strings.Count(s, "(") > strings.Count(s, ")") || strings.Count(s, "[") > strings.Count(s, "]")
}

// scalar is a text of the template that knows where it stands.
type scalar struct {
	text string
	at   func(offset int) Place // of a character of text, from 0
	cut  bool                   // a comment follows on the line: # may have cut the text short
}

// place is where the text begins.
func (s scalar) place() Place { return s.at(0) }

// scalar gives the text of a node; ok is false, and a fault is noted, for a list or a mapping.
func (d *document) scalar(n *yaml.Node, what string) (s scalar, ok bool) {
	if n.Kind == yaml.MappingNode && len(n.Content) == 2 && n.Style&yaml.FlowStyle == 0 && n.Content[0].Line == n.Content[1].Line {
		d.at(d.node(n.Content[1]), "this text holds \": \", which YAML takes for a key and its value: %s", quoteAdvice)
		return s, false
	}
	if n.Kind != yaml.ScalarNode {
		d.at(d.node(n), "%s is one value here, not a list or a mapping", what)
		return s, false
	}
	if len(n.Value) > maxRun {
		d.at(d.node(n), "%s has %d bytes, more than the %d of the longest text read", what, len(n.Value), maxRun)
		return s, false
	}
	s = scalar{text: n.Value, at: func(offset int) Place { return d.within(n, offset) }, cut: n.LineComment != ""}
	if strings.TrimSpace(s.text) == "" {
		d.at(d.node(n), "%s needs a value", what)
		return s, false
	}
	return s, true
}

// within is the place of a character of a scalar, exact but in folded and escaped ones.
func (d *document) within(n *yaml.Node, offset int) Place {
	switch {
	case n.Style&yaml.LiteralStyle != 0:
		before := string([]rune(n.Value)[:min(offset, utf8.RuneCountInString(n.Value))])
		line := n.Line + 1 + strings.Count(before, "\n")
		column := utf8.RuneCountInString(before[strings.LastIndex(before, "\n")+1:])
		return d.place(line, d.literalIndent(n)+column+1)
	case n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0:
		offset++
	}
	return d.place(n.Line, n.Column+offset)
}

// literalIndent is the indentation of a literal scalar's first line that is not empty.
func (d *document) literalIndent(n *yaml.Node) int {
	for _, line := range d.lines[min(n.Line, len(d.lines)):] {
		if trimmed := strings.TrimLeft(line, " "); trimmed != "" {
			return len(line) - len(trimmed)
		}
	}
	return 0
}

// fields is a mapping whose keys have been checked.
type fields struct {
	doc   *document
	place Place
	keys  []string // as written
	nodes map[string]*yaml.Node
	names map[string]Place // of the keys
}

// fields reads a mapping. A key that is not among known (nil: any), or occurs twice, is noted and left out. ok is false
// when n is no mapping.
func (d *document) fields(n *yaml.Node, what string, known []string) (f fields, ok bool) {
	f = fields{doc: d, place: d.place(1, 1), nodes: map[string]*yaml.Node{}, names: map[string]Place{}}
	if n == nil {
		return f, true
	}
	f.place = d.node(n)
	if n.Kind != yaml.MappingNode {
		d.at(f.place, "%s is made of keys and values here, such as `key: value`", what)
		return f, false
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if len(d.all) >= maxFaults {
			return f, false
		}
		switch _, twice := f.nodes[k.Value]; {
		case k.Kind != yaml.ScalarNode:
			d.at(d.node(k), "a key is one word")
		case twice:
			d.at(d.node(k), "the key %.60s is here twice", k.Value)
		case known != nil && !slices.Contains(known, k.Value):
			d.at(d.node(k), "%s has no key %.60q%s%s", what, k.Value, formula.DidYouMean(k.Value, slices.Clone(known)), cutKey(k, v))
		default:
			f.keys = append(f.keys, k.Value)
			f.nodes[k.Value] = v
			f.names[k.Value] = d.node(k)
		}
	}
	return f, true
}

// cutKey adds the advice for a piece of a formula or text that YAML took for a key of its own.
func cutKey(k, v *yaml.Node) string {
	if v.Kind == yaml.ScalarNode && v.Value == "" && v.Line == k.Line {
		return "; inside { } YAML cuts a value at its commas: " + quoteAdvice
	}
	return ""
}

func (f fields) has(key string) bool { return f.nodes[key] != nil }

// text gives the scalar of a key; ok is false when the key is missing, or, after a fault, no scalar.
func (f fields) text(key string) (s scalar, ok bool) {
	if n := f.nodes[key]; n != nil {
		return f.doc.scalar(n, key)
	}
	return s, false
}

// list gives the scalars of a key that holds a list, at most maxItems; one value stands for a list of one.
func (f fields) list(key string) []scalar { return f.atMost(maxItems, key) }

// atMost is list with a bound of its own. A longer list is noted and gives none.
func (f fields) atMost(most int, key string) (all []scalar) {
	n := f.nodes[key]
	if n == nil {
		return nil
	}
	items := n.Content
	switch n.Kind {
	case yaml.ScalarNode:
		items = []*yaml.Node{n}
	case yaml.MappingNode:
		f.doc.at(f.doc.node(n), "%s is a list", key)
		return nil
	}
	if len(items) > most {
		f.doc.at(f.doc.node(items[most]), "%s holds at most %d, and there are %d", key, most, len(items))
		return nil
	}
	for _, item := range items {
		if s, ok := f.doc.scalar(item, key); ok {
			all = append(all, s)
		}
	}
	return all
}

// texts gives the text of scalars.
func texts(scalars []scalar) []string {
	all := make([]string, len(scalars))
	for i, s := range scalars {
		all[i] = s.text
	}
	return all
}

// whole gives a whole number from low to high, otherwise when the key is missing.
func (f fields) whole(key string, low, high, otherwise int) int {
	s, ok := f.text(key)
	if !ok {
		return otherwise
	}
	n, err := parseWhole(s.text)
	if err != nil || n < low || n > high {
		f.doc.at(s.place(), "%s is a whole number from %d to %d, not %.60q", key, low, high, s.text)
		return otherwise
	}
	return n
}

// flag gives true or false; a missing key is false.
func (f fields) flag(key string) bool {
	s, ok := f.text(key)
	switch {
	case !ok, s.text == "false", s.text == "no":
		return false
	case s.text == "true", s.text == "yes":
		return true
	}
	f.doc.at(s.place(), "%s is true or false, not %.60q", key, s.text)
	return false
}

// word gives one of the words allowed, "" when the key is missing or after a fault.
func (f fields) word(key string, allowed []string) string {
	s, ok := f.text(key)
	if !ok {
		return ""
	}
	if !slices.Contains(allowed, s.text) {
		f.doc.at(s.place(), "%s is one of %s, not %.60q%s", key, strings.Join(allowed, ", "), s.text, formula.DidYouMean(s.text, slices.Clone(allowed)))
		return ""
	}
	return s.text
}

// require notes each key that is missing.
func (f fields) require(what string, keys ...string) {
	for _, key := range keys {
		if !f.has(key) {
			f.doc.at(f.place, "%s has no %s", what, key)
		}
	}
}
