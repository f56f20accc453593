package report

import (
	"fmt"
	"io"
	"testing"
)

// classOf is a class of n whose every third pupil slips and every fifth leaves a blank.
func classOf(n int) []answers {
	written := make([]answers, n)
	for i := range written {
		written[i] = but(answers{"why": fmt.Sprint(i % 3)})
		if i%3 == 1 {
			written[i]["Fb"] = "12.56"
		}
		if i%5 == 2 {
			written[i]["m"] = ""
		}
	}
	return written
}

func BenchmarkFeedback(b *testing.B) {
	r := marked(b, classOf(300)...)
	for b.Loop() {
		if err := Feedback(io.Discard, r); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkClass(b *testing.B) {
	r := marked(b, classOf(300)...)
	for b.Loop() {
		if err := Class(io.Discard, r, pictures(b, r)); err != nil {
			b.Fatal(err)
		}
	}
}
