package page

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the goldens anew")

// tool finds a program of the test's, or skips; in CI it must be there.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is not installed", name)
		}
		t.Skipf("%s is not installed", name)
	}
	return path
}

func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(tool(t, name), args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

// printed writes a document to a file.
func printed(t *testing.T, doc *Document) string {
	t.Helper()
	var b bytes.Buffer
	if _, err := Write(&b, doc); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "out.pdf")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// variants are the sample in all its forms.
func variants() map[string]*Document {
	all := map[string]*Document{}
	add := func(name string, change func(*Document)) {
		doc := sampleDoc()
		change(doc)
		all[name] = doc
	}
	add("a4", func(*Document) {})
	add("letter", func(d *Document) { d.Paper = "letter" })
	add("large", func(d *Document) { d.Large = true })
	add("plain", func(d *Document) { d.Plain = true })
	add("tagged", func(d *Document) { d.Tagged = true })
	add("form", func(d *Document) { d.Forms = true })
	add("image", func(d *Document) {
		d.Tagged = true
		d.Sheets[0].Body = []Block{para(Text{S: "before"}), Image{File: "lock.png", Data: picture("png"), Alt: "a lock"},
			Image{File: "gate.jpg", Data: picture("jpeg"), Alt: "a gate"}, para(Text{S: "after"})}
	})
	add("empty", func(d *Document) { d.Sheets[0] = Sheet{} })
	add("scripts", func(d *Document) {
		d.Sheets[0].Name = "Иван Σωκράτης שלום Łucja Nguyễn 张"
		d.Sheets[0].Title = strings.Repeat("A title that never ends ", 20)
		d.Sheets[0].Foot = strings.Repeat("foot ", 80)
	})
	return all
}

// picture is a small bitmap with transparency.
func picture(kind string) []byte {
	img := image.NewNRGBA(image.Rect(0, 0, 40, 30))
	for x := range 40 {
		for y := range 30 {
			img.Set(x, y, color.NRGBA{uint8(6 * x), uint8(8 * y), 90, uint8(155 + 2*x)})
		}
	}
	var b bytes.Buffer
	var err error
	if kind == "png" {
		err = png.Encode(&b, img)
	} else {
		err = jpeg.Encode(&b, img, nil)
	}
	if err != nil {
		panic(err)
	}
	return b.Bytes()
}

func TestFilesAreSound(t *testing.T) {
	for name, doc := range variants() {
		t.Run(name, func(t *testing.T) {
			out := run(t, "qpdf", "--check", printed(t, doc))
			if !strings.Contains(out, "No syntax or stream encoding errors") || strings.Contains(out, "WARNING") {
				t.Error(out)
			}
		})
	}
}

func TestTextOfPages(t *testing.T) {
	for name, doc := range variants() {
		t.Run(name, func(t *testing.T) {
			got := run(t, "pdftotext", "-layout", printed(t, doc), "-")
			golden := filepath.Join("testdata", name+".txt")
			if *update {
				if err := os.WriteFile(golden, []byte(got), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			// Versions of pdftotext differ in blanks, not in words or their order.
			if diff := cmp.Diff(strings.Fields(string(want)), strings.Fields(got)); diff != "" {
				t.Errorf("text of %s (-want +got):\n%s", name, diff)
			}
		})
	}
}

// A few pages are compared as pictures, with room for how programs smooth edges.
func TestLookOfPages(t *testing.T) {
	maths := doc1()
	for _, tex := range []string{`\rho = \frac{W_a}{W_a - W_w}\,\rho_w`, `T = 2\pi\sqrt{\frac{k^2 + h^2}{g\,h}}`,
		`\left(\frac{1}{R_1} + \frac{1}{R_2}\right)^{-1} \vec{F}, \hat{x}, \overline{AB}`, `\sqrt[3]{V} \sum_{i=1}^{n} m_i x_i`,
		`f = \begin{cases} x^2 & \text{if } x \ge 0 \\ -x & \text{else} \end{cases}`} {
		maths.Sheets[0].Body = append(maths.Sheets[0].Body, Display{tex})
	}
	for name, doc := range map[string]*Document{"a4": sampleDoc(), "maths": maths, "large": variants()["large"]} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			run(t, "pdftoppm", "-r", "40", "-gray", "-png", "-singlefile", printed(t, doc), filepath.Join(dir, "page"))
			got := filepath.Join(dir, "page.png")
			golden := filepath.Join("testdata", name+".png")
			if *update {
				data, err := os.ReadFile(got)
				if err == nil {
					err = os.WriteFile(golden, data, 0o600)
				}
				if err != nil {
					t.Fatal(err)
				}
			}
			if share := differing(t, got, golden); share > 0.004 {
				t.Errorf("%.1f %% of the dots of %s differ from the golden", 100*share, name)
			}
		})
	}
}

