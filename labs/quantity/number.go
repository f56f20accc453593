package quantity

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

// A numeral is one reading of a written number.
type numeral struct {
	value       float64
	low, high   int     // significant figures; 0, 0 when exact
	digit       float64 // size of one unit in the last digit; 0 when exact
	uncertainty float64 // from 5.02(3)
	convention  string  // what a single comma is, where that decides
	mark        string  // the decimal mark this writing shows: "comma", "point" or ""
	note        string
}

// maxDigits bounds a written number, and maxPower its power of ten, so that no unit turns it into infinity.
const (
	maxDigits = 40
	maxPower  = 99
)

var numberWords = []string{"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

var (
	signPattern     = regexp.MustCompile(`^(?i:([+-]) ?|(minus|negative|plus) )`)
	wordPattern     = regexp.MustCompile(`^[A-Za-z]+`)
	fractionPattern = regexp.MustCompile(`^(?:(\d{1,6}) )?(\d{1,6}) ?/ ?(\d{1,6})`)
	// Digits in threes by spaces, before and after the decimal mark; four decimals are never parted by them.
	spacedPattern  = regexp.MustCompile(`^(\d{1,3}(?: \d{3})+|\d+)(?:([.,])(\d{3}(?: \d{3})+ \d{1,3}|\d{3} \d{2,3}|\d*))?`)
	digitsPattern  = regexp.MustCompile(`^[\d.,']*\d[\d.,']*`)
	bracketPattern = regexp.MustCompile(`^\((\d{1,3})\)`)
	powerPattern   = regexp.MustCompile(`^ ?(?:[eE] ?([+-]? ?\d{1,4})|[xX*] ?10 ?(?:\^|\*\*) ?[({]? ?([+-]? ?\d{1,4})[)}]?|[xX*] ?10([+-]\d{1,3}))`)
	tenPattern     = regexp.MustCompile(`^10 ?(?:\^|\*\*) ?[({]?([+-]? ?\d{1,4})[)}]?`)
	continued      = regexp.MustCompile(`^(?:[\d.,:'^]|[/ ]\d| ?[xX*] ?\d)`) // what no number may be followed by
)

// readNumber reads the number that folded text begins with, in each sensible way, and gives what follows it. why says
// what is wrong when there is none.
func readNumber(text string) (found []numeral, rest, why string) {
	sign := 1.0
	if m := signPattern.FindStringSubmatch(text); m != nil {
		if m[1] == "-" || m[2] != "" && !strings.EqualFold(m[2], "plus") {
			sign = -1
		}
		text = text[len(m[0]):]
	}
	found, rest, why = readUnsigned(text)
	if why == "" && continued.MatchString(rest) {
		why = "more than one number, or a number written in no known way"
	}
	if why != "" {
		return nil, "", why
	}
	for i := range found {
		found[i].value *= sign
	}
	return found, rest, ""
}

func readUnsigned(text string) (found []numeral, rest, why string) {
	if word := wordPattern.FindString(text); word != "" {
		for n, name := range numberWords {
			if strings.EqualFold(word, name) {
				return []numeral{{value: float64(n)}}, text[len(word):], ""
			}
		}
		return nil, "", "no number where one is expected"
	}
	if m := fractionPattern.FindStringSubmatch(text); m != nil {
		return readFraction(m, text[len(m[0]):])
	}
	if m := tenPattern.FindStringSubmatch(text); m != nil {
		n := digits{whole: "1"}
		if why = n.scale(m[1]); why != "" {
			return nil, "", why
		}
		return []numeral{n.numeral()}, text[len(m[0]):], ""
	}
	ways, rest := splitDigits(text)
	if len(ways) == 0 {
		if rest != text {
			return nil, "", "the points and commas in the number do not fit together"
		}
		return nil, "", "no number where one is expected"
	}
	bracket := bracketPattern.FindStringSubmatch(rest)
	if bracket != nil {
		rest = rest[len(bracket[0]):]
	}
	power := powerPattern.FindStringSubmatch(rest)
	if power != nil {
		rest = rest[len(power[0]):]
	}
	for _, n := range ways {
		if len(n.whole)+len(n.fraction) > maxDigits {
			return nil, "", "absurdly many digits"
		}
		if power != nil {
			if why = n.scale(power[1] + power[2] + power[3]); why != "" {
				return nil, "", why
			}
			if power[3] != "" {
				n.note = join2(n.note, "×10"+power[3]+" read as a power of ten")
			}
		}
		read := n.numeral()
		if bracket != nil {
			last, _ := strconv.ParseFloat(bracket[1], 64)
			read.uncertainty = last * read.digit
		}
		found = append(found, read)
	}
	return found, rest, ""
}

// readFraction takes 3/4 or 1 3/4 as matched. Such numbers are exact.
func readFraction(m []string, rest string) ([]numeral, string, string) {
	whole, _ := strconv.ParseFloat("0"+m[1], 64)
	above, _ := strconv.ParseFloat(m[2], 64)
	below, _ := strconv.ParseFloat(m[3], 64)
	if below == 0 {
		return nil, "", "a fraction over zero"
	}
	if m[1] != "" && above >= below {
		return nil, "", "more than one number, or a number written in no known way"
	}
	return []numeral{{value: whole + above/below}}, rest, ""
}

// digits is a number cut at its decimal mark.
type digits struct {
	whole, fraction string
	marked          bool // a decimal mark is written
	power           int
	convention      string
	mark            string
	note            string
}

// splitDigits reads the digits that text begins with, with their grouping and decimal mark, in each sensible way. One
// point is always the decimal mark; one comma before exactly three digits may be that or part thousands.
func splitDigits(text string) (ways []digits, rest string) {
	if m := spacedPattern.FindStringSubmatch(text); m != nil && strings.Contains(m[0], " ") {
		n := digits{whole: strings.ReplaceAll(m[1], " ", ""), fraction: strings.ReplaceAll(m[3], " ", ""), marked: m[2] != ""}
		n.setMark(m[2])
		return []digits{n}, text[len(m[0]):]
	}
	token := strings.TrimRight(digitsPattern.FindString(text), ",'")
	if token == "" {
		return nil, text
	}
	rest = text[len(token):]
	points, commas := strings.Count(token, "."), strings.Count(token, ",")
	switch {
	case strings.Contains(token, "'"):
		whole, tail, mark := cutLast(token, ".,")
		if points+commas > 1 || !grouped(whole, "'") {
			return nil, rest
		}
		n := digits{whole: strings.ReplaceAll(whole, "'", ""), fraction: tail, marked: mark != ""}
		n.setMark(mark)
		return []digits{n}, rest
	case points+commas == 0:
		return []digits{{whole: token}}, rest
	case points == 1 && commas == 0, points == 0 && commas == 1:
		return oneMark(token), rest
	case points == 1 && commas == 1 && strings.HasSuffix(token, "."): // 4,327. may end a sentence
		ways = oneMark(strings.TrimSuffix(token, "."))
		for i := range ways {
			ways[i].marked = true
		}
		return ways, rest
	case points == 0 || commas == 0: // 1,234,567 or 1.234.567
		sep, mark := ",", "point"
		if commas == 0 {
			sep, mark = ".", "comma"
		}
		if !grouped(token, sep) {
			return nil, rest
		}
		return []digits{{whole: strings.ReplaceAll(token, sep, ""), mark: mark}}, rest
	}
	whole, tail, mark := cutLast(token, ".,")
	sep := map[string]string{".": ",", ",": "."}[mark]
	if strings.Contains(whole, mark) || !grouped(whole, sep) {
		return nil, rest
	}
	n := digits{whole: strings.ReplaceAll(whole, sep, ""), fraction: tail, marked: true}
	n.setMark(mark)
	return []digits{n}, rest
}

// oneMark reads a token with one point or comma.
func oneMark(token string) []digits {
	whole, tail, mark := cutLast(token, ".,")
	n := digits{whole: whole, fraction: tail, marked: true}
	n.setMark(mark)
	if mark == "," && grouped(token, ",") && whole[0] != '0' {
		n.mark = ""
		n.convention, n.note = "comma", "comma read as the decimal mark"
		thousands := digits{whole: whole + tail, convention: "point", note: "comma read as parting thousands"}
		return []digits{n, thousands}
	}
	return []digits{n}
}

func (n *digits) setMark(mark string) { n.mark = map[string]string{".": "point", ",": "comma"}[mark] }

// cutLast cuts at the last of the marks; all is before when there is none.
func cutLast(s, marks string) (before, after, mark string) {
	i := strings.LastIndexAny(s, marks)
	if i < 0 {
		return s, "", ""
	}
	return s[:i], s[i+1:], s[i : i+1]
}

// grouped tells whether whole is digits in threes, as 12,345,678, or as 1,23,45,678 is written in India.
func grouped(whole, sep string) bool {
	groups := strings.Split(whole, sep)
	last := len(groups) - 1
	if last == 0 || len(groups[0]) < 1 || len(groups[0]) > 3 || len(groups[last]) != 3 {
		return last == 0
	}
	size := len(groups[1])
	for i, g := range groups {
		if strings.Trim(g, "0123456789") != "" || i > 0 && i < last && len(g) != size {
			return false
		}
	}
	return size == 3 || size == 2 && len(groups[0]) <= 2
}

// scale sets the power of ten from its text.
func (n *digits) scale(power string) (why string) {
	p, err := strconv.Atoi(strings.TrimPrefix(strings.ReplaceAll(power, " ", ""), "+"))
	if err != nil || p > maxPower || p < -maxPower {
		return "an absurd power of ten"
	}
	n.power = p
	return ""
}

// numeral gives the value and the figures. Zeros at the end of a whole number may be figures or not; zeros at the front
// never are; of zero itself those after the mark count, and one if there are none.
func (n digits) numeral() numeral {
	all := n.whole + n.fraction
	value, _ := strconv.ParseFloat(all+"e"+strconv.Itoa(n.power-len(n.fraction)), 64)
	read := numeral{value: value, digit: math.Pow10(n.power - len(n.fraction)), convention: n.convention, mark: n.mark, note: n.note}
	figures := strings.TrimLeft(all, "0")
	read.low, read.high = len(figures), len(figures)
	switch {
	case figures == "":
		read.low = max(len(n.fraction), 1)
		read.high = read.low
	case !n.marked:
		read.low = max(len(strings.TrimRight(figures, "0")), 1)
	}
	return read
}
