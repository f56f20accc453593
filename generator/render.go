package generator

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"

	"keelmark/generator/page"
	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/quantity"
	"keelmark/labs/text"
)

// topics in words, for the head of a sheet.
var topics = map[string]string{
	"archimedes": "Buoyancy", "balance": "Balance", "circuits": "Circuits", "thrust": "Thrust", "craft": "The craft",
}

// renderer turns the sheets of a set into pages. It is safe for concurrent use.
type renderer struct {
	lab    *labs.Lab
	set    *classset.Set
	press  *page.Press
	fenced []*labs.Block         // of the body, in order
	images []string              // files that the body shows
	parsed map[string]parsedText // Markdown of questions and lists, parsed once
	id     string                // of the set, in QR codes
}

type parsedText struct {
	root   ast.Node
	source []byte
}

func newRenderer(l *labs.Lab, set *classset.Set) *renderer {
	r := &renderer{lab: l, set: set, press: page.NewPress(), parsed: map[string]parsedText{}}
	// The walker returns no error, so Walk does not either.
	_ = ast.Walk(l.Body, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if b := l.Blocks[n]; b != nil && entering {
			r.fenced = append(r.fenced, b)
		}
		if image, ok := n.(*ast.Image); ok && entering {
			r.images = append(r.images, string(image.Destination))
		}
		return ast.WalkContinue, nil
	})
	for _, list := range [][]string{l.Aims, l.Kit, l.Cautions} {
		r.parse(list...)
	}
	for _, q := range l.Questions {
		r.parse(q.Ask, q.Hint)
		r.parse(q.Choices...)
		r.parse(q.Items...)
	}
	mac := hmac.New(sha256.New, []byte(set.Seed))
	mac.Write([]byte(set.Lab))
	r.id = fmt.Sprintf("%X", mac.Sum(nil)[:4])
	return r
}

func (r *renderer) parse(markdown ...string) {
	for _, m := range markdown {
		if _, known := r.parsed[m]; !known {
			r.parsed[m] = parsedText{text.Parse([]byte(m)), []byte(m)}
		}
	}
}

// writer makes the blocks of one sheet.
type writer struct {
	*renderer
	sheet *classset.Sheet
	frame labs.Frame
	part  *labs.Part // of the lab that stands on the sheet; nil: all
	asked int        // questions so far
}

func (r *renderer) writer(s *classset.Sheet) (*writer, error) {
	f, err := r.set.Frame(r.lab, s)
	if err != nil {
		return nil, err
	}
	return &writer{renderer: r, sheet: s, frame: f, part: s.Part(r.lab)}, nil
}

// page makes a pupil's sheet.
func (r *renderer) page(s *classset.Sheet) (page.Sheet, error) {
	w, err := r.writer(s)
	if err != nil {
		return page.Sheet{}, err
	}
	body, err := w.body()
	if err != nil {
		return page.Sheet{}, fmt.Errorf("sheet %s: %w", s.Code, err)
	}
	out := page.Sheet{
		Title: r.lab.Title, Subtitle: r.subtitle(), Name: page.Legible(s.Name, s.Student), Class: s.Class, NameLine: true, Note: r.note(s), Code: s.Code,
		QR:   strings.ToUpper("KEELMARK/" + r.id + "/" + s.Code + "/"),
		Foot: r.lab.Name, Large: s.Large, OutOf: outOf(r.lab, s), Body: body,
	}
	if r.set.Settings.CodesOnly {
		out.Name, out.Class = "", ""
	}
	return out, nil
}

func (r *renderer) subtitle() string {
	topic, ok := topics[r.lab.Topic]
	if !ok {
		topic = r.lab.Topic
	}
	return fmt.Sprintf("%s · %s · %d minutes", topic, r.lab.Level, r.lab.Minutes)
}

