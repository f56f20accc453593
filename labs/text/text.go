// Package text is the Markdown dialect of the labs: CommonMark with tables, parsed by goldmark, and two inline nodes of
// our own, {{…}} for a value or formula and $…$ (or $$…$$) for a formula in TeX notation. Labs, sheets, slips and
// reports are all written in it. It parses only; what a node looks like on paper is the press's affair. Start with
// [Parse].
package text

import (
	"bytes"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// KindPlaceholder and KindFormula are the node kinds.
var (
	KindPlaceholder = ast.NewNodeKind("Placeholder")
	KindFormula     = ast.NewNodeKind("Formula")
)

// Placeholder is {{Source}}; Offset is the byte offset of Source in the document.
type Placeholder struct {
	ast.BaseInline
	Source string
	Offset int
}

// Kind implements ast.Node.
func (n *Placeholder) Kind() ast.NodeKind { return KindPlaceholder }

// Dump implements ast.Node.
func (n *Placeholder) Dump(source []byte, level int) {
	ast.DumpHelper(n, source, level, map[string]string{"Source": n.Source}, nil)
}

// Formula is $TeX$, or $$TeX$$ when Display; Offset is the byte offset of TeX in the document.
type Formula struct {
	ast.BaseInline
	TeX     string
	Display bool
	Offset  int
}

// Kind implements ast.Node.
func (n *Formula) Kind() ast.NodeKind { return KindFormula }

// Dump implements ast.Node.
func (n *Formula) Dump(source []byte, level int) {
	ast.DumpHelper(n, source, level, map[string]string{"TeX": n.TeX}, nil)
}

var dialect = goldmark.New(
	goldmark.WithExtensions(extension.Table),
	goldmark.WithParserOptions(parser.WithInlineParsers(
		util.Prioritized(placeholders{}, 90), // before code spans (100) and links (200)
		util.Prioritized(formulas{}, 95),
	)),
)

// Parse parses a document. Any text is a document; Parse never fails.
func Parse(source []byte) ast.Node {
	return dialect.Parser().Parse(text.NewReader(source))
}

// placeholders reads {{…}} on one line. Without a closing }} the braces stand for themselves.
type placeholders struct{}

func (placeholders) Trigger() []byte { return []byte{'{'} }

func (placeholders) Parse(_ ast.Node, block text.Reader, _ parser.Context) ast.Node {
	line, segment := block.PeekLine()
	if !bytes.HasPrefix(line, []byte("{{")) {
		return nil
	}
	end := bytes.Index(line, []byte("}}"))
	if end < 0 {
		return nil
	}
	inside := line[2:end]
	source := bytes.TrimSpace(inside)
	block.Advance(end + 2)
	return &Placeholder{Source: string(source), Offset: segment.Start + 2 + bytes.Index(inside, source)}
}

// formulas reads $…$ on one line and $$…$$ over lines of one paragraph. A $ that is followed by a space, or whose partner
// comes after a space or before a digit, is an amount of money and stands for itself.
type formulas struct{}

func (formulas) Trigger() []byte { return []byte{'$'} }

func (formulas) Parse(_ ast.Node, block text.Reader, _ parser.Context) ast.Node {
	line, segment := block.PeekLine()
	if bytes.HasPrefix(line, []byte("$$")) {
		return display(block)
	}
	for i := 1; i < len(line); i++ {
		switch {
		case line[i] == '\\':
			i++
		case line[i] == '$':
			if !formulaEnds(line, i) {
				return nil
			}
			block.Advance(i + 1)
			return &Formula{TeX: string(line[1:i]), Offset: segment.Start + 1}
		}
	}
	return nil
}

// formulaEnds reports whether the $ at line[end] closes a formula that the $ at line[0] opens.
func formulaEnds(line []byte, end int) bool {
	if end == 1 || isSpace(line[1]) || isSpace(line[end-1]) {
		return false
	}
	return end+1 >= len(line) || line[end+1] < '0' || line[end+1] > '9'
}

func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\n' }

// display reads $$…$$, which may run over several lines.
func display(block text.Reader) ast.Node {
	startLine, start := block.Position()
	_, segment := block.PeekLine()
	offset := segment.Start + 2
	block.Advance(2)
	var tex []byte
	for {
		line, _ := block.PeekLine()
		if line == nil {
			block.SetPosition(startLine, start)
			return nil
		}
		if end := bytes.Index(line, []byte("$$")); end >= 0 {
			block.Advance(end + 2)
			return &Formula{TeX: string(append(tex, line[:end]...)), Display: true, Offset: offset}
		}
		tex = append(tex, line...)
		block.AdvanceLine()
	}
}
