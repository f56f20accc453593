// Package parallel spreads work over the processor's cores. Results and errors do not hang on how many there are.
package parallel

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// Each runs work for 0..n-1 on every core and stops early once one fails or ctx is done. It gives the error of the least
// number that failed.
func Each(ctx context.Context, n int, work func(i int) error) error {
	errs := make([]error, n)
	var next atomic.Int64
	var failed atomic.Bool
	var wg sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for !failed.Load() && ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n { // below n it is run whatever fails meanwhile: it may be the least
					return
				}
				if errs[i] = work(i); errs[i] != nil {
					failed.Store(true)
				}
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return ctx.Err()
}

// Do runs tasks as [Each] does.
func Do(ctx context.Context, tasks []func() error) error {
	return Each(ctx, len(tasks), func(i int) error { return tasks[i]() })
}
