package report

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"keelmark/grader"
	"keelmark/labs/classset"
	"keelmark/labs/parallel"
)

// Options say what is written beside feedback.pdf, report.pdf and marks.xlsx.
type Options struct {
	Single    bool                  // a PDF of feedback for each pupil, named by the sheet's code
	Text      bool                  // the same as text, for a message
	OneRoster bool                  // the tables of the open standard, to hand on to a school's own program
	Scored    time.Time             // the day of the results in these tables; zero: the day the set was made
	Sample    int                   // sheets for a second marker; 0: none
	Progress  func(done, total int) // files; it may be called from several goroutines
	Note      func(note string)     // told of what could not be set as it was written, once, when all is done
}

// FeedbackDir is the folder of single files, in the folder of what was marked.
const FeedbackDir = "feedback"

// Write writes all that goes with a marking into DIR/marked, on every core. Every file appears whole or not at all.
func Write(ctx context.Context, dir string, r *grader.Result, o Options) error {
	marked := filepath.Join(dir, classset.MarkedDir)
	f, err := newFeedback(r)
	if err != nil {
		return err
	}
	var tasks []func() error
	add := func(name string, write func(io.Writer) error) {
		tasks = append(tasks, func() error { return classset.WriteTo(filepath.Join(marked, name), write) })
	}
	pictures := sync.OnceValues(func() ([]*Picture, error) { return Stats(r) }) // worked out once, by whichever of the two comes first
	with := func(write func(io.Writer, *grader.Result, []*Picture) error) func(io.Writer) error {
		return func(w io.Writer) error {
			p, err := pictures()
			if err != nil {
				return err
			}
			return write(w, r, p)
		}
	}
	add("marks.xlsx", with(Workbook))
	add("report.pdf", with(Class))
	f.files(r.Marking.Sheets, add)
	if o.Single || o.Text {
		if err := os.MkdirAll(filepath.Join(marked, FeedbackDir), 0o755); err != nil {
			return err
		}
		f.singles(r.Marking.Sheets, o, add)
	}
	if o.OneRoster {
		if err := writeOneRoster(filepath.Join(marked, OneRosterDir), r, o.Scored); err != nil {
			return err
		}
	}
	if o.Sample > 0 {
		if err := classset.WriteTable(filepath.Join(marked, SampleFile), sample(r, o.Sample)); err != nil {
			return err
		}
	}
	var done atomic.Int64
	err = parallel.Each(ctx, len(tasks), func(i int) error {
		err := tasks[i]()
		if o.Progress != nil {
			o.Progress(int(done.Add(1)), len(tasks))
		}
		return err
	})
	if o.Note != nil {
		slices.Sort(f.notes)
		for _, note := range slices.Compact(f.notes) {
			o.Note(note)
		}
	}
	return err
}

// perFile is the most slips in one file, so that memory stays flat.
const perFile = 200

// feedbackFile holds every slip of a class that one file has room for.
const feedbackFile = "feedback.pdf"

// RemoveOutgrown removes DIR/marked/feedback.pdf where the class has grown past one file, so that slips of an earlier
// marking do not lie beside the new ones. It gives a note of what it did, "" where there was nothing to do. Call it when
// the marking r is in place.
func RemoveOutgrown(dir string, r *grader.Result) (note string) {
	if len(r.Marking.Sheets) <= perFile {
		return ""
	}
	old := filepath.Join(dir, classset.MarkedDir, feedbackFile)
	switch err := os.Remove(old); {
	case errors.Is(err, fs.ErrNotExist):
		return ""
	case err != nil:
		return fmt.Sprintf("%s is of an earlier marking and cannot be removed (%v): delete it", old, classset.Cause(err))
	}
	return fmt.Sprintf("removed %s: it was of an earlier marking, and the class now fills feedback-001.pdf and those after it", old)
}

// files adds feedback.pdf, or feedback-001.pdf and so on for more pupils than one file holds.
func (f *feedback) files(sheets []*classset.SheetMarks, add func(name string, write func(io.Writer) error)) {
	part := 0
	for some := range slices.Chunk(sheets, perFile) {
		name := feedbackFile
		if part++; len(sheets) > perFile {
			name = fmt.Sprintf("feedback-%03d.pdf", part)
		}
		add(name, func(w io.Writer) error { return f.write(w, some) })
	}
}

// singles adds feedback in a file a pupil, named by code: names stay out of names of files.
func (f *feedback) singles(sheets []*classset.SheetMarks, o Options, add func(name string, write func(io.Writer) error)) {
	for _, m := range sheets {
		name := filepath.Join(FeedbackDir, m.Code)
		if o.Single {
			add(name+".pdf", func(w io.Writer) error { return f.single(w, m) })
		}
		if o.Text {
			add(name+".txt", func(w io.Writer) error { return f.text(w, m) })
		}
	}
}
