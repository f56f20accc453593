package main

import (
	"cmp"
	_ "embed"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

// licences has a line for every module that may be built in: its path, its licences, and after a # what it is for.
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
		fmt.Fprintf(w, "%-36s %-42s %s\n", m.Module, m.Version, m.Licence)
	}
	return nil
}

// builtIn lists the modules this binary was built with, and Go's own library. A module without a known licence says so; a
// test keeps that from happening.
func builtIn() []moduleJSON {
	known := licenceOf()
	list := []moduleJSON{{"std", runtime.Version(), known["std"]}}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return list
	}
	for _, dep := range info.Deps {
		list = append(list, moduleJSON{dep.Path, dep.Version, cmp.Or(known[dep.Path], "unknown")})
	}
	return list
}

// licenceOf reads the list of licences: an SPDX expression by module.
func licenceOf() map[string]string {
	known := map[string]string{}
	for line := range strings.Lines(licences) {
		entry, _, _ := strings.Cut(line, "#")
		if module, licence, ok := strings.Cut(strings.TrimSpace(entry), " "); ok {
			known[module] = strings.TrimSpace(licence)
		}
	}
	return known
}

// engineVersion names this program in set.json, so that a set tells what made it.
const engineVersion = "keelmark 1.0"