// differing is the share of dots of two pictures that differ by more than half the way from black to white.
func differing(t *testing.T, a, b string) float64 {
	t.Helper()
	var img [2]image.Image
	for i, name := range []string{a, b} {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if img[i], err = png.Decode(bytes.NewReader(data)); err != nil {
			t.Fatal(err)
		}
	}
	if img[0].Bounds() != img[1].Bounds() {
		t.Fatalf("sizes %v and %v", img[0].Bounds(), img[1].Bounds())
	}
	n, size := 0, img[0].Bounds().Size()
	for y := range size.Y {
		for x := range size.X {
			p, q := color.GrayModel.Convert(img[0].At(x, y)).(color.Gray).Y, color.GrayModel.Convert(img[1].At(x, y)).(color.Gray).Y
			if max(p, q)-min(p, q) > 127 {
				n++
			}
		}
	}
	return float64(n) / float64(size.X*size.Y)
}

func TestTags(t *testing.T) {
	file := printed(t, variants()["form"])
	info := run(t, "pdfinfo", file)
	for _, want := range []string{"Tagged:          yes", "Form:            AcroForm", "Title:           Weigh it twice"} {
		if !strings.Contains(info, want) {
			t.Errorf("pdfinfo misses %q:\n%s", want, info)
		}
	}
	tree := strings.Join(strings.Fields(run(t, "pdfinfo", "-struct-text", file)), " ")
	for _, want := range []string{
		`H1 (block) "Weigh it twice"`,
		`LBody (block) P (block) "Wipe spills at once; a wet floor is slippery."`,
		`TH: /Scope /Column "load / N"`,
		`TD "10.25"`,
		`P (block) "1" P (block) "What is the upthrust on the sinker?" Form`,
		`", and the meter is good to"`,
		`Caption "Upthrust against depth, measured on the bench."`,
	} {
		if !strings.Contains(tree, want) {
			t.Errorf("the structure misses %s:\n%s", want, tree)
		}
	}
	raw := run(t, "qpdf", "--qdf", "--object-streams=disable", file, "-")
	for _, want := range []string{"/Lang (en-GB)", "/Alt (Upthrust against depth: a straight line through the origin.)", "/Tabs /S"} {
		if !strings.Contains(raw, want) {
			t.Errorf("the file misses %s", want)
		}
	}
}

// fill is a script by which another program reads and fills a form.
const fill = `
var doc = new PDFDocument(scriptArgs[0]);
for (var i = 0; i < doc.countPages(); i++) {
  var ws = doc.loadPage(i).getWidgets();
  for (var j = 0; j < ws.length; j++) {
    var w = ws[j];
    print(w.getFieldType() + "|" + w.getFieldFlags() + "|" + w.getValue() + "|" + w.getLabel());
    if (w.getFieldType() == "combobox") w.setChoiceValue("steel");
    else if (w.getValue() == "") w.setTextValue("0.84 N");
    w.update();
  }
}
doc.save(scriptArgs[1], "");
`

func TestFormsAreFilledByAnotherProgram(t *testing.T) {
	dir := t.TempDir()
	script, filled := filepath.Join(dir, "fill.js"), filepath.Join(dir, "filled.pdf")
	if err := os.WriteFile(script, []byte(fill), 0o600); err != nil {
		t.Fatal(err)
	}
	before := strings.Split(strings.TrimSpace(run(t, "mutool", "run", script, printed(t, variants()["form"]), filled)), "\n")
	want := []string{ // the order is that of reading
		"text|1|4F7K-Q2X7|Sheet code",
		"text|0||upthrust F / N: r1", "text|0||again: r2", "text|0||upthrust F / N: r3", "text|0||again: r4",
		"text|0||upthrust F / N: r5", "text|0||again: r6",
		"text|0||Question 1: What is the upthrust on the sinker? Answer in N.",
		"text|0||Question 2: What volume of water does the sinker push aside? Show how you found it, and give the unit as well as the number.",
		"text|0||Question 2: What volume of water does the sinker push aside? Show how you found it, and give the unit as well as the number. Unit.",
		"combobox|131072||Question 3: Which metal is it most likely to be?",
		"text|4096||Question 4: Why must the sinker not touch the bottom of the tank?",
		"text|0||Question 5: What is the density of the sinker, in kg/m^3? Answer in kg/m³.",
	}
	if diff := cmp.Diff(want, before); diff != "" {
		t.Errorf("fields (-want +got):\n%s", diff)
	}
	after := run(t, "mutool", "run", script, filled, filepath.Join(dir, "again.pdf"))
	if n := strings.Count(after, "|0.84 N|"); n != 11 || !strings.Contains(after, "|steel|") {
		t.Errorf("read back %d of 11 answers:\n%s", n, after)
	}
	run(t, "qpdf", "--check", filled)
}

