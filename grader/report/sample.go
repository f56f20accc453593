package report

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"keelmark/grader"
	"keelmark/grader/stats"
	"keelmark/labs/classset"
)

// SampleFile is the moderation sample, in the folder of what was marked.
const SampleFile = "sample.csv"

var sampleColumns = []string{"sheet", "question", "answer", "right_answer", "out_of", "second_marks", "second_marker"}

// pickSample picks n complete sheets spread over the marks, the best and the worst among them; all when there are no more.
func pickSample(sheets []*classset.SheetMarks, n int) []*classset.SheetMarks {
	complete := slices.DeleteFunc(slices.Clone(sheets), func(m *classset.SheetMarks) bool { return m.Absent || m.Open > 0 || m.OutOf == 0 })
	slices.SortStableFunc(complete, func(a, b *classset.SheetMarks) int { return cmp.Compare(b.Total*a.OutOf, a.Total*b.OutOf) })
	if n >= len(complete) {
		return complete
	}
	picked := make([]*classset.SheetMarks, n)
	for i := range picked {
		at := float64(len(complete)-1) / 2
		if n > 1 {
			at = float64(i) * float64(len(complete)-1) / float64(n-1)
		}
		picked[i] = complete[int(math.Round(at))]
	}
	return picked
}

// sample gives the table for a second marker: answers of n sheets by code alone, without the marks they have.
func sample(r *grader.Result, n int) [][]string {
	table := [][]string{sampleColumns}
	for _, m := range pickSample(r.Marking.Sheets, n) {
		for _, a := range m.Answers {
			if a.Void {
				continue
			}
			right := ""
			if q := r.Lab.Question(a.Question); a.Expected != nil && q != nil {
				right = strconv.FormatFloat(a.Expected.Value, 'g', 4, 64) + " " + a.Expected.Unit
				if len(q.Choices) > 0 {
					right = flat(q.Choices[min(max(int(a.Expected.Value), 1), len(q.Choices))-1])
				}
			}
			table = append(table, []string{m.Code, a.Question, a.Written, right, strconv.Itoa(a.OutOf), "", ""})
		}
	}
	return table
}

// SampleBegun gives an error when DIR/marked/sample.csv holds marks of a second marker, which a new sample would overwrite.
func SampleBegun(dir string, r *grader.Result) error {
	begun, err := ReadSample(dir, r)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err == nil && begun.N > 0 {
		err = fmt.Errorf("%s: holds marks of a second marker already; move it away to draw a new sample", filepath.Join(dir, classset.MarkedDir, SampleFile))
	}
	return err
}

// Moderation compares the second marker's marks with those given.
type Moderation struct {
	stats.Agreement
	Differences []Difference
}

// Difference is an answer on which the two markers differ.
type Difference struct {
	Sheet, Question string
	First, Second   int
	OutOf           int
}

// ReadSample reads DIR/marked/sample.csv as it came back and compares. Rows without second_marks, and answers that no longer
// carry marks, are passed over. Errors
// name file and line: an unknown sheet or question, marks that are no whole number within the question's.
func ReadSample(dir string, r *grader.Result) (*Moderation, error) {
	path := filepath.Join(dir, classset.MarkedDir, SampleFile)
	rows, _, err := classset.ReadTable(path)
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, fmt.Errorf("%s: is empty; draw the sample again", path)
	}
	column, err := classset.Heading(path, rows, sampleColumns, "sheet", "question", "second_marks")
	if err != nil {
		return nil, err
	}
	var first, second []float64
	out := &Moderation{}
	for _, row := range rows[1:] {
		cell := func(name string) string { return strings.TrimSpace(column.Cell(row, name)) }
		if cell("second_marks") == "" {
			continue
		}
		a, code, err := sampled(r, cell("sheet"), cell("question"))
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", path, row.Line, err)
		}
		if a == nil {
			continue
		}
		marks, err := strconv.Atoi(cell("second_marks"))
		if err != nil || marks < 0 || marks > a.OutOf {
			return nil, fmt.Errorf("%s:%d: second_marks %q: want a whole number, 0 to %d", path, row.Line, cell("second_marks"), a.OutOf)
		}
		first, second = append(first, float64(a.Marks)), append(second, float64(marks))
		if marks != a.Marks {
			out.Differences = append(out.Differences, Difference{code, a.Question, a.Marks, marks, a.OutOf})
		}
	}
	agreement, err := stats.Agree(first, second)
	if err != nil {
		return nil, err
	}
	out.Agreement = *agreement
	return out, nil
}

// sampled finds the answer that a row of the sample is about; nil where it no longer carries marks: its question was
// voided since, or a person must decide it again.
func sampled(r *grader.Result, typed, question string) (*classset.Answer, string, error) {
	code, ok := classset.CheckCode(typed)
	if !ok {
		return nil, "", fmt.Errorf("%q is no sheet code; compare it with the sheet", typed)
	}
	for _, m := range r.Marking.Sheets {
		if m.Code == code {
			for _, a := range m.Answers {
				switch {
				case a.Question != question:
				case a.Open || a.Void:
					return nil, code, nil
				default:
					return a, code, nil
				}
			}
			return nil, "", fmt.Errorf("sheet %s has no marked answer to %q", classset.ShowCode(code), question)
		}
	}
	return nil, "", fmt.Errorf("sheet %s is not in this set", classset.ShowCode(code))
}

// Print writes the agreement in words.
func (m *Moderation) Print(w io.Writer) error {
	if m.N == 0 {
		_, err := fmt.Fprintf(w, "%s has no second marks yet\n", SampleFile)
		return err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "two markers, %s: the same mark for %s %%, within one mark for %s %%\n", count(m.N, "answer"), (100 * m.Exact).Format(0), (100 * m.Within).Format(0))
	fmt.Fprintf(&b, "the second gives %s marks more on average (standard deviation %s); quadratic kappa %s\n", m.Mean.Format(2), m.SD.Format(2), m.Kappa.Format(2))
	for _, d := range m.Differences {
		fmt.Fprintf(&b, "sheet %s, %s: %d and %d of %d\n", classset.ShowCode(d.Sheet), d.Question, d.First, d.Second, d.OutOf)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
