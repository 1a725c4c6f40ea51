package discord

import (
	"sync"
	"time"
)

// inFlight counts the work under way, so that the program can end when it is done.
type inFlight struct {
	mu    sync.Mutex
	begun int
	idle  chan struct{} // closed while there is none
}

func newInFlight() *inFlight {
	f := &inFlight{idle: make(chan struct{})}
	close(f.idle)
	return f
}

// begin counts work that begins.
func (f *inFlight) begin() {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.begun == 0 {
		f.idle = make(chan struct{})
	}
	f.begun++
}

// done counts work that is done.
func (f *inFlight) done() {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.begun--; f.begun == 0 {
		close(f.idle)
	}
}

// none returns a channel that is closed once the work under way now is done.
func (f *inFlight) none() <-chan struct{} {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.idle
}

// wait waits until there is no work under way; false if that takes longer than limit.
func (f *inFlight) wait(limit time.Duration) bool {
	none := f.none()
	select {
	case <-none:
		return true
	default:
	}
	select {
	case <-none:
		return true
	case <-time.After(limit):
		return false
	}
}
