// Package stats is the arithmetic of test scores: mean and spread of totals, facility and discrimination of items,
// reliability, and how far two markers agree. It knows numbers only, no pupils and no questions.
//
// Variances are those of a sample (divisor n − 1) throughout. A figure that is not defined is NaN inside a [Figure],
// "–" in print and null in JSON, never 0. Missing scores are not guessed at: who has one is left out by the caller.
// Start with [Analyse].
package stats

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Figure is a statistic that may be undefined (NaN).
type Figure float64

// Undefined is the Figure that has no value.
var Undefined = Figure(math.NaN())

// Defined reports whether the figure has a value.
func (f Figure) Defined() bool { return !math.IsNaN(float64(f)) && !math.IsInf(float64(f), 0) }

// Format writes the figure with a true minus and so many decimals, or "–".
func (f Figure) Format(decimals int) string {
	if !f.Defined() {
		return "–"
	}
	s := strconv.FormatFloat(float64(f), 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" { // -0.00 is 0.00
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// MarshalJSON writes the figure unrounded, null where it is undefined.
func (f Figure) MarshalJSON() ([]byte, error) {
	if !f.Defined() {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, float64(f), 'g', -1, 64), nil
}

// Mean is the arithmetic mean; undefined for nothing.
func Mean(x []float64) Figure {
	if len(x) == 0 {
		return Undefined
	}
	return Figure(stat.Mean(x, nil))
}

// SD is the standard deviation of a sample; undefined for fewer than two.
func SD(x []float64) Figure {
	if len(x) < 2 {
		return Undefined
	}
	return Figure(stat.StdDev(x, nil))
}

// Median is the middle one in order of size, or the mean of the middle two; undefined for nothing.
func Median(x []float64) Figure {
	if len(x) == 0 {
		return Undefined
	}
	sorted := slices.Sorted(slices.Values(x))
	middle := len(sorted) / 2
	if len(sorted)%2 == 1 {
		return Figure(sorted[middle])
	}
	return Figure((sorted[middle-1] + sorted[middle]) / 2)
}

// Correlation is Pearson's r of two lists of one length; undefined for fewer than two pairs, and where one list does not
// vary.
func Correlation(x, y []float64) Figure {
	if len(x) < 2 || !varies(x) || !varies(y) {
		return Undefined
	}
	return Figure(stat.Correlation(x, y, nil))
}

// varies is asked before any division by a variance: rounding may give equal numbers a variance that is not quite 0.
func varies(x []float64) bool {
	return slices.ContainsFunc(x, func(v float64) bool { return v != x[0] })
}

// Item is what a test says of one of its items.
type Item struct {
	Mean, Variance Figure
	ItemTotal      Figure // correlation with the total of all items
	Corrected      Figure // correlation with the total of the other items: discrimination
	AlphaDropped   Figure // alpha of the test without the item
}

// Test is what a table of scores says.
type Test struct {
	N, K  int // persons, items
	Total struct{ Mean, SD, Median Figure }
	Items []Item

	// Alpha is Cronbach's: k/(k−1)·(1 − Σ item variances / variance of totals), Psychometrika 16 (1951) 297. Undefined for
	// fewer than two items or persons, and where totals do not vary.
	Alpha Figure
	// Low and High hold alpha with a probability of 95 %, after Feldt, Psychometrika 30 (1965) 357.
	Low, High Figure
	// KR20 is Kuder and Richardson's formula 20, k/(k−1)·(1 − Σpq/σ²), Psychometrika 2 (1937) 151, with σ² of divisor n
	// as p·q has; it is alpha for items that score 0 or 1, and undefined for others.
	KR20 Figure
	// SEM is the standard error of measurement of a total, SD·√(1 − alpha).
	SEM Figure
}

// Analyse takes a row a person and a column an item. The error tells of rows of unequal length and of scores that are
// not finite.
func Analyse(scores [][]float64) (*Test, error) {
	t := &Test{N: len(scores), Alpha: Undefined, Low: Undefined, High: Undefined, KR20: Undefined, SEM: Undefined}
	if t.N > 0 {
		t.K = len(scores[0])
	}
	columns := make([][]float64, t.K)
	totals := make([]float64, t.N)
	for i, row := range scores {
		if len(row) != t.K {
			return nil, fmt.Errorf("scores: row %d has %d items, row 1 has %d", i+1, len(row), t.K)
		}
		for j, x := range row {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return nil, fmt.Errorf("scores: row %d, item %d is %v; leave out who has no score", i+1, j+1, x)
			}
			columns[j] = append(columns[j], x)
			totals[i] += x
		}
	}
	t.Total.Mean, t.Total.SD, t.Total.Median = Mean(totals), SD(totals), Median(totals)
	t.Alpha = alpha(columns, totals)
	t.Low, t.High = feldt(t.Alpha, t.N, t.K)
	t.KR20 = kr20(columns, totals)
	if t.Alpha <= 1 { // not NaN
		t.SEM = t.Total.SD * Figure(math.Sqrt(1-float64(t.Alpha)))
	}
	for j, column := range columns {
		rest := make([]float64, t.N)
		for i := range rest {
			rest[i] = totals[i] - column[i]
		}
		others := slices.Concat(columns[:j], columns[j+1:])
		t.Items = append(t.Items, Item{
			Mean: Mean(column), Variance: variance(column),
			ItemTotal: Correlation(column, totals), Corrected: Correlation(column, rest), AlphaDropped: alpha(others, rest),
		})
	}
	return t, nil
}

func variance(x []float64) Figure {
	if len(x) < 2 {
		return Undefined
	}
	return Figure(stat.Variance(x, nil))
}

func alpha(columns [][]float64, totals []float64) Figure {
	k := Figure(len(columns))
	if k < 2 || len(totals) < 2 || !varies(totals) {
		return Undefined
	}
	var items Figure
	for _, column := range columns {
		items += variance(column)
	}
	return k / (k - 1) * (1 - items/variance(totals))
}

func kr20(columns [][]float64, totals []float64) Figure {
	k := Figure(len(columns))
	if k < 2 || len(totals) < 2 || !varies(totals) {
		return Undefined
	}
	var pq Figure
	for _, column := range columns {
		if slices.ContainsFunc(column, func(x float64) bool { return x != 0 && x != 1 }) {
			return Undefined
		}
		p := Mean(column)
		pq += p * (1 - p)
	}
	return k / (k - 1) * (1 - pq/Figure(stat.PopVariance(totals, nil)))
}

// feldt is the 95 % interval of alpha: (1 − α)/(1 − a) is distributed as F with n − 1 and (n − 1)(k − 1) degrees of freedom.
func feldt(a Figure, n, k int) (low, high Figure) {
	if !a.Defined() || n < 2 || k < 2 {
		return Undefined, Undefined
	}
	f := distuv.F{D1: float64(n - 1), D2: float64((n - 1) * (k - 1))}
	return 1 - (1-a)*Figure(f.Quantile(0.975)), 1 - (1-a)*Figure(f.Quantile(0.025))
}
