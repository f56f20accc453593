package formula

// Kind says which step a variant of a formula differs in.
type Kind string

// The kinds of variant.
const (
	PlusForMinus      Kind = "plus-for-minus"  // a + b for a - b
	MinusForPlus      Kind = "minus-for-plus"  // a - b for a + b
	SwapDifference    Kind = "swap-difference" // b - a for a - b
	Sign              Kind = "sign"            // the whole result with the other sign
	FactorLost        Kind = "factor-lost"     // a factor or divisor left out
	FactorTwice       Kind = "factor-twice"    // a factor or divisor used twice
	GForgotten        Kind = "g-forgotten"     // the same for g
	GTwice            Kind = "g-twice"
	UpsideDown        Kind = "upside-down"        // b/a for a/b
	SquareForgotten   Kind = "square-forgotten"   // x for x^2, or for another power
	RootForgotten     Kind = "root-forgotten"     // x for sqrt(x), or for another root
	DegreesAsRadians  Kind = "degrees-as-radians" // a calculator left in radians
	Half              Kind = "half"               // d/2 for d in a formula with pi: a diameter taken for a radius
	Double            Kind = "double"             // 2*d for d there: a radius taken for a diameter
	SeriesForParallel Kind = "series-for-parallel"
	ParallelForSeries Kind = "parallel-for-series"
	OtherName         Kind = "other-name" // another value of the same kind
)

// Variant is a formula changed in one step, as a slip would change it.
type Variant struct {
	Kind Kind
	Expr *Expr
	At   string // the part changed, as String prints it: "d", "g", "Wa - Ww"
	To   string // what took its place; "" for a part left out or used twice
}

// MaxVariants is the most that Variants returns. The formulas of the labs have a quarter of it; so many slips explain any number.
const MaxVariants = 300

// Variants returns every one-step change of the formula, each once, in a fixed order, and no more after MaxVariants. same
// gives, for a name, the other names of the same kind that a pupil might take in its place; nil for none. Conditions and
// exponents are left alone.
func (e *Expr) Variants(same func(name string) []string) []Variant {
	v := &varier{same: same, seen: map[string]bool{e.String(): true}, circle: circleNames(e.root)}
	keep := func(n *node) *node { return n }
	v.visit(e.root, keep, false)
	v.add(Sign, keep, e.root, negated(e.root, 1))
	return v.out
}

// varier collects variants. put, everywhere below, gives the whole formula with a node in place of the one at hand.
type varier struct {
	same   func(string) []string
	circle map[string]bool // names that may be a radius or a diameter
	seen   map[string]bool
	out    []Variant
}

// add notes the variant in which to stands for at; nil leaves at out of the text.
func (v *varier) add(kind Kind, put func(*node) *node, at, to *node) {
	if v.full() {
		return
	}
	v.note(kind, put(to), at.String(), to.String())
}

func (v *varier) full() bool { return len(v.out) >= MaxVariants }

func (v *varier) note(kind Kind, root *node, at, to string) {
	src := root.String()
	if v.seen[src] {
		return
	}
	v.seen[src] = true
	if v.full() {
		return
	}
	v.out = append(v.out, Variant{Kind: kind, Expr: &Expr{src: src, root: root}, At: at, To: to})
}

// visit adds the variants that change n or something below it. inside tells that n is part of a larger product, whose
// factors have been dealt with.
func (v *varier) visit(n *node, put func(*node) *node, inside bool) {
	product := n.op == mul || n.op == div
	if product && !inside {
		v.factors(n, put)
	}
	switch n.op {
	case name:
		v.name(n, put)
	case sub:
		v.add(PlusForMinus, put, n, n.as(add))
		v.add(SwapDifference, put, n, n.with(n.args[1], n.args[0]))
	case add:
		v.add(MinusForPlus, put, n, n.as(sub))
	case div:
		v.add(UpsideDown, put, n, n.with(n.args[1], n.args[0]))
	case pow:
		kind := SquareForgotten
		if num, den, ok := rational(n.args[1]); ok && den > 1 && num == 1 {
			kind = RootForgotten
		}
		v.add(kind, put, n, n.args[0])
	case call:
		v.call(n, put)
	}
	for i, a := range n.args {
		if n.op == choose && i == 0 || n.op == pow && i == 1 || n.op == compare {
			continue
		}
		v.visit(a, func(x *node) *node {
			args := append([]*node(nil), n.args...)
			args[i] = x
			return put(n.with(args...))
		}, product)
	}
}

