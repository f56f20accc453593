package plot

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

func mustFigure(t *testing.T, kind string, values map[string]FigureValue) *record {
	t.Helper()
	d, err := New(Figure{Kind: kind, Values: values})
	if err != nil {
		t.Fatal(err)
	}
	return draw(t, d)
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-6*max(1, math.Abs(want)) {
		t.Errorf("%s: drawn %.6g, values say %.6g", what, got, want)
	}
}

// horizontals are the heights of thick or thin horizontal strokes of one piece.
func (r *record) horizontals(width float64) (lines []segment) {
	for _, s := range r.strokes {
		if len(s.pieces) == 1 && s.width == width && math.Abs(s.pieces[0].a.y-s.pieces[0].b.y) < 1e-9 {
			lines = append(lines, s.pieces[0])
		}
	}
	return lines
}

func TestHangToScale(t *testing.T) {
	r := mustFigure(t, "hang", map[string]FigureValue{"air": one("W_a", "N", 4.5), "water": one("W_w", "N", 1.2)})
	pointers := r.horizontals(thick.width)
	if len(pointers) != 2 {
		t.Fatalf("%d pointers, not 2", len(pointers))
	}
	zero, _ := r.find("0")
	full, ok := r.find("5 N")
	if !ok {
		t.Fatal("the meter does not end at 5 N")
	}
	scale := func(y float64) float64 { return (zero.low.y - y) / (zero.low.y - full.low.y) * 5 }
	middle := (0.36 + 0.2) * 7 // of figures of 7 pt over the lower edge of their box
	near(t, "reading in air", scale(pointers[0].a.y-middle), 4.5)
	near(t, "reading in water", scale(pointers[1].a.y-middle), 1.2)
}

// rects are the outlines of upright rectangles stroked with a pen of that width, as boxes.
func (r *record) rects(width float64) (boxes []box) {
	for _, s := range r.strokes {
		if len(s.pieces) == 4 && s.width == width {
			a, c := s.pieces[0].a, s.pieces[2].a
			boxes = append(boxes, box{xy{min(a.x, c.x), min(a.y, c.y)}, xy{max(a.x, c.x), max(a.y, c.y)}})
		}
	}
	return boxes
}

func (b box) wide() float64 { return b.high.x - b.low.x }
func (b box) tall() float64 { return b.high.y - b.low.y }

func TestFloatToScale(t *testing.T) {
	r := mustFigure(t, "float", map[string]FigureValue{"length": one("L", "m", 1.2), "breadth": one("B", "m", 0.5),
		"depth": one("D", "m", 0.3), "draught": one("T", "m", 0.1)})
	hulls := r.rects(line.width)
	if len(hulls) != 2 {
		t.Fatalf("%d views, not 2", len(hulls))
	}
	k := hulls[0].wide() / 1.2
	near(t, "depth", hulls[0].tall(), k*0.3)
	near(t, "breadth", hulls[1].wide(), k*0.5)
	for _, s := range r.strokes {
		if s.dashed {
			near(t, "draught", s.pieces[0].a.y-hulls[0].low.y, k*0.1)
		}
	}
}

func TestBeamToScale(t *testing.T) {
	r := mustFigure(t, "beam", map[string]FigureValue{"pivot": one("", "m", 0.4), "length": one("", "m", 1),
		"load": many("N", 2, 5, 3), "at": many("m", 0.1, 0.55, 0.9)})
	bar := r.rects(line.width)[0]
	var shafts []segment
	for _, s := range r.strokes {
		if s.width == thick.width {
			shafts = append(shafts, s.pieces[0])
		}
	}
	if len(shafts) != 3 {
		t.Fatalf("%d arrows, not 3", len(shafts))
	}
	tall := func(s segment) float64 { return s.a.y - bar.high.y } // from the tail to the beam
	for i, at := range []float64{0.1, 0.55, 0.9} {
		near(t, "place of a load", shafts[i].a.x-bar.low.x, bar.wide()*at)
		near(t, "length of an arrow", tall(shafts[i])/tall(shafts[1]), []float64{2, 5, 3}[i]/5)
	}
}

