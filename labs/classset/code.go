package classset

import "strings"

// A code is eight characters, the last a check character by ISO/IEC 7064 MOD 37,36, which catches every single wrong
// character and nearly every swap of two neighbours.
const (
	codeLength   = 8
	codeAlphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	// Issued codes hold no vowels: none spells a word, looks like a date (1MAY2024) or a number (12E45678) to a
	// spreadsheet, or has an I or O to be taken for 1 or 0.
	issuedAlphabet = "0123456789BCDFGHJKLMNPQRSTVWXYZ"
)

// checkCharacter returns the ISO/IEC 7064 MOD 37,36 check character of s, whose characters must be of codeAlphabet.
func checkCharacter(s string) byte {
	p := 36
	for i := range len(s) {
		sum := (p + strings.IndexByte(codeAlphabet, s[i])) % 36
		if sum == 0 {
			sum = 36
		}
		p = sum * 2 % 37
	}
	return codeAlphabet[(37-p)%36]
}

// NewCode makes a sheet's code from a source of random numbers 0..n-1. Codes that a spreadsheet would take for a number
// are not issued.
func NewCode(intn func(n int) int) string {
	for {
		var b [codeLength]byte
		for i := range codeLength - 1 {
			b[i] = issuedAlphabet[intn(len(issuedAlphabet))]
		}
		b[codeLength-1] = checkCharacter(string(b[:codeLength-1]))
		code := string(b[:])
		if strings.IndexByte(issuedAlphabet, b[codeLength-1]) >= 0 && strings.Trim(code, "0123456789") != "" {
			return code
		}
	}
}

// CheckCode tells whether a code as typed (any case, spaces, hyphens, the letters O and I for 0 and 1) is well formed,
// and returns it in canonical form.
func CheckCode(typed string) (canonical string, ok bool) {
	if len(typed) > 64 {
		return "", false
	}
	code := strings.Map(func(r rune) rune {
		switch {
		case r == ' ', r == '-', r == '\u00a0', r == '\u2010', r == '\u2011', r == '\u2013':
			return -1
		case r >= 'a' && r <= 'z':
			return r - 'a' + 'A'
		}
		return r
	}, strings.TrimSpace(typed))
	if wellFormed(code) {
		return code, true
	}
	code = strings.NewReplacer("O", "0", "I", "1").Replace(code)
	return code, wellFormed(code)
}

func wellFormed(code string) bool {
	if len(code) != codeLength {
		return false
	}
	for i := range len(code) {
		if strings.IndexByte(codeAlphabet, code[i]) < 0 {
			return false
		}
	}
	return checkCharacter(code[:codeLength-1]) == code[codeLength-1]
}

// ShowCode writes a code as it stands on paper: 4F7K-Q2X7.
func ShowCode(code string) string {
	if len(code) != codeLength {
		return code
	}
	return code[:4] + "-" + code[4:]
}
