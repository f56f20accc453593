package page

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strconv"
	"strings"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// A canvas is a vg.Canvas that draws vectors straight onto a page.
type canvas struct {
	s      *setter
	p      *pen
	states []canvasState
	cur    canvasState
	pushed int
}

type canvasState struct {
	width vg.Length
	color color.Color
}

// newCanvas opens a canvas whose lower left corner is at x, y, k times its size.
func newCanvas(s *setter, p *pen, x, y, k float64) *canvas {
	c := &canvas{s: s, p: p}
	p.op("q")
	c.matrix(k, 0, 0, k, x, p.height-y)
	vg.Initialize(c)
	return c
}

// close ends the drawing and forgets what it did to the page's state.
func (c *canvas) close() {
	for c.pushed > 0 {
		c.Pop()
	}
	c.p.op("Q")
	c.p.width, c.p.grey = -1, -1
}

func (c *canvas) matrix(v ...float64) {
	for _, x := range v {
		c.p.buf = strconv.AppendFloat(c.p.buf, round5(x), 'f', -1, 64)
		c.p.buf = append(c.p.buf, ' ')
	}
	c.p.op("cm")
}

// round5 keeps five decimals: rotations need them.
func round5(x float64) float64 { return math.Round(x*1e5) / 1e5 }

func (c *canvas) num(l vg.Length) { c.p.num(l.Points()) }

func (c *canvas) SetLineWidth(w vg.Length) {
	c.cur.width = w
	if w > 0 {
		c.num(w)
		c.p.op("w")
	}
}

func (c *canvas) SetLineDash(pattern []vg.Length, offset vg.Length) {
	c.p.buf = append(c.p.buf, '[')
	for _, d := range pattern {
		c.num(d)
	}
	c.p.buf = append(c.p.buf, "] "...)
	c.num(offset)
	c.p.op("d")
}

// SetColor sets a colour; in a plain document its grey, and white stays white.
func (c *canvas) SetColor(col color.Color) {
	if col == nil {
		col = color.Black
	}
	c.cur.color = col
	n := color.NRGBAModel.Convert(col).(color.NRGBA)
	v := []float64{float64(n.R) / 255, float64(n.G) / 255, float64(n.B) / 255}
	ops := [2]string{"rg", "RG"}
	if c.s.doc.Plain || n.R == n.G && n.G == n.B {
		v = []float64{0.299*v[0] + 0.587*v[1] + 0.114*v[2]}
		ops = [2]string{"g", "G"}
	}
	for _, op := range ops {
		for _, x := range v {
			c.p.num(x)
		}
		c.p.op(op)
	}
}

func (c *canvas) Rotate(rad float64) {
	sin, cos := math.Sincos(rad)
	c.matrix(cos, sin, -sin, cos, 0, 0)
}

func (c *canvas) Translate(pt vg.Point) { c.matrix(1, 0, 0, 1, pt.X.Points(), pt.Y.Points()) }

func (c *canvas) Scale(x, y float64) { c.matrix(x, 0, 0, y, 0, 0) }

func (c *canvas) Push() {
	c.states = append(c.states, c.cur)
	c.pushed++
	c.p.op("q")
}

func (c *canvas) Pop() {
	if c.pushed == 0 {
		return
	}
	c.pushed--
	c.cur, c.states = c.states[c.pushed], c.states[:c.pushed]
	c.p.op("Q")
}

func (c *canvas) Stroke(path vg.Path) {
	if c.cur.width > 0 {
		c.path(path)
		c.p.op("S")
	}
}

func (c *canvas) Fill(path vg.Path) {
	c.path(path)
	c.p.op("f")
}

func (c *canvas) point(pt vg.Point) { c.num(pt.X); c.num(pt.Y) }

