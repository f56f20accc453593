package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"

	"keelmark/labs/classset"
)

// TestTwoMarkAtOnce: one of two runs on a set has the lock; the other says who holds it and changes nothing.
func TestTwoMarkAtOnce(t *testing.T) {
	program, dir := program(t), filepath.Join(t.TempDir(), "set")
	do(t, "print", "archimedes/hover", "--class", class(t, 0, 40), "--to", dir, "--seed", "two", "--quiet")
	answers := answered(t, dir, 3)
	do(t, "mark", dir, answers, "--quiet")
	want, _ := snapshot(t, dir)

	release, err := classset.Lock(dir)
	if err != nil {
		t.Fatal(err)
	}
	code, _, stderr := keelmark("mark", dir, answers)
	release()
	if code != exitFailed || !strings.Contains(stderr, fmt.Sprint("process ", os.Getpid())) {
		t.Errorf("while the set is locked: exit code %d, %s", code, stderr)
	}

	var runs sync.WaitGroup
	var done atomic.Int32
	for range 4 {
		runs.Go(func() {
			out, err := exec.Command(program, "mark", dir, answers, "--quiet").CombinedOutput()
			var exit *exec.ExitError
			switch {
			case err == nil || errors.As(err, &exit) && exit.ExitCode() == exitLook:
				done.Add(1)
			case exit == nil || exit.ExitCode() != exitFailed || !strings.Contains(string(out), "is writing to this set"):
				t.Errorf("%v: %s", err, out)
			}
		})
	}
	runs.Wait()
	if done.Load() == 0 {
		t.Error("of four runs at once none got through")
	}
	finished(t, dir, want)
}

// mount mounts a disk for the rest of the test, which CI must not skip.
func mount(t *testing.T, source, dir, kind string, flags uintptr, data string) {
	t.Helper()
	if err := syscall.Mount(source, dir, kind, flags, data); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("no disk can be mounted, and CI must not skip this check: %v", err)
		}
		t.Skipf("no disk can be mounted here, which takes root: %v", err)
	}
	if flags&syscall.MS_REMOUNT == 0 {
		t.Cleanup(func() { syscall.Unmount(dir, 0) })
	}
}

// writers gives a run of every kind that writes to a set, into dir, with what the folder holds before it.
func writers(t *testing.T, dir string) map[string]writer {
	t.Helper()
	set := filepath.Join(t.TempDir(), "set")
	do(t, "print", "archimedes/hover", "--class", class(t, 0, 3), "--to", set, "--seed", "full")
	printed, _ := snapshot(t, set)
	first, second, code := answered(t, set, 1), answered(t, set, 2), codes(t, set)[0]
	do(t, "mark", set, first)
	marked, _ := snapshot(t, set)
	mine := map[string]string{"plan.txt": "mine"}
	return map[string]writer{
		"print":        {mine, []string{"print", "archimedes/hover", "--class", class(t, 0, 3), "--to", dir, "--seed", "full", "--forms"}},
		"print --add":  {printed, []string{"print", dir, "--add", class(t, 3, 5)}},
		"print --only": {printed, []string{"print", dir, "--only", code}},
		"mark":         {marked, []string{"mark", dir, second, "--replace", "--single", "--text"}},
		"again":        {mine, []string{"again", set, "--to", dir, "--seed", "full"}},
	}
}

// writer is a run that writes to a folder, which holds the files of before.
type writer struct {
	before map[string]string
	args   []string
}

// TestNoRoom: on a disk with too little room a run says so, and the folder is as it was; with room enough it completes.
func TestNoRoom(t *testing.T) {
	if testing.Short() {
		t.Skip("mounts a disk; the full run does")
	}
	disk := t.TempDir()
	mount(t, "tmpfs", disk, "tmpfs", 0, "size=4m")
	dir := filepath.Join(disk, "set")
	for name, w := range writers(t, dir) {
		t.Run(name, func(t *testing.T) {
			restore(t, dir, w.before)
			do(t, w.args...)
			after, _ := snapshot(t, dir)
			failed := 0
			for room := int64(0); ; room += 16 << 10 {
				restore(t, dir, w.before)
				ballast := fill(t, filepath.Join(disk, "ballast"), room)
				code, _, stderr := keelmark(w.args...)
				os.Remove(ballast)
				if code == exitDone || code == exitLook {
					break
				}
				failed++
				if code != exitFailed || !strings.Contains(stderr, "no space left") {
					t.Fatalf("with %d bytes of room: exit code %d: %s", room, code, stderr)
				}
				finished(t, dir, w.before)
			}
			finished(t, dir, after)
			if failed < 3 {
				t.Errorf("only %d runs met a full disk", failed)
			}
		})
	}
}

// fill writes a file until the disk is full but for some room, in bytes.
func fill(t *testing.T, path string, room int64) string {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	size := int64(0)
	for err == nil {
		var n int
		n, err = f.Write(make([]byte, 4096))
		size += int64(n)
	}
	if err := f.Truncate(max(size-room, 0)); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestReadOnlyFolder: where nothing may be written a run says so and changes nothing.
func TestReadOnlyFolder(t *testing.T) {
	parent := t.TempDir()
	dir := filepath.Join(parent, "set")
	for name, w := range writers(t, dir) {
		t.Run(name, func(t *testing.T) {
			restore(t, dir, w.before)
			if os.Getuid() == 0 { // root may write anywhere but on a disk mounted so
				mount(t, parent, parent, "", syscall.MS_BIND, "")
				mount(t, "", parent, "", syscall.MS_BIND|syscall.MS_REMOUNT|syscall.MS_RDONLY, "")
			} else {
				os.Chmod(dir, 0o555)
				defer os.Chmod(dir, 0o755)
			}
			code, _, stderr := keelmark(w.args...)
			if code != exitFailed || !strings.Contains(stderr, "read-only") && !strings.Contains(stderr, "permission denied") {
				t.Errorf("exit code %d: %s", code, stderr)
			}
			finished(t, dir, w.before)
		})
	}
}
