package page

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	east "github.com/yuin/goldmark/extension/ast"

	"keelmark/labs/text"
)

// Fillers say what stands for the caller's own nodes when Markdown becomes blocks.
type Fillers struct {
	Placeholder func(source string) (string, error) // {{…}} -> text
	Image       func(path string) ([]byte, error)

	// Block makes what stands for a block of the caller's own, nothing for one to leave out; ok is false for a block that
	// is set as what it is in Markdown. It may be nil.
	Block func(n ast.Node) (blocks []Block, ok bool, err error)
}

// Blocks turns a parsed Markdown document (package labs/text) into blocks. An unknown node is an error, so that nothing
// of a template is lost in silence.
func Blocks(root ast.Node, source []byte, f Fillers) ([]Block, error) {
	return (&converter{source, f}).blocks(root)
}

// Inlines turns Markdown of a single paragraph into runs.
func Inlines(markdown string, f Fillers) ([]Inline, error) {
	source := []byte(markdown)
	blocks, err := Blocks(text.Parse(source), source, f)
	if err != nil || len(blocks) == 0 {
		return nil, err
	}
	if len(blocks) == 1 {
		switch b := blocks[0].(type) {
		case Paragraph:
			return b.Text, nil
		case Display:
			return []Inline{Math(b)}, nil
		}
	}
	return nil, fmt.Errorf("one paragraph is wanted here, not lists, tables or several paragraphs")
}

type converter struct {
	source []byte
	f      Fillers
}

func (c *converter) blocks(parent ast.Node) ([]Block, error) {
	var out []Block
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		b, err := c.block(n)
		if err != nil {
			return nil, err
		}
		out = append(out, b...)
	}
	return out, nil
}

func (c *converter) block(n ast.Node) ([]Block, error) {
	if c.f.Block != nil {
		if blocks, ok, err := c.f.Block(n); ok || err != nil {
			return blocks, err
		}
	}
	switch n := n.(type) {
	case *ast.Heading:
		runs, err := c.inlines(n, Text{})
		return []Block{Heading{n.Level, runs}}, err
	case *ast.Paragraph, *ast.TextBlock:
		return c.paragraph(n)
	case *ast.List:
		l := List{Ordered: n.IsOrdered(), Start: n.Start}
		for item := n.FirstChild(); item != nil; item = item.NextSibling() {
			blocks, err := c.blocks(item)
			if err != nil {
				return nil, err
			}
			l.Items = append(l.Items, blocks)
		}
		return []Block{l}, nil
	case *ast.Blockquote:
		body, err := c.blocks(n)
		return []Block{Quote{body}}, err
	case *ast.ThematicBreak:
		return []Block{Space{4}}, nil
	case *ast.FencedCodeBlock, *ast.CodeBlock:
		return []Block{codeBlock(c.text(n))}, nil
	case *east.Table:
		return c.table(n)
	}
	return nil, c.fault(n, "%s cannot be set on a sheet", n.Kind())
}

// paragraph sets displayed formulas and images apart from the words round them.
func (c *converter) paragraph(n ast.Node) ([]Block, error) {
	var out []Block
	var runs []Inline
	flush := func() {
		if len(trim(runs)) > 0 {
			out = append(out, Paragraph{trim(runs)})
		}
		runs = nil
	}
	for child := n.FirstChild(); child != nil; child = child.NextSibling() {
		if f, ok := child.(*text.Formula); ok && f.Display {
			flush()
			if err := checkAt(f); err != nil {
				return nil, err
			}
			out = append(out, Display{f.TeX})
			continue
		}
		if img, ok := child.(*ast.Image); ok {
			flush()
			b, err := c.image(img)
			if err != nil {
				return nil, err
			}
			out = append(out, b)
			continue
		}
		r, err := c.inline(child, Text{})
		if err != nil {
			return nil, err
		}
		runs = append(runs, r...)
	}
	flush()
	return out, nil
}

// trim drops blanks left at the ends by what was set apart.
func trim(runs []Inline) []Inline {
	blank := func(r Inline) bool { t, ok := r.(Text); return ok && strings.TrimSpace(t.S) == "" }
	for len(runs) > 0 && blank(runs[0]) {
		runs = runs[1:]
	}
	for len(runs) > 0 && blank(runs[len(runs)-1]) {
		runs = runs[:len(runs)-1]
	}
	return runs
}

// checkAt parses a formula and places its fault in the document.
func checkAt(f *text.Formula) error {
	err := CheckTeX(f.TeX)
	var te *TeXError
	if errors.As(err, &te) {
		return &TeXError{f.Offset + te.Offset, te.Msg}
	}
	return err
}

func (c *converter) inlines(parent ast.Node, st Text) ([]Inline, error) {
	var out []Inline
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		r, err := c.inline(n, st)
		if err != nil {
			return nil, err
		}
		out = append(out, r...)
	}
	return out, nil
}

