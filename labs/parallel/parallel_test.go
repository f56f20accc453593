package parallel

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"sync/atomic"
	"testing"
)

func TestEachDoesAll(t *testing.T) {
	done := make([]bool, 1000)
	if err := Each(context.Background(), len(done), func(i int) error { done[i] = true; return nil }); err != nil || slices.Contains(done, false) {
		t.Errorf("%v, or not all was done", err)
	}
	if err := Each(context.Background(), 0, nil); err != nil {
		t.Error(err)
	}
}

// Work is taken in order, so the least number that fails has run whatever fails after it.
func TestEachTellsTheLeastError(t *testing.T) {
	for range 100 {
		err := Each(context.Background(), 100, func(i int) error {
			if i >= 7 {
				return fmt.Errorf("%d", i)
			}
			return nil
		})
		if err == nil || err.Error() != "7" {
			t.Fatalf("got %v, want 7", err)
		}
	}
}

// Once told to stop, no core begins more than the work it was about to begin.
func TestEachStopsWhenCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	var begun, late atomic.Int64
	err := Each(ctx, 1_000_000, func(int) error {
		if ctx.Err() != nil {
			late.Add(1)
		}
		if begun.Add(1) == 10 {
			cancel()
		}
		return nil
	})
	if cores := int64(runtime.GOMAXPROCS(0)); !errors.Is(err, context.Canceled) || late.Load() > cores {
		t.Errorf("%v, and %d begun after the end on %d cores", err, late.Load(), cores)
	}
}

func TestEachStopsWhenOneFails(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1)) // with more, others begin what they will until the failure is known
	begun := 0
	err := Each(context.Background(), 1000, func(i int) error {
		if begun++; i == 9 {
			return io.ErrUnexpectedEOF
		}
		return nil
	})
	if !errors.Is(err, io.ErrUnexpectedEOF) || begun != 10 {
		t.Errorf("%v after %d, want 10", err, begun)
	}
}
