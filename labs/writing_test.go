package labs

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// snippet is a fenced block of the manual for writers: a template or a piece of one between four backquotes, or lines of
// its head, or a message, between three.
var snippet = regexp.MustCompile("(?ms)^````(markdown|markdown wrong)\n(.*?)\n^````$|^```(yaml values|yaml require|text)\n(.*?)\n^```$")

// TestWritingManual builds the lab of templates/WRITING.md step by step, as its reader does, and reads it after each one.
func TestWritingManual(t *testing.T) {
	manual, err := os.ReadFile("../templates/WRITING.md")
	if err != nil {
		t.Fatal(err)
	}
	var head, body string
	var require []string
	build := func(more string) (*Lab, error) {
		source := head
		if len(require) > 0 {
			source += "require:\n" + strings.Join(require, "\n") + "\n"
		}
		return Parse("hatch-spring.md", []byte(source+"---\n"+body+"\n"+more))
	}
	steps, wrongs := 0, 0
	for _, step := range strings.Split(string(manual), "\n## ")[1:] {
		title, _, _ := strings.Cut(step, "\n")
		var wrong error
		for _, m := range snippet.FindAllStringSubmatch(step, -1) {
			kind, inside := m[1]+m[3], m[2]+m[4]
			switch kind {
			case "yaml values":
				head += inside + "\n"
			case "yaml require":
				require = append(require, inside)
			case "markdown":
				if head == "" {
					head, body, _ = strings.Cut(inside, "\n---\n")
					head += "\n"
				} else {
					body += "\n" + inside + "\n"
				}
			case "markdown wrong":
				if _, wrong = build(inside); wrong == nil {
					t.Errorf("%s: no fault found in\n%s", title, inside)
				}
			case "text":
				wrongs++
				if wrong == nil || !strings.Contains(wrong.Error(), inside) {
					t.Errorf("%s: want %q, got\n%v", title, inside, wrong)
				}
			}
		}
		l, err := build("")
		if err != nil {
			t.Fatalf("%s:\n%v", title, err)
		}
		steps++
		if !slices.ContainsFunc(l.Questions, func(q *Question) bool { return q.Kind == Numeric }) {
			t.Errorf("%s: no question was read", title)
		}
	}
	if steps != 8 || wrongs != 5 {
		t.Errorf("%d steps and %d wrong examples were found, want 8 and 5", steps, wrongs)
	}
}