func TestCraftToScale(t *testing.T) {
	r := mustFigure(t, "craft-side", map[string]FigureValue{"part": {Texts: []string{"a", "b"}}, "x": many("m", 0, 0.4),
		"z": many("m", 0, 0.1), "V": many("m³", 1e-3, 8e-6), "m": many("kg", 3, 1), "show": {Texts: []string{"G"}}})
	parts := r.rects(line.width)
	if len(parts) != 2 {
		t.Fatalf("%d boxes, not 2", len(parts))
	}
	near(t, "sides of two cubes", parts[0].wide()/parts[1].wide(), 0.1/0.02)
	a, b := between(parts[0].low, parts[0].high, 0.5), between(parts[1].low, parts[1].high, 0.5)
	k := parts[0].wide() / 0.1
	near(t, "distance ahead", b.x-a.x, k*0.4)
	near(t, "height", b.y-a.y, k*0.1)
	var g box
	for _, s := range r.strokes {
		if n := len(s.pieces); n > 20 { // circles; the last and largest is the mark of G
			bounds := box{s.pieces[0].a, s.pieces[0].a}
			for _, p := range s.pieces {
				bounds = box{xy{min(bounds.low.x, p.a.x), min(bounds.low.y, p.a.y)}, xy{max(bounds.high.x, p.a.x), max(bounds.high.y, p.a.y)}}
			}
			if bounds.wide() > 6 {
				g = bounds
			}
		}
	}
	near(t, "centre of mass", (g.low.x+g.high.x)/2-a.x, k*0.1) // (3·0 + 1·0.4)/4
}

func TestScaleReadsBack(t *testing.T) {
	for _, form := range []string{"linear", "upright", "dial"} {
		for _, value := range []float64{0, 1.25, 3.3, 5} {
			r := mustFigure(t, "scale", map[string]FigureValue{"value": one("", "N", value), "from": one("", "N", 0),
				"to": one("", "N", 5), "division": one("", "N", 0.1), "form": {Texts: []string{form}}})
			tip := needleTip(r)
			switch form {
			case "dial":
				centre := dialCentre(r)
				angle := math.Mod(1.25*math.Pi-math.Atan2(tip.y-centre.y, tip.x-centre.x)+4*math.Pi, 2*math.Pi)
				near(t, "dial", angle/(1.5*math.Pi)*5, value)
			default:
				axis := longest(r, line.width)
				near(t, form, tip.minus(axis.a).x*axis.b.minus(axis.a).unit().x/axis.b.minus(axis.a).length()*5+
					tip.minus(axis.a).y*axis.b.minus(axis.a).unit().y/axis.b.minus(axis.a).length()*5, value)
			}
		}
	}
}

// needleTip is the sharp corner of the needle, its second point.
func needleTip(r *record) xy {
	for _, f := range r.fills {
		if len(f.pieces) == 3 {
			return f.pieces[0].b
		}
	}
	return xy{math.NaN(), math.NaN()}
}

// dialCentre is the middle of the hub, the only disc filled.
func dialCentre(r *record) xy {
	for _, f := range r.fills {
		if len(f.pieces) > 20 {
			return f.pieces[0].a.minus(xy{3.5, 0})
		}
	}
	return xy{}
}

func longest(r *record, width float64) (best segment) {
	for _, s := range r.strokes {
		if len(s.pieces) == 1 && s.width == width && s.pieces[0].b.minus(s.pieces[0].a).length() > best.b.minus(best.a).length() {
			best = s.pieces[0]
		}
	}
	return best
}

func TestScaleNumbersItsUnit(t *testing.T) {
	kelvin := func(text string, c float64) FigureValue {
		return FigureValue{SI: []float64{c + 273.15}, Texts: []string{text}}
	}
	r := mustFigure(t, "scale", map[string]FigureValue{"value": kelvin("18.5 °C", 18.5), "from": kelvin("−10 °C", -10),
		"to": kelvin("50 °C", 50), "division": {SI: []float64{1}, Texts: []string{"1 °C"}}, "form": {Texts: []string{"upright"}}})
	for _, want := range []string{"−10", "50", "20", "°C"} {
		if _, ok := r.find(want); !ok {
			t.Errorf("the scale has no %q", want)
		}
	}
}

