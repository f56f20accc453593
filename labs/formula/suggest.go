package formula

import (
	"maps"
	"slices"
	"strings"

	"keelmark/labs/quantity"
)

// unknown refuses a name that the scope does not hold, and says what may have been meant.
func (c *compiler) unknown(n *node) quantity.Type {
	if _, ok := c.fns[n.text]; ok {
		return c.fail(n.col, "%s is a function: write %s( )", n.text, n.text)
	}
	known := []string{"pi"}
	if lister, ok := c.scope.(interface{ Names() []string }); ok {
		known = append(known, lister.Names()...)
	}
	return c.fail(n.col, "unknown name %s%s", n.text, DidYouMean(n.text, known))
}

// unknownFunction does the same for a call.
func (c *compiler) unknownFunction(n *node) quantity.Type {
	if _, _, ok := c.scope.Lookup(n.text); ok || n.text == "pi" {
		return c.fail(n.col, "%s is a value, not a function: a product is written %s*( )", n.text, n.text)
	}
	known := slices.Collect(maps.Keys(c.fns))
	return c.fail(n.col, "unknown function %s%s", n.text, DidYouMean(n.text, append(known, "if")))
}

// maxWord is the length in bytes of the longest word compared with others: the work grows with its square.
const maxWord = 64

// DidYouMean returns ", did you mean X?" for the nearest of the words known, "" when none is near.
func DidYouMean(word string, known []string) string {
	if len(word) > maxWord {
		return ""
	}
	slices.Sort(known)
	best, least := "", max(1, len([]rune(word))/3)+1
	for _, k := range known {
		d := distance([]rune(strings.ToLower(word)), []rune(strings.ToLower(k)))
		if d < least && d < len([]rune(k)) {
			best, least = k, d
		}
	}
	if best == "" {
		return ""
	}
	return ", did you mean " + best + "?"
}

// distance counts the letters to insert, delete, change or swap with a neighbour to turn a into b.
func distance(a, b []rune) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}

// factor is a factor of a unit after its first: sign and name, and how the formula reads when it stands apart.
type factor struct {
	name   string // "A" in N/A and in N/A^2
	before string // what comes before it: "N"
	sign   string // "/"
	rest   string // it and what follows: "A^2"
}

// apart writes the factor and what follows it with spaces, so that they are no part of the unit after the number.
func (f factor) apart(number string) string {
	return number + " " + f.before + " " + f.sign + " " + f.rest
}

// laterFactors returns the factors of a unit as written, after the first.
func laterFactors(unit string) (fs []factor) {
	for i, r := range unit {
		if r != '*' && r != '/' && r != '·' {
			continue
		}
		after := unit[i+len(string(r)):]
		end := strings.IndexAny(after, "*/·^")
		if end < 0 {
			end = len(after)
		}
		fs = append(fs, factor{name: after[:end], before: unit[:i], sign: string(r), rest: after})
	}
	return fs
}
