package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// ofNetworks reports whether a package is there to talk to other machines.
func ofNetworks(path string) bool {
	switch path {
	case "net/url", "net/netip": // text and numbers
		return false
	}
	return path == "net" || strings.HasPrefix(path, "net/") || path == "crypto/tls"
}

// TestNoNetworkImports: no package of ours, its tests included, imports one that talks to other machines. Some libraries do;
// which, stands here, so that another is noticed. TestNoSocket proves that they do not get to use it.
func TestNoNetworkImports(t *testing.T) {
	files := 0
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".go" {
			return err
		}
		files++
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, spec := range file.Imports {
			if name, err := strconv.Unquote(spec.Path.Value); err != nil || ofNetworks(name) {
				t.Errorf("%s imports %s (%v)", path, name, err)
			}
		}
		return nil
	})
	if err != nil || files < 100 {
		t.Errorf("%d files read: %v", files, err)
	}

	const format = `{{if not .Standard}}{{.ImportPath}} {{join .Imports " "}}{{end}}`
	out, err := exec.Command("go", "list", "-deps", "-f", format, ".").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var libraries []string
	for line := range strings.Lines(string(out)) {
		if names := strings.Fields(line); len(names) > 0 && slices.ContainsFunc(names[1:], ofNetworks) {
			libraries = append(libraries, names[0])
		}
	}
	slices.Sort(libraries)
	want := []string{
		"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/primitives", // pictures by URL in forms that it makes; we only read
		"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/sign",       // certificates of signatures
		"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/validate",   // dead links, when asked to look
		"github.com/spf13/pflag",                         // flags that hold addresses
		"github.com/xuri/excelize/v2",                    // the kind of a picture by its first bytes
	}
	if !slices.Equal(libraries, want) {
		t.Errorf("libraries that import packages of networks:\n%s\nwant\n%s", strings.Join(libraries, "\n"), strings.Join(want, "\n"))
	}
}
