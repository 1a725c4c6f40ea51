package knowledge

import "testing"

func TestTheShelfKeepsWhatWasUsedLast(t *testing.T) {
	s := newShelf(2, 1<<20)
	files := []*productFile{{logVersion: 1}, {logVersion: 2}, {logVersion: 3}}
	s.put(1, files[0])
	s.put(2, files[1])
	s.get(1)
	s.put(3, files[2])
	if s.get(2) != nil || s.get(1) != files[0] || s.get(3) != files[2] {
		t.Error("what was used last went, or what was not stayed")
	}
	newer := &productFile{logVersion: 4}
	s.put(1, newer)
	if s.get(1) != newer || s.latest.Len() != 2 {
		t.Error("a newer file did not take the place of the older one")
	}
}

func TestTheShelfIsBoundedInBytes(t *testing.T) {
	s := newShelf(100, 1000)
	for product := range int64(10) {
		s.put(product, &productFile{size: 200}) // counts 400
	}
	if s.latest.Len() != 2 || s.size != 800 {
		t.Errorf("%d files of %d bytes", s.latest.Len(), s.size)
	}
	s.put(10, &productFile{size: 5000}) // alone larger than the shelf
	if s.latest.Len() != 1 || s.get(10) == nil {
		t.Errorf("%d files", s.latest.Len())
	}
	s.put(11, &productFile{})
	if s.latest.Len() != 1 || s.size != 0 {
		t.Errorf("%d files of %d bytes", s.latest.Len(), s.size)
	}
}