func (c *canvas) path(path vg.Path) {
	var at vg.Point
	for i, comp := range path {
		switch comp.Type {
		case vg.MoveComp, vg.LineComp:
			c.point(comp.Pos)
			if comp.Type == vg.MoveComp {
				c.p.buf = append(c.p.buf, "m "...)
			} else {
				c.p.buf = append(c.p.buf, "l "...)
			}
			at = comp.Pos
		case vg.ArcComp:
			at = c.arc(comp, i == 0)
		case vg.CurveComp:
			var c1, c2 vg.Point
			if len(comp.Control) == 2 {
				c1, c2 = comp.Control[0], comp.Control[1]
			} else { // a quadratic curve as a cubic one
				q := comp.Control[0]
				c1 = vg.Point{X: at.X + (q.X-at.X)*2/3, Y: at.Y + (q.Y-at.Y)*2/3}
				c2 = vg.Point{X: comp.Pos.X + (q.X-comp.Pos.X)*2/3, Y: comp.Pos.Y + (q.Y-comp.Pos.Y)*2/3}
			}
			c.point(c1)
			c.point(c2)
			c.point(comp.Pos)
			c.p.buf = append(c.p.buf, "c "...)
			at = comp.Pos
		case vg.CloseComp:
			c.p.buf = append(c.p.buf, "h "...)
		}
	}
}

// arc draws a circular arc as cubic curves of at most a quarter turn, and returns its end.
func (c *canvas) arc(comp vg.PathComp, first bool) vg.Point {
	on := func(a float64) vg.Point {
		return vg.Point{X: comp.Pos.X + comp.Radius*vg.Length(math.Cos(a)), Y: comp.Pos.Y + comp.Radius*vg.Length(math.Sin(a))}
	}
	a := comp.Start
	c.point(on(a))
	if first {
		c.p.buf = append(c.p.buf, "m "...)
	} else {
		c.p.buf = append(c.p.buf, "l "...)
	}
	n := int(math.Ceil(math.Abs(comp.Angle) / (math.Pi / 2)))
	n = min(max(n, 1), 64)
	step := comp.Angle / float64(n)
	k := vg.Length(4.0/3*math.Tan(step/4)) * comp.Radius
	for range n {
		b := a + step
		p0, p1 := on(a), on(b)
		c.point(vg.Point{X: p0.X - k*vg.Length(math.Sin(a)), Y: p0.Y + k*vg.Length(math.Cos(a))})
		c.point(vg.Point{X: p1.X + k*vg.Length(math.Sin(b)), Y: p1.Y - k*vg.Length(math.Cos(b))})
		c.point(p1)
		c.p.buf = append(c.p.buf, "c "...)
		a = b
	}
	return on(a)
}

// FillString sets text in the press's own face nearest to f.
func (c *canvas) FillString(f font.Face, pt vg.Point, text string) {
	size := f.Font.Size.Points()
	if size <= 0 || text == "" {
		return
	}
	st := style{face: nearestFace(f.Font), size: size}
	words := c.s.shape([]Inline{Text{S: text}}, st)
	x := pt.X.Points() // words begin after the spaces that open a text, such as a part of a label
	for range len(text) - len(strings.TrimLeft(text, " ")) {
		x += faces()[st.face].load().advance(' ') * size
	}
	// The text's own colour is the canvas's, so the pen is told that it is set already.
	// A figure is one element, so its words are not tagged one by one.
	p := *c.p
	p.plain, p.grey, p.within = false, 0, nil
	p.setLine(words, x, p.height-pt.Y.Points())
	c.p.buf = p.buf
}

func nearestFace(f font.Font) int {
	bold, slanted := f.Weight >= xfont.WeightSemiBold, f.Style != xfont.StyleNormal
	switch {
	case f.Variant == "Mono":
		return mono
	case f.Variant == "Serif" && slanted:
		return serifItalic
	case f.Variant == "Serif":
		return serif
	case bold && slanted:
		return sansBoldItalic
	case bold:
		return sansBold
	case slanted:
		return sansItalic
	}
	return sans
}

// DrawImage is refused: drawings are vectors.
func (c *canvas) DrawImage(vg.Rectangle, image.Image) {
	c.s.fail(fmt.Errorf("page: drawings hold vectors only, not bitmaps"))
}
