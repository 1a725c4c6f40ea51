package discordtest

import (
	"sync"
	"time"
)

// Clock is the platform's time: it runs with the real one and can be put
// forward, so that fifteen minutes need not be waited for.
type Clock struct {
	mu     sync.Mutex
	offset time.Duration
}

// Now returns the platform's time.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return time.Now().Add(c.offset)
}

// Advance puts the clock forward by d. Deadlines, token lives, the nonce
// memory, rate windows and the life of lost sessions all follow it.
func (c *Clock) Advance(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.offset += d
}