// as returns n as another operator; with returns it with other arguments.
func (n *node) as(o op) *node {
	m := *n
	m.op = o
	return &m
}

func (n *node) with(args ...*node) *node {
	m := *n
	m.args = args
	return &m
}

func (v *varier) name(n *node, put func(*node) *node) {
	if v.circle[n.text] {
		two := plainNumber("2")
		v.add(Half, put, n, binary(div, n, two))
		v.add(Double, put, n, binary(mul, two, n))
	}
	if v.same == nil {
		return
	}
	for _, other := range v.same(n.text) {
		if other != n.text {
			v.add(OtherName, put, n, &node{op: name, text: other, col: n.col})
		}
	}
}

func (v *varier) call(n *node, put func(*node) *node) {
	renamed := func(to string) *node {
		m := *n
		m.text = to
		return &m
	}
	switch n.text {
	case "parallel":
		v.add(SeriesForParallel, put, n, renamed("series"))
	case "series":
		v.add(ParallelForSeries, put, n, renamed("parallel"))
	}
	if len(n.args) == 0 {
		return
	}
	inDegrees := binary(div, plainNumber("180"), &node{op: name, text: "pi"})
	switch n.text {
	case "sqrt":
		v.add(RootForgotten, put, n, n.args[0])
	case "sin", "cos", "tan": // the number of degrees, taken for radians
		v.add(DegreesAsRadians, put, n, n.with(binary(mul, n.args[0], inDegrees)))
	case "asin", "acos", "atan", "atan2": // the number of radians, taken for degrees
		v.add(DegreesAsRadians, put, n, binary(div, n, inDegrees))
	}
}

func plainNumber(text string) *node {
	n := &node{op: literal, text: text}
	for _, digit := range text {
		n.x = 10*n.x + float64(digit-'0')
	}
	return n
}

func binary(o op, a, b *node) *node { return &node{op: o, args: []*node{a, b}, col: 1} }

// term is a factor of a product, or a divisor.
type term struct {
	n       *node
	divides bool
}

// terms returns the factors and divisors of a product in the order written: V, g and rho of V*g/rho.
func terms(n *node, divides bool) []term {
	switch n.op {
	case mul:
		return append(terms(n.args[0], divides), terms(n.args[1], divides)...)
	case div:
		return append(terms(n.args[0], divides), terms(n.args[1], !divides)...)
	}
	return []term{{n, divides}}
}

// factors adds the variants in which a factor of the product n is left out or used twice.
func (v *varier) factors(n *node, put func(*node) *node) {
	all := terms(n, false)
	for i, t := range all {
		if v.full() {
			return
		}
		lost, twice := FactorLost, FactorTwice
		if t.n.op == name && t.n.text == "g" {
			lost, twice = GForgotten, GTwice
		}
		var without, doubled []term
		without = append(append(without, all[:i]...), all[i+1:]...)
		doubled = append(append(append(doubled, all[:i+1]...), t), all[i+1:]...)
		v.note(lost, put(join(without)), t.n.String(), "")
		v.note(twice, put(join(doubled)), t.n.String(), "")
	}
}

// join writes terms as a product again.
func join(terms []term) *node {
	var n *node
	for _, t := range terms {
		switch {
		case n == nil && !t.divides:
			n = t.n
		case n == nil:
			n = binary(div, plainNumber("1"), t.n)
		case t.divides:
			n = binary(div, n, t.n)
		default:
			n = binary(mul, n, t.n)
		}
	}
	return n
}

// circleNames returns the names that may be a radius or a diameter: in a formula with pi those that are raised to a
// power, and where there is no power every name.
func circleNames(root *node) map[string]bool {
	circle := false
	raised, all := map[string]bool{}, map[string]bool{}
	root.walk(func(n *node) {
		switch n.op {
		case name:
			circle = circle || n.text == "pi"
			all[n.text] = n.text != "pi" && n.text != "g"
		case pow:
			n.args[0].walk(func(m *node) {
				if m.op == name && m.text != "pi" {
					raised[m.text] = true
				}
			})
		}
	})
	switch {
	case !circle:
		return nil
	case len(raised) > 0:
		return raised
	}
	return all
}
