package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"keelmark/generator"
	"keelmark/labs"
	"keelmark/labs/classset"
)

type printOptions struct {
	class, to, seed, add string
	values, only         []string
	settings             classset.Settings
	gravity              gravityFlags
	quiet, json          bool
}

func newPrint(std streams) *cobra.Command {
	opt := printOptions{}
	cmd := &cobra.Command{
		Use:   "print LAB --class FILE --to DIR | print DIR --only CODE... | print DIR --add FILE",
		Short: "Make a class set: a sheet for every pupil, the key, and an empty table for the answers",
		Long: `Makes a class set in one folder, complete in itself: sheets.pdf, key.pdf, answers.csv and answers.xlsx to type answers
into, and set.json, which is for the teacher only. LAB is a name that keelmark labs lists, or a .md file of your own.
The class list is a CSV or XLSX with the columns id and name, and if wanted group (who shares a bench), class, level,
large, extra_minutes.

--only prints lost sheets of a set again, identical to the last digit; --add adds pupils to it.

Exit codes: 0 done; 2 wrong use; 3 could not be done, and the folder is as it was.`,
		Example: `  keelmark print archimedes/weigh-twice --class class.csv --to week3
  keelmark print thrust/three-motors --class class.csv --to demo --same --value F='2.50 N'
  keelmark print week3 --only 4F7K-Q2X7
  keelmark print week3 --add newcomers.csv`,
		Args: arguments(cobra.MinimumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(opt.only) > 0 || opt.add != "" {
				if err := onlyNew(cmd); err != nil {
					return err
				}
			}
			var err error
			if opt.settings.Gravity, err = opt.gravity.value(cmd); err != nil {
				return err
			}
			return runPrint(cmd.Context(), std, args, opt)
		},
	}
	f := cmd.Flags()
	f.StringVar(&opt.class, "class", "", "the class list, a .csv or .xlsx file")
	f.StringVar(&opt.to, "to", "", "the folder to make the set in")
	f.StringVar(&opt.seed, "seed", "", "text that decides the draws; the same seed gives the same set (made up when absent)")
	f.BoolVar(&opt.settings.Same, "same", false, "the same numbers for every pupil")
	f.StringArrayVar(&opt.values, "value", nil, "fix a value: NAME='2.5 N' (may be repeated)")
	f.StringVar(&opt.settings.Paper, "paper", "a4", "a4 or letter")
	f.BoolVar(&opt.settings.Large, "large", false, "large print")
	f.BoolVar(&opt.settings.Plain, "plain", false, "no colour at all")
	f.BoolVar(&opt.settings.Forms, "forms", false, "make fill-in PDFs as well, one a pupil")
	f.BoolVar(&opt.settings.CodesOnly, "codes-only", false, "print codes without names; who has which code is written for the teacher apart")
	opt.gravity.add(cmd)
	f.StringArrayVar(&opt.only, "only", nil, "print these sheets of the set again; more codes may follow")
	f.StringVar(&opt.add, "add", "", "add the pupils of this class list to the set")
	f.BoolVar(&opt.quiet, "quiet", false, "no progress and no closing line")
	f.BoolVar(&opt.json, "json", false, "print a summary as JSON")
	return cmd
}

// onlyNew refuses flags that say how a new set is to be, where sheets are printed for one that is there already.
func onlyNew(cmd *cobra.Command) error {
	for _, name := range []string{"class", "to", "seed", "same", "value", "paper", "large", "plain", "forms", "codes-only", "gravity", "latitude"} {
		if cmd.Flags().Changed(name) {
			return usagef("--%s is for a new set; one that is there already keeps its folder and what it was printed with", name)
		}
	}
	return nil
}

