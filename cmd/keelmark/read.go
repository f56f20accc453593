package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"keelmark/labs/quantity"
)

type readOptions struct {
	as   string
	json bool
}

func newRead(std streams) *cobra.Command {
	var opt readOptions
	cmd := &cobra.Command{
		Use:   "read --as UNIT -- ANSWER",
		Short: "Show how an answer would be read, and why",
		Long: `Shows every reading of an answer as a pupil might write it, where UNIT is asked for (--as 1 for a bare number).
Exit code 0 when there is one reading, 1 when it is ambiguous, blank or cannot be read.`,
		Example: `  keelmark read --as N -- '0,91N'
  keelmark read --as g/cm^3 --json -- '2,7 g/cc'`,
		Args: arguments(func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return errors.New("want one answer; put one with spaces in quotes, '0.91 N'")
			}
			return nil
		}),
		RunE: func(_ *cobra.Command, args []string) error { return runRead(std.out, args[0], opt) },
	}
	cmd.SetFlagErrorFunc(flagFaults("; an answer that begins with a minus sign goes after --"))
	cmd.Flags().StringVar(&opt.as, "as", "", "the unit asked for, such as N, cm^3 or 1 (required)")
	cmd.Flags().BoolVar(&opt.json, "json", false, "print JSON")
	return cmd
}

// readingJSON is one reading in the unit asked for; sf is null where the answer is exact.
type readingJSON struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
	SF    *[2]int `json:"sf"`
	Note  string  `json:"note"`
}

type outcomeJSON struct {
	Readings []readingJSON `json:"readings"`
	Verdict  string        `json:"verdict"`
	Why      string        `json:"why"`
}

// unitFlag reads the unit that a flag gives: as formulas write it, or else in any way of writing that leaves no doubt. The
// error is one of wrong use.
func unitFlag(flag, text string) (quantity.Unit, error) {
	unit, err := quantity.ParseUnit(text)
	if err == nil {
		return unit, nil
	}
	if written := quantity.ReadUnit(text); len(written) == 1 && written[0].Note == "" {
		return written[0].Unit, nil
	}
	return quantity.Unit{}, usagef("--%s %s: %w", flag, text, err)
}

func runRead(w io.Writer, answer string, opt readOptions) error {
	if opt.as == "" {
		return usagef("--as UNIT is required: --as N, --as cm^3, or --as 1 for a bare number")
	}
	unit, err := unitFlag("as", opt.as)
	if err != nil {
		return err
	}
	outcome := quantity.ReadAs(answer, unit)
	report := outcomeJSON{Readings: []readingJSON{}, Verdict: outcome.Verdict, Why: outcome.Why}
	if strings.TrimSpace(answer) == "" {
		report.Why = "nothing is written: marked as blank"
	}
	for _, r := range outcome.Readings {
		j := readingJSON{Value: unit.From(r.SI(unit)), Unit: opt.as, Note: note(r)}
		if !r.HasUnit || r.Unit == unit {
			j.Value = r.Number // as written: no rounding by way of SI
		}
		if r.High > 0 {
			j.SF = &[2]int{r.Low, r.High}
		}
		report.Readings = append(report.Readings, j)
	}
	if opt.json {
		err = printJSON(w, report)
	} else {
		err = printOutcome(w, report)
	}
	if err == nil && outcome.Verdict != "ok" {
		err = errLook
	}
	return err
}

// note says how an answer was read, and what was set aside.
func note(r quantity.Reading) string {
	var parts []string
	if r.Note != "" {
		parts = append(parts, r.Note)
	}
	if r.Direction != "" {
		parts = append(parts, "direction "+r.Direction)
	}
	if r.Uncertainty != 0 {
		parts = append(parts, fmt.Sprintf("stated to ± %.4g", r.Uncertainty))
	}
	return strings.Join(parts, "; ")
}

func printOutcome(w io.Writer, o outcomeJSON) error {
	for _, r := range o.Readings {
		figures := "exact"
		if r.SF != nil {
			switch {
			case r.SF[0] != r.SF[1]:
				figures = fmt.Sprintf("%d to %d significant figures", r.SF[0], r.SF[1])
			case r.SF[0] == 1:
				figures = "1 significant figure"
			default:
				figures = fmt.Sprintf("%d significant figures", r.SF[0])
			}
		}
		if r.Note != "" {
			figures += "; " + r.Note
		}
		fmt.Fprintf(w, "%s   (%s)\n", amountText(r.Value, writtenFigures, r.Unit), figures)
	}
	line := o.Verdict
	if o.Why != "" {
		line += ": " + o.Why
	}
	_, err := fmt.Fprintln(w, line)
	return err
}
