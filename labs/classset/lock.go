package classset

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

const lockFile = ".keelmark.lock"

// LockedError tells that another run is writing to the set.
type LockedError struct {
	Path   string
	Holder string // "process 4711 on bench-pc since 14:02:11"
}

func (e *LockedError) Error() string {
	holder := e.Holder
	if holder == "" {
		holder = "another process"
	}
	return fmt.Sprintf("%s: %s is writing to this set; wait for it to end", e.Path, holder)
}

// Lock takes the lock for writing to the set in dir, a folder that exists. When another run holds it the error is
// *LockedError and says who. The system drops the lock of a killed run, so no lock goes stale.
func Lock(dir string) (release func(), err error) {
	path := filepath.Join(dir, lockFile)
	for {
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
		switch {
		case err != nil && isFile(dir):
			return nil, fmt.Errorf("%s is a file: the folder of a class set goes first, files of answers after it", dir)
		case errors.Is(err, fs.ErrNotExist):
			return nil, fmt.Errorf("%s: there is no such folder, so no class set", dir)
		case err != nil:
			return nil, fmt.Errorf("cannot lock the set: %w", err)
		}
		held, err := tryLock(f)
		if err != nil {
			f.Close()
			return nil, fmt.Errorf("cannot lock %s: %w", path, err)
		}
		if held {
			holder, _ := io.ReadAll(io.LimitReader(f, 200))
			f.Close()
			return nil, &LockedError{Path: path, Holder: strings.TrimSpace(string(holder))}
		}
		// The holder before us removed the file on release: what we locked may be gone from the folder.
		if !stillThere(f, path) {
			f.Close()
			continue
		}
		host, _ := os.Hostname()
		text := fmt.Sprintf("process %d on %s since %s\n", os.Getpid(), host, time.Now().Format(time.TimeOnly))
		if err := f.Truncate(0); err == nil {
			_, _ = f.WriteAt([]byte(text), 0) // only a courtesy to the next who comes
		}
		return func() {
			os.Remove(path)
			f.Close()
		}, nil
	}
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.IsDir()
}

func stillThere(f *os.File, path string) bool {
	ours, err := f.Stat()
	if err != nil {
		return false
	}
	there, err := os.Stat(path)
	return err == nil && os.SameFile(ours, there)
}
