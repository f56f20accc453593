package main

import (
	"os"
	"syscall"
)

// peak is the most memory a process held, in bytes.
func peak(p *os.ProcessState) int64 {
	if r, ok := p.SysUsage().(*syscall.Rusage); ok {
		return r.Maxrss << 10 // Linux counts in KiB
	}
	return 0
}
