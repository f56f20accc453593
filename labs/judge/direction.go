package judge

// Agreement is how a direction that a pupil wrote stands to the one asked for.
type Agreement uint8

// The agreements.
const (
	Unsaid   Agreement = iota // none written: accepted
	Agrees                    // the same, in this word or another for it
	Opposite                  // the contrary: a slip
	Foreign                   // a direction on another axis: a person should look
)

// axis gives, for each direction word, its axis and its sense on it. A craft's bow points forward, a plan has north at
// its top, and a sheet is read with left at the left: these stay axes of their own, for only the drawing could join them.
var axis = map[string]struct {
	name  string
	sense int
}{
	"up": {"vertical", 1}, "upward": {"vertical", 1}, "upwards": {"vertical", 1},
	"down": {"vertical", -1}, "downward": {"vertical", -1}, "downwards": {"vertical", -1},
	"left": {"across", -1}, "right": {"across", 1}, "port": {"beam", -1}, "starboard": {"beam", 1},
	"forward": {"along", 1}, "forwards": {"along", 1}, "ahead": {"along", 1}, "bow": {"along", 1},
	"backward": {"along", -1}, "backwards": {"along", -1}, "back": {"along", -1}, "astern": {"along", -1},
	"aft": {"along", -1}, "stern": {"along", -1}, "reverse": {"along", -1},
	"clockwise":     {"turn", 1},
	"anticlockwise": {"turn", -1}, "counterclockwise": {"turn", -1}, "anti-clockwise": {"turn", -1}, "counter-clockwise": {"turn", -1},
	"north": {"north", 1}, "south": {"north", -1}, "east": {"east", 1}, "west": {"east", -1},
	"in": {"in", 1}, "inward": {"in", 1}, "inwards": {"in", 1}, "out": {"in", -1}, "outward": {"in", -1}, "outwards": {"in", -1},
}

// Directions compares the direction written (normalised to lower case; "" for none) with the one a question asks for.
func Directions(asked, written string) Agreement {
	switch {
	case written == "":
		return Unsaid
	case asked == written:
		return Agrees
	}
	a, known := axis[asked]
	w, ok := axis[written]
	switch {
	case !known || !ok || a.name != w.name:
		return Foreign
	case a.sense == w.sense:
		return Agrees
	}
	return Opposite
}
