package forms

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"strings"
	"testing"
)

// pdf writes objects 1, 2 … as a PDF with its table; trailer adds to the trailer.
func pdf(trailer string, objects ...string) []byte {
	var out bytes.Buffer
	out.WriteString("%PDF-1.7\n")
	var at []int
	for i, object := range objects {
		at = append(at, out.Len())
		fmt.Fprintf(&out, "%d 0 obj\n%s\nendobj\n", i+1, object)
	}
	table := out.Len()
	fmt.Fprintf(&out, "xref\n0 %d\n0000000000 65535 f \n", len(at)+1)
	for _, offset := range at {
		fmt.Fprintf(&out, "%010d 00000 n \n", offset)
	}
	fmt.Fprintf(&out, "trailer\n<</Size %d/Root 1 0 R%s>>\nstartxref\n%d\n%%%%EOF\n", len(at)+1, trailer, table)
	return out.Bytes()
}

// sheet gives the objects of a form of two fields, 5 the code and 6 an answer; more follow from 7 on.
func sheet(more ...string) []string {
	field := `<</Type/Annot/Subtype/Widget/FT/Tx/T(%s)/V(%s)/Rect[0 0 9 9]/DA(/Helv 0 Tf)>>`
	return append([]string{
		`<</Type/Catalog/Pages 2 0 R/AcroForm<</Fields[5 0 R 6 0 R]/DA(/Helv 0 Tf)/DR<</Font<</Helv 4 0 R>>>>>>>>`,
		`<</Type/Pages/Kids[3 0 R]/Count 1>>`,
		`<</Type/Page/Parent 2 0 R/MediaBox[0 0 99 99]/Resources<<>>/Annots[5 0 R 6 0 R]>>`,
		`<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>`,
		fmt.Sprintf(field, "sheet", "8CBH-0FFT"), fmt.Sprintf(field, "R", "0.84"),
	}, more...)
}

// with replaces an object, counted from 1.
func with(objects []string, n int, object string) []string {
	objects[n-1] = object
	return objects
}

// chain gives a form whose fields stand in one another, n deep.
func chain(n int) []string {
	objects := with(sheet(), 1, `<</Type/Catalog/Pages 2 0 R/AcroForm<</Fields[5 0 R 7 0 R]>>>>`)
	for i := range n {
		objects = append(objects, fmt.Sprintf("<</T(a)/FT/Tx/Kids[%d 0 R]>>", 8+i))
	}
	return append(objects, `<</T(z)/FT/Tx/V(1)>>`)
}

func stream(dict string, content []byte) string {
	return fmt.Sprintf("<<%s/Length %d>>stream\n%s\nendstream", dict, len(content), content)
}

func deflate(content []byte) []byte {
	var out bytes.Buffer
	w := zlib.NewWriter(&out)
	w.Write(content)
	w.Close()
	return out.Bytes()
}

// layered packs a text so many times.
func layered(n int) []byte {
	content := []byte("deep")
	for range n {
		content = deflate(content)
	}
	return content
}

// xrefStream writes a PDF whose table is a stream of its own.
func xrefStream(dict string, content []byte, objects ...string) []byte {
	var out bytes.Buffer
	out.WriteString("%PDF-1.7\n")
	for i, object := range objects {
		fmt.Fprintf(&out, "%d 0 obj\n%s\nendobj\n", i+1, object)
	}
	at := out.Len()
	table := fmt.Sprintf("/Type/XRef/Size %d/W[1 4 2]/Root 1 0 R/Filter/FlateDecode%s", len(objects)+2, dict)
	fmt.Fprintf(&out, "%d 0 obj\n%s\nendobj\nstartxref\n%d\n%%%%EOF\n", len(objects)+1, stream(table, content), at)
	return out.Bytes()
}

