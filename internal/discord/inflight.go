package discord

import "sync"

// inFlight counts the work that is begun, so that the program can end when it is done.
type inFlight struct {
	mu     sync.Mutex
	begun  int
	closed bool
	empty  chan struct{} // closed when the last work is done after close
}

func newInFlight() *inFlight { return &inFlight{empty: make(chan struct{})} }

// begin counts work that begins; false if none may begin any more.
func (f *inFlight) begin() bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.closed {
		return false
	}
	f.begun++
	return true
}

// done counts work that is done.
func (f *inFlight) done() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.begun--
	if f.closed && f.begun == 0 {
		close(f.empty)
	}
}

// close lets no more work begin; done is closed when all that was begun is done.
func (f *inFlight) close() (done <-chan struct{}) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if !f.closed && f.begun == 0 {
		close(f.empty)
	}
	f.closed = true
	return f.empty
}
