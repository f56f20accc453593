package page

import (
	"fmt"
	"strings"
)

// Flags of form fields, PDF 32000-1, tables 221, 228 and 230.
const (
	flagReadOnly  = 1 << 0
	flagMultiline = 1 << 12
	flagCombo     = 1 << 17
)

// addFields writes the fields as merged field and widget objects and returns the form dictionary. Text appears in the
// standard Helvetica; the reader's program draws what it fills in.
func (f *finisher) addFields(fields []*placedField) string {
	font := f.add("<</Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding>>")
	size := 11.0
	if f.s.doc.Large || f.s.doc.Sheets[0].Large {
		size = 16
	}
	var refs strings.Builder
	for i, fd := range fields {
		fmt.Fprintf(&refs, "%d 0 R ", fd.num)
		y := f.s.height - fd.y - fd.h
		var b []byte
		b = fmt.Appendf(b, "<</Type /Annot /Subtype /Widget /F 4 /P %d 0 R /StructParent %d /Rect [%.2f %.2f %.2f %.2f]\n",
			pageNumber(fd.page), len(f.s.pages)+i, fd.x, y, fd.x+fd.w, y+fd.h)
		b = appendText(append(b, "/T "...), fd.name)
		b = appendText(append(b, "\n/TU "...), fd.tip)
		size := size
		if fd.fixed != "" { // what it shows must fit
			size = min(size, fd.h*0.75)
		}
		b = fmt.Appendf(b, "\n/DA (/Helv %g Tf 0 g) ", size)
		flags := 0
		switch {
		case len(fd.options) > 0:
			flags = flagCombo
			b = append(b, "/FT /Ch /Opt ["...)
			for _, o := range fd.options {
				b = append(appendText(b, o), ' ')
			}
			b = append(b, "] "...)
		case fd.lines:
			flags = flagMultiline
			b = append(b, "/FT /Tx "...)
		default:
			b = append(b, "/FT /Tx "...)
		}
		if fd.readOnly {
			flags |= flagReadOnly
			b = appendText(append(b, "/V "...), fd.fixed)
		} else if len(fd.options) == 0 {
			b = append(b, "/V ()"...)
		}
		b = fmt.Appendf(b, " /Ff %d /AP <</N %d 0 R>>>>\n", flags, f.addAppearance(fd, font, size))
		f.put(fd.num, b)
	}
	return fmt.Sprintf("<</Fields [%s] /NeedAppearances true /DA (/Helv %g Tf 0 g) /DR <</Font <</Helv %d 0 R>>>>>>",
		refs.String(), size, font)
}

// addAppearance writes what a field shows before anyone fills it: its fixed text, or nothing.
func (f *finisher) addAppearance(fd *placedField, font int, size float64) int {
	var b []byte
	b = append(b, "/Tx BMC\n"...)
	if fd.fixed != "" {
		b = fmt.Appendf(b, "q BT /Helv %g Tf 0 g 2 %.2f Td ", size, (fd.h-size*0.7)/2)
		b = append(appendString(b, []byte(fd.fixed)), " Tj ET Q\n"...)
	}
	b = append(b, "EMC\n"...)
	num := f.reserve()
	f.begin(num)
	f.out = fmt.Appendf(f.out, "<</Type /XObject /Subtype /Form /BBox [0 0 %.2f %.2f] /Resources <</Font <</Helv %d 0 R>>>> /Length %d>>\nstream\n",
		fd.w, fd.h, font, len(b))
	f.out = append(f.out, b...)
	f.out = append(f.out, "endstream\nendobj\n"...)
	return num
}
