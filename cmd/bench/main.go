// Command bench times the program as a whole, from start to exit: it builds keelmark, makes classes of 32, 1000 and (with
// -big) 10,000 pupils, prints a set for each, answers it as simulated pupils would, a third of the numbers wrong, and marks
// it. It is for developers and no part of the program; twelve.md beside it is the lab, of twelve questions.
package main

import (
	"cmp"
	_ "embed"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"keelmark/grader/pupils"
	"keelmark/labs/classset"
)

//go:embed twelve.md
var twelve []byte

// habits of a class whose answers give the marking most to do.
var habits = pupils.Habits{Slip: 1.0 / 3}

func main() {
	runs := flag.Int("n", 3, "runs of each command; the median is printed")
	big := flag.Bool("big", false, "a class of 10,000 as well")
	flag.Parse()
	if flag.NArg() > 0 || *runs < 1 {
		flag.Usage()
		os.Exit(2)
	}
	sizes := []int{32, 1000}
	if *big {
		sizes = append(sizes, 10_000)
	}
	if err := bench(*runs, sizes); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(3)
	}
}

// bench times everything in a folder of its own.
func bench(runs int, sizes []int) error {
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	b := &bencher{program: filepath.Join(dir, "keelmark"), runs: runs}
	build := exec.Command("go", "build", "-o", b.program, "keelmark/cmd/keelmark")
	build.Stderr = os.Stderr
	if err := build.Run(); err != nil {
		return err
	}
	lab := filepath.Join(dir, "twelve.md")
	if err := os.WriteFile(lab, twelve, 0o644); err != nil {
		return err
	}
	fmt.Printf("%-28s %8s %8s %8s\n", "", "wall s", "CPU s", "peak MB")
	if err := b.time("--help", nothing, "--help"); err != nil {
		return err
	}
	if err := b.time("check of every lab", nothing, "check"); err != nil {
		return err
	}
	for _, n := range sizes {
		if err := b.class(dir, lab, n); err != nil {
			return err
		}
	}
	return nil
}

// class times printing and marking for n pupils.
func (b *bencher) class(dir, lab string, n int) error {
	roster := [][]string{{"id", "name"}}
	for i := range n {
		roster = append(roster, []string{fmt.Sprintf("p%d", i), fmt.Sprintf("Pupil %d", i)})
	}
	list, set, answers := filepath.Join(dir, "class.csv"), filepath.Join(dir, "set"), filepath.Join(dir, "answers.csv")
	if err := classset.WriteTable(list, roster); err != nil {
		return err
	}
	anew := func() error { return os.RemoveAll(set) }
	if err := b.time(fmt.Sprintf("print %d sheets", n), anew, "print", lab, "--class", list, "--to", set, "--seed", "bench"); err != nil {
		return err
	}
	if err := answer(set, answers); err != nil {
		return err
	}
	anew = func() error { return os.RemoveAll(filepath.Join(set, classset.MarkedDir)) }
	return b.time(fmt.Sprintf("mark %d sheets", n), anew, "mark", set, answers)
}

// answer writes the answers of the whole class to the set in dir.
func answer(dir, file string) error {
	set, lab, err := classset.Open(dir)
	if err != nil {
		return err
	}
	class, err := pupils.Class(lab, set, habits, 12)
	if err != nil {
		return err
	}
	return classset.WriteTable(file, pupils.Table(lab, class))
}

// bencher runs the program.
type bencher struct {
	program string
	runs    int
}

// cost is what one run took.
type cost struct {
	wall, cpu time.Duration
	peak      int64 // bytes
}

// time runs the program several times, each after prepare, and prints the medians. Marking ends with 1 where something
// needs a look, as it does for such a class.
func (b *bencher) time(what string, prepare func() error, args ...string) error {
	var costs []cost
	for range b.runs {
		if err := prepare(); err != nil {
			return err
		}
		c := exec.Command(b.program, args...)
		start := time.Now()
		out, err := c.CombinedOutput()
		took := time.Since(start)
		if err != nil && c.ProcessState.ExitCode() != 1 {
			return fmt.Errorf("%s: %w\n%s", what, err, out)
		}
		costs = append(costs, cost{took, c.ProcessState.UserTime() + c.ProcessState.SystemTime(), peak(c.ProcessState)})
	}
	memory := "-"
	if p := median(costs, func(c cost) int64 { return c.peak }); p > 0 {
		memory = strconv.FormatInt(p>>20, 10)
	}
	fmt.Printf("%-28s %8.3f %8.3f %8s\n", what, median(costs, func(c cost) time.Duration { return c.wall }).Seconds(),
		median(costs, func(c cost) time.Duration { return c.cpu }).Seconds(), memory)
	return nil
}

func nothing() error { return nil }

// median of one figure of the runs.
func median[T cmp.Ordered](costs []cost, figure func(cost) T) T {
	var all []T
	for _, c := range costs {
		all = append(all, figure(c))
	}
	slices.Sort(all)
	return all[len(all)/2]
}
