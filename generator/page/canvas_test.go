package page

import (
	"image/color"
	"math"
	"strings"
	"testing"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// red is a Drawing in colour.
type red struct{}

func (red) Size() (vg.Length, vg.Length) { return 50, 50 }
func (red) Draw(cv vg.Canvas) {
	cv.SetColor(color.NRGBA{R: 200, A: 255})
	var p vg.Path
	p.Move(vg.Point{X: 10, Y: 10})
	p.Line(vg.Point{X: 20, Y: 10})
	p.QuadTo(vg.Point{X: 25, Y: 15}, vg.Point{X: 20, Y: 20})
	p.CubeTo(vg.Point{X: 15, Y: 25}, vg.Point{X: 10, Y: 25}, vg.Point{X: 10, Y: 20})
	p.Close()
	cv.Fill(p)
}

// drawn is what a drawing writes on a page.
func drawn(t *testing.T, draw func(vg.Canvas)) string {
	t.Helper()
	s := testSetter()
	s.pen.reset(800, false)
	c := newCanvas(s, &s.pen, 100, 300, 1)
	from := len(s.pen.buf)
	draw(c)
	to := len(s.pen.buf)
	c.close()
	if len(s.errs) > 0 {
		t.Log(s.errs)
	}
	return strings.Join(strings.Fields(string(s.pen.buf[from:to])), " ")
}

func TestCanvasOperators(t *testing.T) {
	for name, tc := range map[string]struct {
		draw func(vg.Canvas)
		want string
	}{
		"translate":  {func(c vg.Canvas) { c.Translate(vg.Point{X: 3, Y: 4.5}) }, "1 0 0 1 3 4.5 cm"},
		"rotate":     {func(c vg.Canvas) { c.Rotate(math.Pi / 6) }, "0.86603 0.5 -0.5 0.86603 0 0 cm"},
		"scale":      {func(c vg.Canvas) { c.Scale(2, 0.5) }, "2 0 0 0.5 0 0 cm"},
		"dash":       {func(c vg.Canvas) { c.SetLineDash([]vg.Length{4, 2}, 1) }, "[4 2 ] 1 d"},
		"grey":       {func(c vg.Canvas) { c.SetColor(color.Gray{51}) }, "0.2 g 0.2 G"},
		"colour":     {func(c vg.Canvas) { c.SetColor(color.NRGBA{R: 255, A: 255}) }, "1 0 0 rg 1 0 0 RG"},
		"nil colour": {func(c vg.Canvas) { c.SetColor(nil) }, "0 g 0 G"},
		"push pop":   {func(c vg.Canvas) { c.Push(); c.SetLineWidth(2); c.Pop(); c.Pop() }, "q 2 w Q"},
		"no width":   {func(c vg.Canvas) { c.SetLineWidth(0); c.Stroke(vg.Path{{Type: vg.MoveComp}}) }, ""},
		"path": {func(c vg.Canvas) {
			c.Stroke(vg.Path{{Type: vg.MoveComp, Pos: vg.Point{X: 1, Y: 2}}, {Type: vg.LineComp, Pos: vg.Point{X: 3, Y: 4}}, {Type: vg.CloseComp}})
		}, "1 2 m 3 4 l h S"},
		"quadratic": {func(c vg.Canvas) {
			c.Fill(vg.Path{{Type: vg.MoveComp}, {Type: vg.CurveComp, Control: []vg.Point{{X: 3, Y: 6}}, Pos: vg.Point{X: 6}}})
		}, "0 0 m 2 4 4 4 6 0 c f"},
		"no size": {func(c vg.Canvas) { c.FillString(font.Face{}, vg.Point{}, "x") }, ""},
	} {
		t.Run(name, func(t *testing.T) {
			if got := drawn(t, tc.draw); got != tc.want {
				t.Errorf("wrote %q, want %q", got, tc.want)
			}
		})
	}
}

// A full circle is made of four curves whose ends lie on it.
func TestCanvasArc(t *testing.T) {
	var p vg.Path
	p.Arc(vg.Point{X: 50, Y: 50}, 10, 0, 2*math.Pi)
	want := "60 50 m 60 55.52 55.52 60 50 60 c 44.48 60 40 55.52 40 50 c 40 44.48 44.48 40 50 40 c 55.52 40 60 44.48 60 50 c S"
	if got := drawn(t, func(c vg.Canvas) { c.Stroke(p) }); got != want {
		t.Errorf("wrote %q, want %q", got, want)
	}
}

func TestCanvasText(t *testing.T) {
	f := font.Face{Font: font.Font{Typeface: "Liberation", Variant: "Sans", Weight: xfont.WeightBold, Size: 9}}
	got := drawn(t, func(c vg.Canvas) { c.FillString(f, vg.Point{X: 5, Y: 7}, "W / N") })
	if want := "BT /F1.0 9 Tf 5 7 Td (W / N) Tj ET"; got != want {
		t.Errorf("wrote %q, want %q", got, want)
	}
	got = drawn(t, func(c vg.Canvas) { c.FillString(f, vg.Point{X: 5, Y: 7}, " = 2 N") })
	if want := "BT /F1.0 9 Tf 7.5 7 Td (= 2 N) Tj ET"; got != want { // a space is 0.278 em
		t.Errorf("wrote %q, want %q", got, want)
	}
	for f, want := range map[font.Font]int{
		{Variant: "Serif"}: serif, {Variant: "Serif", Style: xfont.StyleItalic}: serifItalic, {Variant: "Mono"}: mono, {}: sans,
		{Variant: "Sans", Style: xfont.StyleItalic}:                           sansItalic,
		{Variant: "Sans", Style: xfont.StyleItalic, Weight: xfont.WeightBold}: sansBoldItalic,
	} {
		if got := nearestFace(f); got != want {
			t.Errorf("%v is set in face %d, want %d", f, got, want)
		}
	}
}

func TestCanvasRefusesBitmaps(t *testing.T) {
	s := testSetter()
	newCanvas(s, &s.pen, 0, 0, 1).DrawImage(vg.Rectangle{}, nil)
	if len(s.errs) != 1 {
		t.Errorf("errors %v", s.errs)
	}
}
