package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"keelmark/grader/report"
)

type recordOptions struct {
	to   string
	json bool
}

func newRecord(std streams) *cobra.Command {
	var opt recordOptions
	cmd := &cobra.Command{
		Use:   "record DIR...",
		Short: "A term: each pupil's skills over several marked sets",
		Long: `Reads marked class sets and says what each pupil can do, skill by skill, how the class stands, and who is ready for the
capstone. Nothing is kept but the sets themselves: the record is made anew each time.

` + report.RecordRule,
		Example: `  keelmark record week1 week3 week5 --to term
  keelmark record week* --json`,
		Args: arguments(cobra.MinimumNArgs(1)),
		RunE: func(_ *cobra.Command, dirs []string) error { return runRecord(std.out, dirs, opt) },
	}
	cmd.Flags().StringVar(&opt.to, "to", "", "the folder for record.pdf, record.csv and record.json")
	cmd.Flags().BoolVar(&opt.json, "json", false, "print JSON")
	return cmd
}

func runRecord(w io.Writer, dirs []string, opt recordOptions) error {
	named := map[string]string{}
	for _, dir := range dirs {
		clean := filepath.Clean(dir)
		if first, twice := named[clean]; twice {
			return usagef("%s and %s are one class set; name each once", first, dir)
		}
		named[clean] = dir
	}
	r, err := report.MakeRecord(dirs)
	if err != nil {
		return err
	}
	if opt.to != "" {
		if err := os.MkdirAll(opt.to, 0o777); err != nil {
			return err
		}
		if err := r.Save(opt.to); err != nil {
			return err
		}
	}
	if opt.json {
		return r.WriteJSON(w)
	}
	printRecord(w, r)
	if opt.to != "" {
		fmt.Fprintf(w, "record.pdf, record.csv and record.json are in %s\n", opt.to)
	}
	return nil
}

// printRecord says how the class stands, skill by skill.
func printRecord(w io.Writer, r *report.Record) {
	count := map[string]map[string]int{}
	ready := 0
	for _, p := range r.Pupils {
		if p.Ready {
			ready++
		}
		for name, s := range p.Skills {
			if count[name] == nil {
				count[name] = map[string]int{}
			}
			count[name][s.Level]++
		}
	}
	fmt.Fprintf(w, "pupils: %d; sets: %d; ready for the capstone: %d\n", len(r.Pupils), len(r.Sets), ready)
	for _, skill := range r.Skills {
		c := count[skill]
		if c == nil { // only answers that are open, or of questions that are void
			fmt.Fprintf(w, "  %-20s   – nothing marked yet\n", skill)
			continue
		}
		fmt.Fprintf(w, "  %-20s %3d %s, %3d %s, %3d %s\n", skill, c[report.Secure], report.Secure, c[report.Unsteady], report.Unsteady, c[report.NotYet], report.NotYet)
	}
}
