package judge

// Agreement is how a direction that a pupil wrote stands to the one asked for.
type Agreement uint8

// The agreements.
const (
	Unsaid   Agreement = iota // none written, or none asked for: accepted
	Agrees                    // the same, in this word or another for it
	Opposite                  // the contrary: a slip
	Foreign                   // neither: a person should look
)

// plain gives, for the words a template may use, the word that quantity.Reading.Direction has for them.
var plain = map[string]string{
	"upward": "up", "upwards": "up", "downward": "down", "downwards": "down", "forwards": "forward", "ahead": "forward",
	"back": "backward", "backwards": "backward", "astern": "backward", "counterclockwise": "anticlockwise",
	"inwards": "inward", "outwards": "outward",
}

// opposites are the pairs of contrary directions.
var opposites = [][2]string{
	{"up", "down"}, {"left", "right"}, {"port", "starboard"}, {"forward", "backward"}, {"clockwise", "anticlockwise"},
	{"inward", "outward"}, {"bow up", "bow down"}, {"north", "south"}, {"east", "west"},
	{"north-east", "south-west"}, {"north-west", "south-east"},
}

// Directions compares the direction written, as a reading gives it, with the one a question asks for, in lower case. Where
// none is asked for ("") or none is written, there is nothing to compare.
func Directions(asked, written string) Agreement {
	if word, ok := plain[asked]; ok {
		asked = word
	}
	switch {
	case asked == "", written == "":
		return Unsaid
	case asked == written:
		return Agrees
	}
	for _, pair := range opposites {
		if pair == [2]string{asked, written} || pair == [2]string{written, asked} {
			return Opposite
		}
	}
	return Foreign
}
