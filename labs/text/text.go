// Package text is the Markdown dialect of the labs: CommonMark with tables, parsed by goldmark, and two inline nodes of
// our own, {{…}} for a value or formula and $…$ (or $$…$$) for a formula in TeX notation. Labs, sheets, slips and
// reports are all written in it. It parses only; what a node looks like on paper is the press's affair.
package text

import (
	"github.com/yuin/goldmark/ast"
)

// CONTRACT (stubs): owned by the developer of package labs.

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

func (n *Placeholder) Kind() ast.NodeKind            { return KindPlaceholder }
func (n *Placeholder) Dump(source []byte, level int) { ast.DumpHelper(n, source, level, nil, nil) }

// Formula is $TeX$, or $$TeX$$ when Display; Offset is the byte offset of TeX in the document.
type Formula struct {
	ast.BaseInline
	TeX     string
	Display bool
	Offset  int
}

func (n *Formula) Kind() ast.NodeKind            { return KindFormula }
func (n *Formula) Dump(source []byte, level int) { ast.DumpHelper(n, source, level, nil, nil) }

// Parse parses a document.
func Parse(source []byte) ast.Node { panic("contract") }
