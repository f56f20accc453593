package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// killed is what strace leaves of a thread that died, with its process, between stopping and being looked at: the name of no
// call could be read, and none was made. It comes about once in thirty runs.
var killed = regexp.MustCompile(`(?m)^\d+ +\?+\( <detached \.\.\.>\n`)

// TestNoSocket runs the job of an evening where there is no network at all, with every call to the system that has to do
// with networks written down: there must be none.
func TestNoSocket(t *testing.T) {
	program, strace := program(t), tool(t, "strace")
	alone := []string{"--net", strace, "-f", "-qq", "-e", "trace=%network", "-e", "signal=none", "-o"}
	calls := func(args ...string) string {
		t.Helper()
		log := filepath.Join(t.TempDir(), "calls")
		out, err := exec.Command("unshare", append(append(alone, log), args...)...).CombinedOutput()
		data, logErr := os.ReadFile(log)
		if logErr != nil {
			if os.Getenv("CI") == "true" {
				t.Fatalf("no process can be watched, and CI must not skip this check: %v\n%s", err, out)
			}
			t.Skipf("no process can be watched here: %v\n%s", err, out)
		}
		if err != nil && err.(*exec.ExitError).ExitCode() != exitLook {
			t.Fatalf("%s: %v\n%s", strings.Join(args, " "), err, out)
		}
		return killed.ReplaceAllString(string(data), "")
	}
	if got := calls("bash", "-c", "exec 3<>/dev/tcp/127.0.0.1/9 || exit 1"); !strings.Contains(got, "socket(") {
		t.Fatalf("a program that opens a socket is not seen to:\n%s", got)
	}
	dir := filepath.Join(t.TempDir(), "set")
	files, _ := snapshot(t, filepath.Join(golden, "set"))
	restore(t, dir+"-golden", files)
	for _, args := range [][]string{
		{"print", "archimedes/hover", "--class", class(t, 0, 6), "--to", dir, "--forms"},
		{"mark", dir + "-golden", filepath.Join(golden, "answers.csv"), filepath.Join(golden, "filled.pdf"), "--single", "--text", "--oneroster"},
		{"again", dir + "-golden", "--to", dir + "-again"},
		{"record", dir + "-golden", "--to", dir + "-term"},
		{"demo", "--to", dir + "-demo"},
		{"version", "--licences"},
	} {
		if got := calls(append([]string{program}, args...)...); got != "" {
			t.Errorf("keelmark %s:\n%s", args[0], got)
		}
	}
}
