package stats

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// table reads a file of testdata: a row a person, a column an item.
func table(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	scores := make([][]float64, len(rows)-1)
	for i, row := range rows[1:] {
		for _, cell := range row {
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatalf("%s, row %d: %v", name, i+2, err)
			}
			scores[i] = append(scores[i], x)
		}
	}
	return scores
}

// patterns reads answer patterns with their counts ("p01101,12").
func patterns(t *testing.T, name string) (scores [][]float64) {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		var person []float64
		for _, c := range row[0][1:] {
			person = append(person, float64(c-'0'))
		}
		count, err := strconv.Atoi(row[1])
		if err != nil {
			t.Fatal(err)
		}
		for range count {
			scores = append(scores, person)
		}
	}
	return scores
}

func analyse(t *testing.T, scores [][]float64) *Test {
	t.Helper()
	test, err := Analyse(scores)
	if err != nil {
		t.Fatal(err)
	}
	return test
}

// near compares to as many digits as the source prints, ten after the point at most.
func near(t *testing.T, what string, got Figure, want, digit float64) {
	t.Helper()
	if !(math.Abs(float64(got)-want) <= 0.51*digit) {
		t.Errorf("%s = %.12f, want %.12f", what, got, want)
	}
}

const ten = 1e-10

// column gives one field of all items.
func column(test *Test, field func(Item) Figure) (out []Figure) {
	for _, item := range test.Items {
		out = append(out, field(item))
	}
	return out
}

func nearAll(t *testing.T, what string, got []Figure, want ...float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d figures, want %d", what, len(got), len(want))
	}
	for i := range want {
		near(t, what+" "+strconv.Itoa(i+1), got[i], want[i], ten)
	}
}

// Twelve pupils, eight right-or-wrong items, made up for this test; every figure from R 4.2.2 with psych 2.2.9:
// psych::alpha(X, check.keys = FALSE), cor(X[, j], t - X[, j]), sd(t)*sqrt(1 - alpha).
func TestRightOrWrongItems(t *testing.T) {
	test := analyse(t, table(t, "item_A_invented_12x8.csv"))
	near(t, "mean", test.Total.Mean, 4.416666667, 1e-9)
	near(t, "SD", test.Total.SD, 2.151461800, 1e-9)
	near(t, "median", test.Total.Median, 4.5, ten)
	near(t, "alpha", test.Alpha, 0.677110123919, 1e-12)
	near(t, "KR-20", test.KR20, 0.677110123919, 1e-12)
	near(t, "SEM", test.SEM, 1.22253374, 1e-8)
	nearAll(t, "item-total", column(test, func(i Item) Figure { return i.ItemTotal }),
		0.6332313927, 0.5839272948, 0.4863101325, 0.5812517834, 0.6068350455, 0.6496343462, 0.5435230893, 0.3718842190)
	nearAll(t, "corrected", column(test, func(i Item) Figure { return i.Corrected }),
		0.5045616758, 0.4181666988, 0.2826334319, 0.3873758175, 0.4164703320, 0.4749356901, 0.3510241054, 0.1522862260)
	nearAll(t, "alpha if dropped", column(test, func(i Item) Figure { return i.AlphaDropped }),
		0.6225390360, 0.6359289617, 0.6673241289, 0.6421568627, 0.6345467523, 0.6191520468, 0.6510522743, 0.6969696970)
	for j, want := range []float64{0.151515, 0.204545, 0.242424, 0.265152, 0.272727, 0.265152, 0.242424, 0.242424} {
		near(t, "variance", test.Items[j].Variance, want, 1e-6)
	}
}

// p·q has divisor n; over a variance of totals with divisor n − 1 it gives a mixture that is neither KR-20 nor alpha.
// On the data above the mixture is 0.715922375497 (computed with R).
func TestKR20IsNotTheMixture(t *testing.T) {
	scores := table(t, "item_A_invented_12x8.csv")
	test := analyse(t, scores)
	var pq float64
	for _, item := range test.Items {
		pq += float64(item.Mean * (1 - item.Mean))
	}
	mixture := 8.0 / 7 * (1 - pq/float64(test.Total.SD*test.Total.SD))
	near(t, "the mixture", Figure(mixture), 0.715922375497, 1e-12)
	if math.Abs(float64(test.KR20)-mixture) < 0.03 {
		t.Errorf("KR-20 = %v is the mixture", test.KR20)
	}
}

