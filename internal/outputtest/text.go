// Package outputtest collects what a program under test writes.
package outputtest

import (
	"bytes"
	"sync"
)

// Text is a buffer that many goroutines may write and read at once. The zero value is empty.
type Text struct {
	mu   sync.Mutex
	text bytes.Buffer
}

// Write implements io.Writer.
func (t *Text) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.text.Write(p)
}

// String returns everything written so far.
func (t *Text) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.text.String()
}
