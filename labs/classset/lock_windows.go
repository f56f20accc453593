package classset

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// tryLock locks one byte far beyond the text, so that the holder's line stays readable; held tells that another has it.
func tryLock(f *os.File) (held bool, err error) {
	at := &windows.Overlapped{Offset: 1 << 20}
	err = windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, at)
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return true, nil
	}
	return false, err
}