// Whatever a PDF holds, it is read or refused with what to do, in bounded time and memory.
func TestHostileForms(t *testing.T) {
	printed := load(t, printed)
	whole := pdf("", sheet()...)
	bomb := deflate(make([]byte, maxUnpacked+1))
	for name, c := range map[string]struct {
		pdf  []byte
		want string // in the error; "" when it is read
	}{
		"smallest":          {whole, ""},
		"empty":             {nil, "cut short"},
		"text":              {[]byte("no PDF at all"), "cut short"},
		"head alone":        {[]byte("%PDF-1.7\n%%EOF"), "cannot be read as a PDF"},
		"cut in the middle": {printed[:len(printed)/2], "cut short"},
		"cut at the end":    {printed[:len(printed)-20], "cut short"},
		// What a reader saved behind the form is cut: without it the form would read as blank.
		"cut in what was filled in": {append(bytes.Clone(whole), "6 0 obj\n<</FT/Tx/T(R)/V(0.8"...), "cut short"},

		"objects without end":    {pdf("", sheet(strings.Split(strings.Repeat("null ", maxObjects), " ")...)...), "objects"},
		"objects, no table":      {[]byte("%PDF-1.7\n" + strings.Repeat("1 0 obj\n", maxObjects+1) + "%%EOF"), "objects"},
		"names without end":      {pdf("", sheet("<<"+strings.Repeat("/n 1", maxNames+1)+">>")...), "names"},
		"too large":              {append(bytes.Repeat([]byte(" "), maxSize), whole...), "larger than"},
		"arrays without end":     {pdf("", sheet(strings.Repeat("[", 100_000))...), ""},
		"pages of themselves":    {pdf("", with(sheet(), 2, `<</Type/Pages/Kids[2 0 R]/Count 1>>`)...), "cannot be read"},
		"pages among themselves": {pdf("", with(sheet(), 2, `<</Type/Pages/Kids[3 0 R 2 0 R]/Count 2/Parent 2 0 R>>`)...), "cannot be read"},
		"fields below fields":    {pdf("", chain(1000)...), "cannot be read"},
		"fields of each other": {pdf("", with(with(sheet(), 5, `<</Type/Annot/Subtype/Widget/FT/Tx/T(sheet)/Rect[0 0 9 9]/Parent 6 0 R>>`),
			6, `<</Type/Annot/Subtype/Widget/FT/Tx/T(R)/Rect[0 0 9 9]/Parent 5 0 R>>`)...), "cannot be read"},
		"fields in each other":   {pdf("", with(with(sheet(), 5, `<</T(sheet)/Kids[6 0 R]/FT/Tx>>`), 6, `<</T(x)/Kids[5 0 R]/FT/Tx>>`)...), "cannot be read"},
		"root that is a loop":    {pdf("", with(sheet(`1 0 R`), 1, `7 0 R`)...), "cannot be read"},
		"table that loops":       {bytes.Replace(whole, []byte("/Root"), fmt.Appendf(nil, "/Prev %d/Root", bytes.Index(whole, []byte("xref\n"))), 1), "cannot be read"},
		"table of any size":      {bytes.Replace(whole, []byte("/Size 7"), []byte("/Size 2000000000"), 1), ""},
		"content bomb":           {pdf("", sheet(stream("/Filter/FlateDecode", bomb))...), "unpack to more"},
		"content bomb, twice":    {pdf("", sheet(stream("/Filter[/FlateDecode/FlateDecode]", deflate(bomb)))...), "unpack to more"},
		"layers without end":     {pdf("", sheet(stream("/Filter/FlateDecode", layered(maxLayers+1)))...), "unpack to more"},
		"layers, not too many":   {pdf("", sheet(stream("/Filter/FlateDecode", layered(maxLayers)))...), ""},
		"bombs that add up":      {pdf("", sheet(strings.Split(strings.Repeat(stream("/Filter/FlateDecode", deflate(make([]byte, 1<<20)))+"|", 65), "|")...)...), "unpack to more"},
		"table bomb":             {xrefStream("", bomb, sheet()...), "unpack to more"},
		"table without end":      {xrefStream("/Index[0 2000000000]", deflate(make([]byte, 70)), sheet()...), ""},
		"packed another way":     {pdf("", sheet(stream("/Filter/LZWDecode", []byte("x")))...), "LZW"},
		"streams of objects":     {pdf("", sheet(strings.Split(strings.Repeat("<</Type/ObjStm>> ", maxPacked+1), " ")...)...), "streams of objects"},
		"locked without a lock":  {pdf("/Encrypt 7 0 R", sheet(`<</Filter/Standard/V 9/R 9>>`)...), "protected by a password"},
		"a form that is no form": {pdf("", with(sheet(), 1, `<</Type/Catalog/Pages 2 0 R/AcroForm 3>>`)...), "cannot be read"},
	} {
		t.Run(name, func(t *testing.T) {
			fields, err := Read(c.pdf)
			switch {
			case c.want == "" && (err != nil || fields["R"] != "0.84"):
				t.Errorf("%v, %v", fields, err)
			case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want) || len(err.Error()) > 600):
				t.Errorf("error %v, want %q in it", err, c.want)
			case err != nil && !strings.Contains(err.Error(), "answers.csv") && !errors.Is(err, ErrLocked):
				t.Errorf("error %v says nothing of what to do", err)
			}
		})
	}
}

// Whatever stands in a PDF, reading it gives fields with a sheet's code, or an error.
func FuzzRead(f *testing.F) {
	f.Add(pdf("", sheet()...))
	f.Add(pdf("/Prev 9", sheet(stream("/Type/ObjStm/N 1/First 4/Filter/FlateDecode", deflate([]byte("9 0 null"))))...))
	f.Add(xrefStream("", deflate(make([]byte, 70)), sheet()...))
	f.Fuzz(func(t *testing.T, pdf []byte) {
		fields, err := Read(pdf)
		if (err == nil) != (strings.TrimSpace(fields[sheetField]) != "") {
			t.Errorf("%v, %v", fields, err)
		}
	})
}
