package classset

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func writeRoster(t testing.TB, data string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "roster.csv")
	if err := os.WriteFile(path, []byte(data), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestReadRoster(t *testing.T) {
	for _, c := range []struct {
		name, data string
		want       []Pupil
		notes      []string // parts, in order
	}{
		{"plain", "id,name\np1,Ines\np2,Tomas\n", []Pupil{{ID: "p1", Name: "Ines", Line: 2}, {ID: "p2", Name: "Tomas", Line: 3}}, nil},
		{"any order and case, semicolons", "Group;NAME;Id\nquay;Ines;p1\n", []Pupil{{ID: "p1", Name: "Ines", Group: "quay", Line: 2}}, nil},
		{"all columns", "id,name,group,class,level,large,extra_minutes\np1,Ines,quay,9B,Stretch,yes,10\n",
			[]Pupil{{ID: "p1", Name: "Ines", Group: "quay", Class: "9B", Level: "stretch", Large: true, Extra: 10, Line: 2}}, nil},
		{"missing id", "name\nInes\n\nTomas\n", []Pupil{{ID: "row-1", Name: "Ines", Line: 2}, {ID: "row-2", Name: "Tomas", Line: 4}}, []string{`:2: no id for Ines: made "row-1"`, ":4: no id"}},
		{"listed twice", "name\nInes\nTomas\nInes\n", []Pupil{{ID: "row-1", Name: "Ines", Line: 2}, {ID: "row-2", Name: "Tomas", Line: 3}, {ID: "row-3", Name: "Ines", Line: 4}},
			[]string{`made "row-1" from the row`, `made "row-2" from the row`, "the name stands on line 2 too"}},
		{"empty cells beyond the headings", "id,name\np1,Ines,, \n", []Pupil{{ID: "p1", Name: "Ines", Line: 2}}, nil},
		{"no name", "pupil,number\nInes,1\n", []Pupil{{ID: "Ines", Line: 2}}, []string{":1: no column name: the name on the sheets stays empty", "columns not used: number"}},
		{"unused column", "id,name,shoe size\np1,Ines,37\n", []Pupil{{ID: "p1", Name: "Ines", Line: 2}}, []string{"columns not used: shoe size"}},
		{"OneRoster", "sourcedId,status,role,givenName,familyName,grades\nu1,active,student,Ines,Brook,09\nu2,active,teacher,Tomas,Lock,\nu3,tobedeleted,student,Kit,Weir,09\n",
			[]Pupil{{ID: "u1", Name: "Ines Brook", Line: 2}}, []string{"role teacher", "status tobedeleted"}},
		{"paths and controls are only text", "id,name\n../../etc/x,\"a\tb\x1b[31m\"\n", []Pupil{{ID: "../../etc/x", Name: "a b [31m", Line: 2}}, nil},
	} {
		r, err := ReadRoster(writeRoster(t, c.data))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if diff := cmp.Diff(c.want, r.Pupils); diff != "" {
			t.Errorf("%s:\n%s", c.name, diff)
		}
		if len(r.Notes) != len(c.notes) {
			t.Errorf("%s: notes %q, want %q", c.name, r.Notes, c.notes)
			continue
		}
		for i, part := range c.notes {
			if !strings.Contains(r.Notes[i], part) {
				t.Errorf("%s: note %q, want %q in it", c.name, r.Notes[i], part)
			}
		}
	}
}

func TestReadRosterFaults(t *testing.T) {
	for _, c := range []struct{ data, want string }{
		{"", "is empty"},
		{"id,name\n", "holds no pupil"},
		{"forename and more,shoe\nx,y\n", ":1: no column id or name"},
		{"id,name\np1,Ines\np2,Tomas\np1,Kit\n", `:4: id "p1" stands already on line 2`},
		{"id,Student,name\n1,2,3\n", "both give the id"},
		{"id,name,level\np1,Ines,expert\n", `:2: level "expert"; want starter`},
		{"id,name,large\np1,Ines,perhaps\n", `:2: large "perhaps"`},
		{"id,name,extra_minutes\np1,Ines,lots\n", `:2: extra_minutes "lots"`},
		{"id,name\np1,Brook, Ines\n", ":2: more cells than the first row has columns"},
		{"id,name,group\n,,quay\n", ":2: neither id nor name"},
	} {
		if _, err := ReadRoster(writeRoster(t, c.data)); err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "roster.csv") {
			t.Errorf("%q: error %v, want %q in it", c.data, err, c.want)
		}
	}
}

func TestReadRosterWorkbook(t *testing.T) {
	r, err := ReadRoster(workbook(t, [][]any{{"Name", "ID", "extra minutes"}, {"Ines", 17, 10}, {nil, nil}, {"Łukasz", "p2"}}))
	if err != nil {
		t.Fatal(err)
	}
	want := []Pupil{{ID: "17", Name: "Ines", Extra: 10, Line: 2}, {ID: "p2", Name: "Łukasz", Line: 4}}
	if diff := cmp.Diff(want, r.Pupils); diff != "" {
		t.Error(diff)
	}
}

// A list on a later worksheet is found when those before it are empty; what is not read is told.
func TestReadRosterWorksheets(t *testing.T) {
	path := workbook(t, nil, [][]any{{"id", "name"}, {"p1", "Ines", "back in May"}}, [][]any{{"id", "name"}, {"p2", "Tomas"}})
	r, err := ReadRoster(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]Pupil{{ID: "p1", Name: "Ines", Line: 2}}, r.Pupils); diff != "" {
		t.Error(diff)
	}
	want := []string{
		path + `: worksheet "Sheet2" is read, and "Sheet3" is not; what else is wanted goes into the same worksheet or a file of its own`,
		path + `:2: not used, since no heading stands above: "back in May"`,
	}
	if diff := cmp.Diff(want, r.Notes); diff != "" {
		t.Error(diff)
	}
}
