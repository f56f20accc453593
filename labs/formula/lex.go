package formula

import (
	"strings"
	"unicode"
)

type tokenKind uint8

const (
	tokenEnd tokenKind = iota
	tokenNumber
	tokenName
	tokenSign // an operator, a bracket or a comma
)

// token is a piece of the source. Its column is 1-based, in characters.
type token struct {
	kind tokenKind
	text string
	col  int
}

// lexer cuts the source into tokens, on demand: only the parser knows where a unit or a reference may stand.
type lexer struct {
	src []rune
	at  int // the next character
}

// signs of two characters come first, so that <= is not read as <.
var signs = []string{"<=", ">=", "==", "!=", "&&", "||", "+", "-", "*", "/", "^", "<", ">", "!", "(", ")", "[", "]", ","}

// typeset maps signs as word processors set them to the plain ones.
var typeset = map[rune]string{'−': "-", '–': "-", '×': "*", '·': "*", '÷': "/", '≤': "<=", '≥': ">=", '≠': "!="}

// next returns the next token; what cannot start one comes back as a sign of its own for the parser to refuse.
func (l *lexer) next() token {
	l.space()
	start := l.at
	tok := func(kind tokenKind) token {
		return token{kind, string(l.src[start:l.at]), start + 1}
	}
	r := l.peek(0)
	switch {
	case r == 0:
		return tok(tokenEnd)
	case isDigit(r), r == '.' && isDigit(l.peek(1)):
		l.number()
		return tok(tokenNumber)
	case isNameStart(r):
		l.while(isNameRune)
		return tok(tokenName)
	}
	if plain, ok := typeset[r]; ok {
		l.at++
		return token{tokenSign, plain, start + 1}
	}
	for _, s := range signs {
		if strings.HasPrefix(string(l.src[l.at:min(l.at+2, len(l.src))]), s) {
			l.at += len(s)
			return tok(tokenSign)
		}
	}
	l.at++
	return tok(tokenSign)
}

// number passes over digits, a point and an exponent; the e of 5 eV is no exponent.
func (l *lexer) number() {
	l.while(isDigit)
	if l.peek(0) == '.' {
		l.at++
		l.while(isDigit)
	}
	if e := l.peek(0); e == 'e' || e == 'E' {
		skip := 1
		if s := l.peek(1); s == '+' || s == '-' {
			skip = 2
		}
		if isDigit(l.peek(skip)) {
			l.at += skip
			l.while(isDigit)
		}
	}
}

// unit returns the unit that follows a number or column, and where it stands: a letter, % or ° and all that runs on from
// it. A * or / belongs to the unit when another unit may follow, else to the formula: 2 m*(a + b), 12 V*max(I). The text is
// "" when there is none.
func (l *lexer) unit() (text string, col int) {
	before := l.at
	l.space()
	start := l.at
	if !isUnitStart(l.peek(0)) {
		l.at = before
		return "", 0
	}
	for {
		r := l.peek(0)
		joins := strings.ContainsRune("*/·", r) && l.unitFollows()
		if !joins && !isUnitRune(r) && !(r == '-' && l.src[l.at-1] == '^') {
			return string(l.src[start:l.at]), start + 1
		}
		l.at++
	}
}

// unitFollows reports whether what comes after the * or / at hand may be a unit: a word, but no call.
func (l *lexer) unitFollows() bool {
	if !isUnitStart(l.peek(1)) {
		return false
	}
	i := 1
	for isUnitRune(l.peek(i)) {
		i++
	}
	return l.peek(i) != '('
}

// reference returns what stands between the brackets of current(N.R1), with the brackets and without spaces. ok is false
// when no bracket follows, or none closes it.
func (l *lexer) reference() (text string, ok bool) {
	rest := string(l.src[l.at:])
	trimmed := strings.TrimLeft(rest, " ")
	inside, _, closed := strings.Cut(strings.TrimPrefix(trimmed, "("), ")")
	if !strings.HasPrefix(trimmed, "(") || !closed {
		return "", false
	}
	l.at += len([]rune(rest)) - len([]rune(trimmed)) + len([]rune(inside)) + 2
	return "(" + strings.ReplaceAll(inside, " ", "") + ")", true
}

// peek returns the character i places on, 0 past the end.
func (l *lexer) peek(i int) rune {
	if l.at+i < len(l.src) {
		return l.src[l.at+i]
	}
	return 0
}

func (l *lexer) while(is func(rune) bool) {
	for is(l.peek(0)) {
		l.at++
	}
}

func (l *lexer) space() { l.while(unicode.IsSpace) }

func isDigit(r rune) bool { return '0' <= r && r <= '9' }

func isNameStart(r rune) bool { return r == '_' || unicode.In(r, unicode.Latin, unicode.Greek) }

func isNameRune(r rune) bool { return isNameStart(r) || isDigit(r) }

func isUnitStart(r rune) bool { return unicode.IsLetter(r) || r == '%' || r == '°' }

func isUnitRune(r rune) bool {
	return isUnitStart(r) || isDigit(r) || strings.ContainsRune("_^²³⁻¹", r)
}

// IsName reports whether s can be the name of a value.
func IsName(s string) bool {
	for i, r := range s {
		if i == 0 && !isNameStart(r) || !isNameRune(r) {
			return false
		}
	}
	return s != ""
}