// The same document gives the same bytes, whatever the press did before and beside it.
func TestBytesRepeat(t *testing.T) {
	press := NewPress()
	for name := range variants() {
		var want bytes.Buffer
		if _, err := Write(&want, variants()[name]); err != nil {
			t.Fatal(err)
		}
		var group sync.WaitGroup
		for range 4 {
			group.Go(func() {
				var got bytes.Buffer
				if _, err := press.Write(&got, variants()[name]); err != nil {
					t.Error(err)
				}
				if !bytes.Equal(want.Bytes(), got.Bytes()) {
					t.Errorf("%s: %d bytes differ from %d", name, got.Len(), want.Len())
				}
			})
		}
		group.Wait()
	}
}

func TestPlainHasNoColour(t *testing.T) {
	for _, plain := range []bool{false, true} {
		doc := doc1(Picture{disc{100, 100}, nil}, Quote{[]Block{para(Text{S: "said"})}})
		doc.Plain = plain
		doc.Sheets[0].Body[0] = Picture{red{}, nil}
		_, s := record(t, doc)
		content := string(s.pages[0].content)
		colour := strings.Contains(content, " rg\n")
		grey := strings.Contains(content, "0.5 G\n")
		if colour == plain || grey == plain {
			t.Errorf("plain %v: colour %v, grey %v", plain, colour, grey)
		}
	}
}

func TestErrors(t *testing.T) {
	for name, tc := range map[string]struct {
		doc  *Document
		want string
	}{
		"paper":    {&Document{Paper: "a5"}, `paper "a5" is unknown: use a4 or letter`},
		"sheets":   {&Document{}, "the document has no sheets"},
		"forms":    {&Document{Forms: true, Sheets: make([]Sheet, 2)}, "a fill-in document holds one sheet, not 2"},
		"tex":      {doc1(para(Math{`\foo`})), `formula, at byte 0: unknown command \foo`},
		"box":      {doc1(Question{Number: 2, Box: Box{Kind: "round"}}), `question 2: a box of kind "round" is unknown`},
		"image":    {doc1(Image{File: "x.png", Data: []byte("GIF89a")}), "image x.png is neither PNG nor JPEG"},
		"big file": {doc1(Image{File: "x.png", Data: make([]byte, MaxImageBytes+1)}), "at most 8 MiB are allowed"},
		"qr":       {&Document{Sheets: []Sheet{{QR: strings.Repeat("x", 5000)}}}, "the text of the QR code"},
	} {
		t.Run(name, func(t *testing.T) {
			var b bytes.Buffer
			_, err := Write(&b, tc.doc)
			if err == nil || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("error %v, want %q", err, tc.want)
			}
			if b.Len() > 0 {
				t.Errorf("%d bytes were written", b.Len())
			}
		})
	}
	var te *TeXError
	if _, err := Write(&bytes.Buffer{}, doc1(Display{`a + \foo`})); !errors.As(err, &te) || te.Offset != 4 {
		t.Errorf("error %v, want a *TeXError at 4", err)
	}
}

func TestNotesTellWhatWasReplaced(t *testing.T) {
	doc := doc1(para(Text{S: "one 张 two"}))
	doc.Sheets[0].Name = strings.Repeat("very long name ", 20)
	notes, err := Write(&bytes.Buffer{}, doc)
	if err != nil {
		t.Fatal(err)
	}
	got := fmt.Sprint(notes)
	for _, want := range []string{"AAAABBBB", "'张' (U+5F20)", "a text of 300 characters was cut"} {
		if !strings.Contains(got, want) {
			t.Errorf("notes %s miss %s", got, want)
		}
	}
}
