package classset

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// staged opens a stage in a folder that holds old.txt and makes old.txt, sub/new.txt and last.json on it.
func staged(t *testing.T) (dir string, s *Stage) {
	t.Helper()
	dir = t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "old.txt"), []byte("before"), 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := NewStage(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"old.txt", filepath.Join("sub", "new.txt"), "last.json"} {
		path, err := s.Path(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := WriteFile(path, []byte("after")); err != nil {
			t.Fatal(err)
		}
	}
	return dir, s
}

// holds gives the files of a folder with what they hold.
func holds(t *testing.T, dir string) string {
	t.Helper()
	var list []string
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		list = append(list, filepath.ToSlash(name)+"="+string(data))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(list, " ")
}

func TestStage(t *testing.T) {
	dir, s := staged(t)
	if err := s.Commit("last.json"); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if got := holds(t, dir); got != "last.json=after old.txt=after sub/new.txt=after" {
		t.Errorf("committed: %s", got)
	}
	if info, err := os.Stat(filepath.Join(dir, "old.txt")); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the permissions of the file replaced: %v %v", info.Mode(), err)
	}

	dir, s = staged(t)
	s.Close()
	if got := holds(t, dir); got != "old.txt=before" {
		t.Errorf("not committed: %s", got)
	}

	dir, s = staged(t)
	if err := os.WriteFile(filepath.Join(dir, "sub"), []byte("in the way"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := s.Commit("last.json"); err == nil || !strings.Contains(err.Error(), "sub") {
		t.Errorf("a file where a folder goes: %v", err)
	}
	s.Close()
	if got := holds(t, dir); got != "old.txt=before sub=in the way" {
		t.Errorf("a commit that cannot be: %s", got)
	}

	dir, s = staged(t) // the last file keeps its place when another cannot be put into its own
	if err := os.MkdirAll(filepath.Join(dir, "sub", "new.txt", "deep"), 0o755); err != nil {
		t.Fatal(err)
	}
	err := s.Commit("last.json")
	if err == nil || !strings.Contains(err.Error(), "cannot put "+filepath.Join(dir, "sub", "new.txt")) || !strings.Contains(err.Error(), "run the command again") || strings.Contains(err.Error(), ".stage") {
		t.Errorf("a folder where a file goes: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, "last.json")); err == nil {
		t.Error("the last file came before the others")
	}
	if err := Sweep(dir); err != nil || holds(t, dir) != "old.txt=after" {
		t.Errorf("after a sweep: %s %v", holds(t, dir), err)
	}
}
