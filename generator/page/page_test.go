package page

import (
	"bytes"
	"os"
	"testing"
)

func TestWriteSample(t *testing.T) {
	for _, v := range []string{"plain", "large", "forms", "letter"} {
		doc := sampleDoc()
		switch v {
		case "large":
			doc.Large = true
		case "forms":
			doc.Forms, doc.Tagged = true, true
		case "letter":
			doc.Paper, doc.Plain = "letter", true
		}
		var b bytes.Buffer
		notes, err := Write(&b, doc)
		if err != nil {
			t.Fatal(err)
		}
		t.Log(notes, b.Len())
		if d := os.Getenv("SAMPLE_DIR"); d != "" {
			os.WriteFile(d+"/"+v+".pdf", b.Bytes(), 0o644)
		}
	}
}
