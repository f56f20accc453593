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
	name, program string
	dir           string
	args          []string
	first         string // of the files that it puts into place
	before, after map[string]string
	took          time.Duration // the shortest run that finished
}

// rehearse lets the run finish twice.
func (v *victim) rehearse(t *testing.T) {
	t.Helper()
	v.took = time.Hour
	for range 2 {
		restore(t, v.dir, v.before)
		start := time.Now()
		finish(t, v.program, v.args...)
		v.took = min(v.took, time.Since(start))
	}
	v.after, _ = snapshot(t, v.dir)
}

// strike starts the run, waits until it is ready (nil: not at all) and then for a delay, and sends it a signal. It tells how
// the run ended.
func (v *victim) strike(t *testing.T, signal os.Signal, ready func() bool, delay time.Duration) *os.ProcessState {
	run, start := exec.Command(v.program, v.args...), time.Now()
	if err := run.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	took := v.took
	go func() {
		run.Wait()
		took = time.Since(start)
		close(ended)
	}()
	for ready != nil && !ready() {
		select {
		case <-ended:
			ready = nil
		case <-time.After(50 * time.Microsecond):
		}
	}
	time.Sleep(delay)
	run.Process.Signal(signal) // fails, as it should, when the run has ended
	<-ended
	if code := run.ProcessState.ExitCode(); code == exitDone || code == exitLook {
		v.took = min(v.took, took)
	}
	return run.ProcessState
}

// begun reports whether the run has opened its stage: all its files are still to be made.
func (v *victim) begun() bool {
	stages, _ := filepath.Glob(filepath.Join(v.dir, ".stage.*"))
	return len(stages) > 0
}

// placing gives a function that reports whether the first file has been put into place since.
func (v *victim) placing() func() bool {
	first := filepath.Join(v.dir, v.first)
	old, _ := os.Stat(first)
	return func() bool {
		now, err := os.Stat(first)
		return err == nil && (old == nil || !os.SameFile(old, now))
	}
}

// How far a run can have come when it is killed.
const (
	unwritten   = "before it wrote"
	halfWritten = "with files half written"
	someInPlace = "with some files in place"
	allInPlace  = "with all in place"
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

// moment gives the i-th of n moments spread over the run, each at random within its part.
func (v *victim) moment(i, n int) time.Duration {
	return time.Duration((float64(i) + rand.Float64()) / float64(n) * float64(v.took))
}

// test kills the run so many times while it is going; a kill that comes after its end is made again.
func (v *victim) test(t *testing.T, kills int) {
	v.rehearse(t)
	count, tooLate := map[string]int{}, 0
	for i := 0; i < kills; {
		restore(t, v.dir, v.before)
		// A fifth of the kills come while files are put into place; the others are spread over the run. The former is so short
		// that a busy machine may miss it every time: a kill that came too late is made again at another moment.
		var ready func() bool
		delay := v.moment(i, kills)
		if (i+tooLate)%5 == 1 {
			ready, delay = v.placing(), time.Duration(rand.Int64N(int64(3*time.Millisecond)))
		}
		end := v.strike(t, syscall.SIGKILL, ready, delay)
		moment := v.landed(t)
		if moment != allInPlace {
			finish(t, v.program, v.args...)
			finished(t, v.dir, v.after)
		}
		if end.Exited() {
			if tooLate++; tooLate > 3*kills {
				t.Fatalf("%d kills came after the end of a run of %v", tooLate, v.took)
			}
			continue
		}
		count[moment]++
		i++
	}
	t.Logf("%d kills of a run of %v while it was going: %d %s, %d %s, %d %s, %d %s; %d more came too late", kills, v.took.Round(time.Millisecond),
		count[unwritten], unwritten, count[halfWritten], halfWritten, count[someInPlace], someInPlace, count[allInPlace], allInPlace, tooLate)
	if kills >= 20 && count[halfWritten]+count[someInPlace] == 0 {
		t.Error("no kill met the run at work on its files")
	}
}

// victims gives a run of every kind that writes to a set, and a marked set that one of them reads.
func victims(t *testing.T) (list []*victim, marked string) {
	t.Helper()
	keelmark, root := program(t), t.TempDir()
	dir := func(name string) string { return filepath.Join(root, name) }
	roster, seed := class(t, 0, 12), []string{"--seed", "lock gate", "--quiet"}
	print := func(dir string) []string {
		return append([]string{"print", "archimedes/hover", "--class", roster, "--forms", "--to", dir}, seed...)
	}
	finish(t, keelmark, print(dir("set"))...)
	printed, _ := snapshot(t, dir("set"))
	restore(t, dir("marked"), printed)
	first, second := answered(t, dir("set"), 1), answered(t, dir("set"), 2)
	finish(t, keelmark, "mark", dir("marked"), first, "--quiet")
	before, _ := snapshot(t, dir("marked"))
	mine := map[string]string{"plan.txt": "mine"}
	list = []*victim{
		{name: "print", first: "answers.csv", before: mine, args: print(dir("print"))},
		{name: "mark", first: "marked/look.csv", before: before, args: []string{"mark", dir("mark"), second, "--replace", "--quiet"}},
		{name: "again", first: "answers.csv", before: mine, args: append([]string{"again", dir("marked"), "--to", dir("again")}, seed...)},
		{name: "print --add", first: "answers-added.csv", before: printed, args: []string{"print", dir("print --add"), "--add", class(t, 12, 20), "--quiet"}},
		{name: "print --only", first: "reprint.pdf", before: printed,
			args: append([]string{"print", dir("print --only"), "--quiet", "--only"}, codes(t, dir("set"))...)},
	}
	for _, v := range list {
		v.program, v.dir = keelmark, dir(v.name)
	}
	return list, dir("marked")
}

// TestKilled kills every kind of run that writes at moments all over it (kill -9 gives no chance to tidy up). What was there
// before is there still, what is new is whole or absent, and the next run completes and leaves nothing behind.
func TestKilled(t *testing.T) {
	n := kills(t)
	list, marked := victims(t)
	before, _ := snapshot(t, marked)
	for _, v := range list {
		t.Run(v.name, func(t *testing.T) {
			if v.name == "print" || v.name == "mark" {
				v.test(t, n)
			} else {
				v.test(t, max(n/4, 4))
			}
		})
	}
	finished(t, marked, before) // again reads it, and no more
}

// TestInterrupted asks every kind of run to stop, by key or by the system: it leaves the folder as it was and says so, or
// has just finished.
func TestInterrupted(t *testing.T) {
	list, _ := victims(t)
	for _, v := range list {
		t.Run(v.name, func(t *testing.T) {
			v.rehearse(t)
			for _, signal := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
				v.interrupt(t, signal)
			}
		})
	}
}

// interrupt asks the run to stop as soon as it has begun, again where it has just finished before that was noticed.
func (v *victim) interrupt(t *testing.T, signal os.Signal) {
	for range 20 {
		restore(t, v.dir, v.before)
		switch end := v.strike(t, signal, v.begun, 0); end.ExitCode() {
		case exitFailed:
			finished(t, v.dir, v.before)
			return
		case exitDone, exitLook:
			finished(t, v.dir, v.after)
		default:
			t.Fatalf("%v: %v", signal, end)
		}
	}
	t.Errorf("%v: no run of %v was interrupted", signal, v.took)
}
