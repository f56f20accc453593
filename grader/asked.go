package grader

import (
	"slices"
	"strings"
	"unicode"

	"keelmark/labs"
	"keelmark/labs/classset"
	"keelmark/labs/quantity"
)

// wordsOfSize change how much a number says; they are never set aside, whatever the question.
var wordsOfSize = []string{"not", "half", "twice", "double", "less", "more", "other", "per"}

// withoutAsked reads an answer that ends in words of its question, such as "17 washers" where washers are asked for: they add
// nothing to what was asked. None when other words stand there too.
func (s *marking) withoutAsked(q *labs.Question, text string) []quantity.Reading {
	words := strings.Fields(text)
	if len(words) < 2 {
		return nil
	}
	asked := strings.FieldsFunc(strings.ToLower(q.Ask), func(r rune) bool { return !unicode.IsLetter(r) })
	for n := len(words) - 1; n > 0; n-- {
		word := strings.ToLower(strings.TrimRight(words[n], ".,"))
		link := (word == "of" || word == "the") && n < len(words)-1
		if !link && (len(word) < 3 || slices.Contains(wordsOfSize, word) || !slices.ContainsFunc(asked, func(a string) bool { return sameWord(a, word) })) {
			return nil
		}
		known, _ := s.texts.read(strings.Join(words[:n], " "))
		if len(known) == 0 {
			continue
		}
		readings := slices.Clone(known) // the original is shared
		for i := range readings {
			readings[i].Note = strings.TrimPrefix(readings[i].Note+", ", ", ") + "read without " + classset.Quote(strings.Join(words[n:], " "))
		}
		return readings
	}
	return nil
}

// sameWord reports whether two words are the same but for a plural s.
func sameWord(a, b string) bool { return strings.TrimSuffix(a, "s") == strings.TrimSuffix(b, "s") }
