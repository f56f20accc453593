package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"keelmark/grader"
	"keelmark/grader/forms"
	"keelmark/grader/report"
	"keelmark/labs/classset"
)

type markOptions struct {
	policy       string
	replace      bool
	single, text bool
	oneRoster    bool
	sample       int
	quiet, json  bool
}

func newMark(std streams) *cobra.Command {
	var opt markOptions
	cmd := &cobra.Command{
		Use:   "mark DIR ANSWERS...",
		Short: "Mark answers against a class set",
		Long: `Marks files or folders of answers (.csv .xlsx .txt .json .pdf, mixed) against the set in DIR and writes DIR/marked:
marks.csv, marking.json, feedback.pdf, report.pdf, look.csv (what a person must decide) and talk.csv (for the teacher
alone). Later files add to earlier marking. What is decided in look.csv (read_as, marks, by, reason) survives every
marking; scheme.csv in DIR mends the mark scheme after the event.

Exit codes: 0 done; 1 done and something needs a look; 2 wrong use; 3 could not be done.`,
		Example: `  keelmark mark week3 answers.csv
  keelmark mark week3 inbox/ late.xlsx --replace
  keelmark mark week3 --sample 5`,
		Args: arguments(cobra.MinimumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runMark(cmd.Context(), std, args[0], args[1:], opt)
		},
	}
	f := cmd.Flags()
	f.BoolVar(&opt.replace, "replace", false, "let a second, different answer for a sheet take the first one's place")
	f.StringVar(&opt.policy, "policy", "", "a YAML file of slip ids and the marks they cost")
	f.BoolVar(&opt.single, "single", false, "feedback as a PDF for each pupil as well, named by sheet code")
	f.BoolVar(&opt.text, "text", false, "feedback as text as well, for pasting into a message")
	f.BoolVar(&opt.oneRoster, "oneroster", false, "results and line items as OneRoster 1.2 tables as well")
	f.IntVar(&opt.sample, "sample", 0, "write sample.csv: this many sheets spread over the marks, for a second marker")
	f.BoolVar(&opt.quiet, "quiet", false, "print nothing but what needs a look")
	f.BoolVar(&opt.json, "json", false, "print a summary as JSON")
	return cmd
}

func runMark(ctx context.Context, std streams, dir string, files []string, opt markOptions) error {
	var policy grader.Policy
	if opt.policy != "" {
		var err error
		if policy, err = grader.ReadPolicy(opt.policy); err != nil {
			return err
		}
	}
	show := newProgress(std.err, opt.quiet)
	var notes []string
	also := func(stage string, r *grader.Result) error {
		if opt.sample > 0 {
			if err := report.SampleBegun(dir, r); err != nil {
				return err
			}
		}
		return report.Write(ctx, stage, r, report.Options{Single: opt.single, Text: opt.text, OneRoster: opt.oneRoster, Sample: opt.sample,
			Progress: func(done, total int) { show.update("files", done, total) },
			Note:     func(note string) { notes = append(notes, note) }})
	}
	r, err := grader.Mark(ctx, grader.MarkOptions{Dir: dir, Files: files, Replace: opt.replace, Policy: policy, ReadForm: forms.Read, Also: also})
	show.end()
	if errors.Is(err, grader.ErrNothing) && len(files) == 0 {
		return usagef("%w: name the files or folders that hold them, as in keelmark mark %s answers.csv", err, dir)
	}
	if err != nil {
		return err
	}
	for _, f := range r.Findings {
		fmt.Fprintln(std.err, f)
	}
	if note := report.RemoveOutgrown(dir, r); note != "" {
		notes = append(notes, note)
	}
	for _, note := range append(notes, outdated(dir, opt)...) {
		fmt.Fprintln(std.err, note)
	}
	look := r.NeedsLook()
	if opt.json {
		err = printJSON(std.out, summarise(r))
	} else if opt.quiet {
		printWaiting(std.out, r)
	} else {
		printMarked(std.out, dir, r)
		if fault := printAgreement(std.out, dir, r); fault != nil { // the marking is done all the same
			fmt.Fprintln(std.err, fault)
			look = true
		}
	}
	if err == nil && look {
		err = errLook
	}
	return err
}

// outdated tells of files that an earlier marking made and this one was not asked for: their marks may no longer hold.
func outdated(dir string, opt markOptions) (notes []string) {
	for _, extra := range []struct {
		files, flag string
		made        bool
	}{
		{report.FeedbackDir + "/*.pdf", "--single", opt.single},
		{report.FeedbackDir + "/*.txt", "--text", opt.text},
		{report.OneRosterDir + "/*.csv", "--oneroster", opt.oneRoster},
	} {
		pattern := classset.MarkedDir + "/" + extra.files
		if found, _ := fs.Glob(os.DirFS(dir), pattern); len(found) > 0 && !extra.made {
			notes = append(notes, fmt.Sprintf("%s: of an earlier marking; %s makes them anew", filepath.Join(dir, filepath.FromSlash(pattern)), extra.flag))
		}
	}
	return notes
}

// markSummary is what mark --json prints.
type markSummary struct {
	Lab      string   `json:"lab"`
	Sheets   int      `json:"sheets"`
	Marked   int      `json:"marked"`
	Absent   int      `json:"absent"`
	Open     int      `json:"open"`
	Talk     int      `json:"talk"`
	Findings []string `json:"findings"`
	Changed  []string `json:"changed"`
	Replaced []string `json:"replaced"`
}

func summarise(r *grader.Result) markSummary {
	s := markSummary{Lab: r.Set.Lab, Sheets: len(r.Marking.Sheets), Open: r.Open, Talk: len(r.Talk), Findings: []string{}, Changed: []string{}, Replaced: []string{}}
	for _, m := range r.Marking.Sheets {
		if m.Absent {
			s.Absent++
		}
	}
	s.Marked = s.Sheets - s.Absent
	for _, f := range r.Findings {
		s.Findings = append(s.Findings, f.String())
	}
	for _, code := range r.Replaced {
		s.Replaced = append(s.Replaced, classset.ShowCode(code))
	}
	for _, c := range r.Changed {
		s.Changed = append(s.Changed, c.String())
	}
	return s
}

func printMarked(w io.Writer, dir string, r *grader.Result) {
	s := summarise(r)
	absent := ""
	if s.Absent > 0 {
		absent = fmt.Sprintf(", %d absent", s.Absent)
	}
	fmt.Fprintf(w, "%s: %d of %d sheets marked in %s%s\n", s.Lab, s.Marked, s.Sheets, filepath.Join(dir, classset.MarkedDir), absent)
	for _, code := range s.Replaced {
		fmt.Fprintf(w, "replaced the answers of sheet %s, with the marks given to them by hand\n", code)
	}
	for _, c := range s.Changed {
		fmt.Fprintf(w, "scheme.csv changed sheet %s\n", c)
	}
	printWaiting(w, r)
}

// printWaiting says what is left to a person.
func printWaiting(w io.Writer, r *grader.Result) {
	if r.Open > 0 {
		fmt.Fprintf(w, "waiting for you in look.csv: %d (fill in read_as or marks, your name, and mark again)\n", r.Open)
	}
	if len(r.Talk) > 0 {
		fmt.Fprintf(w, "pupils whose answers fit another's sheet: %d (talk.csv has the evidence, for you alone)\n", len(r.Talk))
	}
}

// printAgreement says how far a second marker agrees, once sample.csv has come back with marks in it.
func printAgreement(w io.Writer, dir string, r *grader.Result) error {
	m, err := report.ReadSample(dir, r)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil || m.N == 0 {
		return err
	}
	return m.Print(w)
}
