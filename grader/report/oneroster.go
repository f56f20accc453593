package report

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"keelmark/grader"
	"keelmark/labs/classset"
)

// The columns of OneRoster's CSV binding 1.2.1, in its order.
var (
	lineItemColumns = []string{"sourcedId", "status", "dateLastModified", "title", "description", "assignDate", "dueDate", "classSourcedId",
		"categorySourcedId", "academicSessionSourcedId", "resultValueMin", "resultValueMax", "schoolSourcedId"}
	resultColumns = []string{"sourcedId", "status", "dateLastModified", "lineItemSourcedId", "studentSourcedId", "scoreStatus", "score",
		"scoreDate", "comment", "textScore", "classSourcedId", "inProgress", "incomplete", "late", "missing"}
)

// OneRosterDir is the folder of these tables, in the folder of what was marked.
const OneRosterDir = "oneroster"

// lineItem is what results are handed on under: a class, and what its sheets are out of. Sheets of several lengths, by
// level or in a follow-up set, have a line item each: 3 of 3 must not read as 3 of 13.
type lineItem struct {
	class string
	outOf int
}

// oneRoster gives lineItems.csv, a row a line item, and results.csv, a row a pupil, of the day scored; where that is zero,
// of the day the set was made. Student and class are those of the roster. A set knows neither school nor academic session,
// so these columns stay empty.
func oneRoster(r *grader.Result, scored time.Time) (lineItems, results [][]string) {
	lineItems, results = [][]string{lineItemColumns}, [][]string{resultColumns}
	sum := sha256.Sum256([]byte(r.Set.Lab + "\x00" + r.Set.Seed + "\x00" + r.Set.Made))
	set := fmt.Sprintf("keelmark-%x", sum[:8])
	made := r.Set.Made[:min(len(r.Set.Made), len(time.DateOnly))]
	day := made
	if !scored.IsZero() {
		day = scored.Format(time.DateOnly)
	}
	var items []lineItem
	lengths := map[string]int{} // of a class's sheets, how many there are
	for _, m := range r.Marking.Sheets {
		if item := (lineItem{m.Class, m.OutOf}); !slices.Contains(items, item) {
			items = append(items, item)
			lengths[m.Class]++
		}
	}
	id := func(item lineItem) string {
		id := set
		if item.class != "" {
			id += "-" + item.class
		}
		if lengths[item.class] > 1 {
			id += fmt.Sprintf("-of-%d", item.outOf)
		}
		return id
	}
	for _, item := range items {
		title := r.Lab.Title
		if lengths[item.class] > 1 {
			title += fmt.Sprintf(" (out of %d)", item.outOf)
		}
		lineItems = append(lineItems, []string{id(item), "", "", title, r.Set.Lab, made, day, item.class,
			"keelmark-labs", "", "0", strconv.Itoa(item.outOf), ""})
	}
	for _, m := range r.Marking.Sheets {
		status, score, incomplete, missing := "fully graded", strconv.Itoa(m.Total), "false", "false"
		switch {
		case m.Absent:
			status, score, missing = "not submitted", "", "true"
		case m.Open > 0:
			status, incomplete = "partially graded", "true"
		}
		results = append(results, []string{set + "-" + m.Code, "", "", id(lineItem{m.Class, m.OutOf}), m.Student, status, score, day, "", "", m.Class,
			"false", incomplete, "false", missing})
	}
	return lineItems, results
}

// writeOneRoster writes both tables into a folder.
func writeOneRoster(folder string, r *grader.Result, scored time.Time) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	lineItems, results := oneRoster(r, scored)
	if err := classset.WriteTable(filepath.Join(folder, "lineItems.csv"), lineItems); err != nil {
		return err
	}
	return classset.WriteTable(filepath.Join(folder, "results.csv"), results)
}
