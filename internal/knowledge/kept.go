package knowledge

import "holdbench/internal/cache"

// The caches are bounded: a small machine has little memory, and the garbage collector needs
// as much again. What was dropped is read from the store again, in about a millisecond.
const (
	mostFileBytes = 20 << 20 // for products with their tests and estimates
	mostNames     = 20_000   // in vocabularies, about 400 bytes each
)

// vocabularyCache keeps the vocabularies of the communities used last, by their row numbers.
type vocabularyCache = cache.Cache[int64, *Vocabulary]

func newVocabularyCache() *vocabularyCache { return cache.New[int64](mostNames, (*Vocabulary).names) }

// names returns how many names there are, aliases and merged products included.
func (v *Vocabulary) names() int {
	return len(v.productByKey) + len(v.productByID) + len(v.Instruments) + len(v.Syringes)
}

// bytes is roughly the memory that the file takes: 128 bytes a test and 32 in the curve of
// its times, about 1000 a combination, one or two kilobytes a cached reading.
func (f *productFile) bytes() int {
	n := 160*f.tests() + 1000*len(f.tested)
	if f.estimate != nil {
		n += f.estimate.Bytes() + f.readings.count()*1200
	}
	return n
}
