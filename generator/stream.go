package generator

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"hash"
	"math"
	"math/bits"
	"math/rand/v2"
)

// stream is a source of random numbers for one variable of one sheet. Its conversions are our own: what a seed draws must
// never change with a release of the standard library.
type stream struct{ source *rand.ChaCha8 }

// newStream seeds ChaCha8 by HMAC-SHA256 of lab, student, variable and attempt under the class seed, so that no variable
// of any sheet has a bearing on another.
func newStream(classSeed, lab, student, variable string, attempt int) *stream {
	return keyed(classSeed).stream(lab, student, variable, attempt)
}

// streams makes the streams of a class seed one after the other, in the same memory: a class takes a million.
type streams struct {
	mac     hash.Hash
	message []byte
	current stream
}

// keyed gives the streams of a class seed. They serve one goroutine at a time.
func keyed(classSeed string) *streams {
	return &streams{hmac.New(sha256.New, []byte(classSeed)), make([]byte, 0, 128), stream{new(rand.ChaCha8)}}
}

// stream is valid until the next call.
func (s *streams) stream(lab, student, variable string, attempt int) *stream {
	s.mac.Reset()
	s.message = s.message[:0]
	for _, part := range [...]string{lab, student, variable} {
		s.message = binary.BigEndian.AppendUint64(s.message, uint64(len(part))) // so that "ab","c" and "a","bc" differ
		s.message = append(s.message, part...)
	}
	s.message = binary.BigEndian.AppendUint64(s.message, uint64(attempt))
	s.mac.Write(s.message)
	s.message = s.mac.Sum(s.message[:0])
	s.current.source.Seed([32]byte(s.message))
	return &s.current
}

// Float gives a number in [0, 1), a multiple of 2⁻⁵³.
func (s *stream) Float() float64 { return float64(s.source.Uint64()>>11) * 0x1p-53 }

// IntN gives a number in 0..n-1, each equally likely (Lemire, ACM TOMACS 29 (2019) 3). n must be above 0.
func (s *stream) IntN(n int) int {
	bound := uint64(n)
	high, low := bits.Mul64(s.source.Uint64(), bound)
	for reject := -bound % bound; low < reject; {
		high, low = bits.Mul64(s.source.Uint64(), bound)
	}
	return int(high)
}

// Normal gives a standard normal deviate (Box and Muller, Ann. Math. Statist. 29 (1958) 610).
func (s *stream) Normal() float64 {
	u, v := 1-s.Float(), s.Float()
	return math.Sqrt(-2*math.Log(u)) * math.Cos(2*math.Pi*v)
}

// Perm gives the numbers 1..n in random order (Fisher and Yates).
func (s *stream) Perm(n int) []int {
	order := make([]int, n)
	for i := range order {
		j := s.IntN(i + 1)
		order[i] = order[j]
		order[j] = i + 1
	}
	return order
}
