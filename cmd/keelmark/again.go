package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"

	"keelmark/generator"
	"keelmark/grader"
	"keelmark/labs"
	"keelmark/labs/classset"
)

type againOptions struct {
	to, seed             string
	cluster, quiet, json bool
}

func newAgain(std streams) *cobra.Command {
	var opt againOptions
	cmd := &cobra.Command{
		Use:   "again DIR --to DIR2",
		Short: "A follow-up set: to each pupil the questions they lost, with new numbers",
		Long: `Makes a class set from a marked one. Each pupil who lost marks gets just those questions, with the values and earlier
parts they need, and new numbers; a pupil who has lost none gets one question to stretch on, the one the class found
hardest. Answers that still wait in look.csv count neither as lost nor as won, and are told. The set is printed, answered
and marked like any other.

Exit codes: 0 done; 1 done and answers still wait for your decision; 2 wrong use; 3 could not be done.`,
		Example: `  keelmark again week3 --to week4
  keelmark again week3 --to week4 --cluster`,
		Args: arguments(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runAgain(cmd.Context(), std, args[0], opt)
		},
	}
	f := cmd.Flags()
	f.StringVar(&opt.to, "to", "", "the folder to make the follow-up set in (required)")
	f.StringVar(&opt.seed, "seed", "", "text that decides the draws (made up when absent)")
	f.BoolVar(&opt.cluster, "cluster", false, "one sheet for each set of pupils who lost the same questions")
	f.BoolVar(&opt.quiet, "quiet", false, "no progress and no closing line")
	f.BoolVar(&opt.json, "json", false, "print a summary as JSON")
	return cmd
}

func runAgain(ctx context.Context, std streams, dir string, opt againOptions) error {
	if opt.to == "" {
		return usagef("--to DIR2 is required: the follow-up set gets a folder of its own")
	}
	set, l, err := classset.Open(dir)
	if err != nil {
		return err
	}
	marking, err := classset.OpenMarking(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s has not been marked yet: keelmark mark %s ANSWERS comes first", dir, dir)
	}
	if err != nil {
		return err
	}
	repeats := grader.Again(l, marking)
	if len(repeats) == 0 {
		return fmt.Errorf("%s: nobody handed anything in, so there is nothing to do again", dir)
	}
	roster, questions := followUp(set, repeats, opt.cluster)
	show := newProgress(std.err, opt.quiet)
	settings := set.Settings
	settings.Fixed = nil
	summary, err := generator.Make(ctx, generator.MakeOptions{Lab: l, Roster: roster, Seed: opt.seed, Settings: settings,
		Dir: opt.to, Engine: engineVersion, Questions: questions, Progress: show.update})
	show.end()
	if err != nil {
		return err
	}
	waiting := undecided(l, marking)
	if waiting != "" {
		summary.Notes = append(summary.Notes, waiting)
	}
	if err := reportPrint(std, summary, printOptions{quiet: opt.quiet, json: opt.json}); err != nil || waiting == "" {
		return err
	}
	return errLook
}

// undecided tells of the answers whose marks a person has yet to decide, "" where there are none.
func undecided(l *labs.Lab, m *classset.Marking) string {
	open := map[string]int{}
	answers, unlost := 0, 0 // unlost: pupils who have lost nothing and may yet
	for _, s := range m.Sheets {
		waits, lost := false, false
		for _, a := range s.Answers {
			if a.Open {
				open[a.Question]++
				answers++
			}
			waits, lost = waits || a.Open, lost || !a.Open && a.Marks < a.OutOf
		}
		if waits && !lost {
			unlost++
		}
	}
	if answers == 0 {
		return ""
	}
	var questions []string
	for _, q := range l.Questions {
		if n := open[q.ID]; n > 0 {
			questions = append(questions, fmt.Sprintf("%s %d", q.ID, n))
		}
	}
	mayYet := ""
	if unlost > 0 {
		mayYet = fmt.Sprintf("; pupils who have lost nothing so far and may yet: %d", unlost)
	}
	return fmt.Sprintf("answers that wait for you in look.csv: %d (%s); they count neither as lost nor as won%s; "+
		"decide them, mark again, and make the follow-up set in another folder to take them in", answers, strings.Join(questions, ", "), mayYet)
}

// followUp makes the roster of a follow-up set and the questions of each of its sheets. In clusters, a sheet is for
// everybody who lost the same questions, and is named after them; it is in large print, and gives the extra time, that any
// of them needs.
func followUp(set *classset.Set, repeats []grader.Repeat, cluster bool) ([]classset.Pupil, map[string][]string) {
	sheets := map[string]*classset.Sheet{}
	for _, s := range set.Sheets {
		sheets[s.Code] = s
	}
	var roster []classset.Pupil
	questions := map[string][]string{}
	at := map[string]int{} // of a cluster in the roster
	for _, r := range repeats {
		s := sheets[r.Sheet.Code]
		p := classset.Pupil{ID: s.Student, Name: s.Name, Group: s.Group, Class: s.Class, Level: s.Level, Large: s.Large, Extra: s.Extra}
		if cluster {
			key := strings.Join(r.Questions, " ")
			if i, ok := at[key]; ok {
				roster[i].Name += ", " + s.Name
				roster[i].Large = roster[i].Large || s.Large
				roster[i].Extra = max(roster[i].Extra, s.Extra)
				continue
			}
			at[key] = len(roster)
			p = classset.Pupil{ID: fmt.Sprintf("cluster-%d", len(roster)+1), Name: s.Name, Level: s.Level, Large: s.Large, Extra: s.Extra}
		}
		roster = append(roster, p)
		questions[p.ID] = r.Questions
	}
	return roster, questions
}
