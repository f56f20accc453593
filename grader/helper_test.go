package grader

import (
	"os"
	"path/filepath"
	"testing"

	"keelmark/labs"
	"keelmark/labs/classset"
)

// testLab is testdata/lab.md.
func testLab(t testing.TB) *labs.Lab {
	t.Helper()
	source, err := os.ReadFile("testdata/lab.md")
	if err != nil {
		t.Fatal(err)
	}
	return parsed(t, string(source))
}

// parsed is the lab that a template describes.
func parsed(t testing.TB, template string) *labs.Lab {
	t.Helper()
	lab, err := labs.Parse("lab.md", []byte(template))
	if err != nil {
		t.Fatal(err)
	}
	return lab
}

// alone is the lab that a template describes, and a class set of one sheet of it with these values.
func alone(t testing.TB, template string, values map[string]classset.Value) (*labs.Lab, *classset.Set) {
	t.Helper()
	return parsed(t, template), &classset.Set{Settings: classset.Settings{Gravity: 9.81}, Sheets: []*classset.Sheet{{Code: codes[0], Values: values}}}
}

// The codes of the sheets of testSet. Their check characters are those of ISO/IEC 7064 MOD 37,36.
var codes = []string{code("4F7KQ2X"), code("8B3MN5Z"), code("7C9DW4R"), code("2G6HJ8T")}

// code adds the check character to seven characters.
func code(stem string) string {
	for _, check := range "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ" {
		if canonical, ok := classset.CheckCode(stem + string(check)); ok {
			return canonical
		}
	}
	panic(stem)
}

// testSet is a class of four with numbers of their own; the first two share a bench.
func testSet() *classset.Set {
	set := &classset.Set{Format: "keelmark set 1", Engine: "test", Lab: "archimedes/test", Seed: "s",
		Made: "2026-01-02T03:04:05Z", Settings: classset.Settings{Gravity: 9.81, Paper: "a4"}}
	draws := [][3]float64{{4.62, 4.07, 40}, {5.13, 4.41, 35}, {3.87, 3.36, 52}, {6.48, 5.55, 28}}
	names := []string{"Asha Bell", "Łukasz Ångström", "Mina Okoro", "李 Wei"}
	groups := []string{"1", "1", "2", "2"}
	for i, d := range draws {
		set.Sheets = append(set.Sheets, &classset.Sheet{Code: codes[i], Student: string(rune('a' + i)), Name: names[i], Group: groups[i],
			Values: map[string]classset.Value{
				"rho_w": {Value: 998.2, Unit: "kg/m^3"},
				"Wa":    {Value: d[0], Unit: "N"},
				"Ww":    {Value: d[1], Unit: "N"},
				"d":     {Value: d[2], Unit: "mm"},
			}})
	}
	return set
}

// testDir writes the set into a folder.
func testDir(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	source, err := os.ReadFile("testdata/lab.md")
	if err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(dir, classset.LabFile), string(source))
	if err := testSet().Save(dir); err != nil {
		t.Fatal(err)
	}
	return dir
}

func write(t testing.TB, path, text string) string {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}
