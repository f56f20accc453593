package page

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// lengths makes bodies of so many paragraphs each, from the fullest to the shortest; some 40 fit on a page. Each says how
// long it is.
func lengths(counts ...int) (bodies []func() ([]Block, error)) {
	for _, n := range counts {
		bodies = append(bodies, func() ([]Block, error) {
			blocks := []Block{para(Text{S: fmt.Sprintf("body%d", n)})}
			for range n - 1 {
				blocks = append(blocks, para(Text{S: "more"}))
			}
			return blocks, nil
		})
	}
	return bodies
}

// Of several bodies a sheet gets the fullest that fits on one page, whatever the sheet before got, or else the last; in a
// tagged document that one alone is in the structure tree.
func TestBodies(t *testing.T) {
	doc := &Document{Title: "t", Paper: "a4", Tagged: true}
	var want []string
	for _, c := range []struct {
		counts []int
		want   int
	}{
		{[]int{90, 80, 70, 5}, 5},
		{[]int{20, 9, 8, 7}, 20},
		{[]int{90, 9, 8, 7}, 9},
		{[]int{90, 80}, 80}, // none fits
		{[]int{90, 80, 70, 60, 50, 4}, 4},
		{[]int{6}, 6},
		{[]int{90, 80, 10, 9, 8}, 10},
	} {
		doc.Sheets = append(doc.Sheets, Sheet{Title: "Slip", Bodies: lengths(c.counts...)})
		want = append(want, fmt.Sprintf("body%d", c.want))
	}
	marks, s := record(t, doc)
	var got []string
	for _, m := range marks {
		if strings.HasPrefix(m.text, "body") {
			got = append(got, m.text)
		}
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("bodies %v, want %v", got, want)
	}
	for i, sheet := range s.marks.root.kids {
		paragraphs := 0
		for _, e := range sheet.elem.kids {
			if e.elem != nil && e.elem.tag == "P" {
				paragraphs++
			}
		}
		var n int
		fmt.Sscanf(want[i], "body%d", &n)
		if paragraphs != n+1 { // one is the head's
			t.Errorf("sheet %d: %d paragraphs in the structure tree, want %d", i+1, paragraphs, n+1)
		}
	}
}

// A body that cannot be made is told once, whichever of the sheet's it is.
func TestBodyThatCannotBeMade(t *testing.T) {
	broken := func() ([]Block, error) { return nil, errors.New("no such number") }
	for at := range 3 {
		bodies := lengths(90, 80, 5)
		for i := at; i < len(bodies); i++ {
			bodies[i] = broken
		}
		_, err := NewPress().set(&Document{Title: "t", Paper: "a4", Sheets: []Sheet{{Title: "Slip", Bodies: bodies}}})
		if err == nil || err.Error() != "no such number" {
			t.Errorf("broken from body %d on: error %v", at+1, err)
		}
	}
}
