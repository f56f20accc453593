package main

import (
	"bytes"
	"cmp"
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"keelmark/generator"
	"keelmark/grader"
	"keelmark/grader/forms"
	"keelmark/grader/pupils"
	"keelmark/grader/report"
	"keelmark/labs"
	"keelmark/labs/classset"
)

// demoClass is the invented class of the boatyard.
//
//go:embed demo-class.csv
var demoClass []byte

const (
	demoLab  = "archimedes/weigh-twice"
	demoSeed = "the canal in spring"
)

type demoOptions struct{ to string }

func newDemo(std streams) *cobra.Command {
	var opt demoOptions
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "The whole job on an invented class: print, answer, mark, and where to look",
		Long: `Prints a class set for an invented class of 28, lets simulated pupils answer it (they round, write units in their own
ways, slip, leave blanks and copy), marks the answers, and says what it found and where to look.`,
		Example: "  keelmark demo --to demo",
		Args:    arguments(cobra.NoArgs),
		RunE:    func(cmd *cobra.Command, _ []string) error { return runDemo(cmd.Context(), std.out, opt) },
	}
	cmd.Flags().StringVar(&opt.to, "to", "", "the folder to work in; a new one under the system's temporary folder when absent")
	return cmd
}

func runDemo(ctx context.Context, w io.Writer, opt demoOptions) error {
	dir := opt.to
	if dir == "" {
		var err error
		if dir, err = os.MkdirTemp("", "keelmark-demo-"); err != nil {
			return err
		}
	}
	roster, answers := filepath.Join(dir, "class.csv"), filepath.Join(dir, "answers.csv")
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	if err := demoRoom(roster, answers); err != nil {
		return err
	}
	if err := classset.WriteFile(roster, demoClass); err != nil {
		return err
	}
	set := filepath.Join(dir, "set")
	fmt.Fprintf(w, "1. A class of the youth boatyard, and a sheet with numbers of their own for each\n   keelmark print %s --class %s --to %s\n", demoLab, roster, set)
	summary, err := demoPrint(ctx, roster, set)
	if err != nil {
		return err
	}
	printSummary(indent{w}, summary)

	class, err := demoAnswers(summary, answers)
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "\n2. Simulated pupils answer, as pupils do\n   %s\n", classDid(class))

	fmt.Fprintf(w, "\n3. The evening's marking\n   keelmark mark %s %s\n", set, answers)
	result, err := grader.Mark(ctx, grader.MarkOptions{Dir: set, Files: []string{answers}, ReadForm: forms.Read,
		Also: func(stage string, r *grader.Result) error { return report.Write(ctx, stage, r, report.Options{}) }})
	if err != nil {
		return err
	}
	for _, f := range result.Findings {
		fmt.Fprintf(w, "   %v\n", f)
	}
	printMarked(indent{w}, set, result)
	demoFound(w, class, result)
	fmt.Fprintf(w, "\nWhere to look\n")
	for _, place := range []struct{ file, what string }{
		{"sheets.pdf", "what the pupils get"}, {"key.pdf", "worked solutions, slips to expect, every pupil's answers"},
		{"marked/feedback.pdf", "a slip for each pupil"}, {"marked/report.pdf", "the class picture, and what to teach again"},
		{"marked/look.csv", "what waits for your decision"}, {"marked/talk.csv", "answers that fit a neighbour's sheet, for you alone"},
	} {
		fmt.Fprintf(w, "   %-40s %s\n", filepath.Join(set, filepath.FromSlash(place.file)), place.what)
	}
	return nil
}

// demoRoom refuses to write over a class list that is not the demo's own, or answers beside none: they may be a teacher's.
func demoRoom(roster, answers string) error {
	there, err := classset.ReadFile(roster, classset.MaxFile)
	switch {
	case err == nil && bytes.Equal(there, demoClass):
		return nil // an earlier demo's
	case err == nil:
		return fmt.Errorf("%s is there already and was left alone; choose another folder for --to", roster)
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	if _, err := os.Lstat(answers); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s is there already and was left alone; choose another folder for --to", answers)
	}
	return nil
}

func demoPrint(ctx context.Context, roster, set string) (*generator.Summary, error) {
	l, err := labs.Load(demoLab)
	if err != nil {
		return nil, err
	}
	class, err := classset.ReadRoster(roster)
	if err != nil {
		return nil, err
	}
	return generator.Make(ctx, generator.MakeOptions{Lab: l, Roster: class.Pupils, Seed: demoSeed, Dir: set, Engine: engineVersion})
}

// demoAnswers lets the class answer and writes what it wrote as a table.
func demoAnswers(s *generator.Summary, file string) ([]*pupils.Work, error) {
	_, l, err := classset.Open(s.Dir)
	if err != nil {
		return nil, err
	}
	class, err := pupils.Class(l, s.Set, pupils.Everyday, 43)
	if err != nil {
		return nil, err
	}
	return class, classset.WriteTable(file, pupils.Table(l, class))
}

// classDid counts what the simulated pupils did.
func classDid(class []*pupils.Work) string {
	count := map[pupils.Kind]int{}
	away, copiers := 0, 0
	for _, w := range class {
		if w.Away {
			away++
			continue
		}
		if w.Neighbour != "" {
			copiers++
		}
		for _, d := range w.Did {
			count[d.Kind]++
		}
	}
	return fmt.Sprintf("%d answers worked out, %d slips, %d blanks, %d numbers copied by %d pupils, %d pupils away",
		count[pupils.Right], count[pupils.Slip], count[pupils.Blank], count[pupils.Copied], copiers, away)
}

// demoFound holds the marking against what the pupils really did.
func demoFound(w io.Writer, class []*pupils.Work, r *grader.Result) {
	did := map[string]*pupils.Work{}
	for _, work := range class {
		did[work.Sheet.Code] = work
	}
	var worked, full, slipped, named int
	causes := map[string]int{}
	for _, s := range r.Marking.Sheets {
		for _, a := range s.Answers {
			switch d := did[s.Code].Did[a.Question]; {
			case s.Absent:
			case d.Kind == pupils.Right:
				worked++
				if a.Verdict == classset.Right || a.Verdict == classset.Carried {
					full++
				}
			case d.Kind == pupils.Slip && d.Slip != "choice":
				slipped++
				if a.Verdict == classset.Slip {
					named++
				}
			}
			if a.Verdict == classset.Slip {
				causes[a.Teacher]++
			}
		}
	}
	fmt.Fprintf(w, "\n4. Held against what they really did\n   %d of %d answers worked out earned full marks; of %d slips in numbers %d were named\n", full, worked, slipped, named)
	list := slices.SortedFunc(maps.Keys(causes), func(a, b string) int {
		return cmp.Or(cmp.Compare(causes[b], causes[a]), cmp.Compare(a, b))
	})
	for _, cause := range list[:min(3, len(list))] {
		fmt.Fprintf(w, "   %d × %s\n", causes[cause], cause)
	}
}

// indent writes every line three spaces in.
type indent struct{ w io.Writer }

func (i indent) Write(p []byte) (int, error) {
	for line := range bytes.Lines(p) {
		if _, err := fmt.Fprintf(i.w, "   %s", line); err != nil {
			return 0, err
		}
	}
	return len(p), nil
}
