package formula

import (
	"fmt"
	"testing"
)

func TestTogether(t *testing.T) {
	b := boatyard()
	for src, want := range map[string]string{
		"Wa - Ww":                       "[]",
		"sum(z)":                        "[]",
		"sum(z)*mean(short)":            "[]",
		"slope(z, short)":               "[[z short]]",
		"sum(z*short)/sum(z)":           "[[z short]]",
		"max(z)/1 m + slope(short, -z)": "[[short z]]",
		"sum(abs(z)*(1 m - short))":     "[[z short]]",
		"mean(z)*short":                 "[]",
	} {
		e, err := Parse(src)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := e.Compile(b, nil); err != nil {
			t.Errorf("%s: %v", src, err)
		}
		if got := fmt.Sprint(e.Together(b, nil)); got != want {
			t.Errorf("%s: %s, want %s", src, got, want)
		}
	}
}
