package quantity

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"
)

// directions are the words set aside from an answer, and the word each is kept as.
var directions = map[string]string{
	"up": "up", "upward": "up", "upwards": "up", "↑": "up", "vertically up": "up", "vertically upwards": "up",
	"down": "down", "downward": "down", "downwards": "down", "↓": "down", "vertically down": "down", "vertically downwards": "down",
	"left": "left", "leftward": "left", "leftwards": "left", "to the left": "left", "to left": "left", "←": "left",
	"right": "right", "rightward": "right", "rightwards": "right", "to the right": "right", "to right": "right", "→": "right",
	"forward": "forward", "forwards": "forward", "ahead": "forward", "backward": "backward", "backwards": "backward", "astern": "backward",
	"clockwise": "clockwise", "cw": "clockwise", "anticlockwise": "anticlockwise", "anti-clockwise": "anticlockwise", "acw": "anticlockwise",
	"counterclockwise": "anticlockwise", "counter-clockwise": "anticlockwise", "ccw": "anticlockwise", "anti clockwise": "anticlockwise",
	"north": "north", "south": "south", "east": "east", "west": "west", "northwards": "north", "southwards": "south", "eastwards": "east", "westwards": "west",
	"north-east": "north-east", "northeast": "north-east", "north-west": "north-west", "northwest": "north-west",
	"south-east": "south-east", "southeast": "south-east", "south-west": "south-west", "southwest": "south-west",
	"inward": "inward", "inwards": "inward", "outward": "outward", "outwards": "outward", "port": "port", "starboard": "starboard",
	"to port": "port", "to starboard": "starboard", "bow up": "bow up", "bow down": "bow down", "stern up": "bow down", "stern down": "bow up",
	"nose up": "bow up", "nose down": "bow down",
}

// A directionForm is a direction as it may stand in an answer, with brackets or without.
type directionForm struct{ form, word string }

// byLength are the forms of directions, longest first, so that "to the left" goes before "left".
var byLength = func() []directionForm {
	var forms []directionForm
	for word := range directions {
		forms = append(forms, directionForm{word, word}, directionForm{"(" + word + ")", word})
	}
	slices.SortFunc(forms, func(a, b directionForm) int {
		return cmp.Or(cmp.Compare(len(b.form), len(a.form)), cmp.Compare(a.form, b.form))
	})
	return forms
}()

// What may stand around the number and carries none.
var (
	answerPattern = regexp.MustCompile(`^(?i:(?:the )?(?:final )?ans(?:wer)?(?: is| was)?) ?[:=.]? ?`)
	aboutPattern  = regexp.MustCompile(`^(?i:[=~∴⇒]+|(?:approximately|approx|about|around|roughly|circa|ca|exactly|nearly|is|it is|it's|so|therefore|total)(?:\. ?| |:))`)
	figurePattern = regexp.MustCompile(`(?i) ?[(\[,]? ?(?:correct )?(?:to )?(\d{1,2}) ?(s\.? ?f\.?|sig\.? ?figs?\.?|significant (?:figures|digits)|d\.? ?p\.?|decimal places)[)\]]?$`)
	decimalEnd    = regexp.MustCompile(`\.\d+$|,(?:\d{1,2}|\d{4,})$`)
	powerEnd      = regexp.MustCompile(`(\^|[\d,.][eE])\s*[-+−]?\d+$`) // 1.20·10^3, 1.20e3
	tailPattern   = regexp.MustCompile(`(?i)(?:,? ?\(?(?:approximately|approx|or so|roughly|about|in total|dc)\.?\)?| ?[;,!]| ?(?:\.|\.\.\.))$`)
)

