package quantity

import (
	"strings"
	"testing"
)

// The searches that are spared for most answers would have found nothing there.
func FuzzSparedSearches(f *testing.F) {
	for _, answer := range []string{"0.91 N 2 sig fig", "5 (3 s.f.)", "5 to 2 Sig. Figs.", "5, 3 significant figures", "5.0 (1 d.p.]", "5 N 2 DECIMAL PLACES",
		"5 N approximately", "5 approx.", "5 or so", "5 N ROUGHLY", "about 5 about", "5 V dc", "5 in total)", "5 !", "5...", "5 \u00b1 1", "5 +/- 1",
		"5 PLUS OR MINUS 1", "5 plu\u017f-minu\u017f 1"} {
		f.Add(answer)
	}
	f.Fuzz(func(t *testing.T, answer string) {
		text := fold(answer)
		if figurePattern.MatchString(text) && !endsIn(text, figureEnds) {
			t.Errorf("%q ends in a remark about figures, which is not looked for", text)
		}
		if tailPattern.MatchString(text) && !endsIn(text, tailEnds) {
			t.Errorf("%q ends in a word to set aside, which is not looked for", text)
		}
		if (answerPattern.MatchString(text) || namePattern().MatchString(text) || aboutPattern.MatchString(text)) && startsNumber(text) {
			t.Errorf("%q begins with a name or word, which is not looked for", text)
		}
		if spreadPattern.MatchString(text) && !strings.ContainsAny(text, spreadSigns) {
			t.Errorf("%q has an uncertainty, which is not looked for", text)
		}
	})
}
