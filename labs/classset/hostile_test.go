package classset

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// parts of the smallest workbook with one worksheet.
var bookParts = map[string]string{
	"[Content_Types].xml": `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>` +
		`<Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>` +
		`<Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>`,
	"_rels/.rels":     `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
	"xl/workbook.xml": `<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="S" sheetId="1" r:id="r1"/></sheets></workbook>`,
	"xl/_rels/workbook.xml.rels": `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/>` +
		`<Relationship Id="r2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/></Relationships>`,
}

// pack makes a workbook: its sheet data, shared strings, and any number of empty parts more.
func pack(t testing.TB, data, shared string, more int) string {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	put := func(name, text string) {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write([]byte(text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for name, text := range bookParts {
		put(name, text)
	}
	put("xl/worksheets/sheet1.xml", `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`+data+`</sheetData></worksheet>`)
	if shared != "" {
		put("xl/sharedStrings.xml", `<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">`+shared+`</sst>`)
	}
	for i := range more {
		put(fmt.Sprintf("xl/media/%d", i), "")
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func textCell(ref, text string) string {
	return `<c r="` + ref + `" t="inlineStr"><is><t>` + text + `</t></is></c>`
}

// Whatever a roster holds, it is read or refused with its name and the place, in bounded memory.
func TestHostileRosters(t *testing.T) {
	utf16le := utf16Bytes("姓名,id,name\n李,p1,李小\n", binary.LittleEndian, false)
	head := "<row>" + textCell("A1", "id") + textCell("B1", "name") + "</row>"
	good := pack(t, head+"<row>"+textCell("A2", "p1")+textCell("B2", "Ines")+"</row>", "", 0)
	for name, c := range map[string]struct {
		file, data string
		want       string // in the error
		pupil      string // where it is read: id and name of the first
	}{
		"BOM":                     {"r.csv", "\ufeffid,name\np1,Ines\n", "", "p1 Ines"},
		"UTF-16, headings in Han": {"r.csv", utf16le, "", "p1 李小"},
		"UTF-16, odd byte":        {"r.csv", utf16Bytes("id,name\np1,Ines\n", binary.BigEndian, true) + "x", "", "p1 Ines"},
		"UTF-32":                  {"r.csv", "\xff\xfe\x00\x00i\x00\x00\x00d\x00\x00\x00", "zero byte", ""},
		"Latin-1":                 {"r.csv", "id,name\np1,Zo\xeb\n", "", "p1 Zoë"},
		"zero byte":               {"r.csv", "id,name\np\x001,Ines\n", "r.csv:2: holds a zero byte", ""},
		"unclosed quote":          {"r.csv", "id,name\np1,\"Ines\n" + strings.Repeat("p,x\n", 1000), "from line 2", ""},
		"nothing but quotes":      {"r.csv", strings.Repeat(`"`, 1_000_000), "no column id", ""},
		"too many pupils":         {"r.csv", "name\n" + strings.Repeat("x\n", maxPupils+1), fmt.Sprintf("r.csv:%d: more than %d pupils", maxPupils+2, maxPupils), ""},
		"too many rows":           {"r.csv", "name\n" + strings.Repeat("x\n", maxTableRows), "more than", ""},
		"too many cells":          {"r.csv", "name\nx" + strings.Repeat(",", maxTableCells), "r.csv:2: more than", ""},
		"too large":               {"r.csv", strings.Repeat(" ", MaxFile+1), "too large", ""},
		"blank lines":             {"r.csv", "id,name\n" + strings.Repeat(",\n", maxTableRows+1) + "p1,Ines\n", "", "p1 Ines"},
		"long id":                 {"r.csv", "id,name\n" + strings.Repeat("p", 1<<20) + ",Ines\n", "", strings.Repeat("p", maxCell) + " Ines"},
		"path":                    {"r.csv", "id,name\n../../../tmp/x,\u202ea\x1b[31m\u009b\n", "", "../../../tmp/x a [31m"},
		"headings without end":    {"r.csv", strings.Repeat("x", 1<<20) + "\n1\n", "no column id or name among \"" + strings.Repeat("x", maxQuoted) + "…\"", ""},

		"workbook":               {"r.xlsx", good, "", "p1 Ines"},
		"workbook, cut":          {"r.xlsx", good[:len(good)/2], "cannot be read as a workbook", ""},
		"workbook, old format":   {"r.xlsx", "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + strings.Repeat("\x00", 5000), "cannot be read as a workbook", ""},
		"workbook, merged cells": {"r.xlsx", pack(t, head+`<row r="2">`+textCell("A2", "p1")+textCell("B2", "Ines")+`</row></sheetData><mergeCells><mergeCell ref="A2:XFD1048576"/></mergeCells><sheetData>`, "", 0), "", "p1 Ines"},
		"sheet bomb":             {"r.xlsx", pack(t, strings.Repeat(" ", maxBookSize), "", 0), "unpacks to more than", ""},
		"text bomb":              {"r.xlsx", pack(t, head, "<si><t>"+strings.Repeat("a", maxBookSize)+"</t></si>", 0), "unpacks to more than", ""},
		"texts without end":      {"r.xlsx", pack(t, head, strings.Repeat("<si><t/></si>", maxBookElements/2), 0), "more than", ""},
		"rows without end":       {"r.xlsx", pack(t, strings.Repeat("<row/>", maxBookRows+1), "", 0), "more than", ""},
		"rows, prefixed":         {"r.xlsx", pack(t, strings.Repeat("<x:row/>", maxBookRows+1), "", 0), "more than", ""},
		"all pupils":             {"r.xlsx", pack(t, "<row>"+textCell("A1", "name")+"</row>"+strings.Repeat("<row>"+textCell("", "Ines")+"</row>", maxPupils), "", 0), "", "row-1 Ines"},
		"height of the last row": {"r.xlsx", pack(t, head+"<row>"+textCell("A2", "p1")+textCell("B2", "Ines")+`</row><row r="1048576" ht="12.8"/>`, "", 0), "", "p1 Ines"},
		"last cell":              {"r.xlsx", pack(t, head+`<row r="1048576">`+textCell("XFD1048576", "x")+`</row>`, "", 0), "r.xlsx:1048576: neither id nor name", ""},
		"wide rows":              {"r.xlsx", pack(t, strings.Repeat(`<row><c r="XFD1"><v>1</v></c></row>`, 300), "", 0), "more than", ""},
		"merged without end":     {"r.xlsx", pack(t, head+`</sheetData><mergeCells>`+strings.Repeat(`<mergeCell ref="A1:B1"/>`, maxBookMerges+1)+`</mergeCells><sheetData>`, "", 0), "merged cells", ""},
		"parts without end":      {"r.xlsx", pack(t, head, "", maxBookParts), "packs", ""},
		"row beyond any":         {"r.xlsx", pack(t, `<row r="2000000000"><c r="A2000000000"><v>1</v></c></row>`, "", 0), "r.xlsx: ", ""},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), c.file)
			if err := os.WriteFile(path, []byte(c.data), 0o644); err != nil {
				t.Fatal(err)
			}
			r, err := ReadRoster(path)
			switch {
			case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), path) || len(err.Error()) > len(path)+400):
				t.Errorf("error %.500v, want %q in it", err, c.want)
			case c.want == "" && err != nil:
				t.Errorf("error %.500v", err)
			case c.want == "" && r.Pupils[0].ID+" "+r.Pupils[0].Name != c.pupil:
				t.Errorf("%+v, want %s", r.Pupils[0], c.pupil)
			}
		})
	}
}

