package parallel

import (
	"context"
	"errors"
	"fmt"
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

func TestEachStops(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	var ran atomic.Int64
	err := Each(ctx, 1_000_000, func(int) error {
		if ran.Add(1) == 10 {
			stop()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) || ran.Load() > 1000 {
		t.Errorf("%v after %d of a million", err, ran.Load())
	}
}
