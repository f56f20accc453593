package quantity

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
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

// byLength are the keys of directions, longest first, so that "to the left" goes before "left".
var byLength = func() []string {
	var words []string
	for w := range directions {
		words = append(words, w)
	}
	slices.SortFunc(words, func(a, b string) int {
		if len(a) != len(b) {
			return len(b) - len(a)
		}
		return strings.Compare(a, b)
	})
	return words
}()

// What may stand around the number and carries none.
var (
	answerPattern = regexp.MustCompile(`^(?i:(?:the )?(?:final )?ans(?:wer)?(?: is| was)?) ?[:=.]? ?`)
	namePattern   = regexp.MustCompile(`^\pL[\pL\pN_]{0,15}(?: \pL[\pL\pN_]{0,15}){0,2}(?: ?\([\pL\pN_ ]{1,12}\))? ?[=:~] ?`)
	aboutPattern  = regexp.MustCompile(`^(?i:[=~∴⇒]+|(?:approximately|approx|about|around|roughly|circa|ca|exactly|nearly|is|it is|it's|so|therefore|total)(?:\. ?| |:))`)
	figurePattern = regexp.MustCompile(`(?i) ?[(\[,]? ?(?:correct )?(?:to )?(\d{1,2}) ?(s\.? ?f\.?|sig\.? ?figs?\.?|significant (?:figures|digits)|d\.? ?p\.?|decimal places)[)\]]?$`)
	decimalEnd    = regexp.MustCompile(`\.\d+$|,(?:\d{1,2}|\d{4,})$`)
	powerEnd      = regexp.MustCompile(`(\^|[\d,.][eE])\s*[-+−]?\d+$`) // 1.20·10^3, 1.20e3
	tailPattern   = regexp.MustCompile(`(?i)(?:,? ?\(?(?:approximately|approx|or so|roughly|about|in total|dc)\.?\)?| ?[;,!]| ?(?:\.|\.\.\.))$`)
)

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
	if m := figurePattern.FindStringSubmatch(text); m != nil && len(m[0]) < len(text) {
		if strings.EqualFold(m[2][:1], "s") {
			a.figures, _ = strconv.Atoi(m[1])
		}
		text = text[:len(text)-len(m[0])]
	}
	named := false
	for range 8 {
		before := text
		text = strings.TrimSpace(text)
		if !named {
			for _, p := range []*regexp.Regexp{answerPattern, namePattern} {
				if m := p.FindString(text); m != "" && !named {
					named = true
					text = text[len(m):]
				}
			}
		}
		text = strings.TrimSpace(text[len(aboutPattern.FindString(text)):])
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

// cutTail takes off closing punctuation and words. A full stop goes only where it cannot be the decimal mark of 1200.
func cutTail(s string) string {
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
	for _, word := range byLength {
		for _, form := range []string{"(" + word + ")", word} {
			if tail, ok := strings.CutSuffix(lower, form); ok && !endsInWord(tail) {
				return strings.TrimRight(s[:len(tail)], " ,;-"), directions[word]
			}
			if head, ok := strings.CutPrefix(lower, form); ok && !startsWithWord(head) {
				return strings.TrimLeft(s[len(s)-len(head):], " ,;:"), directions[word]
			}
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
