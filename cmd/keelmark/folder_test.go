package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"keelmark/grader/pupils"
	"keelmark/labs/classset"
)

// program gives a path at which this test binary is the program, to be run as a process of its own.
func program(t testing.TB) string {
	t.Helper()
	if testing.Short() {
		t.Skip("runs the program as a process of its own")
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "keelmark")
	if err := os.Symlink(self, path); err != nil {
		t.Skipf("no symbolic link can be made here: %v", err)
	}
	return path
}

// finish runs the program in a process of its own to its end, which must be code 0 or 1.
func finish(t testing.TB, program string, args ...string) {
	t.Helper()
	out, err := exec.Command(program, args...).CombinedOutput()
	var exit *exec.ExitError
	if err != nil && (!errors.As(err, &exit) || exit.ExitCode() != exitLook) {
		t.Fatalf("keelmark %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

// do runs the program in this process; it must end with code 0 or 1.
func do(t testing.TB, args ...string) {
	t.Helper()
	if code, _, stderr := keelmark(args...); code != exitDone && code != exitLook {
		t.Fatalf("keelmark %s: exit code %d: %s", strings.Join(args, " "), code, stderr)
	}
}

// snapshot gives the files of a folder by name, and apart from them the names that begin with a dot: what a run hides
// while it writes.
func snapshot(t testing.TB, dir string) (files map[string]string, hidden []string) {
	t.Helper()
	files = map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		switch {
		case strings.HasPrefix(d.Name(), ".") && name != ".":
			hidden = append(hidden, name)
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		case d.IsDir():
			return nil
		}
		data, err := os.ReadFile(path)
		files[name] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files, hidden
}

// restore makes a folder hold just these files.
func restore(t testing.TB, dir string, files map[string]string) {
	t.Helper()
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	for name, data := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(data), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// whole proves of every file of got that it is as it was before or as the finished run leaves it, and that none is gone.
func whole(t testing.TB, got, before, after map[string]string) {
	t.Helper()
	for name, data := range before {
		if _, there := got[name]; !there {
			t.Fatalf("%s is gone (%d bytes)", name, len(data))
		}
	}
	for name, data := range got {
		was, before := before[name]
		will, after := after[name]
		if !(before && data == was) && !(after && data == will) {
			t.Fatalf("%s is neither what it was nor whole: %d bytes, before %d, after %d", name, len(data), len(was), len(will))
		}
	}
}

// finished proves that a folder holds just what the finished run leaves, and nothing hidden.
func finished(t testing.TB, dir string, after map[string]string) {
	t.Helper()
	got, hidden := snapshot(t, dir)
	whole(t, got, after, after)
	if len(hidden) > 0 {
		t.Fatalf("left behind: %v", hidden)
	}
}

// class writes a class list of pupils number from to number to, without the last, and gives its path.
func class(t testing.TB, from, to int) string {
	t.Helper()
	var b strings.Builder
	b.WriteString("id,name,group\n")
	for i := from; i < to; i++ {
		fmt.Fprintf(&b, "crew%d,Deckhand %d,berth %d\n", i, i, i/3)
	}
	return write(t, "class.csv", b.String())
}

// answered lets simulated pupils answer the set in dir, and gives the file of their answers.
func answered(t testing.TB, dir string, seed uint64) string {
	t.Helper()
	set, lab, err := classset.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	work, err := pupils.Class(lab, set, pupils.Everyday, seed)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "answers.csv")
	if err := classset.WriteTable(path, pupils.Table(lab, work)); err != nil {
		t.Fatal(err)
	}
	return path
}

// codes gives the codes of the sheets of a set.
func codes(t *testing.T, dir string) (list []string) {
	t.Helper()
	set, err := classset.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range set.Sheets {
		list = append(list, s.Code)
	}
	return list
}