// Ten pupils, five items of 0 to 4 marks, made up for this test; figures from R as above.
func TestItemsOfSeveralMarks(t *testing.T) {
	test := analyse(t, table(t, "item_B_invented_10x5.csv"))
	near(t, "mean", test.Total.Mean, 11.1, ten)
	near(t, "SD", test.Total.SD, 5.466056877, 1e-9)
	near(t, "median", test.Total.Median, 11.5, ten)
	near(t, "alpha", test.Alpha, 0.932502789141, 1e-12)
	near(t, "SEM", test.SEM, 1.420093894, 1e-9)
	nearAll(t, "item-total", column(test, func(i Item) Figure { return i.ItemTotal }),
		0.8935073810, 0.9127496770, 0.7738931414, 0.9491209323, 0.9211977038)
	nearAll(t, "corrected", column(test, func(i Item) Figure { return i.Corrected }),
		0.8276096288, 0.8683134538, 0.6550171191, 0.9182250568, 0.8649169423)
	nearAll(t, "alpha if dropped", column(test, func(i Item) Figure { return i.AlphaDropped }),
		0.9157466589, 0.9108187135, 0.9472383977, 0.8988235294, 0.9092409241)
	if test.KR20.Defined() {
		t.Errorf("KR-20 = %v for items of several marks, want it undefined", test.KR20)
	}
}

// Wuensch's example for KR-20, https://core.ecu.edu/wuenschk/StatHelp/KR20.txt: the data and the population variance
// of 5.84 are the page's; 10/9·(1 − 2.18/5.84) is what it leaves to the reader. Item figures from R.
func TestWuensch(t *testing.T) {
	test := analyse(t, table(t, "kr20_ecu_10x10.csv"))
	near(t, "mean", test.Total.Mean, 6.6, ten)
	near(t, "population variance", test.Total.SD*test.Total.SD*9/10, 5.84, ten)
	near(t, "KR-20", test.KR20, 0.696347031963, 1e-12)
	near(t, "alpha", test.Alpha, 0.696347031963, 1e-12)
	for _, c := range []struct {
		item                      int
		total, corrected, dropped float64
	}{
		{1, 0.7946330082, 0.7058891544, 0.6083916084},
		{3, 0.2027212135, 0, 0.7352678571},
		{6, 0.4344930915, 0.2861465446, 0.6845930233},
		{7, 0.1625385699, -0.0274445096, 0.7355008787},
		{9, 0.0827605889, -0.1236128465, 0.7563667233},
	} {
		item := test.Items[c.item-1]
		nearAll(t, "item "+strconv.Itoa(c.item), []Figure{item.ItemTotal, item.Corrected, item.AlphaDropped}, c.total, c.corrected, c.dropped)
	}
}

// Chatterjee and Price's attitude data as R's datasets::attitude has them; psych::alpha(attitude) is that package's own
// example.
func TestAttitude(t *testing.T) {
	test := analyse(t, table(t, "attitude.csv"))
	near(t, "alpha", test.Alpha, 0.8431427696, ten)
	nearAll(t, "item-total", column(test, func(i Item) Figure { return i.ItemTotal }),
		0.7788257019, 0.8367805506, 0.6972768034, 0.8066859226, 0.8501304439, 0.4207009885, 0.5953449857)
	nearAll(t, "corrected", column(test, func(i Item) Figure { return i.Corrected }),
		0.6712620572, 0.7421097102, 0.5607111115, 0.7144454981, 0.7862755938, 0.2650343392, 0.4608105495)
}

// Section 7 of the LSAT, 1000 candidates (R: psych::lsat7); figures from R.
func TestLSAT7(t *testing.T) {
	test := analyse(t, patterns(t, "lsat7_patterns.csv"))
	if test.N != 1000 || test.K != 5 {
		t.Fatalf("%d × %d scores", test.N, test.K)
	}
	near(t, "mean", test.Total.Mean, 3.707, ten)
	near(t, "KR-20", test.KR20, 0.453408735387, 1e-12)
	nearAll(t, "corrected", column(test, func(i Item) Figure { return i.Corrected }),
		0.2457316499, 0.2466735767, 0.3131792534, 0.2227512541, 0.1747863009)
	nearAll(t, "alpha if dropped", column(test, func(i Item) Figure { return i.AlphaDropped }),
		0.3959749651, 0.3938310449, 0.3453912200, 0.4146007490, 0.4384621017)
}

// The worked example of https://www.calkulon.com/en/learn/smart/cronbach-alpha: variances 1.6667, 0.9167, 1.6667 over 12.25.
func TestSmallWorkedExample(t *testing.T) {
	test := analyse(t, [][]float64{{4, 5, 4}, {3, 4, 3}, {5, 5, 5}, {2, 3, 2}})
	near(t, "alpha", test.Alpha, 0.979591836735, 1e-12)
}

