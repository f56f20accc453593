package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"
)

// progress shows long work on a terminal as one line that updates; anywhere else it is silent.
type progress struct {
	w     io.Writer // nil: silent
	mu    sync.Mutex
	stage string
	since time.Time // start of the stage
	shown time.Time
	wrote bool
}

// newProgress writes to w where that is a terminal and quiet is not asked for.
func newProgress(w io.Writer, quiet bool) *progress {
	p := &progress{}
	if plain, ok := w.(plainWriter); ok {
		w = plain.w // the line is cleared by a control sequence
	}
	if f, ok := w.(*os.File); ok && !quiet && term.IsTerminal(int(f.Fd())) {
		p.w = w
	}
	return p
}

// update tells how much of a stage is done. It may be called from several goroutines.
func (p *progress) update(stage string, done, total int) {
	if p.w == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	now := time.Now()
	if stage != p.stage {
		p.stage, p.since = stage, now
	}
	if now.Sub(p.shown) < 100*time.Millisecond && done < total {
		return
	}
	p.shown, p.wrote = now, true
	line := fmt.Sprintf("%s %d of %d", stage, done, total)
	if spent := now.Sub(p.since); done > 0 && done < total && spent > time.Second/2 {
		rate := float64(done) / spent.Seconds()
		left := time.Duration(float64(total-done) / rate * float64(time.Second))
		line += fmt.Sprintf(", %.0f a second, %s left", rate, left.Round(time.Second))
	}
	fmt.Fprintf(p.w, "\r\033[K%s", line)
}

// end clears the line.
func (p *progress) end() {
	if p.wrote {
		fmt.Fprint(p.w, "\r\033[K")
	}
}
