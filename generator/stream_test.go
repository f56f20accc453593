package generator

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

// What a seed draws is a promise to every set already printed: these vectors never change.
func TestStreamGolden(t *testing.T) {
	s := newStream("lock 7", "archimedes/weigh-twice", "p1", "Wa", 0)
	got := fmt.Sprintf("%.17g %.17g %d %d %.15g %v", s.Float(), s.Float(), s.IntN(10), s.IntN(1<<40), s.Normal(), s.Perm(6))
	const want = "0.5078889598071562 0.9418184934109699 6 758754709225 1.16218890247223 [5 6 2 3 4 1]"
	if got != want {
		t.Errorf("drew %s\nwant %s", got, want)
	}
}

func TestStreamsDiffer(t *testing.T) {
	seen := map[float64]string{}
	for _, c := range [][4]string{{"s", "lab", "p", "v"}, {"s", "la", "bp", "v"}, {"s", "lab", "pv", ""}, {"sl", "ab", "p", "v"}, {"s", "lab", "p2", "v"}} {
		for attempt := range 3 {
			name := fmt.Sprint(c, attempt)
			x := newStream(c[0], c[1], c[2], c[3], attempt).Float()
			if other, twice := seen[x]; twice {
				t.Errorf("%s draws what %s draws", name, other)
			}
			seen[x] = name
		}
	}
}

func TestStreamDistributions(t *testing.T) {
	s := newStream("s", "l", "p", "v", 0)
	const n = 20000
	var counts [7]int
	var sum, square float64
	for range n {
		counts[s.IntN(7)]++
		x := s.Normal()
		sum += x
		square += x * x
	}
	for k, c := range counts {
		if math.Abs(float64(c)-n/7.) > 5*math.Sqrt(n/7.) {
			t.Errorf("IntN(7) gave %d %d times in %d", k, c, n)
		}
	}
	if mean, variance := sum/n, square/n; math.Abs(mean) > 0.04 || math.Abs(variance-1) > 0.05 {
		t.Errorf("Normal has mean %v and variance %v", mean, variance)
	}
	order := s.Perm(8)
	slices.Sort(order)
	if !slices.Equal(order, []int{1, 2, 3, 4, 5, 6, 7, 8}) {
		t.Errorf("Perm(8) sorted: %v", order)
	}
}