// Feldt's interval is where F says it is: its ends turn back into the quantiles of tables of F. With n = 13 and k = 6,
// (1 − alpha)/(1 − low) is 1/F(0.975; 12, 60) = 1/2.17 in printed tables of F.
func TestFeldt(t *testing.T) {
	low, high := feldt(0.8, 13, 6)
	near(t, "F at 0.975", (1-low)/0.2, 2.17, 0.01)
	if !(low < 0.8 && 0.8 < high && high < 1) {
		t.Errorf("the interval %v to %v does not hold 0.8", low, high)
	}
	if wide, _ := feldt(0.8, 5, 6); wide >= low {
		t.Errorf("five persons give a low end of %v, thirteen %v", wide, low)
	}
}

// What is not defined is undefined, not 0.
func TestUndefined(t *testing.T) {
	for name, c := range map[string]struct {
		scores  [][]float64
		figures func(*Test) []Figure
	}{
		"nobody": {nil, func(t *Test) []Figure {
			return []Figure{t.Alpha, t.KR20, t.SEM, t.Total.Mean, t.Total.SD, t.Total.Median}
		}},
		"one person": {[][]float64{{1, 0}}, func(t *Test) []Figure {
			return []Figure{t.Alpha, t.Low, t.KR20, t.SEM, t.Total.SD, t.Items[0].Corrected}
		}},
		"one item":  {[][]float64{{1}, {0}}, func(t *Test) []Figure { return []Figure{t.Alpha, t.KR20, t.SEM, t.Items[0].Corrected} }},
		"all equal": {[][]float64{{1, 1}, {1, 1}}, func(t *Test) []Figure { return []Figure{t.Alpha, t.KR20, t.SEM, t.Items[1].Corrected} }},
		"an item that all have right": {[][]float64{{1, 1, 0}, {1, 0, 0}, {1, 1, 1}},
			func(t *Test) []Figure { return []Figure{t.Items[0].Corrected, t.Items[0].ItemTotal} }},
		"totals that do not vary": {[][]float64{{1, 0}, {0, 1}}, func(t *Test) []Figure { return []Figure{t.Alpha, t.KR20, t.Items[0].ItemTotal} }},
	} {
		t.Run(name, func(t *testing.T) {
			for i, f := range c.figures(analyse(t, c.scores)) {
				if f.Defined() || f.Format(2) != "–" {
					t.Errorf("figure %d is %v, want it undefined", i+1, f)
				}
			}
		})
	}
	if json, err := json.Marshal([]Figure{Undefined, 0.5, Figure(math.Inf(1))}); err != nil || string(json) != "[null,0.5,null]" {
		t.Errorf("JSON %s, %v", json, err)
	}
}

func TestFormat(t *testing.T) {
	for want, f := range map[string]Figure{"0.50": 0.5, "−0.12": -0.1236, "0.00": -0.001, "–": Undefined, "12.30": 12.3} {
		if got := f.Format(2); got != want {
			t.Errorf("%v is written %q, want %q", float64(f), got, want)
		}
	}
}

func TestFaultyScores(t *testing.T) {
	for name, scores := range map[string][][]float64{"a short row": {{1, 2}, {1}}, "a gap": {{1, math.NaN()}}} {
		if _, err := Analyse(scores); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// Laws: alpha does not change when persons change places or every score is doubled; KR-20 is alpha for items of 0 and 1.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, k := rapid.IntRange(2, 12).Draw(t, "n"), rapid.IntRange(2, 6).Draw(t, "k")
		scores, doubled := make([][]float64, n), make([][]float64, n)
		for i := range scores {
			for range k {
				x := float64(rapid.IntRange(0, 1).Draw(t, "score"))
				scores[i], doubled[i] = append(scores[i], x), append(doubled[i], 2*x)
			}
		}
		test, err := Analyse(scores)
		if err != nil {
			t.Fatal(err)
		}
		slices.Reverse(doubled)
		other, err := Analyse(doubled)
		if err != nil {
			t.Fatal(err)
		}
		if test.Alpha.Defined() != other.Alpha.Defined() || test.Alpha.Defined() != test.KR20.Defined() {
			t.Fatalf("defined: alpha %v, doubled %v, KR-20 %v", test.Alpha, other.Alpha, test.KR20)
		}
		if test.Alpha.Defined() && (math.Abs(float64(test.Alpha-other.Alpha)) > 1e-9 || math.Abs(float64(test.Alpha-test.KR20)) > 1e-9) {
			t.Fatalf("alpha %v, doubled %v, KR-20 %v", test.Alpha, other.Alpha, test.KR20)
		}
	})
}
