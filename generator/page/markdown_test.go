package page

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/yuin/goldmark/ast"

	"keelmark/labs/text"
)

// outline prints blocks as one line each, so that a document can be compared.
func outline(blocks []Block) string {
	var out []string
	for _, b := range blocks {
		switch b := b.(type) {
		case Heading:
			out = append(out, fmt.Sprintf("h%d %s", b.Level, runs(b.Text)))
		case Paragraph:
			out = append(out, "p "+runs(b.Text))
		case Display:
			out = append(out, "display "+b.TeX)
		case Quote:
			out = append(out, "quote ("+outline(b.Body)+")")
		case List:
			var items []string
			for _, it := range b.Items {
				items = append(items, outline(it))
			}
			out = append(out, fmt.Sprintf("list %v from %d (%s)", b.Ordered, b.Start, strings.Join(items, "; ")))
		case Table:
			t := fmt.Sprintf("table %s", b.Align)
			for _, row := range append([][][]Inline{b.Head}, b.Rows...) {
				t += " |"
				for _, c := range row {
					t += " " + runs(c)
				}
			}
			out = append(out, t)
		case Image:
			out = append(out, fmt.Sprintf("image %s %q %d bytes", b.File, b.Alt, len(b.Data)))
		default:
			out = append(out, fmt.Sprintf("%T", b))
		}
	}
	return strings.Join(out, "\n")
}

func runs(in []Inline) string {
	var b strings.Builder
	for _, r := range in {
		switch r := r.(type) {
		case Text:
			open := map[bool]string{true: "*"}[r.Bold] + map[bool]string{true: "/"}[r.Italic] + map[bool]string{true: "`"}[r.Mono]
			b.WriteString(open + r.S + open)
		case Math:
			b.WriteString("$" + r.TeX + "$")
		case Break:
			b.WriteString("⏎")
		}
	}
	return b.String()
}

func testFillers() Fillers {
	return Fillers{
		Placeholder: func(src string) (string, error) {
			if src == "bad" {
				return "", errors.New("no value bad")
			}
			return "<" + src + ">", nil
		},
		Block: func(n ast.Node) ([]Block, bool, error) {
			fence, ok := n.(*ast.FencedCodeBlock)
			if !ok || fence.Info == nil {
				return nil, false, nil
			}
			if n.NextSibling() == nil {
				return nil, true, nil // left out
			}
			return []Block{para(Text{S: "a block of our own"})}, true, nil
		},
		Image: func(path string) ([]byte, error) {
			if path == "gone.png" {
				return nil, errors.New("no such file")
			}
			return []byte("1234"), nil
		},
	}
}

func TestBlocks(t *testing.T) {
	for name, tc := range map[string]struct{ src, want string }{
		"heading":  {"## What to do", "h2 What to do"},
		"styles":   {"a **b** *c* `d e` ***f***", "p a *b* /c/ `d e` */f*/"},
		"values":   {"Weigh **{{Wa}}** at $x^2$.", "p Weigh *<Wa>* at $x^2$."},
		"display":  {"before $$a = b$$ after", "p before \ndisplay a = b\np  after"},
		"lists":    {"3. one\n4. two\n\n- a\n\n  b", "list true from 3 (p one; p two)\nlist false from 0 (p a\np b)"},
		"breaks":   {"one  \ntwo\nthree", "p one⏎two three"},
		"quote":    {"> said", "quote (p said)"},
		"table":    {"| z | W |\n|:-:|--:|\n| 1 | {{Wa}} |", "table c. | z W | 1 <Wa>"},
		"fenced":   {"a\n\n```question Fb\nask: x\n```\n\n```teacher\nno\n```", "p a\np a block of our own"},
		"listing":  {"```\na b\n```", "p `a\u00A0b`"},
		"image":    {"![a lock gate](gate.png)", `image gate.png "a lock gate" 4 bytes`},
		"rule":     {"a\n\n---\n\nb", "p a\npage.Space\np b"},
		"code":     {"    a b", "p `a\u00A0b`"},
		"quotes":   {"the \"bow\" isn't **'up'** at 5' `it's`", "p the “bow” isn’t *‘up’* at 5' `it's`"},
		"link":     {"[the **yard**](yard.html) and [a.org](a.org)", "p the *yard* (yard.html) and a.org"},
		"autolink": {"<https://example.org>", "p https://example.org"},
	} {
		t.Run(name, func(t *testing.T) {
			src := []byte(tc.src)
			blocks, err := Blocks(text.Parse(src), src, testFillers())
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tc.want, outline(blocks)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestBlocksRefuse(t *testing.T) {
	for src, want := range map[string]string{
		"a\n\n<div>b</div>":               "line 3: HTMLBlock cannot be set on a sheet",
		"a <b>c</b>":                      "line 1: RawHTML cannot be set on a sheet",
		"![x](https://example.org/x.png)": "line 1: image https://example.org/x.png is on the web",
		"![x](gone.png)":                  "line 1: image gone.png: no such file",
		"**![x](gate.png)**":              "line 1: an image stands in a paragraph of its own",
		"{{bad}}":                         "no value bad",
		`a $\foo$ b`:                      `formula, at byte 3: unknown command \foo`,
		"word\n\n" + `$$x^2^3$$`:          "formula, at byte 11: a second exponent",
	} {
		blocks, err := Blocks(text.Parse([]byte(src)), []byte(src), testFillers())
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q gives %v, %v; want %q", src, outline(blocks), err, want)
		}
	}
}

func TestInlines(t *testing.T) {
	got, err := Inlines("What is $F_b$ at {{T}}?", testFillers())
	if err != nil || runs(got) != "What is $F_b$ at <T>?" {
		t.Errorf("%s, %v", runs(got), err)
	}
	if got, err := Inlines("", testFillers()); err != nil || got != nil {
		t.Errorf("nothing gives %v, %v", got, err)
	}
	if _, err := Inlines("a\n\nb", testFillers()); err == nil {
		t.Error("two paragraphs pass for one")
	}
	if _, err := Inlines("{{T}}", Fillers{}); err == nil || !strings.Contains(err.Error(), "cannot stand here") {
		t.Errorf("a placeholder without filler gives %v", err)
	}
}

// Whatever Markdown a teacher writes, it is set or refused with an error, and what is set can be printed.
func FuzzBlocks(f *testing.F) {
	for _, s := range []string{"# a\n\n- b\n- c\n\n| a |\n|--|\n| $x^2$ |", "> {{Wa}}\n\n$$\\frac{a}{b}$$", "![x](y.png) `a` <b>"} {
		f.Add(s)
	}
	press := NewPress()
	f.Fuzz(func(t *testing.T, src string) {
		fill := testFillers()
		fill.Image = func(string) ([]byte, error) { return picture("png"), nil }
		blocks, err := Blocks(text.Parse([]byte(src)), []byte(src), fill)
		if err != nil {
			return
		}
		if _, err := press.Write(io.Discard, doc1(blocks...)); err != nil {
			t.Error(err)
		}
	})
}
