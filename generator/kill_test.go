package generator

import (
	"context"
	"flag"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"keelmark/labs/classset"
)

var kills = flag.Int("kills", 5, "how often TestKilled kills a run")

// TestKilled kills runs at random moments (kill -9 leaves no chance to tidy up): what was there stays, what is new is whole
// or absent, and the next run completes and sweeps up.
func TestKilled(t *testing.T) {
	if dir := os.Getenv("KEELMARK_TEST_KILLED"); dir != "" {
		if _, err := Make(context.Background(), MakeOptions{Lab: parseLab(t, basin), Roster: crew(30), Seed: "lock 7", Dir: dir, Made: made}); err != nil {
			t.Fatal(err)
		}
		return
	}
	want := contents(t, makeSet(t, parseLab(t, basin), func(o *MakeOptions) { o.Roster, o.Engine = crew(30), "" }).Dir)
	dir := filepath.Join(t.TempDir(), "set")
	os.Mkdir(dir, 0o755)
	os.WriteFile(filepath.Join(dir, "plan.txt"), []byte("mine"), 0o644)
	run := func(limit time.Duration) error {
		ctx, cancel := context.WithTimeout(context.Background(), limit)
		defer cancel()
		c := exec.CommandContext(ctx, os.Args[0], "-test.run=^TestKilled$")
		c.Env = append(os.Environ(), "KEELMARK_TEST_KILLED="+dir)
		return c.Run()
	}
	for range *kills {
		killed := run(time.Duration(20+rand.IntN(400)) * time.Millisecond)
		files := contents(t, dir)
		if files["plan.txt"] != "mine" {
			t.Fatal("what was there before is gone")
		}
		for name, data := range files {
			visible := !strings.HasPrefix(name, ".") && name != "plan.txt"
			if visible && data != want[name] {
				t.Fatalf("%s is not whole (%v)", name, killed)
			}
		}
		os.Remove(filepath.Join(dir, classset.SetFile)) // so that the next run has all to do again
	}
	if err := run(time.Minute); err != nil {
		t.Fatalf("the run after the kills: %v", err)
	}
	if got := names(contents(t, dir)); got != "answers.csv answers.xlsx key.pdf lab.md plan.txt set.json sheets.pdf" {
		t.Errorf("files: %s", got)
	}
}
