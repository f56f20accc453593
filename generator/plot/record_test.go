package plot

import (
	"image"
	"image/color"
	"math"
	"testing"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// record is a canvas that keeps what is drawn on it, in its own coordinates.
type record struct {
	t       testing.TB
	now     state
	stack   []state
	strokes []stroked
	fills   []stroked
	texts   []written
	colours int // set that are not a grey
}

type state struct {
	at    xy
	turn  float64
	width float64
	ink   color.Color
	dash  int
}

type stroked struct {
	pieces []segment
	width  float64
	grey   uint8
	dashed bool
}

type written struct {
	text string
	box  box
}

func draw(t testing.TB, d Drawing) *record {
	t.Helper()
	r := &record{t: t, now: state{ink: color.Black}}
	d.Draw(r)
	if len(r.stack) != 0 {
		t.Errorf("%d states pushed and not popped", len(r.stack))
	}
	return r
}

func (r *record) SetLineWidth(w vg.Length)               { r.now.width = float64(w) }
func (r *record) SetLineDash(p []vg.Length, _ vg.Length) { r.now.dash = len(p) }
func (r *record) Rotate(a float64)                       { r.now.turn += a }
func (r *record) Translate(p vg.Point)                   { r.now.at = r.place(fromPoint(p)) }
func (r *record) Scale(float64, float64)                 { r.t.Error("drawings do not scale the canvas") }
func (r *record) Push()                                  { r.stack = append(r.stack, r.now) }
func (r *record) Pop()                                   { n := len(r.stack) - 1; r.now, r.stack = r.stack[n], r.stack[:n] }
func (r *record) DrawImage(vg.Rectangle, image.Image)    { r.t.Error("drawings are vectors only") }
func (r *record) Stroke(p vg.Path)                       { r.strokes = append(r.strokes, r.path(p)) }
func (r *record) Fill(p vg.Path)                         { r.fills = append(r.fills, r.path(p)) }

func (r *record) SetColor(c color.Color) {
	r.now.ink = c
	if red, green, blue, _ := c.RGBA(); red != green || green != blue {
		r.colours++
	}
}

func (r *record) place(p xy) xy {
	sin, cos := math.Sincos(r.now.turn)
	return r.now.at.plus(xy{p.x*cos - p.y*sin, p.x*sin + p.y*cos})
}

func (r *record) path(p vg.Path) stroked {
	if len(p) == 0 {
		r.t.Error("an empty path is drawn")
	}
	s := stroked{pieces: flatten(p), width: r.now.width, grey: color.GrayModel.Convert(r.now.ink).(color.Gray).Y, dashed: r.now.dash > 0}
	for i, piece := range s.pieces {
		s.pieces[i] = segment{r.place(piece.a), r.place(piece.b)}
		for _, x := range []float64{piece.a.x, piece.a.y, piece.b.x, piece.b.y} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				r.t.Fatal("a coordinate is not finite")
			}
		}
	}
	return s
}

// FillString joins runs of one label: the next begins where the last ended.
func (r *record) FillString(f font.Face, p vg.Point, text string) {
	if f.Font.Typeface != "Liberation" || f.Font.Variant != "Sans" && f.Font.Variant != "Serif" || f.Face == nil {
		r.t.Errorf("%q is set in %q, which a page does not have", text, f.Font.Name())
	}
	size := float64(f.Font.Size)
	width := 0.0
	for _, face := range faces() {
		if face.parsed == f.Face {
			width = face.width(text) * size
		}
	}
	low, high := r.place(fromPoint(p).plus(xy{0, -0.2 * size})), r.place(fromPoint(p).plus(xy{width, 0.7 * size}))
	b := box{xy{min(low.x, high.x), min(low.y, high.y)}, xy{max(low.x, high.x), max(low.y, high.y)}}
	if n := len(r.texts); n > 0 && r.now.turn == 0 {
		if last := &r.texts[n-1]; math.Abs(last.box.high.x-b.low.x) < 1e-6 && math.Abs(last.box.low.y-b.low.y) < size {
			last.text += text
			last.box = box{xy{last.box.low.x, min(last.box.low.y, b.low.y)}, xy{b.high.x, max(last.box.high.y, b.high.y)}}
			return
		}
	}
	r.texts = append(r.texts, written{text, b})
}

// overlaps lists pairs of labels that overprint each other.
func (r *record) overlaps() (pairs [][2]string) {
	for i, a := range r.texts {
		for _, b := range r.texts[:i] {
			if a.box.grown(-0.2).overlaps(b.box.grown(-0.2)) {
				pairs = append(pairs, [2]string{a.text, b.text})
			}
		}
	}
	return pairs
}

// meet reports whether two outlines of four strokes or more, as the symbols of a circuit have, lie on each other. A lamp's
// cross is two of one.
func (r *record) meet() bool {
	var boxes []box
	for _, s := range r.strokes {
		if len(s.pieces) < 4 {
			continue
		}
		b := box{s.pieces[0].a, s.pieces[0].a}
		for _, p := range s.pieces {
			b.low = xy{min(b.low.x, p.a.x), min(b.low.y, p.a.y)}
			b.high = xy{max(b.high.x, p.a.x), max(b.high.y, p.a.y)}
		}
		for _, other := range boxes {
			if b.overlaps(other) {
				return true
			}
		}
		boxes = append(boxes, b)
	}
	return false
}

// struck lists labels that a dark line runs through. Letters inside a symbol of their own size are not among them.
func (r *record) struck() (texts []string) {
	for _, w := range r.texts {
		for _, s := range r.strokes {
			if s.grey > 100 {
				continue
			}
			for _, piece := range s.pieces {
				if w.box.grown(-0.3).meets(piece) {
					texts = append(texts, w.text)
				}
			}
		}
	}
	return texts
}

// outside tells whether anything is drawn beyond the size of the drawing.
func (r *record) outside(d Drawing) bool {
	w, h := d.Size()
	page := box{xy{-0.1, -0.1}, xy{float64(w) + 0.1, float64(h) + 0.1}}
	in := func(p xy) bool { return p == page.nearest(p) }
	for _, list := range [][]stroked{r.strokes, r.fills} {
		for _, s := range list {
			for _, piece := range s.pieces {
				if !in(piece.a) || !in(piece.b) {
					return true
				}
			}
		}
	}
	for _, w := range r.texts {
		if !in(w.box.low) || !in(w.box.high) {
			return true
		}
	}
	return false
}

// find is the box of the label that reads text.
func (r *record) find(text string) (box, bool) {
	for _, w := range r.texts {
		if w.text == text {
			return w.box, true
		}
	}
	return box{}, false
}
