package report

import (
	"fmt"
	"io"
	"strings"

	"keelmark/generator/page"
	"keelmark/labs"
	"keelmark/labs/classset"
)

// text writes one pupil's feedback as plain text, for a message.
func (f *feedback) text(w io.Writer, m *classset.SheetMarks) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n%s (sheet %s)\n\n", f.Lab.Title, nameOf(f.Set, m), classset.ShowCode(m.Code))
	if m.Absent {
		b.WriteString("Not handed in: there was no answer sheet of yours to mark. It does not count as 0.\n")
		_, err := io.WriteString(w, b.String())
		return err
	}
	all, frame, err := f.remarks(m)
	if err != nil {
		return err
	}
	fmt.Fprintf(&b, "Mark: %s\n%s\n", totalWords(m), greeting(m, all))
	if check := benchRemarks(m); check != "" {
		fmt.Fprintf(&b, "At the bench: %s\n", flat(check))
	}
	for _, k := range all {
		ask, err := f.Lab.FillMarkdown(k.question.Ask, frame)
		if err != nil {
			return err
		}
		fmt.Fprintf(&b, "\n%d. %s\n", k.number, flat(ask))
		if k.answer.Written != "" {
			fmt.Fprintf(&b, "   You wrote %s. ", oneLine(k.answer.Written))
		} else {
			b.WriteString("   ")
		}
		b.WriteString(k.verdict)
		if marks := marksWords(k.answer); marks != "" {
			fmt.Fprintf(&b, " [%s]", strings.ReplaceAll(marks, "\u00a0", " "))
		}
		for _, message := range k.messages {
			b.WriteString(" " + flat(message))
		}
		b.WriteString("\n")
		if k.worked {
			if err := f.textWorked(&b, k.question, frame); err != nil {
				return err
			}
		}
		k.textSolution(&b)
	}
	if skills := toPractise(all); len(skills) > 0 {
		b.WriteString("\nWhat to practise\n")
		for _, p := range skills {
			fmt.Fprintf(&b, "- %s: %s\n", skillName(p.skill), p.words())
		}
	}
	_, err = io.WriteString(w, b.String())
	return err
}

// textWorked adds the worked steps.
func (f *feedback) textWorked(b *strings.Builder, q *labs.Question, frame labs.Frame) error {
	worked, err := f.Lab.Solution(q, frame)
	if err != nil {
		return err
	}
	for i, line := range worked {
		read, err := page.Reading(line)
		if err != nil {
			return err
		}
		if i > 0 {
			read = rightSide(read)
		}
		fmt.Fprintf(b, "   %s\n", read)
	}
	return nil
}

// textSolution adds the right choice, or what a full answer says.
func (k *remark) textSolution(b *strings.Builder) {
	if !k.lost() {
		return
	}
	if k.right != "" {
		fmt.Fprintf(b, "   It is %s.\n", flat(k.right))
	}
	if len(k.lookFor) > 0 && !k.answer.Open {
		points := make([]string, len(k.lookFor))
		for i, point := range k.lookFor {
			points[i] = flat(point)
		}
		fmt.Fprintf(b, "   A full answer says: %s.\n", strings.Join(points, "; "))
	}
}

// flat writes a sentence of Markdown as plain text: formulas as they are read out, no marks of emphasis.
func flat(markdown string) string {
	var b strings.Builder
	for _, run := range runs(oneLine(markdown)) {
		switch run := run.(type) {
		case page.Text:
			b.WriteString(run.S)
		case page.Math:
			read, err := page.Reading(run.TeX)
			if err != nil { // runs has checked it
				read = run.TeX
			}
			b.WriteString(read)
		case page.Break:
			b.WriteByte(' ')
		}
	}
	return b.String()
}

// oneLine takes line ends out.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
