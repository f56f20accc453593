package page

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"sync"
	"time"

	"github.com/jung-kurt/gofpdf"
)

// Press holds what documents share (cut faces, compressors, buffers) and may be used by several goroutines.
type Press struct {
	mu      sync.Mutex
	cut     map[string]*cutFont // faces cut beyond the standard parts, by their name and runes
	scratch sync.Pool           // *bytes.Buffer
}

// NewPress returns a press ready for work; faces are cut as they are first needed.
func NewPress() *Press {
	return &Press{
		cut:     map[string]*cutFont{},
		scratch: sync.Pool{New: func() any { return new(bytes.Buffer) }},
	}
}

// Write sets the document and writes it as PDF: what [Press.Write] does with a press of its own.
func Write(w io.Writer, doc *Document) ([]Note, error) { return NewPress().Write(w, doc) }

// Write sets the document and writes it as PDF. It is deterministic: the same document gives the same bytes. Nothing is
// written when there is an error: a formula in bad TeX, an unreadable image, an unknown paper.
func (p *Press) Write(w io.Writer, doc *Document) ([]Note, error) {
	s, err := p.set(doc)
	if err != nil {
		return nil, err
	}
	data, err := p.bind(s)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	return s.notes, nil
}

// Pages lays the document out without writing it. It gives the number of pages of each sheet, without the blank ones of
// double-sided printing, and faults: a question parted from its answer box, a table or picture that had to be shrunk.
func (p *Press) Pages(doc *Document) (pages []int, faults []string, err error) {
	s, err := p.set(doc)
	if err != nil {
		return nil, nil, err
	}
	return s.counts, s.faults, nil
}

// set lays out every sheet.
func (p *Press) set(doc *Document) (*setter, error) {
	s := &setter{press: p, doc: doc, fonts: newFontSet()}
	switch doc.Paper {
	case "a4", "":
		s.width, s.height = 595.28, 841.89
	case "letter":
		s.width, s.height = 612, 792
	default:
		return nil, fmt.Errorf("paper %q is unknown: use a4 or letter", doc.Paper)
	}
	if doc.Forms && len(doc.Sheets) != 1 {
		return nil, fmt.Errorf("a fill-in document holds one sheet, not %d", len(doc.Sheets))
	}
	if doc.Tagged || doc.Forms {
		s.marks = &marker{root: &elem{tag: "Document"}}
	}
	for i := range doc.Sheets {
		s.setSheet(&doc.Sheets[i])
		if len(s.errs) > 0 {
			return nil, errors.Join(s.errs...)
		}
	}
	if len(s.pages) == 0 {
		return nil, errors.New("the document has no sheets")
	}
	return s, nil
}

// epoch dates every document, so that bytes repeat.
var epoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// bind hands pages and faces to the PDF writer and finishes what it wrote.
func (p *Press) bind(s *setter) ([]byte, error) {
	f := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "pt", Size: gofpdf.SizeType{Wd: s.width, Ht: s.height}})
	f.SetCompression(false) // finish does it, with compressors that are used again
	f.SetCatalogSort(true)
	f.SetCreationDate(epoch)
	f.SetModificationDate(epoch)
	f.SetTitle(s.doc.Title, true)
	f.SetProducer("keelmark", false)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	parts := s.fonts.sorted()
	cuts := map[string]finishedFont{}
	for i, c := range p.cutFonts(parts) {
		pt := parts[i]
		f.AddFontFromBytes(pt.res, "", c.def, c.file)
		cuts[pt.baseName()] = finishedFont{res: pt.res, toUnicode: c.toUnicode}
	}
	for range s.pages {
		f.AddPage() // empty: finish puts the content in, without copies
	}
	buf := p.scratch.Get().(*bytes.Buffer)
	defer p.scratch.Put(buf)
	buf.Reset()
	if err := f.Output(buf); err != nil {
		return nil, fmt.Errorf("writing the PDF: %w", err)
	}
	return finish(buf.Bytes(), s, cuts)
}

// cutFonts cuts parts beside each other: the first document of a process needs several.
func (p *Press) cutFonts(parts []*part) []*cutFont {
	out := make([]*cutFont, len(parts))
	var group sync.WaitGroup
	for i, pt := range parts {
		group.Go(func() { out[i] = p.cutFont(pt) })
	}
	group.Wait()
	return out
}

// maxCut is how many cut faces beyond the standard ones a press keeps.
const maxCut = 64

// cutFont cuts a part, or finds it cut already.
func (p *Press) cutFont(pt *part) *cutFont {
	if pt.standard() {
		return pt.cut()
	}
	key := pt.baseName() + string(pt.runes)
	p.mu.Lock()
	c := p.cut[key]
	p.mu.Unlock()
	if c == nil {
		c = pt.cut()
		p.mu.Lock()
		if len(p.cut) >= maxCut {
			clear(p.cut)
		}
		p.cut[key] = c
		p.mu.Unlock()
	}
	return c
}

func hash(s string) uint64 {
	h := fnv.New64a()
	io.WriteString(h, s)
	return h.Sum64()
}

// deflaters are compressors to use again: a new one costs more than a page.
var deflaters = sync.Pool{New: func() any {
	z, _ := zlib.NewWriterLevel(io.Discard, zlib.BestSpeed) // the level is a valid one
	return z
}}

// deflated compresses data; pages with zlib.BestSpeed from the pool, faces once with zlib.BestCompression.
func deflated(data []byte, level int) []byte {
	var b bytes.Buffer
	b.Grow(len(data)/2 + 64)
	if level != zlib.BestSpeed {
		z, _ := zlib.NewWriterLevel(&b, level)
		z.Write(data)
		z.Close()
		return b.Bytes()
	}
	z := deflaters.Get().(*zlib.Writer)
	defer deflaters.Put(z)
	z.Reset(&b)
	z.Write(data) // a buffer takes everything
	z.Close()
	return b.Bytes()
}
