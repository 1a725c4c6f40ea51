package knowledge

import (
	"sync"
	"testing"

	"holdbench/internal/trade"
)

// named is a vocabulary of so many names.
func named(version int64, names int) *Vocabulary {
	return &Vocabulary{Version: version, Instruments: make([]trade.Instrument, names)}
}

func TestVocabulariesAreBoundedByTheirNames(t *testing.T) {
	var c vocabularyCache
	var askers sync.WaitGroup
	for asker := range int64(4) {
		askers.Go(func() {
			for n := range int64(200) {
				community := n*4 + asker
				c.put(community, named(1, mostNames/10))
				if v, ok := c.get(community, 1); ok && len(v.Instruments) != mostNames/10 {
					t.Errorf("community %d got %d names", community, len(v.Instruments))
				}
				c.mu.RLock()
				if c.names > mostNames {
					t.Errorf("%d names are kept", c.names)
				}
				c.mu.RUnlock()
			}
		})
	}
	askers.Wait()
	if len(c.latest) != 10 || c.names != mostNames {
		t.Errorf("%d vocabularies with %d names", len(c.latest), c.names)
	}
	c.put(1000, named(1, 3*mostNames))
	if len(c.latest) != 1 || c.names != 3*mostNames {
		t.Errorf("beside one that is too long alone: %d, %d names", len(c.latest), c.names)
	}
}

func TestWhatIsForgottenIsNotCounted(t *testing.T) {
	s := openStore(t)
	s.vocabularies.put(1, named(1, mostNames))
	s.forget()
	for community := range int64(3) {
		s.vocabularies.put(community, named(1, mostNames/3))
	}
	if len(s.vocabularies.latest) != 3 {
		t.Errorf("%d vocabularies of three that have room", len(s.vocabularies.latest))
	}
}
