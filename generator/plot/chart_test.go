package plot

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestChartToScale(t *testing.T) {
	d, err := NewChart(Chart{X: Axis{Label: "depth $z$", Unit: "cm"}, Y: Axis{Label: "reading $W$", Unit: "N"},
		Series: []Series{{X: []float64{0, 2, 8}, Y: []float64{2, 1.5, 0.5}, ErrY: []float64{0.1, 0.1, 0.2}, Marker: 4}}})
	if err != nil {
		t.Fatal(err)
	}
	r := draw(t, d)
	for _, title := range []string{"depth z / cm", "reading"} {
		if !slices.ContainsFunc(r.texts, func(w written) bool { return strings.HasPrefix(w.text, title) }) {
			t.Errorf("no axis is titled %q: %v", title, r.texts)
		}
	}
	var centres []xy // of the upright strokes of the plus signs, which are as long as 2.6 radii
	var bars []float64
	for _, s := range r.strokes {
		p := s.pieces[0]
		if len(s.pieces) != 1 || p.a.x != p.b.x || s.grey > 100 {
			continue
		}
		if s.width == line.width {
			centres = append(centres, between(p.a, p.b, 0.5))
		} else if p.b.minus(p.a).length() > 3.1 {
			bars = append(bars, p.b.minus(p.a).length())
		}
	}
	if len(centres) != 3 || len(bars) != 3 {
		t.Fatalf("%d markers and %d error bars, not 3", len(centres), len(bars))
	}
	near(t, "x", (centres[2].x-centres[0].x)/(centres[1].x-centres[0].x), 4)
	near(t, "y", (centres[2].y-centres[0].y)/(centres[1].y-centres[0].y), 3)
	near(t, "error bars", bars[2]/bars[0], 2)
	near(t, "error bar against y", bars[0]/(centres[0].y-centres[1].y), 0.2/0.5)
}

func TestLegendOnlyForSeveral(t *testing.T) {
	series := []Series{{Name: "bench", X: []float64{1, 2}, Y: []float64{1, 2}}, {Name: "line", X: []float64{1, 2}, Y: []float64{1, 2}, Line: true}}
	for n, want := range []bool{1: false, 2: true} {
		if n == 0 {
			continue
		}
		d, err := NewChart(Chart{Series: series[:n]})
		if err != nil {
			t.Fatal(err)
		}
		if _, got := draw(t, d).find("bench"); got != want {
			t.Errorf("%d series: legend %v, want %v", n, got, want)
		}
	}
}

func TestPointsWithLabels(t *testing.T) {
	d, err := NewChart(Chart{Series: []Series{{X: []float64{1, 2}, Y: []float64{1, 2}, Labels: []string{"Q4", "Q7"}}}})
	if err != nil {
		t.Fatal(err)
	}
	r := draw(t, d)
	for _, label := range []string{"Q4", "Q7"} {
		if _, there := r.find(label); !there {
			t.Errorf("no label %s: %v", label, r.texts)
		}
	}
}

func TestChartFaults(t *testing.T) {
	for _, c := range []struct {
		chart Chart
		want  string
	}{
		{Chart{}, "no finite range"},
		{Chart{Series: []Series{{X: []float64{1}, Y: []float64{1, 2}}}}, "1 values of x, 2 of y"},
		{Chart{Series: []Series{{X: []float64{1}, Y: []float64{2}, Labels: []string{"a", "b"}}}}, "2 labels"},
		{Chart{Series: []Series{{X: []float64{1}, Y: []float64{math.NaN()}}}}, "point 1 is not finite"},
		{Chart{Series: []Series{{X: []float64{-1e308, 1e308}, Y: []float64{1, 2}}}}, "cannot be divided"},
	} {
		if _, err := NewChart(c.chart); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got %v, want %q", err, c.want)
		}
	}
	if _, err := NewGraph(Graph{X: Axis{Max: 1}}); err == nil || !strings.Contains(err.Error(), "needs a range") {
		t.Errorf("graph paper without a range: %v", err)
	}
	if _, err := NewGraph(Graph{X: Axis{Max: 1}, Y: Axis{Max: 1}, Style: Style{Width: 60}}); err == nil {
		t.Error("graph paper of 2 cm is made")
	}
	if _, err := NewBars(Bars{Labels: []string{"a"}}); err == nil {
		t.Error("bars without values are made")
	}
	if _, err := NewMarksGrid(MarksGrid{Pupils: []string{"a"}, Questions: []string{"q"}, Cells: [][]Cell{{{Share: 2}}}}); err == nil {
		t.Error("a share of 2 is drawn")
	}
}

// Ticks lie at 1, 2 or 5 times a power of ten, cover the data, and are told apart by their numbers.
func TestTicks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		high := low + math.Pow(10, rapid.Float64Range(-4, 8).Draw(t, "span"))
		r, err := Axis{}.fit(low, high, 8)
		if err != nil {
			t.Fatal(err)
		}
		m := r.step / math.Pow(10, math.Floor(math.Log10(r.step)+1e-9))
		if d := math.Min(math.Abs(m-1), math.Min(math.Abs(m-2), math.Abs(m-5))); d > 1e-6 {
			t.Fatalf("step %v", r.step)
		}
		slack := 1e-8*r.step + 1e-12*(math.Abs(low)+math.Abs(high))
		if r.min > low+slack || r.max < high-slack {
			t.Fatalf("%v to %v leaves out data from %v to %v", r.min, r.max, low, high)
		}
		ticks := r.ticks()
		if len(ticks) < 2 || len(ticks) > 12 {
			t.Fatalf("%d ticks", len(ticks))
		}
		for i := 1; i < len(ticks); i++ {
			if r.label(ticks[i]) == r.label(ticks[i-1]) {
				t.Fatalf("two ticks read %s", r.label(ticks[i]))
			}
		}
	})
}

