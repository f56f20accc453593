package generator

import (
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

// folder is the folder of a set while it is being made. Files are written to a stage inside it, which a killed run may
// leave behind and the next one sweeps up, and moved into place together when all are whole.
type folder struct {
	dir, stage string
	made       bool // by us
	release    func()

	mu    sync.Mutex
	names map[string]bool // staged
}

// openFolder makes the folder if need be, takes its lock and opens a stage in it.
func openFolder(dir string) (f *folder, err error) {
	f = &folder{dir: dir, names: map[string]bool{}}
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		f.made = true
	}
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
	if f.stage, err = os.MkdirTemp(dir, ".stage.*.part"); err != nil {
		f.close()
		return nil, fmt.Errorf("cannot write to the folder of the set: %w", err)
	}
	return f, nil
}

// close removes the stage with what was not committed, and a folder that was made for nothing.
func (f *folder) close() {
	if f.stage != "" {
		os.RemoveAll(f.stage)
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
	path := filepath.Join(f.stage, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return "", err
	}
	f.mu.Lock()
	f.names[name] = true
	f.mu.Unlock()
	return path, nil
}

// exists tells whether a file is in the folder already.
func (f *folder) exists(name string) bool {
	_, err := os.Lstat(filepath.Join(f.dir, name))
	return err == nil
}

// free gives name, or name with the first number that makes it one no file has: answers.csv, answers-2.csv.
func (f *folder) free(name string) string {
	ext := filepath.Ext(name)
	base := strings.TrimSuffix(name, ext)
	for k := 2; f.exists(name); k++ {
		name = fmt.Sprintf("%s-%d%s", base, k, ext)
	}
	return name
}

// commit moves the staged files of names into place, in that order.
func (f *folder) commit(names []string) error {
	for _, name := range names {
		to := filepath.Join(f.dir, name)
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			return err
		}
		if err := os.Rename(filepath.Join(f.stage, name), to); err != nil {
			return fmt.Errorf("cannot put %s into place: %w", to, err)
		}
	}
	return nil
}
