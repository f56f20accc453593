package page

import "strings"

// Unit symbols after a number stay on its line.
var unitSymbols = func() map[string]bool {
	m := map[string]bool{}
	for _, u := range strings.Fields("m cm mm km µm g kg mg t N mN kN gf kgf s ms min h d A mA µA V mV kV Ω kΩ MΩ W mW kW J kJ MJ Pa kPa hPa MPa bar K °C °F " +
		"Hz kHz rad ° % L mL ml l cm² cm³ m² m³ mm² mm³ dm³ kg/m³ g/cm³ m/s m/s² cm/s N/m N/kg N·m N/cm rpm 1/min 1/s C mC F µF Wh mAh Ah g/kg ft in lb lbf") {
		m[u] = true
	}
	return m
}()

// tie forbids breaks between a number and its unit, and around signs such as × and ±.
func tie(words []word) {
	for i := 0; i+1 < len(words); i++ {
		a, b := words[i].textual, words[i+1].textual
		if a == "" || b == "" || words[i].forced {
			continue
		}
		number := isNumber(a)
		switch {
		case number && (unitSymbols[strings.TrimRight(b, ".,;:)?!")] || strings.HasPrefix(b, "×") || strings.HasPrefix(b, "±")):
			words[i].tied = true
		case (a == "×" || a == "±" || a == "=" || a == "≈") && isNumber(b):
			words[i].tied = true
		}
	}
}

func isNumber(s string) bool {
	s = strings.TrimLeft(s, "(−-+±")
	return s != "" && s[0] >= '0' && s[0] <= '9'
}

// A line is words[from:to] of a paragraph.
type line struct {
	from, to int
	w        float64
}

// breakLines divides words into ragged lines at most width wide, choosing the breaks that leave the least uneven right
// edge and no short single word on the last line.
func breakLines(words []word, width float64) []line {
	n := len(words)
	if n == 0 {
		return nil
	}
	const huge = 1e18
	best, next := make([]float64, n+1), make([]int, n)
	for i := n - 1; i >= 0; i-- {
		best[i] = huge
		w := 0.0
		for j := i + 1; j <= n; j++ {
			w += words[j-1].w
			if w > width+0.01 && j > i+1 && best[i] < huge {
				break
			}
			end := j == n || words[j-1].forced
			if end || !words[j-1].tied {
				slack := (width - w) / width
				cost := slack * slack
				switch {
				case w > width+0.01:
					cost = 100 + slack*slack // only when nothing fits
				case end && (j-i > 1 || i == 0 || w > width/6):
					cost = 0
				case end:
					cost = 0.08
				}
				if c := cost + best[j] + 0.01; c < best[i] {
					best[i], next[i] = c, j
				}
			}
			if words[j-1].forced {
				break
			}
			w += words[j-1].space
		}
	}
	var lines []line
	for i := 0; i < n; i = next[i] {
		lines = append(lines, line{i, next[i], widthOf(words[i:next[i]])})
	}
	return lines
}

// widthOf is the width of words on one line.
func widthOf(words []word) float64 {
	w := 0.0
	for i := range words {
		w += words[i].w
		if i < len(words)-1 {
			w += words[i].space
		}
	}
	return w
}

// split cuts words wider than width into pieces, so that nothing leaves the column.
func split(words []word, width float64) []word {
	fits := true
	for i := range words {
		fits = fits && words[i].w <= width
	}
	if fits {
		return words
	}
	var out []word
	for _, w := range words {
		for w.w > width && len(w.atoms) > 0 {
			var head word
			if head, w = w.cutAt(width); len(head.atoms) == 0 {
				break
			}
			out = append(out, head)
		}
		out = append(out, w)
	}
	return out
}

// cutAt parts a word into what fits into width and the rest. A formula is not cut.
func (w word) cutAt(width float64) (head, rest word) {
	rest = w
	rest.atoms, rest.w = nil, 0
	for i, a := range w.atoms {
		if head.w+a.w <= width || (a.math != nil && i == 0) {
			head.atoms, head.w = append(head.atoms, a), head.w+a.w
			continue
		}
		if a.math == nil {
			k, x := 0, 0.0
			for ; k < len(a.text); k++ {
				g := a.part.advance(a.text[k]) * a.st.size
				if head.w+x+g > width {
					break
				}
				x += g
			}
			if k > 0 {
				left := a
				left.text, left.w = a.text[:k:k], x
				head.atoms, head.w = append(head.atoms, left), head.w+x
				a.text, a.w = a.text[k:], a.w-x
			}
		}
		rest.atoms = append(append(rest.atoms, a), w.atoms[i+1:]...)
		break
	}
	for _, a := range rest.atoms {
		rest.w += a.w
	}
	if len(rest.atoms) == 0 {
		head.space, head.blank, head.tied, head.forced = w.space, w.blank, w.tied, w.forced
	}
	return head, rest
}

// advance is the width of a code of the part, in em.
func (p *part) advance(code byte) float64 {
	if code == ' ' {
		return p.face.advance(' ')
	}
	return p.face.advance(p.runes[int(code)-p.first])
}
