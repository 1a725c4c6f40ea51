package knowledge

import "holdbench/internal/cache"

// What is kept in memory is bounded, for a small machine has little of it and the
// garbage collector takes as much again. What goes is read from the store again, in
// about a millisecond.
const (
	mostFileBytes = 20 << 20 // of products with their tests and estimates
	mostNames     = 20_000   // in vocabularies, some 400 bytes each
)

// vocabularyCache keeps the latest vocabulary of the communities that were asked
// about last, by their numbers.
type vocabularyCache = cache.Cache[int64, *Vocabulary]

func newVocabularyCache() *vocabularyCache { return cache.New[int64](mostNames, (*Vocabulary).names) }

// names is how many names there are, merged products' and aliases among them.
func (v *Vocabulary) names() int {
	return len(v.productByKey) + len(v.productByID) + len(v.Instruments) + len(v.Syringes)
}

// bytes is about how much memory the file takes: a test is 128 bytes and 32 in the
// curve of its times, a combination some 1000, an answer it has given a kilobyte or two.
func (f *productFile) bytes() int {
	n := 160*f.tests() + 1000*len(f.tested)
	if f.estimate != nil {
		n += f.estimate.Bytes() + f.readings.count()*1200
	}
	return n
}
