package main

import (
	"debug/buildinfo"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// TestLicencesAreComplete: a program built from here names each module that is linked into it, at its version, and Go's own
// library. The list holds what any system's program has built in, and nothing else.
func TestLicencesAreComplete(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program")
	}
	program := filepath.Join(t.TempDir(), "keelmark.exe")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
	info, err := buildinfo.ReadFile(program)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"std " + runtime.Version()}
	for _, dep := range info.Deps {
		want = append(want, dep.Path+" "+dep.Version)
	}
	out, err := exec.Command(program, "version", "--licences", "--json").Output()
	if err != nil {
		t.Fatal(err)
	}
	var v versionJSON
	if err := json.Unmarshal(out, &v); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range v.Modules {
		got = append(got, m.Module+" "+m.Version)
		if m.Licence == "" || m.Licence == "unknown" {
			t.Errorf("%s: licence %q", m.Module, m.Licence)
		}
	}
	if !slices.Equal(got, want) || len(got) < 20 {
		t.Errorf("named:\n%s\nlinked:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}

	linked := map[string]bool{"std": true}
	for _, system := range []string{"linux", "windows", "darwin"} {
		list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}{{end}}{{end}}", ".")
		list.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
		out, err := list.Output()
		if err != nil {
			t.Fatalf("go list for %s: %v", system, err)
		}
		for _, module := range strings.Fields(string(out)) {
			linked[module] = true
		}
	}
	known := licenceOf()
	for module := range linked {
		if known[module] == "" {
			t.Errorf("licences.txt lacks %s", module)
		}
	}
	for module := range known {
		if !linked[module] {
			t.Errorf("licences.txt has %s, which is not built in", module)
		}
	}
}

// licenceWords are what a licence's text says and no other's.
var licenceWords = map[string]string{
	"Apache-2.0":     "Apache License",
	"BSD-3-Clause":   "Redistribution and use in source and binary forms",
	"Bitstream-Vera": "Bitstream Vera Fonts Copyright",
	"MIT":            "Permission is hereby granted, free of charge, to any person obtaining a copy",
	"MPL-2.0":        "Mozilla Public License Version 2.0",
	"OFL-1.1":        "SIL OPEN FONT LICENSE Version 1.1",
}

// module is what go list says of one.
type module struct {
	Path, Version, Dir, Time string
	Indirect                 bool
}

// modules gives the modules that this one needs, by path, and fails when one cannot be looked at.
func modules(t *testing.T) map[string]module {
	t.Helper()
	data, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	args := []string{"list", "-m", "-json"}
	for _, m := range regexp.MustCompile(`(?m)^\t(\S+) v\S+`).FindAllStringSubmatch(string(data), -1) {
		args = append(args, m[1])
	}
	out, err := exec.Command("go", args...).Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	all := map[string]module{}
	for d := json.NewDecoder(strings.NewReader(string(out))); d.More(); {
		var m module
		if err := d.Decode(&m); err != nil {
			t.Fatal(err)
		}
		all[m.Path] = m
	}
	return all
}

// holdsLicences reports whether the licence files of a module have the words of every licence in the expression.
func holdsLicences(t *testing.T, m module, expression string) bool {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(m.Dir, "LICENSE*"))
	if err != nil || len(files) == 0 {
		t.Errorf("%s: no licence file in %s (%v)", m.Path, m.Dir, err)
	}
	text := ""
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		text += " " + strings.Join(strings.Fields(string(data)), " ")
	}
	for _, licence := range strings.Split(expression, " AND ") {
		if licenceWords[licence] == "" || !strings.Contains(text, licenceWords[licence]) {
			return false
		}
	}
	return true
}

// TestDependenciesAreTold: the table in DEVELOPERS.md holds every module that go.mod requires directly, at its version, with
// the month of its release and its licences, which are those in the module's own files.
func TestDependenciesAreTold(t *testing.T) {
	data, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	type told struct{ version, released, purpose, licence string }
	table := map[string]told{}
	for _, m := range regexp.MustCompile(`(?m)^\| (\S+\.\S+/\S+) \| (v\S+) \| (\S+) \| (.+) \| (.+) \|$`).FindAllStringSubmatch(string(data), -1) {
		table[m[1]] = told{m[2], m[3], m[4], m[5]}
	}
	all, known := modules(t), licenceOf()
	for path, m := range all {
		if licence := known[path]; licence != "" && !holdsLicences(t, m, licence) {
			t.Errorf("%s: its licence files do not say %s", path, licence)
		}
		row, there := table[path]
		switch {
		case m.Indirect:
		case !there:
			t.Errorf("DEVELOPERS.md does not tell of %s", path)
		case row.version != m.Version || !strings.HasPrefix(m.Time, row.released) || len(row.released) != len("2026-01"):
			t.Errorf("DEVELOPERS.md has %s %s of %s; it is %s of %s", path, row.version, row.released, m.Version, m.Time)
		case known[path] != "" && row.licence != known[path], !holdsLicences(t, m, row.licence):
			t.Errorf("DEVELOPERS.md has %s under %s; licences.txt says %q", path, row.licence, known[path])
		}
	}
	for path := range table {
		if m, there := all[path]; !there || m.Indirect {
			t.Errorf("DEVELOPERS.md tells of %s, which go.mod does not require directly", path)
		}
	}
}