// note tells extra time, and on a follow-up sheet what it is for.
func (r *renderer) note(s *classset.Sheet) string {
	var notes []string
	if s.Extra > 0 {
		notes = append(notes, fmt.Sprintf("Extra time: %d minutes", s.Extra))
	}
	if len(s.Questions) > 0 {
		var skills []string
		for _, q := range r.lab.Questions {
			if q.Skill != "" && s.Has(q) && !slices.Contains(skills, q.Skill) {
				skills = append(skills, q.Skill)
			}
		}
		if len(skills) > 0 {
			notes = append(notes, "To practise: "+strings.ReplaceAll(strings.Join(skills, ", "), "-", " "))
		}
	}
	return strings.Join(notes, " · ")
}

// outOf sums the marks of the questions on the sheet.
func outOf(l *labs.Lab, s *classset.Sheet) (total int) {
	for _, q := range l.Questions {
		if s.Has(q) {
			total += q.Marks
		}
	}
	return total
}

// body is all below the head: aims, kit, cautions, and the lab itself. Cautions come before the method, never after it.
func (w *writer) body() ([]page.Block, error) {
	var out []page.Block
	for _, part := range []struct {
		title string
		items []string
		tick  bool
	}{{"Aims", w.lab.Aims, false}, {"Kit", w.lab.Kit, true}} {
		list, err := w.list(part.items, part.tick)
		if err != nil {
			return nil, err
		}
		if len(list.Items) > 0 {
			out = append(out, page.Heading{Level: 3, Text: plain(part.title)}, list)
		}
	}
	cautions, err := w.list(w.lab.Cautions, false)
	if err != nil {
		return nil, err
	}
	out = append(out, page.Panel{Title: "Cautions", Body: []page.Block{cautions}})
	rest, err := page.Blocks(w.lab.Body, w.lab.BodySource, w.fillers())
	return append(out, rest...), w.inBody(err)
}

// inBody places a fault of the body's Markdown in the template.
func (w *writer) inBody(err error) error {
	var fault *page.MarkdownError
	if !errors.As(err, &fault) {
		return err
	}
	before := w.lab.BodySource[:fault.Offset]
	col := 1 + utf8.RuneCount(before[1+bytes.LastIndexByte(before, '\n'):])
	return w.at(labs.Place{Line: w.lab.BodyLine + fault.Line - 1, Col: col}, fault.Err)
}

func plain(s string) []page.Inline { return []page.Inline{page.Text{S: s}} }

func bold(s string) []page.Inline { return []page.Inline{page.Text{S: s, Bold: true}} }

// fillers fill in values, images and the lab's own blocks, and leave out what the sheet has no use for.
func (w *writer) fillers() page.Fillers {
	return page.Fillers{
		Placeholder: func(source string) (string, error) {
			filled, err := w.lab.Fill(source, w.frame)
			if err != nil {
				err = w.at(locate(w.lab.Source, "{{"+source, 2, 1), err)
			}
			return filled, err
		},
		Image: w.image,
		Block: func(n ast.Node) ([]page.Block, bool, error) {
			if w.part.Omits(n) {
				return nil, true, nil
			}
			b := w.lab.Blocks[n]
			if b == nil {
				return nil, false, nil
			}
			blocks, err := w.block(b)
			if err != nil {
				err = w.at(b.Place, err)
			}
			return blocks, true, err
		},
	}
}

// at places an error in the template, unless it has a place already.
func (r *renderer) at(p labs.Place, err error) error {
	var placed *labs.TemplateError
	if errors.As(err, &placed) {
		return err
	}
	return &labs.TemplateError{File: r.lab.File, Line: p.Line, Col: p.Col, Err: err}
}

// image reads a picture that lies beside the template, never one outside its folder.
func (r *renderer) image(path string) ([]byte, error) {
	if !filepath.IsLocal(path) {
		return nil, fmt.Errorf("image %s: must lie in the template's own folder", path)
	}
	root, err := os.OpenRoot(filepath.Dir(r.lab.File))
	if err != nil {
		return nil, err
	}
	defer root.Close()
	info, err := root.Stat(path)
	if err != nil {
		return nil, err
	}
	if err := labs.Readable(info, page.MaxImageBytes); err != nil {
		return nil, err
	}
	return root.ReadFile(path)
}