// namePattern is compiled when it is first needed: with its classes of letters it would be a twentieth of the program's start.
var namePattern = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^\pL[\pL\pN_]{0,15}(?: \pL[\pL\pN_]{0,15}){0,2}(?: ?\([\pL\pN_ ]{1,12}\))? ?[=:~] ?`)
})

// The characters with which a match of figurePattern or tailPattern may end: looking there first spares most answers the search.
const (
	figureEnds = ".)]fgpsFGPS"
	tailEnds   = ".);,!cloxytCLOXYT"
)

func endsIn(s, ends string) bool { return s != "" && strings.IndexByte(ends, s[len(s)-1]) >= 0 }

// An unwrapped answer is a number and unit with what surrounded them set aside.
type unwrapped struct {
	text      string
	direction string
	figures   int // significant figures the pupil said were given; 0 when not said
}

// unwrap sets aside what carries no number: a name before an equals sign, approximate signs and words, a direction, a remark about
// figures, closing punctuation. It never takes anything from between number and unit.
func unwrap(text string) (a unwrapped, why string) {
	if strings.HasPrefix(text, "#") {
		return a, "an error value of a spreadsheet"
	}
	text = strings.TrimPrefix(text, "'") // how spreadsheets mark text
	text, a.figures = cutFigures(text)
	named := false
	for range 8 {
		before := text
		text = strings.TrimSpace(text)
		if !startsNumber(text) {
			if !named {
				m := cmp.Or(answerPattern.FindString(text), namePattern().FindString(text))
				named, text = m != "", text[len(m):]
			}
			text = strings.TrimSpace(text[len(aboutPattern.FindString(text)):])
		}
		text = cutTail(text)
		var direction string
		if text, direction = cutDirection(text); direction != "" {
			if a.direction != "" && a.direction != direction {
				return a, "two directions"
			}
			a.direction = direction
		}
		text = stripBrackets(text)
		if text == before {
			break
		}
	}
	if text == "" {
		return a, "no number where one is expected"
	}
	a.text = text
	return a, ""
}

// startsNumber tells that nothing stands before the number, as in most answers.
func startsNumber(s string) bool { return s != "" && strings.IndexByte("0123456789+-.(", s[0]) >= 0 }

// cutFigures takes a remark about figures off the end; figures is 0 where it says nothing of significant ones.
func cutFigures(s string) (rest string, figures int) {
	if !endsIn(s, figureEnds) {
		return s, 0
	}
	m := figurePattern.FindStringSubmatch(s)
	if m == nil || len(m[0]) == len(s) {
		return s, 0
	}
	if strings.EqualFold(m[2][:1], "s") {
		figures, _ = strconv.Atoi(m[1])
	}
	return s[:len(s)-len(m[0])], figures
}

// cutTail takes off closing punctuation and words. A full stop goes only where it cannot be the decimal mark of 1200.
func cutTail(s string) string {
	if !endsIn(s, tailEnds) {
		return s
	}
	m := tailPattern.FindString(s)
	before := s[:len(s)-len(m)]
	if strings.Trim(m, " .") == "" && !endsInLetter(before) && !decimalEnd.MatchString(before) && !powerEnd.MatchString(before) {
		return s
	}
	return before
}

func endsInLetter(s string) bool {
	r, _ := utf8.DecodeLastRuneInString(s)
	return unicode.IsLetter(r) || r == ')' || r == '%'
}

// stripBrackets takes off a pair of brackets around everything.
func stripBrackets(s string) string {
	last := len(s) - 1
	if last > 1 && s[0] == '(' && s[last] == ')' && !strings.ContainsAny(s[1:last], "()") {
		return strings.TrimSpace(s[1:last])
	}
	return s
}

// cutDirection takes a direction off either end.
func cutDirection(s string) (rest, direction string) {
	lower := strings.ToLower(s)
	if len(lower) != len(s) {
		return s, "" // letters whose small form is longer: none of the words has them
	}
	for _, d := range byLength {
		if tail, ok := strings.CutSuffix(lower, d.form); ok && !endsInWord(tail) {
			return strings.TrimRight(s[:len(tail)], " ,;-"), directions[d.word]
		}
		if head, ok := strings.CutPrefix(lower, d.form); ok && !startsWithWord(head) {
			return strings.TrimLeft(s[len(s)-len(head):], " ,;:"), directions[d.word]
		}
	}
	return s, ""
}

func endsInWord(s string) bool {
	r, _ := utf8.DecodeLastRuneInString(s)
	return unicode.IsLetter(r) && s != ""
}

func startsWithWord(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return (unicode.IsLetter(r) || r == '-') && s != ""
}
