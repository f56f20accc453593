package classset

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestWriteToKeepsWhatWasThere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "key.pdf")
	if err := WriteFile(path, []byte("old")); err != nil {
		t.Fatal(err)
	}
	boom := errors.New("boom")
	err := WriteTo(path, func(w io.Writer) error {
		io.WriteString(w, "new, half")
		return boom
	})
	if !errors.Is(err, boom) || !strings.Contains(err.Error(), path) {
		t.Errorf("error %v, want one that wraps the cause and names the file", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "old" {
		t.Errorf("file holds %q, want the old text", got)
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("left behind: %v", entries)
	}
	if err := WriteFile(path, []byte("new")); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(path); string(got) != "new" {
		t.Errorf("file holds %q, want the new text", got)
	}
}

func TestWriteFileNamesAMissingFolder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none", "set.json")
	if err := WriteFile(path, nil); err == nil || !strings.Contains(err.Error(), path) {
		t.Errorf("error %v, want one naming %s", err, path)
	}
}

func TestSweep(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{".set.json.1234.part", "keep.part", ".hidden", "set.json"} {
		os.WriteFile(filepath.Join(dir, name), nil, 0o644)
	}
	os.MkdirAll(filepath.Join(dir, ".stage.9.part", "forms"), 0o755)
	if err := Sweep(dir); err != nil {
		t.Fatal(err)
	}
	entries, _ := os.ReadDir(dir)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	if got := strings.Join(names, " "); got != ".hidden keep.part set.json" {
		t.Errorf("after Sweep: %s", got)
	}
}

func TestLock(t *testing.T) {
	dir := t.TempDir()
	release, err := Lock(dir)
	if err != nil {
		t.Fatal(err)
	}
	_, err = Lock(dir)
	var locked *LockedError
	if !errors.As(err, &locked) || !strings.Contains(err.Error(), "process ") {
		t.Errorf("second lock: %v, want a LockedError that says who", err)
	}
	release()
	if entries, _ := os.ReadDir(dir); len(entries) != 0 {
		t.Errorf("left behind: %v", entries)
	}
	// A lock file without a living holder is what a killed run leaves.
	os.WriteFile(filepath.Join(dir, lockFile), []byte("process 1 on somewhere since 00:00:00\n"), 0o644)
	release, err = Lock(dir)
	if err != nil {
		t.Fatalf("stale lock: %v", err)
	}
	release()
	if _, err := Lock(filepath.Join(dir, "none")); err == nil {
		t.Error("locked a folder that is not there")
	}
}
