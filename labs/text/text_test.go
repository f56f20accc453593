package text

import (
	"fmt"
	"strings"
	"testing"

	"github.com/yuin/goldmark/ast"
)

// inlines lists our nodes of a document as they stand in it: {source}, $tex$, $$tex$$, with their offsets checked.
func inlines(t *testing.T, source string) string {
	t.Helper()
	var found []string
	_ = ast.Walk(Parse([]byte(source)), func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch n := n.(type) {
		case *Placeholder:
			found = append(found, fmt.Sprintf("{%s}", n.Source))
			if !strings.HasPrefix(source[n.Offset:], n.Source) {
				t.Errorf("%q: offset %d is not where %q stands", source, n.Offset, n.Source)
			}
		case *Formula:
			sign := "$"
			if n.Display {
				sign = "$$"
			}
			found = append(found, sign+n.TeX+sign)
			if !strings.HasPrefix(source[n.Offset:], n.TeX) {
				t.Errorf("%q: offset %d is not where %q stands", source, n.Offset, n.TeX)
			}
		}
		return ast.WalkContinue, nil
	})
	return strings.Join(found, " ")
}

func TestParse(t *testing.T) {
	for source, want := range map[string]string{
		"reads {{Wa}}.":                    "{Wa}",
		"reads **{{ Wa in gf }}**":         "{Wa in gf}",
		"{{a*b}} and {{c}}*d*":             "{a*b} {c}",
		"- item {{a}}\n\n> quote {{b}}":    "{a} {b}",
		"| x |\n|---|\n| {{a}} |":          "{a}",
		"# Head {{a}}":                     "{a}",
		"`{{a}}` is code":                  "",
		"{{a":                              "",
		"{a}":                              "",
		"$a_b*c*$":                         "$a_b*c*$",
		`density $\rho_w =$ {{rho_w}}`:     `$\rho_w =$ {rho_w}`,
		`an escaped \$5 and $x$`:           "$x$",
		`$\text{5\$}$`:                     `$\text{5\$}$`,
		"it costs $5 and $6":               "",
		"$ x$":                             "",
		"$x $":                             "",
		"$$a = b$$":                        "$$a = b$$",
		"$$never closed":                   "",
		"```figure hang\nair: {{Wa}}\n```": "",
	} {
		if got := inlines(t, source); got != want {
			t.Errorf("%q gives %q, want %q", source, got, want)
		}
	}
}

func TestDisplayOverLines(t *testing.T) {
	n := Parse([]byte("$$\na = b\n$$")).FirstChild().FirstChild()
	f, ok := n.(*Formula)
	if !ok || !f.Display || strings.TrimSpace(f.TeX) != "a = b" {
		t.Errorf("got %#v", n)
	}
}
