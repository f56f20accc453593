package main

import (
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"
)

// starter is the template that `keelmark new` writes; a test checks that it passes `keelmark check`.
//
//go:embed new.md
var starter []byte

func newNew(std streams) *cobra.Command {
	return &cobra.Command{
		Use:     "new FILE",
		Short:   "Write a small commented template to start from",
		Example: "  keelmark new anchor-stone.md && keelmark check anchor-stone.md",
		Args:    arguments(cobra.ExactArgs(1)),
		RunE: func(_ *cobra.Command, args []string) error {
			file := args[0]
			if filepath.Ext(file) != ".md" {
				return usagef("%s: a template is a Markdown file; end its name in .md", file)
			}
			f, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
			if errors.Is(err, fs.ErrExist) {
				return fmt.Errorf("%s is there already and was left alone; choose another name", file)
			}
			if errors.Is(err, fs.ErrNotExist) {
				return fmt.Errorf("%s: there is no folder %s; make it first, or choose another", file, filepath.Dir(file))
			}
			if err != nil {
				return err
			}
			_, err = f.Write(starter)
			if err = errors.Join(err, f.Close()); err != nil {
				return err
			}
			fmt.Fprintf(std.err, "%s written; next: keelmark check %s\n", file, file)
			return nil
		},
	}
}
