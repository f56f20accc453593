package page

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"sort"
	"strconv"
)

// A finishedFont is what finish adds to a font of the PDF writer: its name in the resources and its Unicode map.
type finishedFont struct {
	res       string
	toUnicode []byte
}

// A finisher turns what the PDF writer wrote, empty pages and fonts, into the final file: pages with their content, fonts
// under their names with Unicode maps, bitmaps, the document's language, and for fill-in and tagged files the fields and
// the structure tree.
type finisher struct {
	src     []byte
	offsets []int // of the writer's objects, by number
	ends    []int
	out     []byte
	places  []int // of the objects in out, by number
	s       *setter
}

var errWriter = errors.New("the PDF writer's output is not as expected")

// finish rewrites a finished but uncompressed PDF.
func finish(src []byte, s *setter, fonts map[string]finishedFont) ([]byte, error) {
	f := &finisher{src: src, s: s}
	if err := f.readXref(); err != nil {
		return nil, err
	}
	n := len(f.offsets) // object numbers are 1 … n-1; ours follow
	f.places = make([]int, n, n+16)
	f.out = make([]byte, 0, len(src)+4096*len(s.pages))
	f.out = append(f.out, "%PDF-1.7\n%\xE2\xE3\xCF\xD3\n"...)
	fontObjects := map[string]int{}
	toUnicode := map[string]int{}
	for name := range fonts {
		toUnicode[name] = 0
	}
	for _, name := range sortedKeys(toUnicode) {
		toUnicode[name] = f.addStream(flate, fonts[name].toUnicode)
	}
	extras := f.addInteractive()
	bitmaps := f.addBitmaps()
	for num := 3; num < n; num++ {
		obj := f.object(num)
		page := (num - 3) / 2
		switch {
		case page < len(s.pages) && num%2 == 1:
			f.put(num, insertBefore(obj, "/Contents", extras.page(page)))
		case page < len(s.pages):
			f.putStream(num, flate, deflated(s.pages[page].content, zlib.BestSpeed))
		case num == n-1:
			f.put(num, insertBefore(obj, "/Pages", extras.catalog))
		case bytes.HasPrefix(obj, []byte("<</Type /Font\n")):
			name := cutOut(obj, "/BaseFont /", "\n")
			fontObjects[name] = num
			f.put(num, insertBefore(obj, "/FirstChar", fmt.Sprintf("/ToUnicode %d 0 R\n", toUnicode[name])))
		default:
			f.put(num, obj)
		}
	}
	f.put(1, f.object(1))
	f.put(2, f.resources(fontObjects, fonts, bitmaps))
	f.trailer(n)
	return f.out, nil
}

// readXref finds the writer's objects.
func (f *finisher) readXref() error {
	i := bytes.LastIndex(f.src, []byte("startxref\n"))
	if i < 0 {
		return errWriter
	}
	at, err := strconv.Atoi(string(bytes.Fields(f.src[i:])[1]))
	if err != nil || at > len(f.src) {
		return errWriter
	}
	lines := bytes.Split(f.src[at:i], []byte("\n"))
	if len(lines) < 3 {
		return errWriter
	}
	var count int
	if _, err := fmt.Sscanf(string(lines[1]), "0 %d", &count); err != nil || count < 5 || len(lines) < count+2 {
		return errWriter
	}
	f.offsets, f.ends = make([]int, count), make([]int, count)
	starts := []int{at}
	for num := 1; num < count; num++ {
		if f.offsets[num], err = strconv.Atoi(string(lines[num+2][:10])); err != nil {
			return errWriter
		}
		starts = append(starts, f.offsets[num])
	}
	sort.Ints(starts)
	for num := 1; num < count; num++ {
		f.ends[num] = starts[sort.SearchInts(starts, f.offsets[num]+1)]
	}
	return nil
}

// object returns the body of an object between "n 0 obj" and "endobj".
func (f *finisher) object(num int) []byte {
	b := f.src[f.offsets[num]:f.ends[num]]
	b = b[bytes.IndexByte(b, '\n')+1:]
	return bytes.TrimSuffix(b, []byte("endobj\n"))
}

// put writes an object under its number.
func (f *finisher) put(num int, body []byte) {
	f.begin(num)
	f.out = append(f.out, body...)
	f.out = append(f.out, "endobj\n"...)
}

func (f *finisher) begin(num int) {
	f.places[num] = len(f.out)
	f.out = strconv.AppendInt(f.out, int64(num), 10)
	f.out = append(f.out, " 0 obj\n"...)
}

// reserve gives a new object number.
func (f *finisher) reserve() int {
	f.places = append(f.places, 0)
	return len(f.places) - 1
}

// add writes a new object and returns its number.
func (f *finisher) add(body string) int {
	num := f.reserve()
	f.put(num, []byte(body+"\n"))
	return num
}

// flate is the entry of compressed streams.
const flate = "/Filter /FlateDecode "

// addStream writes data as a new object.
func (f *finisher) addStream(dict string, data []byte) int {
	num := f.reserve()
	f.putStream(num, dict, data)
	return num
}

func (f *finisher) putStream(num int, dict string, data []byte) {
	f.begin(num)
	f.out = fmt.Appendf(f.out, "<<%s/Length %d>>\nstream\n", dict, len(data))
	f.out = append(f.out, data...)
	f.out = append(f.out, "\nendstream\nendobj\n"...)
}

// resources is the writer's resource dictionary with bitmaps, and the fonts under the names the pages use.
func (f *finisher) resources(objects map[string]int, fonts map[string]finishedFont, bitmaps string) []byte {
	obj := f.object(2)
	start := bytes.Index(obj, []byte("/Font <<\n")) + len("/Font <<\n")
	end := start + bytes.Index(obj[start:], []byte(">>"))
	var b bytes.Buffer
	b.Write(obj[:start])
	for _, name := range sortedKeys(objects) {
		fmt.Fprintf(&b, "/%s %d 0 R\n", fonts[name].res, objects[name])
	}
	b.Write(bytes.Replace(obj[end:], []byte("/XObject <<\n"), []byte("/XObject <<\n"+bitmaps), 1))
	return b.Bytes()
}

func (f *finisher) trailer(writers int) {
	at := len(f.out)
	f.out = fmt.Appendf(f.out, "xref\n0 %d\n0000000000 65535 f \n", len(f.places))
	for _, p := range f.places[1:] {
		f.out = fmt.Appendf(f.out, "%010d 00000 n \n", p)
	}
	f.out = fmt.Appendf(f.out, "trailer\n<</Size %d /Root %d 0 R /Info %d 0 R>>\nstartxref\n%d\n%%%%EOF\n",
		len(f.places), writers-1, writers-2, at)
}

// insertBefore puts text before the first occurrence of mark.
func insertBefore(obj []byte, mark, text string) []byte {
	i := bytes.Index(obj, []byte(mark))
	if i < 0 || text == "" {
		return obj
	}
	return bytes.Join([][]byte{obj[:i], []byte(text), obj[i:]}, nil)
}

// cutOut returns what stands between two marks.
func cutOut(obj []byte, a, b string) string {
	_, rest, _ := bytes.Cut(obj, []byte(a))
	name, _, _ := bytes.Cut(rest, []byte(b))
	return string(name)
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