func TestGraphPaperIsExact(t *testing.T) {
	for _, width := range []vg.Length{0, 493, 300} {
		d, err := NewGraph(Graph{X: Axis{Label: "load $F$", Unit: "N", Max: 5}, Y: Axis{Label: "extension", Unit: "cm", Max: 12},
			Style: Style{Width: width, Scale: 16.0 / 11}})
		if err != nil {
			t.Fatal(err)
		}
		if w, _ := d.Size(); width > 0 && w > width {
			t.Errorf("graph paper is %v wide where %v is free", w, width)
		}
		r := draw(t, d)
		var xs []float64
		for _, s := range r.strokes {
			if s.grey >= 100 {
				for _, p := range s.pieces {
					if p.a.x == p.b.x {
						xs = append(xs, p.a.x)
					}
				}
			}
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, x := range xs {
			low, high = min(low, x), max(high, x)
		}
		for _, x := range xs {
			if n := (x - low) / (72 / 25.4); math.Abs(n-math.Round(n)) > 1e-9 {
				t.Fatalf("a line stands at %v mm", n)
			}
		}
		if got := int(math.Round((high-low)/mm)) + 1; got != len(xs) || got < 31 {
			t.Errorf("%d upright lines for %d mm", len(xs), got-1)
		}
	}
}

func TestHeelDisplacesTheSame(t *testing.T) {
	for _, degrees := range []float64{0, 1, 10, 30, 45, 70, 90} {
		h := heeledHull{breadth: 60, depth: 30, draught: 12, angle: degrees * math.Pi / 180}
		_, under := h.afloat()
		if got := area(under); math.Abs(got-60*12) > 1e-6 {
			t.Errorf("heel %v: %v under water, not %v", degrees, got, 60*12)
		}
	}
	// Until an edge dips the wall-sided formula holds: GZ = (GM + ½ BM tan²θ) sin θ.
	angle := 15 * math.Pi / 180
	h := heeledHull{breadth: 60, depth: 30, draught: 12, angle: angle}
	_, under := h.afloat()
	bm := 60.0 * 60 / (12 * 12)
	gm := 12.0/2 + bm - 18
	gz := centroid(under).x - h.onCentreLine(18).x
	near(t, "righting lever", gz, (gm+bm*math.Pow(math.Tan(angle), 2)/2)*math.Sin(angle))
}

func TestAirToScale(t *testing.T) {
	r := mustFigure(t, "column", map[string]FigureValue{"depth": many("m", 0, 10), "volume": many("m³", 60e-6, 30e-6)})
	var air []box
	for _, f := range r.fills {
		if f.grey == 255 {
			air = append(air, box{f.pieces[0].a, f.pieces[1].b})
		}
	}
	if len(air) != 2 {
		t.Fatalf("%d vessels, not 2", len(air))
	}
	near(t, "air at 10 m against air at the surface", air[1].tall()/air[0].tall(), 0.5)
}

func TestDiscConservesWater(t *testing.T) {
	r := mustFigure(t, "disc", map[string]FigureValue{"v": one("v", "m/s", 0.8), "V": one("V", "m/s", 0.5)})
	var upper []segment
	for _, s := range r.strokes {
		if len(s.pieces) == 48 {
			upper = s.pieces
			break
		}
	}
	if upper == nil {
		t.Fatal("no stream tube")
	}
	axis := longest(r, action.width).a.y
	for _, s := range r.strokes {
		if s.dashed {
			axis = s.pieces[0].a.y
		}
	}
	// Speed V + v(1 + x/√(1+x²)) times the square of the radius is the same all along.
	flow := func(i int) float64 {
		x := -1.5 + 4.3*float64(i)/48
		return (0.5 + 0.8*(1+x/math.Hypot(1, x))) * math.Pow(upper[i].a.y-axis, 2)
	}
	for i := range upper {
		near(t, "flow", flow(i), flow(0))
	}
}

func TestRunFollowsTheSpeed(t *testing.T) {
	r := mustFigure(t, "run", map[string]FigureValue{"t": many("s", 0, 2, 4), "v": many("m/s", 0, 1, 1)})
	var marks []float64
	for _, s := range r.strokes {
		if p := s.pieces[0]; len(s.pieces) == 1 && p.a.x == p.b.x && math.Abs(p.b.y-p.a.y-9) < 1e-9 {
			marks = append(marks, p.a.x)
		}
	}
	if len(marks) != 3 {
		t.Fatalf("%d marks along the track, not 3", len(marks))
	}
	near(t, "ways of 1 m and 3 m", (marks[2]-marks[0])/(marks[1]-marks[0]), 3)
}

func TestLabelsPrintSymbols(t *testing.T) {
	for src, want := range map[string]string{
		`$\rho_w$ = 998.2 kg/m³`: "ρw = 998.2 kg/m3", `$W_{\mathrm{air}}$`: "Wair", `10⁻³ m`: "10−3 m", `$v^2$`: "v2",
		`$x`: "$x", `a$$b`: "ab", `$\unknown$`: "unknown", `$_$`: "", "a\x00b": "ab",
	} {
		got := ""
		for _, r := range setText(src, 9).runs {
			got += r.text
		}
		if got != want {
			t.Errorf("setText(%q) reads %q, want %q", src, got, want)
		}
	}
	runs := setText(`$\rho_w$`, 10).runs
	if runs[0].face != serifItalic || runs[1].rise >= 0 || runs[1].size >= runs[0].size {
		t.Errorf("ρ_w is not an italic letter with a smaller, lower index: %+v", runs)
	}
}

func TestFaultsSayWhatIsWrong(t *testing.T) {
	for _, c := range []struct {
		figure Figure
		want   string
	}{
		{Figure{Kind: "boat"}, `figure "boat": no such kind; there are beam,`},
		{Figure{Kind: "hang"}, "air is missing"},
		{Figure{Kind: "hang", Values: map[string]FigureValue{"air": {SI: []float64{math.NaN()}}}}, "air is NaN"},
		{Figure{Kind: "float", Values: map[string]FigureValue{"length": one("", "m", 1), "depth": one("", "m", 1), "draught": one("", "m", 2)}}, "more than the depth"},
		{Figure{Kind: "beam", Values: map[string]FigureValue{"pivot": one("", "m", 1), "load": many("N", 1, 2), "at": many("m", 1)}}, "at has 1 values where 2 are needed"},
		{Figure{Kind: "circuit"}, "the network is missing"},
		{Figure{Kind: "circuit", Circuit: &Circuit{Elements: []CircuitElement{{"R1", "coil", "a", "b", ""}}}}, `no symbol for the kind "coil"`},
		{Figure{Kind: "circuit", Circuit: &Circuit{Elements: []CircuitElement{{"R1", "resistor", "a", "a", ""}}}}, "both ends at node a"},
		{Figure{Kind: "scale", Values: map[string]FigureValue{"value": one("", "N", 9), "from": one("", "N", 0), "to": one("", "N", 5), "division": one("", "N", 1)}}, "off the scale"},
		{Figure{Kind: "scale", Values: map[string]FigureValue{"value": one("", "N", 1), "from": one("", "N", 0), "to": one("", "N", 5), "division": one("", "N", 0.3)}}, "whole number"},
		{Figure{Kind: "heel", Values: map[string]FigureValue{"B": one("", "m", 1), "D": one("", "m", 1), "KG": one("", "m", 1), "heel": one("", "rad", 2)}}, "0 to 90 degrees"},
		{Figure{Kind: "run", Values: map[string]FigureValue{"t": many("s", 1, 1), "v": many("m/s", 1, 1)}}, "times must rise"},
	} {
		if _, err := New(c.figure); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.figure.Kind, err, c.want)
		}
	}
}