// markdown sets one of the lab's texts.
func (w *writer) markdown(m string) ([]page.Block, error) {
	p, ok := w.parsed[m]
	if !ok {
		p = parsedText{text.Parse([]byte(m)), []byte(m)}
	}
	blocks, err := page.Blocks(p.root, p.source, w.fillers())
	var fault *page.MarkdownError
	if errors.As(err, &fault) {
		err = fault.Err
		if bytes.Contains(w.lab.Source, p.source) { // as it stands there; else whoever asked knows the place of its block
			err = w.at(locate(w.lab.Source, m, fault.Offset, 1), err)
		}
	}
	return blocks, err
}

// line sets one of the lab's texts as a single paragraph.
func (w *writer) line(m string) ([]page.Inline, error) {
	blocks, err := w.markdown(m)
	if err != nil || len(blocks) == 0 {
		return nil, err
	}
	if p, ok := blocks[0].(page.Paragraph); ok && len(blocks) == 1 {
		return p.Text, nil
	}
	return nil, fmt.Errorf("%q: want one paragraph", m)
}

func (w *writer) list(items []string, tick bool) (page.List, error) {
	l := page.List{Tick: tick}
	for _, item := range items {
		blocks, err := w.markdown(item)
		if err != nil {
			return l, err
		}
		l.Items = append(l.Items, blocks)
	}
	return l, nil
}

// block makes what a fenced block is on a pupil's sheet; nothing for the teacher's notes and networks.
func (w *writer) block(b *labs.Block) ([]page.Block, error) {
	switch {
	case b.Question != nil:
		if !w.sheet.Has(b.Question) {
			return nil, nil
		}
		w.asked++
		q, err := w.question(b.Question, w.asked)
		return []page.Block{q}, err
	case b.Readings != nil:
		return w.readings(w.part.Columns(b.Readings)), nil
	case b.Table != nil:
		return []page.Block{w.table(b.Table)}, nil
	case b.Plot != nil:
		return w.picture(w.chart(b.Plot))
	case b.Grid != nil:
		return w.picture(w.graph(b.Grid))
	case b.Figure != nil:
		return w.picture(w.figure(b.Figure))
	}
	return nil, nil
}

const (
	readingHeight = 8.0 // mm, of a cell to write in
	lineHeight    = 8.5 // mm, of a ruled line
)

// question sets a question with its answer box.
func (w *writer) question(q *labs.Question, number int) (page.Question, error) {
	out := page.Question{ID: q.ID, Number: number, Marks: q.Marks, Working: q.Space, Ruled: q.Ruled}
	var err error
	if out.Ask, err = w.markdown(q.Ask); err != nil {
		return out, err
	}
	if q.Hint != "" {
		if out.Hint, err = w.markdown(q.Hint); err != nil {
			return out, err
		}
	}
	switch q.Kind {
	case labs.Numeric:
		out.Box = page.Box{Kind: "number", Unit: q.Show.Unit.Symbol}
		if q.UnitMark > 0 {
			out.Box = page.Box{Kind: "unit"}
		}
		if q.Space == 0 {
			out.Working = 5 + 5*float64(min(q.Marks, 4))
		}
	case labs.Choice:
		out.Box.Kind = "choice"
		for _, k := range order(q, w.sheet) {
			choice, err := w.line(q.Choices[k-1])
			if err != nil {
				return out, err
			}
			out.Box.Choices = append(out.Box.Choices, choice)
		}
	case labs.ByHand:
		out.Box = page.Box{Kind: "lines", Lines: max(2, min(2*q.Marks, 8))}
		if q.Space > 0 {
			out.Box.Lines, out.Working = max(1, int(q.Space/lineHeight)), 0
		}
	case labs.Ticks:
		list, err := w.list(q.Items, true)
		if err != nil {
			return out, err
		}
		out.Ask = append(out.Ask, list)
	}
	return out, nil
}