func TestAxisTitles(t *testing.T) {
	for _, c := range []struct {
		axis  Axis
		power int
		want  string
	}{
		{Axis{Label: "depth", Unit: "cm"}, 0, "depth / cm"},
		{Axis{Label: "drag", Unit: "N/m"}, 0, "drag / (N/m)"},
		{Axis{Label: "volume", Unit: "m³"}, -6, "volume / (10⁻⁶ m³)"},
		{Axis{Label: "ratio", Unit: "1"}, 0, "ratio"},
		{Axis{Label: "ratio"}, 3, "ratio / 10³"},
		{Axis{Unit: "N/m"}, 0, "N/m"},
		{Axis{}, 0, ""},
	} {
		if got := c.axis.title(c.power); got != c.want {
			t.Errorf("%+v: %q, want %q", c.axis, got, c.want)
		}
	}
	r := ruler{min: -20000, max: 20000, step: 10000}
	if got := r.label(-20000); got != "−20\u2009000" {
		t.Errorf("label %q", got)
	}
}

func TestBarsToScale(t *testing.T) {
	for _, label := range []string{"", " with a label too long to stand below a bar"} {
		d, err := NewBars(Bars{Y: Axis{Label: "pupils"}, Labels: []string{"a" + label, "b" + label, "c" + label}, Values: []float64{10, 4, 0}})
		if err != nil {
			t.Fatal(err)
		}
		bars := draw(t, d).rects(hair.width)
		if len(bars) != 2 {
			t.Fatalf("%d bars for two values above 0", len(bars))
		}
		long := func(b box) float64 {
			if label == "" {
				return b.tall()
			}
			return b.wide()
		}
		near(t, "bars", long(bars[1])/long(bars[0]), 0.4)
	}
}

func TestMarksGridHoldsAClass(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	g := MarksGrid{}
	for q := range 18 {
		g.Questions = append(g.Questions, "question"+strconv.Itoa(q))
	}
	for p := range 36 {
		g.Pupils = append(g.Pupils, "A pupil with a name of some length "+strconv.Itoa(p))
		row := make([]Cell, 18)
		for i := range row {
			row[i] = Cell{State: CellState(r.IntN(4)), Share: r.Float64(), Marks: float64(r.IntN(5))}
		}
		g.Cells = append(g.Cells, row)
		g.Totals = append(g.Totals, strconv.Itoa(100+p)+" + ?")
	}
	g.Cells[0][0], g.Cells[0][1] = Cell{Share: 1, Marks: 3}, Cell{Share: 0}
	d, err := NewMarksGrid(g)
	if err != nil {
		t.Fatal(err)
	}
	if w, h := d.Size(); w > 174*mm || h > 230*mm {
		t.Errorf("36 pupils and 18 questions take %v by %v mm", w/mm, h/mm)
	}
	rec := draw(t, d)
	if pairs := rec.overlaps(); len(pairs) > 0 {
		t.Errorf("labels overprint: %q", pairs)
	}
	for _, bare := range []bool{false, true} {
		g.Bare = bare
		d, err := NewMarksGrid(g)
		if err != nil {
			t.Fatal(err)
		}
		if key := slices.ContainsFunc(draw(t, d).texts, func(w written) bool { return w.text == "to be decided" }); key == bare {
			t.Errorf("bare: %v, with a key: %v", bare, key)
		}
	}
	for _, total := range g.Totals {
		if !slices.ContainsFunc(rec.texts, func(w written) bool { return w.text == total }) {
			t.Errorf("the total %q is not shown whole", total)
		}
	}
	g.Totals = g.Totals[1:]
	if _, err := NewMarksGrid(g); err == nil {
		t.Error("35 totals for 36 pupils are drawn")
	}
	if full, none := rec.fills[0].grey, rec.fills[1].grey; full != 255 || none > 160 || none < 100 {
		t.Errorf("full marks have grey %d, none %d", full, none)
	}
}

func BenchmarkChart(b *testing.B) {
	x, y := make([]float64, 12), make([]float64, 12)
	for i := range x {
		x[i], y[i] = float64(i), 3-0.1*float64(i)
	}
	for b.Loop() {
		if _, err := NewChart(Chart{X: Axis{Label: "depth $z$", Unit: "cm"}, Y: Axis{Label: "reading $W$", Unit: "N"},
			Series: []Series{{X: x, Y: y}, {X: x, Y: y, Line: true}}}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFigures(b *testing.B) {
	for kind, random := range randomFigures {
		b.Run(kind, func(b *testing.B) {
			f := random(rand.New(rand.NewPCG(1, 1)))
			f.Kind = kind
			for b.Loop() {
				if _, err := New(f); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
