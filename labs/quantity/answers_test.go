package quantity

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// answerCase is one answer of testdata/answers.txt; the head of that file explains its notation.
type answerCase struct {
	line      int
	answer    string
	unit      Unit
	values    []float64 // nil: unread
	blank     bool
	low, high int // -1: not stated
	direction string
	spread    float64
	flag      bool
}

func readCases(t testing.TB) (cases []answerCase) {
	t.Helper()
	text, err := os.ReadFile("testdata/answers.txt")
	if err != nil {
		t.Fatal(err)
	}
	var group answerCase
	for i, line := range strings.Split(string(text), "\n") {
		switch {
		case line == "", strings.HasPrefix(line, "# "):
		case strings.HasPrefix(line, "@ "):
			unit, expected, ok := strings.Cut(line[2:], " -> ")
			group = answerCase{low: -1, high: -1}
			if group.unit, err = ParseUnit(unit); err != nil || !ok {
				t.Fatalf("answers.txt:%d: %v", i+1, err)
			}
			group.expect(t, i+1, expected)
		default:
			c := group
			c.line, c.answer = i+1, line
			if answer, ok := strings.CutSuffix(line, " unread"); ok {
				c = answerCase{line: c.line, answer: answer, unit: c.unit, low: -1}
			} else if answer, figures, ok := strings.Cut(line, " sf "); ok && !strings.Contains(line, "(") {
				c.answer = answer
				c.expect(t, i+1, "sf "+figures)
			} else if answer, ok := strings.CutSuffix(line, " flag"); ok {
				c.answer, c.flag = answer, true
			}
			if strings.HasPrefix(c.answer, `"`) {
				if c.answer, err = strconv.Unquote(c.answer); err != nil {
					t.Fatalf("answers.txt:%d: %v", i+1, err)
				}
			}
			cases = append(cases, c)
		}
	}
	return cases
}

// expect takes the expectation of a group, or a part of it for one answer.
func (c *answerCase) expect(t testing.TB, line int, text string) {
	words := strings.Fields(text)
	for i := 0; i < len(words); i++ {
		var err error
		switch words[i] {
		case "unread", "|":
		case "blank":
			c.blank = true
		case "flag":
			c.flag = true
		case "dir":
			i++
			c.direction = words[i]
		case "unc":
			i++
			c.spread, err = strconv.ParseFloat(words[i], 64)
		case "sf":
			i++
			c.low, c.high = 0, 0
			if words[i] != "exact" {
				_, err = fmt.Sscanf(words[i], "%d-%d", &c.low, &c.high)
			}
		default:
			var x float64
			x, err = strconv.ParseFloat(words[i], 64)
			c.values = append(c.values, x)
		}
		if err != nil {
			t.Fatalf("answers.txt:%d: %v", line, err)
		}
	}
}

func TestAnswersAsPupilsWriteThem(t *testing.T) {
	cases := readCases(t)
	if len(cases) < 400 {
		t.Fatalf("only %d answers", len(cases))
	}
	for _, c := range cases {
		o := ReadAs(c.answer, c.unit)
		complain := func(format string, args ...any) {
			t.Helper()
			t.Errorf("answers.txt:%d: %q for %s: %s", c.line, c.answer, c.unit.Symbol, fmt.Sprintf(format, args...))
		}
		var values []float64
		for _, r := range o.Readings {
			if v := c.unit.From(r.SI(c.unit)); !slices.ContainsFunc(values, func(w float64) bool { return near(v, w) }) {
				values = append(values, v)
			}
		}
		if !slices.EqualFunc(values, c.values, near) {
			complain("read %v (%s), want %v", values, o.Why, c.values)
			continue
		}
		if len(values) == 0 && c.blank != (o.Why == "") {
			complain("why is %q", o.Why)
		}
		if verdict := []string{"unread", "ok", "ambiguous", "ambiguous"}[len(values)]; o.Verdict != verdict {
			complain("verdict %s, want %s", o.Verdict, verdict)
		}
		for _, r := range o.Readings {
			if c.low >= 0 && (r.Low != c.low || r.High != c.high) {
				complain("%d to %d figures, want %d to %d", r.Low, r.High, c.low, c.high)
			}
			if r.Direction != c.direction || r.Flag != c.flag {
				complain("direction %q, flag %v", r.Direction, r.Flag)
			}
			unit := c.unit
			if r.HasUnit {
				unit = r.Unit
			}
			if spread := c.unit.FromSpan(unit.Span(r.Uncertainty)); c.spread != 0 && !near(spread, c.spread) {
				complain("uncertainty %v, want %v", spread, c.spread)
			}
		}
	}
	t.Logf("%d answers", len(cases))
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(math.Abs(a), math.Abs(b)) }

// hostile are answers made to take long.
var hostile = []string{
	"5 " + strings.Repeat("mN", 29), "5 " + strings.Repeat("kgm ", 14), "5 " + strings.Repeat("N/m ", 14),
	strings.Repeat("1 ", 59), strings.Repeat("(", 119), strings.Repeat("up ", 39), "5 " + strings.Repeat("msms", 6) + "-2",
	strings.Repeat("1,234", 23), strings.Repeat("±", 119), strings.Repeat("½", 119), strings.Repeat("²", 119),
}

// BenchmarkHostileAnswers tells the time of the slowest; the goal is less than a millisecond each.
func BenchmarkHostileAnswers(b *testing.B) {
	for _, answer := range hostile {
		b.Run(answer[:min(8, len(answer))], func(b *testing.B) {
			for b.Loop() {
				Read(answer)
			}
		})
	}
}

// Whatever is repeated in an answer, reading it takes no more memory than a few thousand small pieces: the work is bounded.
func TestHostileAnswersStayCheap(t *testing.T) {
	Read("5 N") // builds the index of units
	for _, answer := range hostile {
		if n := testing.AllocsPerRun(3, func() { Read(answer) }); n > 5000 {
			t.Errorf("%.40q: %v allocations", answer, n)
		}
	}
}

func TestOverlongAnswersAreUnread(t *testing.T) {
	for _, answer := range []string{strings.Repeat("5", 1_000_000), "5 " + strings.Repeat("N", 500), strings.Repeat("5 N ", 100)} {
		if readings, why := Read(answer); len(readings) > 0 || !strings.Contains(why, "too long") {
			t.Errorf("%.10q…: %d readings, %q", answer, len(readings), why)
		}
	}
}
