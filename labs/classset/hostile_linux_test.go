package classset

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// What is no regular file is refused at once, not waited for or read without end.
func TestReadFileRefuses(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe.csv")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{pipe: "pipe or a device", "/dev/zero": "pipe or a device", t.TempDir(): "it is a folder", pipe + "x": "not there"} {
		if _, err := ReadFile(path, 1<<20); err == nil || !strings.HasPrefix(err.Error(), path+": ") || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v, want %q in it", path, err, want)
		}
	}
}
