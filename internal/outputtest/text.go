// Package outputtest keeps what a program under test writes, for its tests.
package outputtest

import (
	"bytes"
	"sync"
)

// Text is what has been written to it so far. Any number of goroutines may write
// and read; the zero value is empty.
type Text struct {
	mu   sync.Mutex
	text bytes.Buffer
}

// Write adds p.
func (t *Text) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.text.Write(p)
}

// String is all of it.
func (t *Text) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.text.String()
}
