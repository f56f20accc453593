package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// Agreement says how far two markers agree on the same answers.
type Agreement struct {
	N      int
	Exact  Figure // share of equal marks
	Within Figure // share that differ by one mark at most
	Mean   Figure // mean of second − first: who is the milder
	SD     Figure // of these differences
	// Kappa is Cohen's kappa with quadratic weights, Psychological Bulletin 70 (1968) 213: 1 is full agreement, 0 what chance
	// would give. Undefined where both give one and the same mark throughout.
	Kappa Figure
}

// Agree compares the marks of two markers, answer by answer. The error tells of lists of unequal length.
func Agree(first, second []float64) (*Agreement, error) {
	if len(first) != len(second) {
		return nil, fmt.Errorf("agreement: %d marks of the first marker, %d of the second", len(first), len(second))
	}
	a := &Agreement{N: len(first), Exact: Undefined, Within: Undefined, Mean: Undefined, SD: Undefined, Kappa: Undefined}
	if a.N == 0 {
		return a, nil
	}
	differences := make([]float64, a.N)
	var equal, near, squares float64
	for i := range first {
		d := second[i] - first[i]
		differences[i] = d
		squares += d * d
		if d == 0 {
			equal++
		}
		if math.Abs(d) <= 1 {
			near++
		}
	}
	n := float64(a.N)
	a.Exact, a.Within = Figure(equal/n), Figure(near/n)
	a.Mean, a.SD = Mean(differences), SD(differences)
	// By chance, each mark of one would meet each of the other: the mean square of x − y over all pairs.
	shift := stat.Mean(second, nil) - stat.Mean(first, nil)
	if byChance := stat.PopVariance(first, nil) + stat.PopVariance(second, nil) + shift*shift; byChance > 0 {
		a.Kappa = Figure(1 - squares/n/byChance)
	}
	return a, nil
}
