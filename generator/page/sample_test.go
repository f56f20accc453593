package page

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// chart is a Drawing: a line with markers, axes and labels.
type chart struct{ w, h vg.Length }

func (c chart) Size() (vg.Length, vg.Length) { return c.w, c.h }
func (c chart) Alt() string                  { return "Upthrust against depth: a straight line through the origin." }
func (c chart) Draw(cv vg.Canvas) {
	p := plot.New()
	p.X.Label.Text, p.Y.Label.Text = "depth z / cm", "upthrust F / N"
	pts := plotter.XYs{{X: 0, Y: 0}, {X: 2, Y: 0.4}, {X: 4, Y: 0.81}, {X: 6, Y: 1.18}, {X: 8, Y: 1.6}}
	l, s, err := plotter.NewLinePoints(pts)
	if err != nil {
		panic(err)
	}
	l.Color, s.Color = color.Black, color.Black
	p.Add(plotter.NewGrid(), l, s)
	p.Draw(draw.NewCanvas(cv, c.w, c.h))
}

// disc is a Drawing without letters.
type disc struct{ w, h vg.Length }

func (d disc) Size() (vg.Length, vg.Length) { return d.w, d.h }
func (d disc) Draw(cv vg.Canvas) {
	var p vg.Path
	p.Move(vg.Point{X: d.w, Y: d.h / 2})
	p.Arc(vg.Point{X: d.w / 2, Y: d.h / 2}, d.w/2, 0, 2*math.Pi)
	cv.Stroke(p)
}

func words1(s string) []Inline { return []Inline{Text{S: s}} }

func para(runs ...Inline) Block { return Paragraph{runs} }

// sample is a sheet with every kind of block, as a lab prints it.
func sample() Sheet {
	row := func(cells ...string) [][]Inline {
		var out [][]Inline
		for _, c := range cells {
			out = append(out, words1(c))
		}
		return out
	}
	items := func(texts ...string) [][]Block {
		var out [][]Block
		for _, t := range texts {
			out = append(out, []Block{para(Text{S: t})})
		}
		return out
	}
	return Sheet{
		Title: "Weigh it twice", Subtitle: "Archimedes · starter · 50 minutes", NameLine: true, Name: "Łucja Ångström",
		Code: "4F7KQ2X7", QR: "keelmark:2QJ8RW/4F7KQ2X7/", Foot: "Weigh it twice", OutOf: 12,
		Body: []Block{
			Panel{"Take care", []Block{List{Items: items(
				"Wipe spills at once; a wet floor is slippery.",
				"Keep mains-powered equipment away from the water. Follow your school's own risk assessment and local rules.")}}},
			Heading{2, words1("Kit")},
			List{Tick: true, Items: items("digital newton meter, 0 to 10 N in 0.01 N steps",
				"tank or bucket, thermometer, thread, a metal sinker of 60 to 110 cm³")},
			Heading{2, words1("What to do")},
			para(Text{S: "A sinker hangs from a newton meter. In air the meter reads "}, Text{S: "7.12 N", Bold: true},
				Text{S: "; fully under water at 18.5 °C it reads "}, Text{S: "6.28 N", Bold: true},
				Text{S: ". Water at this temperature has density "}, Math{`\rho_w = 998.5\,\mathrm{kg/m^3}`},
				Text{S: ", and the meter is good to 1.0 × 10⁻² N. The upthrust is "}, Math{`F_b = W_a - W_w`},
				Text{S: " and the volume pushed aside is "}, Math{`V = \frac{F_b}{\rho_w g}`}, Text{S: "."}),
			Display{`\rho = \frac{W_a}{g V} = \frac{W_a}{W_a - W_w}\,\rho_w \qquad T = 2\pi\sqrt{\frac{k^2 + h^2}{g\,h}}`},
			Heading{3, words1("Readings")},
			Table{Head: row("load / N", "extension / cm", "remark"), Align: []byte("..l"),
				Rows: [][][]Inline{row("0.5", "1.25", "first"), row("1.0", "12.5", "second"), row("10.25", "100", "the last one")}},
			Table{Head: row("depth z / cm", "upthrust F / N", "again"), Align: []byte("ccc"), FillHeight: 8,
				Rows: [][][]Inline{row("0", "", ""), row("2", "", ""), row("4", "", "")}, Fields: [][]string{{"", "r1", "r2"}, {"", "r3", "r4"}, {"", "r5", "r6"}}},
			Question{ID: "Fb", Number: 1, Marks: 2, Ask: []Block{para(Text{S: "What is the upthrust on the sinker?"})},
				Box: Box{Kind: "number", Unit: "N"}},
			Question{ID: "V_s", Number: 2, Marks: 2, Working: 20, Ask: []Block{para(Text{S: "What volume of water does the sinker push aside? Show how you found it, and give the unit as well as the number."})},
				Hint: []Block{para(Text{S: "The upthrust is the weight of that water."})}, Box: Box{Kind: "unit"}},
			Question{ID: "which", Number: 3, Marks: 1, Ask: []Block{para(Text{S: "Which metal is it most likely to be?"})},
				Box: Box{Kind: "choice", Choices: row("aluminium", "zinc", "steel", "brass")}},
			Question{ID: "why", Number: 4, Marks: 2, Ask: []Block{para(Text{S: "Why must the sinker not touch the bottom of the tank?"})},
				Box: Box{Kind: "lines", Lines: 4}},
			Picture{chart{300, 190}, words1("Upthrust against depth, measured on the bench.")},
			Quote{[]Block{para(Text{S: "Any body in water is pushed up by as much as the water it takes the place of weighs."})}},
			Picture{chart{300, 190}, nil},
			Question{ID: "rho", Number: 5, Marks: 3, Working: 15, Ask: []Block{para(Text{S: "What is the density of the sinker, in "}, Math{`\mathrm{kg/m^3}`}, Text{S: "?"})},
				Box: Box{Kind: "number", Unit: "kg/m³"}},
		},
	}
}

func sampleDoc() *Document {
	return &Document{Title: "Weigh it twice", Lang: "en-GB", Paper: "a4", Duplex: true, Sheets: []Sheet{sample()}}
}

// classSet is a document of n sheets that differ in names and numbers.
func classSet(n int) *Document {
	doc := sampleDoc()
	doc.Sheets = nil
	for i := range n {
		sh := sample()
		sh.Code = fmt.Sprintf("4F7K%04d", i)
		sh.Name = fmt.Sprintf("Pupil %d", i)
		doc.Sheets = append(doc.Sheets, sh)
	}
	return doc
}
