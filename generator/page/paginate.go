package page

import "slices"

const (
	mostGiven = 0.25    // share of its working space that a question may lose
	shortPage = 1.0 / 3 // share of the column: less on the last page is worth saving
	givings   = 5       // steps in which it is given, as few as will do
)

// tied ties the last slab, the box for the total, to what stands before it, so that it is never alone on a page; unless
// the two together are too long for one.
func (s *setter) tied(slabs []slab) []slab {
	n := len(slabs) - 1
	if n == 0 {
		return slabs
	}
	first := n - 1
	for first > 0 && slabs[first-1].keep {
		first--
	}
	slabs[n-1].keep = height(slabs[first:]) <= s.columnHeight()
	return slabs
}

// fittest deals slabs out to pages. Where that leaves little on the last page, all working space of the sheet gives way
// evenly, by a quarter at the most, if that saves the page.
func (s *setter) fittest(slabs []slab, first float64) [][]slab {
	told := len(s.faults)
	pages := s.paginate(slabs, first)
	n := len(pages)
	if n == 1 || height(pages[n-1]) > shortPage*s.columnHeight() {
		return pages
	}
	faults := slices.Clone(s.faults[told:])
	closer := func(step int) [][]slab {
		s.faults = s.faults[:told]
		less := slices.Clone(slabs)
		for i := range less {
			less[i].h -= less[i].give * float64(step) / givings
		}
		return s.paginate(less, first)
	}
	if len(closer(givings)) == n {
		s.faults = append(s.faults[:told], faults...)
		return pages
	}
	for step := 1; ; step++ {
		if pages = closer(step); len(pages) < n {
			return pages
		}
	}
}

// paginate deals slabs out to pages; first is the top of the column on page 1. Slabs tied by keep go to the next page
// together when they do not fit; a chain too long for any page is broken where it must be, and told.
func (s *setter) paginate(slabs []slab, first float64) [][]slab {
	d := &dealer{s: s, pages: [][]slab{make([]slab, 0, len(slabs))}, top: first, y: first, end: s.height - columnEnd}
	for i := 0; i < len(slabs); {
		j := i + 1
		for j < len(slabs) && slabs[j-1].keep && !slabs[j].fresh {
			j++
		}
		d.chain(slabs[i:j])
		i = j
	}
	if n := len(d.pages); n > 1 && d.blank() {
		return d.pages[:n-1]
	}
	return d.pages
}

// A dealer puts slabs onto pages from top to bottom.
type dealer struct {
	s      *setter
	pages  [][]slab
	top    float64 // where the column of the current page starts
	y, end float64
}

// blank tells whether the current page holds nothing yet.
func (d *dealer) blank() bool { return len(d.pages[len(d.pages)-1]) == 0 }

func (d *dealer) turn() {
	d.pages = append(d.pages, nil)
	d.top = d.s.start()
	d.y = d.top
}

// need is the room that sl takes on the current page.
func (d *dealer) need(sl *slab) float64 {
	if d.blank() {
		return sl.h
	}
	return sl.above + sl.h
}

// put sets a slab on the current page, below the head of its table where that was left behind.
func (d *dealer) put(sl slab) {
	if d.blank() && sl.repeat != nil {
		d.put(*sl.repeat)
	}
	d.y += d.need(&sl)
	d.pages[len(d.pages)-1] = append(d.pages[len(d.pages)-1], sl)
}

// chain sets slabs that belong together. They go to a new page when only that holds them all, or when little is left of
// this one.
func (d *dealer) chain(slabs []slab) {
	h := height(slabs) + d.need(&slabs[0]) - slabs[0].h
	room := d.end - d.s.start()
	started := !d.blank() || d.top > d.s.start()
	if slabs[0].fresh && (started || len(d.pages) == 1) {
		d.turn()
	} else if d.y+h > d.end && started && (h <= room || d.y > d.end-room/3) {
		d.turn()
	}
	whole := d.y+d.need(&slabs[0])-slabs[0].h+height(slabs) <= d.end
	for i, sl := range slabs {
		if !whole && d.y+d.need(&sl) > d.end && !d.blank() {
			if i > 0 && i == len(slabs)-1 && sl.question > 0 {
				d.s.fault("question %d is parted from its answer box", sl.question)
			}
			d.turn()
		}
		d.put(sl)
		if d.y > d.end+1 {
			d.s.fault("a piece of %.0f mm is taller than the page", sl.h/millimetre)
		}
	}
}
