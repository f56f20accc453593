package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
)

// The exit codes, as every command's help lists them.
const (
	exitDone   = 0
	exitLook   = 1 // done, and something needs a look; or a check failed
	exitUsage  = 2
	exitFailed = 3
)

// streams are the standard streams of one run, so that tests can bring their own.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// A usageError is wrong use of the command line.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func usagef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// errLook ends a run that did its work and found something a person should see; what that is has been said already.
var errLook = errors.New("something needs a look")

// run runs the program and returns its exit code. It is the one place where errors become exit codes.
func run(ctx context.Context, args []string, std streams) int {
	std.out, std.err = plainWriter{std.out}, plainWriter{std.err}
	root := newRoot(std)
	root.SetArgs(args)
	root.SetIn(std.in)
	root.SetOut(std.out)
	root.SetErr(std.err)
	err := root.ExecuteContext(ctx)
	var usage usageError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errLook):
		return exitLook
	case errors.As(err, &usage):
		fmt.Fprintf(std.err, "keelmark: %v\n", err)
		return exitUsage
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(std.err, "keelmark: interrupted; what was there before is as it was, and the same command does it all again")
		return exitFailed
	default:
		if path, ok := err.(*fs.PathError); ok { // the system's own words for it are of no use to anybody
			err = fmt.Errorf("%s: %w", path.Path, path.Err)
		}
		fmt.Fprintf(std.err, "keelmark: %v\n", err)
		return exitFailed
	}
}

func newRoot(std streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "keelmark",
		Short: "Lab sheets with numbers of each pupil's own, and fair marking of what comes back",
		Long: `keelmark prints lab sheets on buoyancy, balance, circuits and thrust for a class, every pupil with numbers of
their own, and marks the answers: right for what the pupil measured and worked out, with the cause of a slip named.
It is offline; nothing leaves this machine.

Exit codes: 0 done; 1 done and something needs a look, or a check failed; 2 wrong use; 3 could not be done.`,
		Example: `  keelmark demo
  keelmark print archimedes/weigh-twice --class class.csv --to week3
  keelmark mark week3 answers.csv`,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			hint := ""
			if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
				hint = fmt.Sprintf("; did you mean %s?", near[0])
			}
			return usagef("there is no command %q%s (keelmark --help lists them)", args[0], hint)
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SuggestionsMinimumDistance = 2
	root.SetFlagErrorFunc(flagFaults(""))
	root.AddCommand(commands(std)...)
	return root
}

// flagFaults makes the fault of a flag wrong use, with where to find the flags as the remedy; more goes after that.
func flagFaults(more string) func(*cobra.Command, error) error {
	return func(cmd *cobra.Command, err error) error {
		return usagef("%w (%s --help shows the flags%s)", flagFault(err), cmd.CommandPath(), more)
	}
}

// flagFault says of a flag that wants a number what it wants, in place of what the library says.
func flagFault(err error) error {
	var number *strconv.NumError
	if errors.As(err, &number) {
		text, _, _ := strings.Cut(err.Error(), ": strconv.")
		return fmt.Errorf("%s: want a number such as 5 or, where it may have decimals, 9.81", text)
	}
	return err
}

// arguments wraps a cobra rule so that breaking it is wrong use, with the usage line as the remedy.
func arguments(rule cobra.PositionalArgs) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if err := rule(cmd, args); err != nil {
			return usagef("%w\nusage: %s", err, cmd.UseLine())
		}
		return nil
	}
}

// printJSON writes v as one indented JSON document.
func printJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}
