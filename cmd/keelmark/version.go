package main

import (
	_ "embed"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

// licences has a line for every module that may be built in: its path, its licence, and what it is for.
//
//go:embed licences.txt
var licences string

type versionOptions struct{ licences, json bool }

func newVersion(std streams) *cobra.Command {
	var opt versionOptions
	cmd := &cobra.Command{
		Use:     "version",
		Short:   "Version, and the licences of what is built in",
		Example: "  keelmark version --licences",
		Args:    arguments(cobra.NoArgs),
		RunE:    func(*cobra.Command, []string) error { return runVersion(std.out, opt) },
	}
	cmd.Flags().BoolVar(&opt.licences, "licences", false, "list every module built in with its licence")
	cmd.Flags().BoolVar(&opt.json, "json", false, "print JSON")
	return cmd
}

type moduleJSON struct {
	Module  string `json:"module"`
	Version string `json:"version"`
	Licence string `json:"licence"`
}

type versionJSON struct {
	Version string       `json:"version"`
	Go      string       `json:"go"`
	Licence string       `json:"licence"`
	Modules []moduleJSON `json:"modules,omitempty"`
}

func runVersion(w io.Writer, opt versionOptions) error {
	v := versionJSON{Version: engineVersion, Go: runtime.Version(), Licence: "Apache-2.0"}
	if opt.licences || opt.json {
		v.Modules = builtIn()
	}
	if opt.json {
		return printJSON(w, v)
	}
	fmt.Fprintf(w, "%s (%s), %s\n", v.Version, v.Go, v.Licence)
	for _, m := range v.Modules {
		fmt.Fprintf(w, "%-45s %-20s %s\n", m.Module, m.Version, m.Licence)
	}
	return nil
}

// builtIn lists the modules this binary was built with. A module without a known licence says so; a test keeps that from happening.
func builtIn() []moduleJSON {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return nil
	}
	known := map[string]string{}
	for line := range strings.Lines(licences) {
		if fields := strings.Fields(line); len(fields) >= 2 && fields[0] != "#" {
			known[fields[0]] = fields[1]
		}
	}
	var list []moduleJSON
	for _, dep := range info.Deps {
		licence := known[dep.Path]
		if licence == "" {
			licence = "unknown"
		}
		list = append(list, moduleJSON{dep.Path, dep.Version, licence})
	}
	return list
}

// engineVersion names this program in set.json, so that a set tells what made it.
const engineVersion = "keelmark 1.0"
