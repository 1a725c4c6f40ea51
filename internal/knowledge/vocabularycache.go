package knowledge

import (
	"sync"
	"sync/atomic"
)

// mostNames bounds the vocabularies that are kept, by the names in them: some 400
// bytes each. One vocabulary is always kept, however long.
const mostNames = 20_000

// vocabularyCache keeps the latest vocabulary of the communities that were asked
// about last.
type vocabularyCache struct {
	mu     sync.RWMutex
	latest map[int64]*usedVocabulary
	names  int          // in all of them
	clock  atomic.Int64 // counts the uses: the time by which they age
}

type usedVocabulary struct {
	vocabulary *Vocabulary
	last       atomic.Int64
}

func (c *vocabularyCache) get(community, version int64) (*Vocabulary, bool) {
	c.mu.RLock()
	defer c.mu.RUnlock()
	used := c.latest[community]
	if used == nil {
		return nil, false
	}
	used.last.Store(c.clock.Add(1))
	return used.vocabulary, used.vocabulary.Version == version
}

func (c *vocabularyCache) put(community int64, v *Vocabulary) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.latest == nil {
		c.latest = make(map[int64]*usedVocabulary)
	}
	if old := c.latest[community]; old != nil {
		if old.vocabulary.Version >= v.Version {
			return
		}
		c.drop(community)
	}
	used := &usedVocabulary{vocabulary: v}
	used.last.Store(c.clock.Add(1))
	c.latest[community] = used
	c.names += v.names()
	for len(c.latest) > 1 && c.names > mostNames {
		c.drop(c.oldest())
	}
}

// oldest is the community whose vocabulary was not used for longest.
func (c *vocabularyCache) oldest() (community int64) {
	last := c.clock.Load() + 1
	for id, used := range c.latest {
		if at := used.last.Load(); at < last {
			community, last = id, at
		}
	}
	return community
}

func (c *vocabularyCache) drop(community int64) {
	c.names -= c.latest[community].vocabulary.names()
	delete(c.latest, community)
}

// names is how many names there are, merged products' and aliases among them.
func (v *Vocabulary) names() int {
	return len(v.productByKey) + len(v.productByID) + len(v.Instruments) + len(v.Syringes)
}
