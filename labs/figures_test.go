package labs

import (
	"os"
	"strings"
	"testing"
)

func TestFigureTableIsInTheGuide(t *testing.T) {
	guide, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(guide), FigureTable()) {
		t.Errorf("DEVELOPERS.md does not hold the figure kinds as they are now; replace that section by:\n%s", FigureTable())
	}
}

func TestFigureKindsAreSound(t *testing.T) {
	for _, kind := range FigureKinds {
		if got, ok := FigureKindNamed(kind.Name); !ok || got.Shows != kind.Shows {
			t.Errorf("%s is not found by its name", kind.Name)
		}
		seen := map[string]bool{}
		for _, key := range append(kind.Keys, FigureLabels) {
			if seen[key.Key] || key.Meaning == "" {
				t.Errorf("%s: key %s stands twice or has no meaning", kind.Name, key.Key)
			}
			seen[key.Key] = true
			if got, ok := kind.Key(key.Key); !ok || got.Meaning != key.Meaning {
				t.Errorf("%s: key %s is not found", kind.Name, key.Key)
			}
			if key.Like != "" && !seen[key.Like] {
				t.Errorf("%s: %s is like %s, which does not stand before it", kind.Name, key.Key, key.Like)
			}
		}
	}
	if _, ok := FigureKindNamed("boat"); ok {
		t.Error("there is a kind boat")
	}
}
