package classset

import (
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The Global Release Identifier A12425GABC1234002 has check character M by ISO/IEC 7064 MOD 37,36 (the example of the
// GRid standard).
func TestCheckCharacterPublished(t *testing.T) {
	if got := checkCharacter("A12425GABC1234002"); got != 'M' {
		t.Errorf("check character %c, want M", got)
	}
}

func TestNewCode(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 5000 {
		code := NewCode(random.IntN)
		if got, ok := CheckCode(code); !ok || got != code {
			t.Fatalf("%s is not taken for a code", code)
		}
		if strings.ContainsAny(code, "AEIOU") || strings.Trim(code, "0123456789") == "" {
			t.Fatalf("%s must not be issued", code)
		}
	}
	digits := 0 // a source that gives digits only once: the all-digit code must be thrown away
	code := NewCode(func(int) int { digits++; return digits / 8 * 12 % 31 })
	if strings.Trim(code, "0123456789") == "" {
		t.Errorf("issued %s, which reads as a number", code)
	}
}

func TestCheckCodeTyped(t *testing.T) {
	const code = "4F7KQ2X"
	full := code + string(checkCharacter(code))
	for _, typed := range []string{full, strings.ToLower(full), full[:4] + "-" + full[4:], " " + full[:4] + " " + full[4:] + " ", full[:4] + "–" + full[4:]} {
		if got, ok := CheckCode(typed); !ok || got != full {
			t.Errorf("CheckCode(%q) = %q, %v; want %q", typed, got, ok, full)
		}
	}
	zero := "10" + code[2:]
	zero += string(checkCharacter(zero))
	if got, ok := CheckCode("IO" + zero[2:]); !ok || got != zero {
		t.Errorf("letters for digits: %q, %v; want %q", got, ok, zero)
	}
	for _, typed := range []string{"", "4F7K", full + "0", "4F7K_Q2X", strings.Repeat("A", 1000), "４F7KQ2X"} {
		if _, ok := CheckCode(typed); ok {
			t.Errorf("CheckCode(%q) is taken for a code", typed)
		}
	}
	if ShowCode(full) != full[:4]+"-"+full[4:] || ShowCode("odd") != "odd" {
		t.Error("ShowCode")
	}
}

// Every single wrong character is caught; the standard promises it.
func TestSingleErrorsAreCaught(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		code := NewCode(random.IntN)
		at := rapid.IntRange(0, codeLength-1).Draw(t, "at")
		wrong := codeAlphabet[rapid.IntRange(0, 35).Draw(t, "wrong")]
		if wrong == code[at] {
			return
		}
		typed := code[:at] + string(wrong) + code[at+1:]
		if got, ok := CheckCode(typed); ok && got != code {
			t.Fatalf("%s typed for %s passes as %s", typed, code, got)
		}
	})
}