// inline turns one node into runs of the style st.
func (c *converter) inline(n ast.Node, st Text) ([]Inline, error) {
	run := func(s string) []Inline { st.S = s; return []Inline{st} }
	switch n := n.(type) {
	case *ast.Text:
		words := string(n.Segment.Value(c.source))
		if !st.Mono {
			words = curl(words, c.before(n.Segment.Start))
		}
		out := run(words)
		if n.HardLineBreak() {
			out = append(out, Break{})
		} else if n.SoftLineBreak() {
			out = append(out, run(" ")...)
		}
		return out, nil
	case *ast.String:
		return run(string(n.Value)), nil
	case *ast.Emphasis:
		if n.Level == 2 {
			st.Bold = true
		} else {
			st.Italic = true
		}
		return c.inlines(n, st)
	case *ast.CodeSpan:
		st.Mono = true
		return c.inlines(n, st)
	case *text.Formula:
		return []Inline{Math{n.TeX}}, checkAt(n)
	case *text.Placeholder:
		if c.f.Placeholder == nil {
			return nil, c.fault(n, "{{%s}} cannot stand here", n.Source)
		}
		s, err := c.f.Placeholder(n.Source)
		return run(s), err
	case *ast.Link:
		out, err := c.inlines(n, st)
		if to := string(n.Destination); to != plain(n, c.source) { // nobody clicks on paper
			out = append(out, run(" ("+to+")")...)
		}
		return out, err
	case *ast.AutoLink:
		return run(string(n.Label(c.source))), nil
	case *ast.Image:
		return nil, c.fault(n, "an image stands in a paragraph of its own")
	}
	return nil, c.fault(n, "%s cannot be set on a sheet", n.Kind())
}

// before is the character that stands before an offset of the source, a blank at its start.
func (c *converter) before(at int) rune {
	if r, n := utf8.DecodeLastRune(c.source[:at]); n > 0 {
		return r
	}
	return ' '
}

// curl sets straight quotation marks and apostrophes as a printer does. After a digit they stay as they are: feet, inches.
func curl(s string, before rune) string {
	if !strings.ContainsAny(s, `'"`) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if r == '\'' || r == '"' {
			opening, double := unicode.IsSpace(before) || strings.ContainsRune("([{–—“‘*_", before), r == '"'
			switch {
			case unicode.IsDigit(before):
			case double && opening:
				r = '“'
			case double:
				r = '”'
			case opening:
				r = '‘'
			default:
				r = '’'
			}
		}
		b.WriteRune(r)
		before = r
	}
	return b.String()
}

func (c *converter) image(n *ast.Image) (Block, error) {
	path := string(n.Destination)
	if strings.Contains(path, "://") {
		return nil, c.fault(n, "image %s is on the web; a sheet is self-contained: put a PNG or JPEG beside the template", path)
	}
	if c.f.Image == nil {
		return nil, c.fault(n, "image %s cannot stand here", path)
	}
	data, err := c.f.Image(path)
	if err != nil {
		return nil, c.fault(n, "image %s: %w", path, err)
	}
	return Image{File: path, Data: data, Alt: plain(n, c.source)}, nil
}

// plain is the text below a node.
func plain(n ast.Node, source []byte) string {
	var b strings.Builder
	for k := n.FirstChild(); k != nil; k = k.NextSibling() {
		if t, ok := k.(*ast.Text); ok {
			b.Write(t.Segment.Value(source))
		} else {
			b.WriteString(plain(k, source))
		}
	}
	return b.String()
}

// text is what stands on the lines of a code block.
func (c *converter) text(n ast.Node) string {
	var b strings.Builder
	for i := 0; i < n.Lines().Len(); i++ {
		seg := n.Lines().At(i)
		b.Write(seg.Value(c.source))
	}
	return b.String()
}

// codeBlock keeps lines and their leading blanks.
func codeBlock(body string) Block {
	var runs []Inline
	for i, l := range strings.Split(strings.TrimRight(body, "\n"), "\n") {
		if i > 0 {
			runs = append(runs, Break{})
		}
		if l == "" {
			l = "\u2009"
		}
		runs = append(runs, Text{S: strings.ReplaceAll(l, " ", "\u00A0"), Mono: true})
	}
	return Paragraph{runs}
}

func (c *converter) table(n *east.Table) ([]Block, error) {
	var t Table
	for _, a := range n.Alignments {
		switch a {
		case east.AlignRight:
			t.Align = append(t.Align, '.')
		case east.AlignCenter:
			t.Align = append(t.Align, 'c')
		default:
			t.Align = append(t.Align, 'l')
		}
	}
	for r := n.FirstChild(); r != nil; r = r.NextSibling() {
		var cells [][]Inline
		for k := r.FirstChild(); k != nil; k = k.NextSibling() {
			runs, err := c.inlines(k, Text{})
			if err != nil {
				return nil, err
			}
			cells = append(cells, runs)
		}
		if _, ok := r.(*east.TableHeader); ok {
			t.Head = cells
		} else {
			t.Rows = append(t.Rows, cells)
		}
	}
	return []Block{t}, nil
}

// MarkdownError is what cannot be set in a Markdown text, at a byte offset of its source.
type MarkdownError struct {
	Line, Offset int // the line counts from 1
	Err          error
}

func (e *MarkdownError) Error() string { return fmt.Sprintf("line %d: %v", e.Line, e.Err) }

func (e *MarkdownError) Unwrap() error { return e.Err }

// fault places an error where a node begins.
func (c *converter) fault(n ast.Node, format string, args ...any) error {
	at := min(c.start(n), len(c.source))
	return &MarkdownError{1 + bytes.Count(c.source[:at], []byte("\n")), at, fmt.Errorf(format, args...)}
}

// start is the offset at which a node's text begins, else that of the block it stands in.
func (c *converter) start(n ast.Node) int {
	if raw, ok := n.(*ast.RawHTML); ok && raw.Segments.Len() > 0 {
		return raw.Segments.At(0).Start
	}
	for k := n.FirstChild(); k != nil && n.Type() == ast.TypeInline; k = k.FirstChild() {
		if t, ok := k.(*ast.Text); ok {
			return t.Segment.Start
		}
	}
	for ; n != nil; n = n.Parent() {
		if n.Type() != ast.TypeInline && n.Lines() != nil && n.Lines().Len() > 0 {
			return n.Lines().At(0).Start
		}
	}
	return 0
}
