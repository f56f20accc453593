package page

import (
	"io"
	"testing"
)

// BenchmarkSheet is the time and memory of one three-page sheet with two plots in files of 200.
func BenchmarkSheet(b *testing.B) {
	p := NewPress()
	doc := classSet(200)
	if _, err := p.Write(io.Discard, doc); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	b.ResetTimer()
	for n := 0; n < b.N; n += len(doc.Sheets) {
		if _, err := p.Write(io.Discard, doc); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkLayout leaves the PDF writer and the compression out.
func BenchmarkLayout(b *testing.B) {
	p := NewPress()
	doc := classSet(200)
	b.ReportAllocs()
	for n := 0; n < b.N; n += len(doc.Sheets) {
		if _, _, err := p.Pages(doc); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkForm is one fill-in sheet, a file of its own.
func BenchmarkForm(b *testing.B) {
	p := NewPress()
	doc := sampleDoc()
	doc.Forms, doc.Tagged = true, true
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Write(io.Discard, doc); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkWriter is the PDF writer alone on glyphs and strokes that are laid out already: what no layout can be faster than.
func BenchmarkWriter(b *testing.B) {
	p := NewPress()
	doc := classSet(200)
	s, err := p.set(doc)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for n := 0; n < b.N; n += len(doc.Sheets) {
		if _, err := p.bind(s); err != nil {
			b.Fatal(err)
		}
	}
}