func runPrint(ctx context.Context, std streams, args []string, opt printOptions) error {
	show := newProgress(std.err, opt.quiet)
	var summary *generator.Summary
	var err error
	switch {
	case len(opt.only) > 0 && opt.add != "":
		return usagef("--only and --add do not go together")
	case len(opt.only) > 0:
		summary, err = generator.Reprint(ctx, args[0], append(opt.only, args[1:]...), show.update)
	case len(args) > 1:
		return usagef("one lab or folder at a time: %s", strings.Join(args, ", "))
	case opt.add != "":
		var roster *classset.Roster
		if roster, err = readRoster(std, opt.add); err == nil {
			summary, err = generator.Add(ctx, args[0], roster.Pupils, show.update)
		}
	case opt.class == "" || opt.to == "":
		return usagef("--class FILE and --to DIR are required (keelmark print --help shows examples)")
	default:
		summary, err = printNew(ctx, std, args[0], opt, show)
	}
	show.end()
	if err != nil {
		return err
	}
	return reportPrint(std, summary, opt)
}

func printNew(ctx context.Context, std streams, lab string, opt printOptions, show *progress) (*generator.Summary, error) {
	if opt.settings.Paper != "a4" && opt.settings.Paper != "letter" {
		return nil, usagef("--paper %s: want a4 or letter", opt.settings.Paper)
	}
	fixed := map[string]string{}
	for _, v := range opt.values {
		name, value, ok := strings.Cut(v, "=")
		if !ok {
			return nil, usagef("--value %s: want NAME=value, such as F='2.5 N'", v)
		}
		name = strings.TrimSpace(name)
		if _, twice := fixed[name]; twice {
			return nil, usagef("--value %s: %s has a value already", v, name)
		}
		fixed[name] = strings.TrimSpace(value)
	}
	opt.settings.Fixed = fixed
	l, err := labs.Load(lab)
	if err != nil {
		return nil, err
	}
	roster, err := readRoster(std, opt.class)
	if err != nil {
		return nil, err
	}
	summary, err := generator.Make(ctx, generator.MakeOptions{Lab: l, Roster: roster.Pupils, Seed: opt.seed, Settings: opt.settings,
		Dir: opt.to, Engine: engineVersion, Progress: show.update})
	var misfit *generator.FixedError
	if errors.As(err, &misfit) {
		err = usagef("%w", err)
	}
	return summary, err
}

// readRoster reads a class list and says what was bent to read it.
func readRoster(std streams, file string) (*classset.Roster, error) {
	roster, err := classset.ReadRoster(file)
	if err != nil {
		return nil, err
	}
	for _, note := range roster.Notes {
		fmt.Fprintln(std.err, note)
	}
	return roster, nil
}

type printJSONSummary struct {
	Lab     string            `json:"lab"`
	Dir     string            `json:"dir"`
	Sheets  int               `json:"sheets"`
	Files   []string          `json:"files"`
	Copying *classset.Copying `json:"copying"`
	Notes   []string          `json:"notes"`
}

func reportPrint(std streams, s *generator.Summary, opt printOptions) error {
	for _, note := range s.Notes {
		fmt.Fprintln(std.err, note)
	}
	if opt.json {
		notes := append([]string{}, s.Notes...)
		return printJSON(std.out, printJSONSummary{s.Set.Lab, s.Dir, len(s.Set.Sheets), s.Files, s.Set.Copying, notes})
	}
	if !opt.quiet {
		printSummary(std.out, s)
	}
	return nil
}

func printSummary(w io.Writer, s *generator.Summary) {
	sheets := fmt.Sprintf("%d sheets", len(s.Set.Sheets))
	switch {
	case s.Made < len(s.Set.Sheets):
		sheets = fmt.Sprintf("%d of %s", s.Made, sheets)
	case s.Made == 1:
		sheets = "1 sheet"
	}
	fmt.Fprintf(w, "%s: %s in %s (%s)\n", s.Set.Lab, sheets, s.Dir, strings.Join(s.Files, ", "))
	if c := s.Set.Copying; c != nil && len(s.Set.Sheets) > 1 {
		fmt.Fprintf(w, "copying: of a neighbour's numbers %.2f would be right on average, at worst %d\n", c.Mean, c.Worst)
	}
}
