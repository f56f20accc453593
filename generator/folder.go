package generator

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"keelmark/labs/classset"
)

// folder is the folder of a set while it is being made. Files are made on a stage inside it, and moved into place together
// when all are whole.
type folder struct {
	dir     string
	stage   *classset.Stage
	made    bool // by us
	release func()

	mu    sync.Mutex
	names map[string]bool // staged
}

// openFolder makes the folder if need be, takes its lock and opens a stage in it.
func openFolder(dir string) (f *folder, err error) {
	f = &folder{dir: dir, names: map[string]bool{}}
	there, err := os.Stat(dir)
	if err == nil && !there.IsDir() {
		return nil, fmt.Errorf("%s is a file; choose another folder for --to", dir)
	}
	f.made = errors.Is(err, fs.ErrNotExist)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("cannot make the folder of the set: %w", err)
	}
	if f.release, err = classset.Lock(dir); err != nil {
		f.close()
		return nil, err
	}
	if err := classset.Sweep(dir); err != nil {
		f.close()
		return nil, err
	}
	if f.stage, err = classset.NewStage(dir); err != nil {
		f.close()
		return nil, err
	}
	return f, nil
}

// close removes the stage with what was not committed, and a folder that was made for nothing.
func (f *folder) close() {
	if f.stage != nil {
		f.stage.Close()
	}
	if f.release != nil {
		f.release()
	}
	if f.made {
		os.Remove(f.dir) // fails, as it should, when anything is in it
	}
}

// create stages a file; name may have a folder before it.
func (f *folder) create(name string, write func(io.Writer) error) error {
	path, err := f.path(name)
	if err != nil {
		return err
	}
	return classset.WriteTo(path, write)
}

// write stages a file of data.
func (f *folder) write(name string, data []byte) error {
	return f.create(name, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// table stages a CSV file.
func (f *folder) table(name string, rows [][]string) error {
	path, err := f.path(name)
	if err != nil {
		return err
	}
	return classset.WriteTable(path, rows)
}

// path is where a file is staged.
func (f *folder) path(name string) (string, error) {
	f.mu.Lock()
	f.names[name] = true
	f.mu.Unlock()
	return f.stage.Path(name)
}

// exists tells whether a file is in the folder already.
func (f *folder) exists(name string) bool {
	_, err := os.Lstat(filepath.Join(f.dir, name))
	return err == nil
}

// beside renames a staged file where the folder holds another file of that name: sheets-added-2.pdf, with the first number
// that is free. A file there with the same bytes is what a run that was cut short left, and is written over.
func (f *folder) beside(name string) error {
	staged, err := os.ReadFile(filepath.Join(f.stage.Dir(), name))
	if err != nil {
		return err
	}
	ext := filepath.Ext(name)
	to := name
	for k := 2; ; k++ {
		there, err := os.ReadFile(filepath.Join(f.dir, to))
		if errors.Is(err, fs.ErrNotExist) || err == nil && bytes.Equal(there, staged) {
			break
		}
		if err != nil {
			return err
		}
		to = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), k, ext)
	}
	delete(f.names, name)
	f.names[to] = true
	return os.Rename(filepath.Join(f.stage.Dir(), name), filepath.Join(f.stage.Dir(), to))
}
