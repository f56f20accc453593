// Package page is the press: it sets documents made of blocks as PDF pages. It knows headings, paragraphs, lists, tables,
// panels, questions with their answer boxes, formulas in a TeX subset, drawings on a vector canvas, fill-in fields and
// tags for screen readers. The same document always gives the same bytes.
//
// It sets left-to-right text without hyphenation; characters of the basic plane that none of the bundled faces has are
// printed as a replacement sign and told in a [Note]. Start with [Press] and [Document]; [Blocks] makes blocks of Markdown.
package page

import (
	"gonum.org/v1/plot/vg"
)

// Drawing is anything that draws itself on a canvas of its own size: plots, graph paper, figures.
// A Drawing that also has `Alt() string` gives its text alternative.
type Drawing interface {
	Size() (width, height vg.Length)
	Draw(c vg.Canvas)
}

// Block is one piece of a page's column.
type Block interface{ block() }

// Inline is a run inside a paragraph: Text, Math or Break.
type Inline interface{ inline() }

// Text is a run of words in one face. Unicode superscripts (⁻³) are set as raised digits.
type Text struct {
	S            string
	Bold, Italic bool
	Mono         bool
}

// Math is an inline formula in the TeX subset.
type Math struct{ TeX string }

// Break is a forced line break.
type Break struct{}

// Heading is a heading of level 1 to 4. It never ends a page.
type Heading struct {
	Level int
	Text  []Inline
}

// Paragraph is running text, ragged right. No first or last line of it stands alone on a page.
type Paragraph struct{ Text []Inline }

// List has bullets, numbers from Start, or boxes to tick (kit, checks).
type List struct {
	Ordered bool
	Start   int
	Tick    bool
	Items   [][]Block
}

// Table sets columns of cells. It splits only when it is longer than a page; then its head is set again on each.
type Table struct {
	Head       [][]Inline
	Rows       [][][]Inline
	Align      []byte     // per column: 'l', 'r', 'c', or '.' for numbers aligned at the decimal point
	FillHeight float64    // mm; a table to write in: rows at least so high, in a full grid
	Small      bool       // 8.5 pt, for the teacher's tables
	Fields     [][]string // form field names of blank cells by row and column, nil when none
}

// Panel is a ruled frame with a title: cautions.
type Panel struct {
	Title string
	Body  []Block
}

// Display is a formula on a line of its own.
type Display struct{ TeX string }

// Quote is set in, with a rule beside it.
type Quote struct{ Body []Block }

// Picture is a drawing in the middle of the column, made smaller when it does not fit.
type Picture struct {
	Drawing Drawing
	Caption []Inline
}

// Image is a PNG or JPEG of at most 8 MiB. File names it in errors, Alt stands for it when a page is read out.
type Image struct {
	File string
	Data []byte
	Alt  string
}

// Space is empty, Height mm high.
type Space struct{ Height float64 }

// Ruled is lines to write on, 8.5 mm apart.
type Ruled struct{ Lines int }

// PageBreak starts a new page.
type PageBreak struct{}

// Together is blocks that stay on one page, unless they fill half of it.
type Together struct{ Body []Block }

// Shared is a block that several bodies of a sheet have in common; it is set once for all of them.
type Shared struct{ Block Block }

// Question never parts from its answer box; the caller numbers it. In a fill-in document its field has the name ID, that
// of the small box for the unit ID_unit; a choice field holds the words of a choice.
type Question struct {
	ID      string
	Number  int
	Marks   int // printed in the right margin, 0: none
	Ask     []Block
	Hint    []Block
	Working float64 // mm of space above the box
	Ruled   bool    // with lines to write on in it
	Box     Box
}

// Box is where the answer goes: the zero Box is none.
type Box struct {
	Kind    string     // "number" (60×10 mm box, unit printed after it), "unit" (second small box for the unit), "choice", "lines"
	Unit    string     // printed after the box
	Choices [][]Inline // in the order of this sheet; lettered A, B, C …
	Lines   int        // ruled lines for explanations
}

// Document is one PDF: sheets that each start on an odd page (when Duplex) with their own head and foot.
type Document struct {
	Title  string
	Lang   string // "en-GB"
	Paper  string // "a4" or "letter"
	Large  bool
	Plain  bool // no colour at all
	Duplex bool // start every sheet on an odd page, adding a blank page where needed
	Forms  bool // fill-in fields on answer boxes (one sheet a document)
	Tagged bool // structure tree for screen readers
	Sheets []Sheet
}

// Sheet is one pupil's pages (or the teacher's, or a report: Code "" prints no QR).
type Sheet struct {
	Title    string // head of page 1
	Subtitle string // topic and level in words, time
	Name     string // printed when known; NameLine asks for a line to write on when it is not
	Class    string // printed on the line of the name when known
	NameLine bool
	Note     string // e.g. "extra time: 10 minutes"
	Code     string // "4F7KQ2X7"; printed as 4F7K-Q2X7 below the QR code
	QR       string // text of the QR code before the page number
	Foot     string // left of the foot
	OutOf    int    // total box at the end, 0: none
	Large    bool   // this sheet alone in large print
	Body     []Block

	// Bodies, in place of Body, say the same with less and less detail, none taller than the one before. They are made when
	// they are tried. The first that fits on one page is taken, or else the last.
	Bodies []func() ([]Block, error)
}

// Note is something the maker should be told about a sheet (its code, else its title): characters replaced for want of a
// glyph, a name cut, a wide table made small.
type Note struct{ Sheet, Text string }

func (Text) inline()  {}
func (Math) inline()  {}
func (Break) inline() {}

func (Together) block()  {}
func (*Shared) block()   {}
func (Heading) block()   {}
func (Paragraph) block() {}
func (List) block()      {}
func (Table) block()     {}
func (Panel) block()     {}
func (Display) block()   {}
func (Quote) block()     {}
func (Picture) block()   {}
func (Image) block()     {}
func (Space) block()     {}
func (Ruled) block()     {}
func (PageBreak) block() {}
func (Question) block()  {}
