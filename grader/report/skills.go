package report

import (
	"regexp"
	"strings"
	"sync"

	"keelmark/templates"
)

// skillRow is a row of the table in SKILLS.md: | `density` | find or use a density |
var skillRow = regexp.MustCompile("(?m)^\\| `([^`]+)` \\| (.+?) \\|$")

// meanings holds, by skill, what a pupil who has it can do.
var meanings = sync.OnceValue(func() map[string]string {
	text, err := templates.FS.ReadFile("SKILLS.md")
	if err != nil {
		panic(err) // it is built in
	}
	of := map[string]string{}
	for _, row := range skillRow.FindAllStringSubmatch(string(text), -1) {
		of[row[1]] = row[2]
	}
	return of
})

// skillName is a skill as it is printed: "weight mass" for weight-mass.
func skillName(skill string) string { return strings.ReplaceAll(skill, "-", " ") }
