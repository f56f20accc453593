package classset

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func testCode(payload string) string { return payload + string(checkCharacter(payload)) }

func TestLookReadsBack(t *testing.T) {
	dir := t.TempDir()
	if rows, faults, err := ReadLook(dir); rows != nil || faults != nil || err != nil {
		t.Errorf("no file: %v %v %v", rows, faults, err)
	}
	os.Mkdir(filepath.Join(dir, MarkedDir), 0o755)
	two := 2
	want := []Look{
		{Sheet: testCode("4F7KQ2X"), Question: "Fb", Answer: "-0.91 or so", Why: "cannot be read", ReadAs: "0.91 N", By: "KB", Reason: "smudge"},
		{Sheet: testCode("4F7KQ2X"), Question: "why", Answer: "=cmd", Why: "by hand", Marks: &two},
		{Sheet: testCode("B2C3D4F"), Question: "Fb", Why: "by hand"},
	}
	if err := WriteLook(dir, want); err != nil {
		t.Fatal(err)
	}
	got, faults, err := ReadLook(dir)
	if err != nil || len(faults) > 0 {
		t.Fatal(err, faults)
	}
	for i := range want {
		want[i].Line = i + 2
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if !got[0].Decided() || !got[1].Decided() || got[2].Decided() {
		t.Error("Decided")
	}
}

func TestLookFaults(t *testing.T) {
	dir := t.TempDir()
	os.Mkdir(filepath.Join(dir, MarkedDir), 0o755)
	good := testCode("4F7KQ2X")
	data := "question,SHEET,marks\nFb," + good + ",1\nFb," + good + ",2\nV,4F7KQ2X0,1\nV," + good + ",two\nV," + strings.ToLower(good) + ",0\n"
	os.WriteFile(filepath.Join(dir, MarkedDir, lookFile), []byte(data), 0o644)
	rows, faults, err := ReadLook(dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 2 || rows[1].Question != "V" || rows[1].Sheet != good {
		t.Errorf("rows %+v", rows)
	}
	for i, want := range []string{"look.csv:3: sheet", "look.csv:4: \"4F7KQ2X0\"", "look.csv:5: marks \"two\""} {
		if i >= len(faults) || !strings.Contains(faults[i].Error(), want) {
			t.Errorf("faults %v, want %q", faults, want)
		}
	}
	os.WriteFile(filepath.Join(dir, MarkedDir, lookFile), []byte("a,b\n1,2\n"), 0o644)
	if _, _, err := ReadLook(dir); err == nil || !strings.Contains(err.Error(), `no column "sheet"`) {
		t.Errorf("error %v", err)
	}
}

// A row of look.csv is read or named with its line: none is lost.
func FuzzLook(f *testing.F) {
	code := testCode("4F7KQ2X")
	f.Add("sheet,question,marks\n" + code + ",Fb,1\n" + code + ",Fb,2\n")
	f.Add("question;sheet;read_as;marks\nV;" + code + ";0,91 N;-1\n;;;\n")
	f.Add("sheet,question,sheet\nx,\"y\nz\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		table, err := parseCSV(lookFile, text)
		if err != nil || len(table) == 0 {
			return
		}
		rows, faults, err := lookRows(lookFile, table)
		if err != nil {
			return
		}
		if len(rows)+len(faults) != len(table)-1 {
			t.Errorf("%d rows and %d faults of %d", len(rows), len(faults), len(table)-1)
		}
		for _, fault := range faults {
			if fault.Line < 1 || !strings.HasPrefix(fault.Error(), lookFile+":") {
				t.Errorf("%v", fault)
			}
		}
		for _, row := range rows {
			if code, ok := CheckCode(row.Sheet); !ok || code != row.Sheet || row.Marks != nil && *row.Marks < 0 {
				t.Errorf("%+v", row)
			}
		}
	})
}

// The largest look.csv that marking can be expected to write is read again.
func TestLookOfASchool(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, MarkedDir), 0o755); err != nil {
		t.Fatal(err)
	}
	rows := make([]Look, 400_000)
	for i := range rows {
		rows[i] = Look{Sheet: testCode("4F7KQ2X"), Question: strconv.Itoa(i), Answer: "0.91 or so", Why: "cannot be read: two numbers"}
	}
	if err := WriteLook(dir, rows); err != nil {
		t.Fatal(err)
	}
	if got, faults, err := ReadLook(dir); len(got) != len(rows) || len(faults) > 0 || err != nil {
		t.Errorf("%d rows, %d faults, %v", len(got), len(faults), err)
	}
}
