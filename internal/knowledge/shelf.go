package knowledge

import (
	"container/list"
	"sync"
)

// How much the shelf holds: about a hundred products with a few tests each, for a
// small machine has little memory and the garbage collector takes as much again. A
// product that is not on it is read from the store, in about a millisecond.
const (
	shelfEntries = 512
	shelfBytes   = 20 << 20
)

// shelf keeps the product files used last, up to a number of them and of bytes.
type shelf struct {
	mu                 sync.Mutex
	maxEntries, maxLen int
	size               int
	byProduct          map[int64]*list.Element
	latest             *list.List // of *shelved, the latest used in front
}

type shelved struct {
	product int64
	file    *productFile
	counted int // bytes, as last looked at
}

func newShelf(entries, bytes int) *shelf {
	return &shelf{maxEntries: entries, maxLen: bytes, byProduct: make(map[int64]*list.Element), latest: list.New()}
}

// get returns the file of a product, nil if it is not on the shelf.
func (s *shelf) get(product int64) *productFile {
	s.mu.Lock()
	defer s.mu.Unlock()
	e, ok := s.byProduct[product]
	if !ok {
		return nil
	}
	s.latest.MoveToFront(e)
	one := e.Value.(*shelved)
	s.count(one) // it grows with what is asked of it
	s.trim()
	return one.file
}

// put puts a file on the shelf in place of an older one of the same product and
// takes down what has not been used for longest.
func (s *shelf) put(product int64, file *productFile) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if e, ok := s.byProduct[product]; ok {
		s.remove(e)
	}
	one := &shelved{product: product, file: file}
	s.byProduct[product] = s.latest.PushFront(one)
	s.count(one)
	s.trim()
}

// count counts a file as large as it is now.
func (s *shelf) count(one *shelved) {
	now := one.file.bytes()
	s.size += now - one.counted
	one.counted = now
}

// trim takes down what has not been used for longest until the rest fits. The
// latest stays, however large it is.
func (s *shelf) trim() {
	for s.latest.Len() > 1 && (s.latest.Len() > s.maxEntries || s.size > s.maxLen) {
		s.remove(s.latest.Back())
	}
}

func (s *shelf) remove(e *list.Element) {
	old := s.latest.Remove(e).(*shelved)
	delete(s.byProduct, old.product)
	s.size -= old.counted
}

// bytes is about how much memory the file takes: a test is some 700 bytes with
// its texts, an answer it has given a kilobyte or two.
func (f *productFile) bytes() int {
	n := 700*len(f.tests) + 500*len(f.tested) + f.readings.count()*(1200+8*len(f.tests))
	if f.estimate != nil {
		n += f.estimate.Bytes()
	}
	return n
}