// order is the order in which the choices of a question stand on a sheet: numbers of the template's, from 1.
func order(q *labs.Question, s *classset.Sheet) []int {
	if stored := s.Choices[q.ID]; stored != nil {
		return stored
	}
	inOrder := make([]int, len(q.Choices))
	for i := range inOrder {
		inOrder[i] = i + 1
	}
	return inOrder
}

// overUnit is what stands after a quantity in the head of a column: " / N", and " / (N/m)" as on the axes of a plot, since
// a / N/m would be a quotient of its own.
func overUnit(unit string) string {
	if strings.Contains(unit, "/") {
		unit = "(" + unit + ")"
	}
	return " / " + unit
}

// heading is the head of a column: quantity / unit.
func heading(v *labs.Value) []page.Inline {
	head := []page.Inline{page.Math{TeX: v.Symbol}}
	if unit := v.Show.Unit.Symbol; unit != "" {
		head = append(head, page.Text{S: overUnit(unit)})
	}
	return head
}

// readings lays bench values out to be filled in: columns as one table, with printed columns beside them, single readings
// as another.
func (w *writer) readings(values []*labs.Value) []page.Block {
	var columns, singles []*labs.Value
	rows := 0
	for _, v := range values {
		switch {
		case v.Type.Kind != quantity.Column:
			singles = append(singles, v)
			continue
		case v.Source == labs.Measured:
			rows = max(rows, v.Rows)
		default:
			rows = max(rows, len(w.frame[v.Slot].Col))
		}
		columns = append(columns, v)
	}
	var out []page.Block
	if len(columns) > 0 {
		t := page.Table{FillHeight: readingHeight, Align: []byte("c"), Head: [][]page.Inline{plain("no.")}}
		for _, v := range columns {
			t.Head = append(t.Head, heading(v))
			t.Align = append(t.Align, 'c')
		}
		for k := range rows {
			cells, fields := [][]page.Inline{plain(fmt.Sprint(k + 1))}, []string{""}
			for _, v := range columns {
				cell, field := []page.Inline(nil), fmt.Sprintf("%s.%d", v.Name, k+1)
				if v.Source != labs.Measured {
					field = ""
					if k < len(w.frame[v.Slot].Col) {
						cell = plain(v.Show.Number(w.frame[v.Slot].Col[k]))
					}
				}
				cells, fields = append(cells, cell), append(fields, field)
			}
			t.Rows, t.Fields = append(t.Rows, cells), append(t.Fields, fields)
		}
		out = append(out, t)
	}
	if len(singles) > 0 {
		t := page.Table{FillHeight: readingHeight, Align: []byte("lccl"), Head: [][]page.Inline{plain("reading"), plain(""), plain("your value"), plain("read to")}}
		for _, v := range singles {
			what := v.What
			if what == "" {
				what = v.Name
			}
			read := v.Show.Unit.Symbol
			if v.Show.Step > 0 {
				read = quantity.WithUnit(quantity.FormatStep(v.Show.Step, v.Show.Step), v.Show.Unit)
			}
			t.Rows = append(t.Rows, [][]page.Inline{plain(what), heading(v), nil, plain(read)})
			t.Fields = append(t.Fields, []string{"", "", v.Name, ""})
		}
		out = append(out, t)
	}
	return out
}

// table sets columns of printed numbers, aligned at the decimal point.
func (w *writer) table(b *labs.TableBlock) page.Table {
	var t page.Table
	rows := 0
	for _, v := range b.Columns {
		t.Head = append(t.Head, heading(v))
		t.Align = append(t.Align, '.')
		rows = max(rows, len(w.frame[v.Slot].Col))
	}
	for k := range rows {
		cells := make([][]page.Inline, len(b.Columns))
		for i, v := range b.Columns {
			if column := w.frame[v.Slot].Col; k < len(column) {
				cells[i] = plain(v.Show.Number(column[k]))
			}
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}