// Notes of a roster come to an end.
func TestRosterNotesAreBounded(t *testing.T) {
	r, err := ReadRoster(writeRoster(t, "name,"+strings.Repeat("c,", 10_000)+"\n"+strings.Repeat("x\n", 1000)))
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(r.Notes, "\n")
	if len(r.Notes) != maxNotes+1 || len(all) > 10_000 || !strings.Contains(all, "(10000 in all)") || !strings.Contains(all, fmt.Sprintf("%d more such notes", 1001-maxNotes)) {
		t.Errorf("%d notes of %d bytes: %.300s … %s", len(r.Notes), len(all), all, r.Notes[len(r.Notes)-1])
	}
}

// A number is a number in a workbook without styles, as some programs write it, and where its style is not there.
func TestKindWithoutStyles(t *testing.T) {
	book, err := OpenWorkbook([]byte(pack(t, `<row r="1"><c r="A1"><v>0.85</v></c><c r="B1" s="9"><v>0.85</v></c>`+textCell("C1", "0.85")+`</row>`, "", 0)))
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	for i, want := range []Kind{NumberCell, NumberCell, TextCell} {
		if kind, err := book.Kind("S", i+1, 1); kind != want || err != nil {
			t.Errorf("column %d: kind %d, %v; want %d", i+1, kind, err, want)
		}
	}
}

// A workbook is read or refused, whatever its parts hold.
func FuzzWorkbook(f *testing.F) {
	f.Add(`<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" s="1"><v>1.5</v></c></row>`, `<si><t>sheet</t></si>`)
	f.Add(`<row><c t="inlineStr"><is><t>a</t></is></c></row><row r="9"><c r="B2" t="d"><v>2026-01-01</v></c></row>`, "")
	f.Add(`<row r="1"/><row r="1"><c r="A0" t="e"><v>#REF!</v></c></row><row r="-1">`, `<si><r><t>x</t></r></si>`)
	f.Add(`<row><c r="A1048576"><v>1</v></c></row><row r="3"><c r="A3"><v>1</v></c></row>`, "")
	f.Add(`<row r="5"><c><v>1</v></c></row><row r="3"><c r="A9"><v>2</v></c></row><row><c r="B1"><v>3</v></c></row>`, "")
	f.Add(`<row r="3"><c r="ZZZZ1" t="s"><v>99</v></c><c r="1A" t="s"><v>-1</v></c><c r="A0" s="999"><v>1e999</v></c></row>`, `<si/>`)
	f.Fuzz(func(t *testing.T, data, shared string) {
		book, err := OpenWorkbook([]byte(pack(t, data, shared, 0)))
		if err != nil {
			return
		}
		defer book.Close()
		for _, tab := range book.Tabs() {
			rows, err := book.Rows(tab)
			if err != nil {
				continue
			}
			for _, row := range rows {
				if row.Line < 1 || blank(row.Cells) {
					t.Errorf("row %+v", row)
				}
				for i := range row.Cells {
					if _, err := book.Kind(tab, i+1, row.Line); err != nil {
						return
					}
				}
			}
		}
	})
}
