package labs

import (
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"

	"keelmark/labs/formula"
	"keelmark/labs/text"
)

// body is the inside of a fenced block, and where it stands.
type body struct {
	*document
	text  string
	place Place // of the fence's first word
}

// at is the place of a character of the inside: line and column from 1.
func (b body) at(line, col int) Place { return b.document.place(line, col) }

// keys reads the inside as YAML with the keys known; ok is false after a fault that leaves nothing to go on with.
func (b body) keys(what string, known []string) (f fields, ok bool) {
	before := len(b.all)
	root := b.parse(b.text)
	if len(b.all) > before {
		return f, false
	}
	f, ok = b.fields(root, what, known)
	f.place = b.place
	return f, ok
}

// blockKinds are the fenced blocks of a lab; any other fence is code, shown as it is, but a near miss is a fault.
var blockKinds = []string{"question", "readings", "tick", "table", "plot", "grid", "figure", "network", "teacher"}

// readBody parses the Markdown and reads its blocks in the order of the file.
func (r *reader) readBody() {
	l := r.lab
	l.Blocks = map[ast.Node]*Block{}
	l.Body = text.Parse(l.BodySource)
	starts := lineStarts(l.BodySource)
	var last *ast.FencedCodeBlock
	images := 0
	_ = ast.Walk(l.Body, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch n := n.(type) {
		case *text.Placeholder:
			r.texts = append(r.texts, prose{scalar{text: "{{" + n.Source + "}}", at: func(i int) Place {
				p := r.offset(starts, n.Offset)
				return Place{p.Line, p.Col + i - 2}
			}}, true})
		case *text.Formula:
			if i := strings.Index(n.TeX, "{{"); i >= 0 {
				r.holeInFormula(r.offset(starts, n.Offset+i+2))
			}
		case *ast.Image:
			if images++; images > maxImages {
				r.tooMany(r.offset(starts, blockOffset(n)), maxImages, "images")
			}
		case *ast.FencedCodeBlock:
			last = n
			r.fence(n, starts)
		}
		return ast.WalkContinue, nil
	})
	if last != nil && unclosedFence(last, l.BodySource) {
		p := r.offset(starts, fenceOffset(last))
		r.at(p, "this block is never closed: end it with a line ```")
	}
}

// lineStarts gives the byte offset of each line.
func lineStarts(source []byte) []int {
	starts := []int{0}
	for i, c := range source {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}

// offset is the place in the file of a byte of the body.
func (r *reader) offset(starts []int, offset int) Place {
	line := sort.SearchInts(starts, offset+1) - 1
	col := utf8.RuneCount(r.lab.BodySource[starts[line]:offset]) + 1
	return Place{r.lab.BodyLine + line, col}
}

// blockOffset is the byte where the block begins that holds an inline node; that of the body when none tells.
func blockOffset(n ast.Node) int {
	for ; n != nil; n = n.Parent() {
		if n.Type() != ast.TypeInline && n.Lines().Len() > 0 {
			return n.Lines().At(0).Start
		}
	}
	return 0
}

// fenceOffset is the byte where the fence's info begins, or that of its inside.
func fenceOffset(n *ast.FencedCodeBlock) int {
	switch {
	case n.Info != nil:
		return n.Info.Segment.Start
	case n.Lines().Len() > 0:
		return n.Lines().At(0).Start
	}
	return 0
}

// unclosedFence reports whether the file ends within the fence: no line of backquotes or tildes follows its inside.
func unclosedFence(n *ast.FencedCodeBlock, source []byte) bool {
	end := fenceOffset(n)
	if count := n.Lines().Len(); count > 0 {
		end = n.Lines().At(count - 1).Stop
	} else if i := strings.IndexByte(string(source[end:]), '\n'); i >= 0 {
		end += i
	} else {
		end = len(source)
	}
	rest := string(source[end:])
	return !strings.Contains(rest, "```") && !strings.Contains(rest, "~~~")
}

// fence reads one fenced block.
func (r *reader) fence(n *ast.FencedCodeBlock, starts []int) {
	if n.Info == nil {
		return
	}
	words := strings.Fields(string(n.Info.Segment.Value(r.lab.BodySource)))
	if len(words) == 0 {
		return
	}
	kind, id := words[0], strings.Join(words[1:], " ")
	place := r.offset(starts, n.Info.Segment.Start)
	if !slices.Contains(blockKinds, kind) {
		if meant := formula.DidYouMean(kind, slices.Clone(blockKinds)); meant != "" {
			r.at(place, "there is no block %q%s", kind, meant)
		}
		return
	}
	b := body{document: &document{faults: r.faults, first: place.Line + 1}, place: place}
	var inside strings.Builder
	for i := range n.Lines().Len() {
		segment := n.Lines().At(i)
		p := r.offset(starts, segment.Start)
		if i == 0 {
			b.first = p.Line
		}
		b.indent = append(b.indent, p.Col-1)
		inside.Write(segment.Value(r.lab.BodySource))
	}
	b.text = inside.String()
	b.document.lines = strings.Split(b.text, "\n")
	if len(r.blocks) >= maxBlocks {
		r.tooMany(place, maxBlocks, "blocks")
		return
	}
	if kind == "plot" || kind == "grid" || kind == "figure" {
		if r.drawings++; r.drawings > maxDrawings {
			r.tooMany(place, maxDrawings, "plots, grids and figures")
			return
		}
	}
	if block := r.block(kind, id, b); block != nil {
		block.Kind, block.ID, block.Place = kind, id, place
		r.lab.Blocks[n] = block
		r.blocks = append(r.blocks, block)
	}
}

// tooMany notes, once, that the lab holds more of something than it may.
func (r *reader) tooMany(p Place, most int, what string) {
	if !r.full[what] {
		r.full[what] = true
		r.at(p, "a lab holds at most %d %s", most, what)
	}
}

// block reads a block by its kind; nil after a fault.
func (r *reader) block(kind, id string, b body) *Block {
	switch kind {
	case "question", "tick":
		if q := r.question(kind, id, b); q != nil {
			return &Block{Question: q}
		}
	case "network":
		if n := r.network(id, b); n != nil {
			return &Block{Network: n}
		}
	case "teacher":
		r.texts = append(r.texts, prose{scalar{text: b.text, at: b.character}, false})
		return &Block{Teacher: b.text}
	case "readings", "table":
		return r.columns(kind, b)
	case "plot":
		return r.plot(b)
	case "grid":
		return r.grid(b)
	case "figure":
		return r.figure(id, b)
	}
	return nil
}

// character is the place of a character of the inside, from 0.
func (b body) character(i int) Place {
	before := string([]rune(b.text)[:i])
	line := strings.Count(before, "\n")
	return b.at(line+1, utf8.RuneCountInString(before[strings.LastIndex(before, "\n")+1:])+1)
}
