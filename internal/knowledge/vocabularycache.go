package knowledge

import "sync"

// vocabularyCache keeps the latest vocabulary of each community.
type vocabularyCache struct {
	mu     sync.RWMutex
	latest map[int64]*Vocabulary
}

func (c *vocabularyCache) get(community, version int64) (*Vocabulary, bool) {
	c.mu.RLock()
	defer c.mu.RUnlock()
	v := c.latest[community]
	return v, v != nil && v.Version == version
}

func (c *vocabularyCache) put(community int64, v *Vocabulary) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.latest == nil {
		c.latest = make(map[int64]*Vocabulary)
	}
	if old := c.latest[community]; old == nil || old.Version < v.Version {
		c.latest[community] = v
	}
}
