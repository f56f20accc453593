package classset

import (
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

func TestSafeCellLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOf(rapid.SampledFrom([]rune("'=+-@\tａ＝ab1 \"\n"))).Draw(t, "s")
		safe := SafeCell(s)
		if got := PlainCell(safe); got != s {
			t.Fatalf("PlainCell(SafeCell(%q)) = %q", s, got)
		}
		if startsRisky(safe) {
			t.Fatalf("SafeCell(%q) = %q can run as a formula", s, safe)
		}
	})
}

func TestWriteTableReadsBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "t.csv")
	want := [][]string{{"sheet", "note"}, {"4F7KQ2X7", "=1+1"}, {"x", "'-5 N"}, {"Łukasz, Ångström", "a \"b\"\nc"}, {"@", "−5"}}
	if err := WriteTable(path, want); err != nil {
		t.Fatal(err)
	}
	rows, notes, err := ReadTable(path)
	if err != nil || len(notes) != 0 {
		t.Fatal(err, notes)
	}
	var got [][]string
	for _, r := range rows {
		got = append(got, r.Cells)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	raw, _ := os.ReadFile(path)
	if !strings.Contains(string(raw), "'=1+1") {
		t.Errorf("formula not neutralised:\n%s", raw)
	}
}

func utf16Bytes(s string, order binary.AppendByteOrder, bom bool) string {
	var b []byte
	if bom {
		b = order.AppendUint16(b, 0xfeff)
	}
	for _, u := range utf16.Encode([]rune(s)) {
		b = order.AppendUint16(b, u)
	}
	return string(b)
}

func TestDecodeText(t *testing.T) {
	const text = "id,name\n1,Zoë 李 🛶\n"
	for name, data := range map[string]string{
		"plain": text, "BOM": "\ufeff" + text, "CR alone": strings.ReplaceAll(text, "\n", "\r"),
		"UTF-16 LE": utf16Bytes(text, binary.LittleEndian, true), "UTF-16 BE": utf16Bytes(text, binary.BigEndian, true),
		"UTF-16 LE, no mark": utf16Bytes(text, binary.LittleEndian, false), "UTF-16 BE, no mark": utf16Bytes(text, binary.BigEndian, false),
	} {
		if got, note := DecodeText([]byte(data)); got != text || note != "" {
			t.Errorf("%s: %q, %q", name, got, note)
		}
	}
	if got, note := DecodeText([]byte("id,name\n1,Zo\xeb\n")); got != "id,name\n1,Zoë\n" || !strings.Contains(note, "Latin-1") {
		t.Errorf("Latin-1: %q, %q", got, note)
	}
}

func TestReadTableFaults(t *testing.T) {
	for _, c := range []struct{ name, file, data, want string }{
		{"unclosed quote", "r.csv", "id,name\n1,\"Ada\n2,Ben\n", "r.csv:"},
		{"stray quote", "r.csv", "id,name\n1,A\"da\n", "r.csv:2:"},
		{"binary", "r.csv", "id,name\n\x00\x01\x02", "r.csv:2: holds a zero byte"},
		{"workbook named csv", "r.csv", "PK\x03\x04rest", "name it .xlsx"},
		{"csv named workbook", "r.xlsx", "id,name\n1,Ada\n", "cannot be read as a workbook"},
	} {
		path := filepath.Join(t.TempDir(), c.file)
		os.WriteFile(path, []byte(c.data), 0o644)
		if _, _, err := ReadTable(path); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q in it", c.name, err, c.want)
		}
	}
	if _, _, err := ReadTable(t.TempDir()); err == nil || !strings.Contains(err.Error(), "is a folder") {
		t.Errorf("folder: %v", err)
	}
}

func TestReadTableTooManyRows(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.csv")
	os.WriteFile(path, []byte("id\n"+strings.Repeat("1\n", maxTableRows+5)), 0o644)
	if _, _, err := ReadTable(path); err == nil || !strings.Contains(err.Error(), "more than") {
		t.Errorf("error %v", err)
	}
}

// workbook saves a workbook of the tables given, each in a worksheet of its own: Sheet1, Sheet2 and so on.
func workbook(t testing.TB, tables ...[][]any) string {
	t.Helper()
	book := excelize.NewFile()
	defer book.Close()
	for i, rows := range tables {
		tab := fmt.Sprintf("Sheet%d", i+1)
		if _, err := book.NewSheet(tab); err != nil {
			t.Fatal(err)
		}
		for k, row := range rows {
			cell, _ := excelize.CoordinatesToCellName(1, k+1)
			if err := book.SetSheetRow(tab, cell, &row); err != nil {
				t.Fatal(err)
			}
		}
	}
	path := filepath.Join(t.TempDir(), "roster.xlsx")
	if err := book.SaveAs(path); err != nil {
		t.Fatal(err)
	}
	return path
}

func FuzzParseCSV(f *testing.F) {
	f.Add("id,name\n1,Ada\n")
	f.Add("a;b\n\"x\ny\";'=1\n")
	f.Add("\ufeffid\tname\r1\t\"")
	f.Add("'\r  \n0") // blank once it is read as it was typed
	f.Fuzz(func(t *testing.T, text string) {
		rows, err := parseCSV("r.csv", text)
		if err != nil {
			if !strings.HasPrefix(err.Error(), "r.csv") {
				t.Errorf("error %v does not name the file", err)
			}
			return
		}
		for _, row := range rows {
			if row.Line < 1 || blank(row.Cells) {
				t.Errorf("row %+v", row)
			}
		}
	})
}
