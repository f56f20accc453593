// Package page is the press: it sets documents made of blocks as PDF pages. It knows headings, paragraphs, lists, tables,
// panels, questions with their answer boxes, formulas in a TeX subset, drawings on a vector canvas, fill-in fields and
// tags for screen readers. The same document always gives the same bytes.
//
// It sets left-to-right text without hyphenation; characters of the basic plane that none of the bundled faces has are
// printed as a replacement sign and told in a [Note]. Start with [Press] and [Document]; [Blocks] makes blocks of Markdown.
package page

import "gonum.org/v1/plot/vg"

// Drawing is anything that draws itself on a canvas of its own size: plots, graph paper, figures.
// A Drawing that also has `Alt() string` gives its text alternative.
type Drawing interface {
	Size() (width, height vg.Length)
	Draw(c vg.Canvas)
}

// Block is one piece of a page's column: Heading, Paragraph, List, Table, Panel, Question, Picture, Display, Rule, Space, PageBreak, Columns.
type Block interface{ block() }

// Inline is a run inside a paragraph.
type Inline interface{ inline() }

type (
	// Text is a run of words in one face. Unicode superscripts (⁻³) are set as raised digits.
	Text struct {
		S            string
		Bold, Italic bool
		Mono         bool
	}
	// Math is an inline formula in the TeX subset.
	Math struct{ TeX string }
	// Break is a forced line break.
	Break struct{}
)

type (
	Heading struct {
		Level int
		Text  []Inline
	}
	Paragraph struct{ Text []Inline }
	List      struct {
		Ordered bool
		Start   int
		Tick    bool // a box to tick before each item (kit, checks)
		Items   [][]Block
	}
	// Table sets columns of cells; Align per column: 'l', 'r', 'c', or '.' for numbers aligned at the decimal point.
	// Blank cells of a table to fill in stay empty with at least FillHeight mm.
	Table struct {
		Head       [][]Inline
		Rows       [][][]Inline
		Align      []byte
		FillHeight float64
		Small      bool       // 8.5 pt, for the teacher's tables
		Fields     [][]string // form field names of blank cells, nil when none
	}
	Panel struct {
		Title string
		Body  []Block
	} // ruled panel: cautions
	Display struct{ TeX string }
	Quote   struct{ Body []Block }
	Picture struct {
		Drawing Drawing
		Caption []Inline
	}
	Image struct {
		File string
		Data []byte
		Alt  string
	} // PNG or JPEG
	Space     struct{ Height float64 } // mm
	Ruled     struct{ Lines int }
	PageBreak struct{}
	// Question is numbered by the caller. It never parts from its answer box. In a fill-in document its field has the name
	// ID, that of the small box for the unit ID_unit; a choice field holds the choice's words.
	Question struct {
		ID      string // form field name
		Number  int
		Marks   int
		Ask     []Block
		Hint    []Block
		Working float64 // mm of space for working above the box
		Box     Box
	}
)

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
	NameLine bool
	Note     string // e.g. "extra time: 10 minutes"
	Code     string // "4F7KQ2X7"; printed as 4F7K-Q2X7 below the QR code
	QR       string // text of the QR code before the page number
	Foot     string // left of the foot
	OutOf    int    // total box at the end, 0: none
	Large    bool   // this sheet alone in large print
	Body     []Block
}

// Notes are things the maker should be told: runes replaced for want of a glyph, an overlong table made small …
type Note struct{ Sheet, Text string }

func (Text) inline()  {}
func (Math) inline()  {}
func (Break) inline() {}

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
