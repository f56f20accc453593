package grader

import (
	"errors"
	"fmt"

	"keelmark/labs/classset"
)

// Bounds of what one run lists. A file that is wrong all over, or a folder of files that are no answers, is not listed to
// its end: what is left out is counted, and comes up again once the rest is mended.
const (
	maxFindings      = 200 // a file, or a folder
	maxFindingsInAll = 2000
)

// findings gathers what is wrong with files.
type findings struct {
	kept []Finding
	of   map[string]int // found so far, by file
	more []string       // files with more than maxFindings, in the order found
	cut  int            // left out for the sake of maxFindingsInAll
}

// find notes a fault of a line, 0 for the file as a whole.
func (f *findings) find(file string, line int, format string, args ...any) {
	f.findIn(file, file, line, format, args...)
}

// findIn is find for a file that is counted with others, as those of one folder.
func (f *findings) findIn(group, file string, line int, format string, args ...any) {
	if f.of == nil {
		f.of = map[string]int{}
	}
	f.of[group]++
	switch n := f.of[group]; {
	case n == maxFindings+1:
		f.more = append(f.more, group)
	case n > maxFindings:
	case len(f.kept) >= maxFindingsInAll:
		f.cut++
	default:
		f.kept = append(f.kept, Finding{file, line, fmt.Sprintf(format, args...)})
	}
}

// lazy is an argument of find that is costly, and only worked out for a finding that is kept.
type lazy func() string

func (l lazy) String() string { return l() }

// fault notes an error that spoils a file, in its place where it has one.
func (f *findings) fault(file string, err error) {
	var placed *classset.FileError
	if errors.As(err, &placed) {
		f.find(file, placed.Line, "%v", placed.Err)
		return
	}
	f.find(file, 0, "%v", err)
}

// list gives the findings, with a last word for each file that has more.
func (f *findings) list() []Finding {
	all := f.kept
	for _, file := range f.more {
		all = append(all, Finding{file, 0, fmt.Sprintf("and %d more", f.of[file]-maxFindings)})
	}
	if f.cut > 0 {
		all = append(all, Finding{Text: fmt.Sprintf("and %d more in other files", f.cut)})
	}
	return all
}
