package knowledge

import (
	"container/list"
	"sync"
)

// How much the shelf holds: enough for a busy day of a large community, little
// enough for a small machine.
const (
	shelfEntries = 512
	shelfBytes   = 64 << 20
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
	return e.Value.(*shelved).file
}

// put puts a file on the shelf in place of an older one of the same product and
// takes down what has not been used for longest.
func (s *shelf) put(product int64, file *productFile) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if e, ok := s.byProduct[product]; ok {
		s.remove(e)
	}
	s.byProduct[product] = s.latest.PushFront(&shelved{product, file})
	s.size += file.bytes()
	for s.latest.Len() > 1 && (s.latest.Len() > s.maxEntries || s.size > s.maxLen) {
		s.remove(s.latest.Back())
	}
}

func (s *shelf) remove(e *list.Element) {
	old := s.latest.Remove(e).(*shelved)
	delete(s.byProduct, old.product)
	s.size -= old.file.bytes()
}

// bytes is about how much memory the file takes: a test is some 700 bytes with
// its texts, a decoded estimate about twice its stored form.
func (f *productFile) bytes() int { return 2*f.size + 700*len(f.tests) + 500*len(f.tested) }
