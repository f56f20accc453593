package page

import (
	"fmt"
	"strings"
)

// An elem is a node of the structure tree by which screen readers read a page.
type elem struct {
	tag  string // a standard structure type of PDF: H1, P, L, Table, Figure …
	alt  string
	head bool // a header cell
	kids []kid
	num  int // object number
}

// A kid is another element, a piece of a page's content, or a form field.
type kid struct {
	elem       *elem
	page, mcid int
	field      *placedField
}

// child adds an element below e; a nil e (an untagged document) gives nil.
func (e *elem) child(tag string) *elem {
	if e == nil {
		return nil
	}
	c := &elem{tag: tag}
	e.kids = append(e.kids, kid{elem: c})
	return c
}

// A marker collects which content of which page belongs to which element.
type marker struct {
	root  *elem
	pages [][]*elem // by page and MCID
}

// begin opens content of e, or with nil what is no part of the text: rules, boxes. Nothing happens when the document is
// not tagged.
func (p *pen) begin(e *elem) { p.beginAs(e, "") }

// beginAs opens content that is read out as `read`.
func (p *pen) beginAs(e *elem, read string) {
	if p.marks == nil {
		return
	}
	if p.open {
		panic("page: tagged content inside tagged content")
	}
	p.open, p.within = true, e
	if e == nil {
		p.op("/Artifact BMC")
		return
	}
	page := len(p.marks.pages) - 1
	mcid := len(p.marks.pages[page])
	p.marks.pages[page] = append(p.marks.pages[page], e)
	e.kids = append(e.kids, kid{page: page, mcid: mcid})
	p.buf = fmt.Appendf(p.buf, "/%s <</MCID %d", e.tag, mcid)
	if read != "" {
		p.buf = appendText(append(p.buf, " /ActualText "...), read)
	}
	p.op(">> BDC")
}

// end closes what begin opened.
func (p *pen) end() {
	if p.marks != nil {
		p.open, p.within = false, nil
		p.op("EMC")
	}
}

// A placedField is a form field on a page. Its place is in points from the page's top left.
type placedField struct {
	name       string
	tip        string // the question, for screen readers
	options    []string
	lines      bool // takes several lines
	fixed      string
	readOnly   bool
	x, y, w, h float64
	page       int
	elem       *elem
	num        int
}

// extras are the entries that tags and fields add to catalog and pages.
type extras struct {
	catalog string
	pages   []string
}

func (e extras) page(i int) string {
	if e.pages == nil {
		return ""
	}
	return e.pages[i]
}

// pageNumber is the object number of page i, as the PDF writer gives them.
func pageNumber(i int) int { return 3 + 2*i }

// addInteractive writes the structure tree and the form fields.
func (f *finisher) addInteractive() extras {
	x := extras{}
	if f.s.doc.Lang != "" {
		x.catalog = "/Lang " + string(appendText(nil, f.s.doc.Lang)) + "\n"
	}
	if f.s.doc.Title != "" {
		x.catalog += "/ViewerPreferences <</DisplayDocTitle true>>\n"
	}
	if f.s.marks == nil {
		return x
	}
	x.pages = make([]string, len(f.s.pages))
	fields := f.reserveFields()
	tree := f.addTree()
	x.catalog += fmt.Sprintf("/MarkInfo <</Marked true>>\n/StructTreeRoot %d 0 R\n", tree)
	annots := make([]strings.Builder, len(f.s.pages))
	if len(fields) > 0 {
		x.catalog += "/AcroForm " + f.addFields(fields) + "\n"
		for _, fd := range fields {
			fmt.Fprintf(&annots[fd.page], "%d 0 R ", fd.num)
		}
	}
	for i := range x.pages {
		x.pages[i] = fmt.Sprintf("/StructParents %d /Tabs /S\n", i)
		if annots[i].Len() > 0 {
			x.pages[i] += "/Annots [" + annots[i].String() + "]\n"
		}
	}
	return x
}

// reserveFields numbers the fields and hangs each into its element.
func (f *finisher) reserveFields() []*placedField {
	var fields []*placedField
	for i, pg := range f.s.pages {
		for _, fd := range pg.fields {
			fd.page, fd.num = i, f.reserve()
			fields = append(fields, fd)
			if fd.elem != nil {
				fd.elem.kids = append(fd.elem.kids, kid{field: fd})
			}
		}
	}
	return fields
}

// addTree writes the elements and the parent tree, and returns the number of the root.
func (f *finisher) addTree() int {
	root := f.reserve()
	f.number(f.s.marks.root)
	f.addElem(f.s.marks.root, root)
	var b strings.Builder
	b.WriteString("<</Nums [")
	for i, mcids := range f.s.marks.pages {
		fmt.Fprintf(&b, "%d [", i)
		for _, e := range mcids {
			fmt.Fprintf(&b, "%d 0 R ", e.num)
		}
		b.WriteString("]\n")
	}
	next := len(f.s.pages)
	for _, pg := range f.s.pages {
		for _, fd := range pg.fields {
			fmt.Fprintf(&b, "%d %d 0 R\n", next, fd.elem.num)
			next++
		}
	}
	b.WriteString("]>>")
	parents := f.add(b.String())
	f.put(root, fmt.Appendf(nil, "<</Type /StructTreeRoot /K [%d 0 R] /ParentTree %d 0 R /ParentTreeNextKey %d>>\n",
		f.s.marks.root.num, parents, next))
	return root
}

// number drops empty elements and reserves numbers for the others.
func (f *finisher) number(e *elem) {
	e.num = f.reserve()
	kept := e.kids[:0]
	for _, k := range e.kids {
		if k.elem != nil {
			if k.elem.empty() {
				continue
			}
			f.number(k.elem)
		}
		kept = append(kept, k)
	}
	e.kids = kept
}

func (e *elem) empty() bool {
	if e.tag == "TD" || e.tag == "TH" {
		return false // a blank cell keeps its column
	}
	for _, k := range e.kids {
		if k.elem == nil || !k.elem.empty() {
			return false
		}
	}
	return true
}

func (f *finisher) addElem(e *elem, parent int) {
	var b []byte
	b = fmt.Appendf(b, "<</S /%s /P %d 0 R ", e.tag, parent)
	if e.alt != "" {
		b = append(appendText(append(b, "/Alt "...), e.alt), ' ')
	}
	if e.head {
		b = append(b, "/A <</O /Table /Scope /Column>> "...)
	}
	b = append(b, "/K ["...)
	for _, k := range e.kids {
		switch {
		case k.elem != nil:
			b = fmt.Appendf(b, "%d 0 R ", k.elem.num)
		case k.field != nil:
			b = fmt.Appendf(b, "<</Type /OBJR /Obj %d 0 R /Pg %d 0 R>> ", k.field.num, pageNumber(k.field.page))
		default:
			b = fmt.Appendf(b, "<</Type /MCR /Pg %d 0 R /MCID %d>> ", pageNumber(k.page), k.mcid)
		}
	}
	b = append(b, "]>>\n"...)
	f.put(e.num, b)
	for _, k := range e.kids {
		if k.elem != nil {
			f.addElem(k.elem, e.num)
		}
	}
}
