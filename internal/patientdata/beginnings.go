package patientdata

import (
	"slices"
	"unicode"
)

// beginLength is how many letters a beginning has at most.
const beginLength = 3

// beginning packs the first letters of a word, letterBits for each, the first letter lowest.
type beginning uint64

const letterBits = 21

// beginningOf packs at most beginLength letters.
func beginningOf(letters string) (b beginning) {
	n := 0
	for _, r := range letters {
		b |= beginning(r) << (n * letterBits)
		n++
	}
	return b
}

// beginnings are a set of beginnings. A note has a few dozen and each is looked up in every table: one bit rules out
// most of them without a search of the list.
type beginnings struct {
	bits [1 << (hashBits - 6)]uint64
	all  []beginning
}

const hashBits = 12

// slot is the bit of a beginning: the word it is in and its place there.
func (b beginning) slot() (word, place uint64) {
	hash := uint64(b) * 0x9e3779b97f4a7c15 >> (64 - hashBits) // 2^64 over the golden ratio spreads near numbers
	return hash >> 6, hash & 63
}

func (s *beginnings) add(b beginning) {
	word, place := b.slot()
	s.bits[word] |= 1 << place
	s.all = append(s.all, b)
}

// areIn reports whether one of the set is in a text's beginnings.
func (s *beginnings) areIn(begins []beginning) bool {
	for _, b := range begins {
		if word, place := b.slot(); s.bits[word]>>place&1 == 1 && slices.Contains(s.all, b) {
			return true
		}
	}
	return false
}

// begins are the first one, two and three letters of every word of a text, and each shorter word with a space behind
// it.
func begins(text string) []beginning {
	runes := []rune(text + " ")
	found := make([]beginning, 0, len(runes)*2)
	for i, r := range runes {
		if r == ' ' || i > 0 && unicode.IsLetter(r) && unicode.IsLetter(runes[i-1]) {
			continue
		}
		var b beginning
		letters := true
		for n, r := range runes[i:min(i+beginLength, len(runes))] {
			b |= beginning(r) << (n * letterBits)
			found = append(found, b)
			letters = letters && unicode.IsLetter(r)
			if n+1 < beginLength && letters && !unicode.IsLetter(runes[i+n+1]) {
				found = append(found, b|' '<<((n+1)*letterBits))
			}
		}
	}
	return found
}
