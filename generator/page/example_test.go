package page_test

import (
	"bytes"
	"fmt"

	"keelmark/generator/page"
)

func ExampleWrite() {
	var pdf bytes.Buffer
	notes, err := page.Write(&pdf, &page.Document{
		Title: "Weigh it twice",
		Lang:  "en-GB",
		Paper: "a4",
		Sheets: []page.Sheet{{
			Title: "Weigh it twice",
			Code:  "4F7KQ2X7",
			Body: []page.Block{
				page.Paragraph{Text: []page.Inline{page.Text{S: "The sinker takes the place of "}, page.Math{TeX: `V = \frac{F_b}{\rho_w g}`}}},
				page.Question{Number: 1, Marks: 2, Ask: []page.Block{
					page.Paragraph{Text: []page.Inline{page.Text{S: "What is the upthrust?"}}},
				}, Box: page.Box{Kind: "number", Unit: "N"}},
			},
		}},
	})
	fmt.Println(string(pdf.Bytes()[:8]), len(notes), err)
	// Output: %PDF-1.7 0 <nil>
}
