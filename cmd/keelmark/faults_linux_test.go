package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"keelmark/grader/pupils"
	"keelmark/labs/classset"
)

// kills is how often a run is killed: a hundred times in CI, which sets KEELMARK_FAULTS.
func kills() int {
	if os.Getenv("KEELMARK_FAULTS") != "" {
		return 100
	}
	return 4
}

// program gives a path at which this test binary is the program.
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
		t.Fatal(err)
	}
	return path
}

// snapshot gives the files of a folder by name, without those that a run hides while it writes them.
func snapshot(t testing.TB, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		if strings.HasPrefix(d.Name(), ".") && name != "." {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if d.IsDir() {
			return nil
		}
		data, err := os.ReadFile(path)
		files[name] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
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

// whole tells of every file whether it is as it was before or as the finished run leaves it.
func whole(t *testing.T, got, before, after map[string]string) {
	t.Helper()
	for name, data := range before {
		if _, there := got[name]; !there {
			t.Fatalf("%s is gone (%d bytes)", name, len(data))
		}
	}
	for name, data := range got {
		if data != after[name] && data != before[name] {
			t.Fatalf("%s is neither what it was nor whole: %d bytes, before %d, after %d", name, len(data), len(before[name]), len(after[name]))
		}
	}
}

// class writes a class list of n and gives its path.
func class(t testing.TB, n int) string {
	t.Helper()
	var b strings.Builder
	b.WriteString("id,name,group\n")
	for i := range n {
		fmt.Fprintf(&b, "crew%d,Deckhand %d,berth %d\n", i, i, i/3)
	}
	path := filepath.Join(t.TempDir(), "class.csv")
	if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
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

// finish runs the program to its end, which must be code 0 or 1.
func finish(t testing.TB, args ...string) (took time.Duration) {
	t.Helper()
	start := time.Now()
	out, err := exec.Command(program(t), args...).CombinedOutput()
	var exit *exec.ExitError
	if err != nil && (!errors.As(err, &exit) || exit.ExitCode() != exitLook) {
		t.Fatalf("%s: %v\n%s", args[0], err, out)
	}
	return time.Since(start)
}

// TestKilled kills print and mark at random moments (kill -9 gives no chance to tidy up). What was there before is there
// still, what is new is whole or absent, and the next run completes and leaves nothing behind.
func TestKilled(t *testing.T) {
	program(t)
	roster, seed := class(t, 40), []string{"--seed", "lock gate", "--quiet"}
	print := func(dir string) []string {
		return append([]string{"print", "archimedes/hover", "--class", roster, "--to", dir}, seed...)
	}
	root := t.TempDir()
	printed := filepath.Join(root, "set")
	printing := finish(t, print(printed)...)
	set := snapshot(t, printed)

	first, second := answered(t, printed, 1), answered(t, printed, 2)
	finish(t, "mark", printed, first, "--quiet")
	marked := snapshot(t, printed)
	mark := []string{"mark", printed, second, "--replace", "--quiet"}
	marking := finish(t, mark...)
	remarked := snapshot(t, printed)

	mine := map[string]string{"plan.txt": "mine"}
	both := maps.Clone(set)
	both["plan.txt"] = "mine"
	for _, run := range []struct {
		name          string
		dir           string
		args          []string
		took          time.Duration
		before, after map[string]string
	}{
		{"print", filepath.Join(root, "again"), print(filepath.Join(root, "again")), printing, mine, both},
		{"mark", printed, mark, marking, marked, remarked},
	} {
		t.Run(run.name, func(t *testing.T) {
			cut := 0
			for range kills() {
				restore(t, run.dir, run.before)
				ctx, cancel := context.WithTimeout(context.Background(), time.Duration(rand.Int64N(int64(run.took)*11/10)))
				if exec.CommandContext(ctx, program(t), run.args...).Run(); ctx.Err() != nil {
					cut++
				}
				cancel()
				whole(t, snapshot(t, run.dir), run.before, run.after)
			}
			finish(t, run.args...)
			whole(t, snapshot(t, run.dir), run.after, run.after)
			hidden, err := filepath.Glob(filepath.Join(run.dir, ".*"))
			if err != nil || len(hidden) > 0 {
				t.Errorf("left behind: %v %v", hidden, err)
			}
			t.Logf("%d runs of %v, %d of them killed", kills(), run.took.Round(time.Millisecond), cut)
		})
	}
}

// TestTwoMarkAtOnce: one of two runs on a set has the lock; the other says who holds it and changes nothing.
func TestTwoMarkAtOnce(t *testing.T) {
	program(t)
	dir := filepath.Join(t.TempDir(), "set")
	finish(t, "print", "archimedes/hover", "--class", class(t, 40), "--to", dir, "--seed", "two", "--quiet")
	answers := answered(t, dir, 3)
	finish(t, "mark", dir, answers, "--quiet")
	want := snapshot(t, dir)

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
	for range 4 {
		runs.Go(func() {
			out, err := exec.Command(program(t), "mark", dir, answers, "--quiet").CombinedOutput()
			var exit *exec.ExitError
			if errors.As(err, &exit) && exit.ExitCode() == exitFailed && !strings.Contains(string(out), "is writing to this set") {
				t.Errorf("exit code %d: %s", exit.ExitCode(), out)
			}
		})
	}
	runs.Wait()
	whole(t, snapshot(t, dir), want, want)
}

// TestNoRoom: on a disk too small for it a run says so, and the folder is as it was.
func TestNoRoom(t *testing.T) {
	if testing.Short() {
		t.Skip("mounts a disk; the full run does")
	}
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=192k"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("no disk can be mounted, and CI must not skip this check: %v", err)
		}
		t.Skipf("no disk can be mounted here, which takes root: %v", err)
	}
	defer syscall.Unmount(disk, 0)
	for _, dir := range []string{disk, filepath.Join(disk, "set")} {
		code, _, stderr := keelmark("print", "archimedes/hover", "--class", class(t, 40), "--to", dir, "--seed", "full")
		if code != exitFailed || !strings.Contains(stderr, "no space left") {
			t.Errorf("print: exit code %d: %s", code, stderr)
		}
		if got := snapshot(t, disk); len(got) > 0 {
			t.Errorf("left behind: %d files", len(got))
		}
	}
	dir := filepath.Join(disk, "marked")
	if code, _, stderr := keelmark("print", "testdata/two-forces.md", "--class", "testdata/three.csv", "--to", dir, "--seed", "s"); code != exitDone {
		t.Fatalf("the small disk is too small even for three pupils: %s", stderr)
	}
	answers := answered(t, dir, 1)
	before := snapshot(t, dir)
	fill(t, filepath.Join(disk, "ballast"))
	code, _, stderr := keelmark("mark", dir, answers)
	if code != exitFailed || !strings.Contains(stderr, "no space left") {
		t.Errorf("mark: exit code %d: %s", code, stderr)
	}
	after := snapshot(t, dir)
	for name, data := range before {
		if after[name] != data {
			t.Errorf("%s changed", name)
		}
	}
	os.Remove(filepath.Join(disk, "ballast"))
}

// fill writes a file until the disk is full.
func fill(t *testing.T, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for err == nil {
		_, err = f.Write(make([]byte, 1024))
	}
}

// TestReadOnlyFolder: where nothing may be written a run says so before it works.
func TestReadOnlyFolder(t *testing.T) {
	dir, codes := printed(t)
	answers := write(t, "a.txt", "sheet: "+codes[0]+"\nFb: 1.23 N\n")
	parent := t.TempDir()
	if os.Getuid() == 0 { // root may write anywhere but on a disk mounted so
		for _, d := range []string{dir, parent} {
			if err := syscall.Mount(d, d, "", syscall.MS_BIND, ""); err != nil {
				t.Skipf("no disk can be mounted here: %v", err)
			}
			defer syscall.Unmount(d, 0)
			if err := syscall.Mount("", d, "", syscall.MS_BIND|syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
				t.Skipf("no disk can be mounted read-only here: %v", err)
			}
		}
	} else {
		for _, d := range []string{dir, parent} {
			os.Chmod(d, 0o555)
			defer os.Chmod(d, 0o755)
		}
	}
	before := snapshot(t, dir)
	for _, args := range [][]string{
		{"mark", dir, answers},
		{"print", "testdata/two-forces.md", "--class", "testdata/three.csv", "--to", filepath.Join(parent, "set")},
		{"print", dir, "--only", codes[1]},
	} {
		code, _, stderr := keelmark(args...)
		if code != exitFailed || !strings.Contains(stderr, "read-only") && !strings.Contains(stderr, "permission denied") {
			t.Errorf("%s: exit code %d: %s", args[0], code, stderr)
		}
	}
	whole(t, snapshot(t, dir), before, before)
}
