package discord

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
)

// errFull says that there is no room even to wait.
var errFull = errors.New("too many are waiting")

// lane bounds how much is worked on at once, and how much may wait for it.
type lane struct {
	slots chan struct{}
	queue chan struct{}

	turnedAway atomic.Int64
}

func newLane(atOnce, waiting int) *lane {
	return &lane{slots: make(chan struct{}, atOnce), queue: make(chan struct{}, atOnce+waiting)}
}

// enter waits for a slot; leave gives it back. errFull if there are too many
// waiting already.
func (l *lane) enter(ctx context.Context) (leave func(), err error) {
	select {
	case l.queue <- struct{}{}:
	default:
		l.turnedAway.Add(1)
		return nil, errFull
	}
	select {
	case l.slots <- struct{}{}:
		return func() { <-l.slots; <-l.queue }, nil
	case <-ctx.Done():
		<-l.queue
		return nil, ctx.Err()
	}
}

// hands counts the work in hand, so that the program can end when it is done.
type hands struct {
	mu     sync.Mutex
	full   int
	closed bool
	empty  chan struct{} // closed when the last work is done after close
}

func newHands() *hands { return &hands{empty: make(chan struct{})} }

// take takes work in hand; false if none is taken any more.
func (h *hands) take() bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return false
	}
	h.full++
	return true
}

// put puts it away.
func (h *hands) put() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.full--
	if h.closed && h.full == 0 {
		close(h.empty)
	}
}

// close takes no more work; done is closed when all that is in hand is done.
func (h *hands) close() (done <-chan struct{}) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.closed && h.full == 0 {
		close(h.empty)
	}
	h.closed = true
	return h.empty
}
