package classset

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// Stage is a hidden folder in which a run makes its files, to move them into place together once all are whole: a run that
// fails on the way leaves everything as it was. A killed run may leave its stage behind, and [Sweep] removes it.
type Stage struct{ dir, hidden string }

// NewStage opens a stage in dir, a folder that exists. Hold the lock of the set.
func NewStage(dir string) (*Stage, error) {
	hidden, err := os.MkdirTemp(dir, ".stage.*"+partSuffix)
	if err != nil {
		return nil, fmt.Errorf("cannot write to %s: %w", dir, err)
	}
	return &Stage{dir, hidden}, nil
}

// Dir is the stage itself, laid out as the folder it is for.
func (s *Stage) Dir() string { return s.hidden }

// Path is where to make the file called name, relative to the folder; it makes the folders before the name.
func (s *Stage) Path(name string) (string, error) {
	path := filepath.Join(s.hidden, name)
	return path, os.MkdirAll(filepath.Dir(path), 0o755)
}

// Commit moves all files of the stage into place; one called last only when the others are there to stay.
func (s *Stage) Commit(last string) error {
	var names, folders []string
	final := false
	err := filepath.WalkDir(s.hidden, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(s.hidden, path)
		switch {
		case d.IsDir():
			folders = append(folders, name)
		case name == last:
			final = true
		default:
			names = append(names, name)
		}
		return err
	})
	if err != nil {
		return err
	}
	for _, name := range folders { // all of them before any file: making one may fail
		if err := os.MkdirAll(filepath.Join(s.dir, name), 0o755); err != nil {
			return err
		}
	}
	for _, name := range names {
		if err := s.move(name); err != nil {
			return err
		}
	}
	for _, name := range slices.Backward(folders) {
		if err := syncDir(filepath.Join(s.dir, name)); err != nil {
			return err
		}
	}
	if !final {
		return nil
	}
	if err := s.move(last); err != nil {
		return err
	}
	return syncDir(filepath.Dir(filepath.Join(s.dir, last)))
}

// move puts one file into place, with the permissions of the file it takes the place of.
func (s *Stage) move(name string) error {
	from, to := filepath.Join(s.hidden, name), filepath.Join(s.dir, name)
	if old, err := os.Stat(to); err == nil {
		if err := os.Chmod(from, old.Mode().Perm()); err != nil {
			return err
		}
	}
	if err := os.Rename(from, to); err != nil {
		return fmt.Errorf("cannot put %s into place: %w; close it where another program has it open, and run the command again", to, Cause(err))
	}
	return nil
}

// Close removes the stage with whatever was not committed.
func (s *Stage) Close() { os.RemoveAll(s.hidden) }
