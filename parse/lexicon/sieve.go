package lexicon

import "hash/maphash"

// sieve tells fast of most keys that they are not among those that were added: few
// words that are not known are near a known one. It may let others pass.
type sieve struct {
	seed maphash.Seed
	bits []uint64
}

// sieveBits are about eight for each key of the word list.
const sieveBits = 1 << 19

func newSieve() *sieve { return &sieve{maphash.MakeSeed(), make([]uint64, sieveBits/64)} }

func (s *sieve) add(key string) {
	word, bit := s.place(key)
	s.bits[word] |= bit
}

// passes reports whether a key may be among those that were added.
func (s *sieve) passes(key string) bool {
	word, bit := s.place(key)
	return s.bits[word]&bit != 0
}

func (s *sieve) place(key string) (word, bit uint64) {
	h := maphash.String(s.seed, key) % sieveBits
	return h / 64, 1 << (h % 64)
}
