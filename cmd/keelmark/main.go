// Command keelmark prints lab sheets with numbers of each pupil's own and marks the answers. See keelmark --help.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
)

// memory is what the collector tries to stay below, in bytes: a small machine prints and marks thousands of sheets.
const memory = 256 << 20

func main() {
	debug.SetMemoryLimit(memory)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})
	stop()
	os.Exit(code)
}
