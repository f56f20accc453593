package generator

import (
	"testing"
	"time"

	"keelmark/labs"
)

func TestProbe(t *testing.T) {
	all := time.Now()
	for _, name := range labs.Names() {
		l, err := labs.Load(name)
		if err != nil {
			t.Logf("%s: does not load %v", name, err)
			continue
		}
		start := time.Now()
		r := Check(l, 400)
		t.Log(r, time.Since(start))
		for _, f := range r.Faults {
			t.Log("   ", f)
		}
		for _, f := range r.Notes {
			t.Log("   note", f)
		}
	}
	t.Log(time.Since(all))
}
