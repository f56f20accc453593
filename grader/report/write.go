package report

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"keelmark/grader"
	"keelmark/labs/classset"
)

// Options say what is written beside feedback.pdf, report.pdf and marks.xlsx.
type Options struct {
	Single    bool      // a PDF of feedback for each pupil, named by the sheet's code
	Text      bool      // the same as text, for a message
	OneRoster bool      // the tables of the open standard, to hand on to a school's own program
	Scored    time.Time // the day of the results in these tables; zero: the day the set was made
	Sample    int       // sheets for a second marker; 0: none
	Progress  func(done, total int)
}

// FeedbackDir is the folder of single files, in the folder of what was marked.
const FeedbackDir = "feedback"

// Write writes all that goes with a marking into DIR/marked. Every file appears whole or not at all.
func Write(dir string, r *grader.Result, o Options) error {
	marked := filepath.Join(dir, classset.MarkedDir)
	for _, out := range []struct {
		name  string
		write func(io.Writer, *grader.Result) error
	}{
		{"report.pdf", Class},
		{"marks.xlsx", Workbook},
	} {
		err := classset.WriteTo(filepath.Join(marked, out.name), func(w io.Writer) error { return out.write(w, r) })
		if err != nil {
			return err
		}
	}
	if err := writeFeedback(marked, r); err != nil {
		return err
	}
	if o.OneRoster {
		if err := writeOneRoster(filepath.Join(marked, OneRosterDir), r, o.Scored); err != nil {
			return err
		}
	}
	if o.Sample > 0 {
		if err := writeSample(dir, r, o.Sample); err != nil {
			return err
		}
	}
	if o.Single || o.Text {
		return writeSingle(filepath.Join(marked, FeedbackDir), r, o)
	}
	return nil
}

// perFile is the most slips in one file, so that memory stays flat.
const perFile = 200

// writeFeedback writes feedback.pdf, or feedback-001.pdf and so on for more pupils than one file holds.
func writeFeedback(marked string, r *grader.Result) error {
	f, err := newFeedback(r)
	if err != nil {
		return err
	}
	sheets := r.Marking.Sheets
	for part := range (len(sheets) + perFile - 1) / perFile {
		name := "feedback.pdf"
		if len(sheets) > perFile {
			name = fmt.Sprintf("feedback-%03d.pdf", part+1)
		}
		some := sheets[part*perFile : min((part+1)*perFile, len(sheets))]
		if err := classset.WriteTo(filepath.Join(marked, name), func(w io.Writer) error { return f.write(w, some) }); err != nil {
			return err
		}
	}
	return nil
}

// writeSingle writes feedback to a file a pupil, named by code: names stay out of names of files.
func writeSingle(folder string, r *grader.Result, o Options) error {
	f, err := newFeedback(r)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	for i, m := range r.Marking.Sheets {
		if o.Single {
			err = classset.WriteTo(filepath.Join(folder, m.Code+".pdf"), func(w io.Writer) error { return f.single(w, m) })
		}
		if err == nil && o.Text {
			err = classset.WriteTo(filepath.Join(folder, m.Code+".txt"), func(w io.Writer) error { return f.text(w, m) })
		}
		if err != nil {
			return err
		}
		if o.Progress != nil {
			o.Progress(i+1, len(r.Marking.Sheets))
		}
	}
	return nil
}
