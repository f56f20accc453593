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
	"strconv"
	"strings"

	"keelmark/labs"
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

// FileError is a fault in a file, with its place where that is known.
type FileError struct {
	Path      string
	Line, Col int // from 1; 0: not known
	Err       error
}

func (e *FileError) Error() string {
	place := e.Path
	for _, n := range []int{e.Line, e.Col} {
		if n > 0 {
			place += ":" + strconv.Itoa(n)
		}
	}
	return place + ": " + e.Err.Error()
}

func (e *FileError) Unwrap() error { return e.Err }

// fault is a FileError of a line, 0 for the file as a whole.
func fault(path string, line int, format string, args ...any) error {
	return &FileError{Path: path, Line: line, Err: fmt.Errorf(format, args...)}
}

// ReadFile is labs.ReadFile with a *FileError for its error, which wraps fs.ErrNotExist where there is no such file.
func ReadFile(path string, limit int64) ([]byte, error) {
	data, err := labs.ReadFile(path, limit)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fault(path, 0, "not there: %w", fs.ErrNotExist)
	case err != nil:
		return nil, fault(path, 0, "cannot be read: %w", Cause(err))
	}
	return data, nil
}

// Cause is the plain part of an error about a path, or about two, that is named anyway.
func Cause(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}
