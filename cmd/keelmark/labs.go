package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"keelmark/labs"
)

type labsOptions struct{ json bool }

func newLabs(std streams) *cobra.Command {
	var opt labsOptions
	cmd := &cobra.Command{
		Use:   "labs [LAB]",
		Short: "List the labs, or show one: aims, kit, cautions, time, questions",
		Example: `  keelmark labs
  keelmark labs thrust/three-motors`,
		Args: arguments(cobra.MaximumNArgs(1)),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 1 {
				return showLab(std.out, args[0], opt)
			}
			return listLabs(std.out, opt)
		},
	}
	cmd.Flags().BoolVar(&opt.json, "json", false, "print JSON")
	return cmd
}

// labJSON is a lab as labs --json prints it; questions only where one lab is shown.
type labJSON struct {
	Lab       string         `json:"lab"`
	Title     string         `json:"title"`
	Topic     string         `json:"topic"`
	Level     string         `json:"level"`
	Minutes   int            `json:"minutes"`
	Bench     bool           `json:"bench"`
	OutOf     int            `json:"out_of"`
	Aims      []string       `json:"aims"`
	Standards []string       `json:"standards"`
	Kit       []string       `json:"kit"`
	Cautions  []string       `json:"cautions"`
	Questions []questionJSON `json:"questions,omitempty"`
}

type questionJSON struct {
	Question string `json:"question"`
	Ask      string `json:"ask"`
	Unit     string `json:"unit,omitempty"`
	Marks    int    `json:"marks"`
	Skill    string `json:"skill,omitempty"`
}

func describe(l *labs.Lab, withQuestions bool) labJSON {
	j := labJSON{Lab: l.Name, Title: l.Title, Topic: l.Topic, Level: l.Level, Minutes: l.Minutes,
		Aims: l.Aims, Standards: l.Standards, Kit: l.Kit, Cautions: l.Cautions}
	for _, v := range l.Values {
		j.Bench = j.Bench || v.Source == labs.Measured
	}
	for _, q := range l.Questions {
		j.OutOf += q.Marks
		if withQuestions {
			j.Questions = append(j.Questions, questionJSON{Question: q.ID, Ask: strings.TrimSpace(q.Ask), Unit: q.Show.Text, Marks: q.Marks, Skill: q.Skill})
		}
	}
	return j
}

func listLabs(w io.Writer, opt labsOptions) error {
	var list []labJSON
	for _, name := range labs.Names() {
		l, err := labs.Load(name)
		if err != nil {
			return err
		}
		list = append(list, describe(l, false))
	}
	if opt.json {
		return printJSON(w, list)
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "LAB\tLEVEL\tTIME\tMARKS\tBENCH\tTITLE\tKIT")
	for _, j := range list {
		bench := ""
		if j.Bench {
			bench = "readings"
		}
		fmt.Fprintf(t, "%s\t%s\t%d min\t%d\t%s\t%s\t%s\n", j.Lab, j.Level, j.Minutes, j.OutOf, bench, j.Title, firstWords(strings.Join(j.Kit, "; "), 60))
	}
	return t.Flush()
}

// firstWords cuts a line of text at a word, so that a list stays a list.
func firstWords(s string, most int) string {
	runes := []rune(s)
	if len(runes) <= most {
		return s
	}
	cut := string(runes[:most])
	if i := strings.LastIndexByte(cut, ' '); i > 0 {
		cut = cut[:i]
	}
	return strings.TrimRight(cut, ",;: ") + " …"
}

func showLab(w io.Writer, name string, opt labsOptions) error {
	l, err := labs.Load(name)
	if err != nil {
		return err
	}
	j := describe(l, true)
	if opt.json {
		return printJSON(w, j)
	}
	fmt.Fprintf(w, "%s (%s)\n%s, %s, %d minutes, %d marks\n", j.Title, j.Lab, j.Topic, j.Level, j.Minutes, j.OutOf)
	for _, section := range []struct {
		title string
		lines []string
	}{{"Aims", j.Aims}, {"Kit", j.Kit}, {"Cautions", j.Cautions}, {"Standards", j.Standards}} {
		if len(section.lines) == 0 {
			continue
		}
		fmt.Fprintf(w, "\n%s\n", section.title)
		for _, line := range section.lines {
			fmt.Fprintf(w, "  - %s\n", line)
		}
	}
	fmt.Fprintln(w, "\nQuestions")
	t := tabwriter.NewWriter(w, 2, 0, 2, ' ', 0)
	bare := strings.NewReplacer("{{", "", "}}", "") // a pupil's number stands as its name
	for i, q := range j.Questions {
		unit := q.Unit
		if unit == "1" {
			unit = ""
		}
		fmt.Fprintf(t, "  %d\t%s\t[%d]\t%s\t%s\t%s\n", i+1, q.Question, q.Marks, unit, q.Skill, firstWords(bare.Replace(q.Ask), 72))
	}
	return t.Flush()
}
