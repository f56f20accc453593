package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"keelmark/generator"
	"keelmark/labs"
	"keelmark/labs/parallel"
)

// maxDraws bounds the draws that are held at once, to be compared.
const maxDraws = 10_000

type checkOptions struct {
	draws int
	json  bool
}

func newCheck(std streams) *cobra.Command {
	var opt checkOptions
	cmd := &cobra.Command{
		Use:   "check [LAB or FILE]...",
		Short: "Check templates: dimensions, drawability, solvability, mistakes that collide",
		Long: `Reads each template, draws it many times, lays out sheets, and says what would go wrong in class: a line a lab with the
smallest margins found, and every fault as file:line:col: message. Without arguments it checks all labs built in.

Exit codes: 0 no fault; 1 a check failed; 2 wrong use; 3 a file could not be read.`,
		Example: `  keelmark check
  keelmark check my-lab.md --draws 2000`,
		RunE: func(_ *cobra.Command, args []string) error {
			if opt.draws < 1 || opt.draws > maxDraws {
				return usagef("--draws %d: want 1 to %d", opt.draws, maxDraws)
			}
			if len(args) == 0 {
				args = labs.Names()
			}
			return runCheck(std.out, args, opt)
		},
	}
	cmd.Flags().IntVar(&opt.draws, "draws", generator.CheckDraws, "how many draws to make of each lab")
	cmd.Flags().BoolVar(&opt.json, "json", false, "print JSON")
	return cmd
}

// checked is the outcome for one template: err where it could not be read at all.
type checked struct {
	result generator.CheckResult
	err    error
}

func runCheck(w io.Writer, names []string, opt checkOptions) error {
	outcomes := make([]checked, len(names))
	// checkOne keeps what fails in its outcome, so nothing fails here.
	_ = parallel.Each(context.Background(), len(names), func(i int) error {
		outcomes[i] = checkOne(names[i], opt.draws)
		return nil
	})

	var failed error
	var unread []error
	results := []checkJSON{}
	for _, o := range outcomes {
		if o.err != nil {
			unread = append(unread, o.err)
			continue
		}
		if len(o.result.Faults) > 0 {
			failed = errLook
		}
		if opt.json {
			results = append(results, inJSON(o.result))
			continue
		}
		fmt.Fprintln(w, o.result)
		for _, note := range o.result.Notes {
			fmt.Fprintf(w, "  note: %s\n", note)
		}
		if len(o.result.Faults) > 0 {
			fmt.Fprintln(w, o.result.Faults)
		}
	}
	if opt.json {
		if err := printJSON(w, results); err != nil {
			return err
		}
	}
	if len(unread) > 0 {
		return errors.Join(unread...)
	}
	return failed
}

// checkOne reads and draws one template. Faults that reading finds are a result like any other.
func checkOne(name string, draws int) checked {
	l, err := labs.Load(name)
	var faults labs.Errors
	if errors.As(err, &faults) {
		return checked{result: generator.CheckResult{Lab: name, Faults: faults}}
	}
	if err != nil {
		return checked{err: err}
	}
	return checked{result: generator.Check(l, draws)}
}

// checkJSON is a result with its faults as other programs like them.
type checkJSON struct {
	generator.CheckResult
	Faults []faultJSON `json:"faults"`
}

type faultJSON struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Col     int    `json:"col"`
	Message string `json:"message"`
}

func inJSON(r generator.CheckResult) checkJSON {
	j := checkJSON{CheckResult: r, Faults: []faultJSON{}}
	for _, f := range r.Faults {
		j.Faults = append(j.Faults, faultJSON{f.File, f.Line, f.Col, f.Err.Error()})
	}
	return j
}
