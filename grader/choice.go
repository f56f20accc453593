package grader

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"keelmark/labs/classset"
)

// choice marks a question with printed choices. An answer is the text of a choice or its letter on this sheet.
func (s *marking) choice(i int, r *rule, a *classset.Answer, text string) {
	chosen, why := s.chosen(r, text)
	if chosen == 0 {
		if chosen = s.chosenLoosely(r, text); chosen == 0 {
			s.unread(r, a, why)
			return
		}
		a.Notes = append(a.Notes, "read as "+classset.Quote(s.choiceText(r, chosen)))
	}
	st := &s.states[i]
	st.read, st.blank, st.value = true, false, float64(chosen)
	a.Read = &classset.Amount{Value: float64(chosen), Unit: "1"}
	c := candidate{value: st.value, enough: true}
	v := s.views(i, r)
	switch {
	case v.truth == nil && v.chain == nil && v.impossible == nil:
		s.unsure(i, r, a, nil)
	case v.truth != nil && v.truth.fits(c), v.mixed != nil && v.mixed.fits(c):
		st.right = true
		a.Verdict, a.Marks = classset.Right, r.Marks
	case v.chain != nil && v.chain.fits(c):
		a.Verdict, a.Marks, a.Message = classset.Carried, r.Marks, sayCarried(s.asked(s.wrongEarlier(r)))
	case v.impossible != nil:
		a.Verdict = classset.ByHand
		s.open(r, a, fmt.Sprintf("the earlier answers (%s) make this step impossible: %v", list(s.wrongEarlier(r)), v.impossible))
	default:
		s.otherChoice(r, a, v, c)
	}
}

// otherChoice marks a choice that is not the right one; listed mistakes may explain it by its number.
func (s *marking) otherChoice(r *rule, a *classset.Answer, v views, c candidate) {
	expected := v.truth
	if expected == nil {
		expected = v.chain
	}
	if f := s.listed(r, expected, c.value); f != nil {
		s.slip(r, a, f)
		return
	}
	a.Verdict = classset.Wrong
	a.Message = fmt.Sprintf("Another choice fits better: %s. Look at what would tell the two apart.", s.choiceText(r, int(expected.targets[0].Value)))
}

// choiceText is the text of a choice by its number in the template, without typesetting marks.
func (s *marking) choiceText(r *rule, number int) string {
	if number < 1 || number > len(r.Choices) {
		return ""
	}
	return strings.NewReplacer("**", "", "*", "", "$", "", "`", "").Replace(s.fill(r.Choices[number-1], s.truth))
}

// chosen finds which choice, by its number in the template, a text names; 0 and the reason when none or several.
func (s *marking) chosen(r *rule, text string) (number int, why string) {
	wanted := foldChoice(text)
	order := s.sheet.Choices[r.ID]
	printed := func(place int) int { // number of the choice printed at a place, from 0
		if len(order) == len(r.Choices) {
			return order[place]
		}
		return place + 1
	}
	for place := range r.Choices {
		if foldChoice(s.choiceText(r, printed(place))) == wanted {
			return printed(place), ""
		}
	}
	letter, rest := cutLetter(wanted)
	place := int(letter) - 'a'
	if letter == 0 || place >= len(r.Choices) {
		last := rune('A' + len(r.Choices) - 1)
		if strings.Trim(wanted, "0123456789") == "" {
			return 0, fmt.Sprintf("a bare number; the choices have letters, A to %c", last)
		}
		return 0, fmt.Sprintf("none of the choices; want the text of one, or a letter from A to %c", last)
	}
	number = printed(place)
	if rest != "" && foldChoice(s.choiceText(r, number)) != rest {
		return 0, fmt.Sprintf("letter %c is %q on this sheet, and %s stands beside it", unicode.ToUpper(letter), s.choiceText(r, number), classset.Quote(rest))
	}
	return number, ""
}

// inBrackets matches what a choice says in brackets besides.
var inBrackets = regexp.MustCompile(` ?\([^()]*\)`)

// chosenLoosely finds the one choice that a text names by its words without the spaces or without what stands in brackets, or
// by some of its words where no other choice has them; 0 when there is none, or more than one.
func (s *marking) chosenLoosely(r *rule, text string) (number int) {
	wanted := foldChoice(text)
	if len(strings.Trim(wanted, "0123456789 ")) < 3 { // a number or a letter
		return 0
	}
	closed := func(s string) string { return strings.ReplaceAll(s, " ", "") }
	for _, fits := range []func(choice string) bool{
		func(choice string) bool { return closed(choice) == closed(wanted) },
		func(choice string) bool { return foldChoice(inBrackets.ReplaceAllString(choice, "")) == wanted },
		func(choice string) bool { return holdsWords(choice, wanted) },
	} {
		for n := range r.Choices {
			if !fits(foldChoice(s.choiceText(r, n+1))) {
				continue
			}
			if number != 0 {
				return 0
			}
			number = n + 1
		}
		if number != 0 {
			return number
		}
	}
	return 0
}

// negations are words that hide a "not".
var negations = strings.NewReplacer("n't", " not", "n’t", " not", "cannot", "can not")

// holdsWords reports whether words stand in a choice, one after the other and whole, and leave out no word that turns its
// sense round: float is not "does not float".
func holdsWords(choice, words string) bool {
	split := func(s string) string {
		s = negations.Replace(s)
		return " " + strings.Join(strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }), " ") + " "
	}
	choice, words = split(choice), split(words)
	for _, no := range []string{" no ", " not ", " never ", " none ", " neither ", " without "} {
		if strings.Contains(choice, no) && !strings.Contains(words, no) {
			return false
		}
	}
	return strings.Contains(choice, words)
}

// foldChoice makes texts comparable: case, spaces, a full stop at the end, and forms of the same character do not count.
func foldChoice(s string) string {
	s = strings.ToLower(norm.NFKC.String(s))
	return strings.TrimRight(strings.Join(strings.Fields(s), " "), ".")
}

// cutLetter takes the letter off an answer such as "b", "(b)", "b)" or "b: zinc"; 0 when it does not start with one.
func cutLetter(folded string) (letter rune, rest string) {
	s := strings.TrimLeft(folded, "([")
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return 0, ""
	}
	rest = s[1:]
	trimmed := strings.TrimLeft(rest, ")].:,- ")
	if trimmed == rest && rest != "" { // a word, not a letter
		return 0, ""
	}
	return rune(s[0]), trimmed
}
