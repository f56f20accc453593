package classset

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// partSuffix marks files being written. One left behind by a killed run is swept up by the next.
const partSuffix = ".part"

// WriteFile writes a file whole or not at all: beside the target, synced, renamed.
func WriteFile(path string, data []byte) error {
	return WriteTo(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// WriteTo is WriteFile for content that is written as it is made. When write fails, what was there before stays.
func WriteTo(path string, write func(io.Writer) error) (err error) {
	dir, base := filepath.Split(path)
	f, err := os.CreateTemp(filepath.Clean(dir+"."), "."+base+".*"+partSuffix)
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", path, err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
			err = fmt.Errorf("cannot write %s: %w", path, err)
		}
	}()
	out := bufio.NewWriterSize(f, 1<<16)
	if err = write(out); err != nil {
		return err
	}
	if err = out.Flush(); err != nil {
		return err
	}
	mode := fs.FileMode(0o644)
	if old, err := os.Stat(path); err == nil {
		mode = old.Mode().Perm()
	}
	if err = f.Chmod(mode); err != nil {
		return err
	}
	if err = f.Sync(); err != nil {
		return err
	}
	if err = f.Close(); err != nil {
		return err
	}
	if err = os.Rename(f.Name(), path); err != nil {
		return err
	}
	return syncDir(filepath.Clean(dir + "."))
}

// syncDir makes a rename in dir last. Windows has no such call, and some network folders refuse it.
func syncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) {
		return err
	}
	return nil
}

// Sweep removes from dir what a killed run left half-written. Call it while holding the lock.
func Sweep(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") && strings.HasSuffix(e.Name(), partSuffix) {
			if err := os.RemoveAll(filepath.Join(dir, e.Name())); err != nil {
				return err
			}
		}
	}
	return nil
}

// readBounded reads a regular file of at most limit bytes.
func readBounded(path string, limit int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return nil, fmt.Errorf("%s: is a folder, want a file", path)
	}
	if info.Size() > limit {
		return nil, fmt.Errorf("%s: %d MB is too large; at most %d MB are read", path, info.Size()>>20, limit>>20)
	}
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("%s: too large; at most %d MB are read", path, limit>>20)
	}
	return data, nil
}
