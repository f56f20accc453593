//go:build unix

package main

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"testing"
	"time"

	"keelmark/labs/classset"
)

// kills is how often a run is killed: as often as KEELMARK_KILLS says (100 in CI), else a few times.
func kills(t *testing.T) int {
	text := os.Getenv("KEELMARK_KILLS")
	if text == "" {
		return 4
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 4 {
		t.Fatalf("KEELMARK_KILLS=%s: want a number of kills, 4 or more", text)
	}
	return n
}

// victim is a run to be killed: what its folder holds before it, and what when it is left to finish.
type victim struct {
	program       string
	dir           string
	args          []string
	first         string // of the files that it puts into place
	before, after map[string]string
	took          time.Duration // the shortest of three runs left to finish
}

// rehearse finishes the run three times.
func (v *victim) rehearse(t *testing.T) {
	for range 3 {
		restore(t, v.dir, v.before)
		start := time.Now()
		finish(t, v.program, v.args...)
		if took := time.Since(start); v.took == 0 || took < v.took {
			v.took = took
		}
	}
	v.after, _ = snapshot(t, v.dir)
}

// kill starts the run and kills it after a delay, which with watch counts from the moment when the first file is in place.
// It tells whether the run was still going.
func (v *victim) kill(t *testing.T, delay time.Duration, watch bool) bool {
	first := filepath.Join(v.dir, v.first)
	old, _ := os.Stat(first)
	run := exec.Command(v.program, v.args...)
	if err := run.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		run.Wait()
		close(ended)
	}()
	for watch {
		select {
		case <-ended:
			watch = false
		case <-time.After(50 * time.Microsecond):
			now, err := os.Stat(first)
			watch = err != nil || old != nil && os.SameFile(old, now)
		}
	}
	time.Sleep(delay)
	run.Process.Signal(syscall.SIGKILL) // fails, as it should, when the run has ended
	<-ended
	return run.ProcessState.Sys().(syscall.WaitStatus).Signaled()
}

// The moments at which a kill can come.
const (
	unwritten   = "before it wrote"
	halfWritten = "with files half written"
	someInPlace = "with some files in place"
	allInPlace  = "with all in place"
	tooLate     = "after its end"
)

// landed proves that what a killed run left is whole, and tells how far it had come.
func (v *victim) landed(t *testing.T) string {
	t.Helper()
	got, hidden := snapshot(t, v.dir)
	whole(t, got, v.before, v.after)
	moved, all := 0, 0
	for name, data := range v.after {
		if was, there := v.before[name]; there && was == data {
			continue
		}
		all++
		if now, there := got[name]; there && now == data {
			moved++
		}
	}
	hidden = slices.DeleteFunc(hidden, func(name string) bool { return name == ".keelmark.lock" })
	switch {
	case moved == all:
		return allInPlace
	case moved > 0:
		return someInPlace
	case len(hidden) > 0:
		return halfWritten
	}
	return unwritten
}

func (v *victim) test(t *testing.T, kills int) {
	v.rehearse(t)
	count := map[string]int{}
	for i := range kills {
		restore(t, v.dir, v.before)
		// A fifth of the kills come while files are put into place, which is short; the others are spread over the run.
		delay, watch := time.Duration((float64(i)+rand.Float64())/float64(kills)*float64(v.took)), i%5 == 1
		if watch {
			delay = time.Duration(rand.Int64N(int64(3 * time.Millisecond)))
		}
		running := v.kill(t, delay, watch)
		moment := v.landed(t)
		if moment != allInPlace {
			finish(t, v.program, v.args...)
			finished(t, v.dir, v.after)
		}
		if !running {
			moment = tooLate
		}
		count[moment]++
	}
	t.Logf("%d kills of a run of %v: %d %s, %d %s, %d %s, %d %s, %d %s", kills, v.took.Round(time.Millisecond), count[unwritten], unwritten,
		count[halfWritten], halfWritten, count[someInPlace], someInPlace, count[allInPlace], allInPlace, count[tooLate], tooLate)
	if 2*count[tooLate] > kills {
		t.Error("more than half of the kills missed the run")
	}
	if count[halfWritten]+count[someInPlace] == 0 {
		t.Error("no kill met the run at work on its files")
	}
}

// TestKilled kills every kind of run that writes at moments all over it (kill -9 gives no chance to tidy up). What was there
// before is there still, what is new is whole or absent, and the next run completes and leaves nothing behind.
func TestKilled(t *testing.T) {
	n := kills(t)
	keelmark, root := program(t), t.TempDir()
	set, marked := filepath.Join(root, "set"), filepath.Join(root, "marked")
	roster, seed := class(t, 0, 24), []string{"--seed", "lock gate", "--quiet"}
	print := func(dir string) []string {
		return append([]string{"print", "archimedes/hover", "--class", roster, "--forms", "--to", dir}, seed...)
	}
	finish(t, keelmark, print(set)...)
	printed, _ := snapshot(t, set)
	restore(t, marked, printed)
	first, second := answered(t, set, 1), answered(t, set, 2)
	finish(t, keelmark, "mark", marked, first, "--quiet")
	before, _ := snapshot(t, marked)
	mine := map[string]string{"plan.txt": "mine"}
	some := max(n/4, 4)

	for _, v := range []struct {
		name  string
		kills int
		victim
	}{
		{"print", n, victim{dir: filepath.Join(root, "print"), first: "answers.csv", before: mine, args: print(filepath.Join(root, "print"))}},
		{"mark", n, victim{dir: filepath.Join(root, "mark"), first: "marked/look.csv", before: before,
			args: []string{"mark", filepath.Join(root, "mark"), second, "--replace", "--quiet"}}},
		{"again", some, victim{dir: filepath.Join(root, "again"), first: "answers.csv", before: mine,
			args: append([]string{"again", marked, "--to", filepath.Join(root, "again")}, seed...)}},
		{"print --add", some, victim{dir: filepath.Join(root, "add"), first: "answers-added.csv", before: printed,
			args: []string{"print", filepath.Join(root, "add"), "--add", class(t, 24, 40), "--quiet"}}},
		{"print --only", some, victim{dir: filepath.Join(root, "only"), first: "reprint.pdf", before: printed,
			args: append([]string{"print", filepath.Join(root, "only"), "--quiet", "--only"}, codes(t, set)...)}},
	} {
		t.Run(v.name, func(t *testing.T) {
			v.program = keelmark
			v.test(t, v.kills)
		})
	}
	finished(t, marked, before) // again reads it, and no more
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
