package gateway

import (
	"context"
	"sync"
)

// queue passes items on in order. put never waits, because it is called where the gateway is read.
type queue[T any] struct {
	mu    sync.Mutex
	items []T
	ready chan struct{}
}

func newQueue[T any]() *queue[T] { return &queue[T]{ready: make(chan struct{}, 1)} }

func (q *queue[T]) put(item T) {
	q.mu.Lock()
	q.items = append(q.items, item)
	q.mu.Unlock()
	select {
	case q.ready <- struct{}{}:
	default: // already marked as ready
	}
}

// take waits for the next item; false once ctx has ended.
func (q *queue[T]) take(ctx context.Context) (item T, ok bool) {
	for {
		q.mu.Lock()
		if len(q.items) > 0 {
			item = q.items[0]
			q.items = q.items[1:]
			q.mu.Unlock()
			return item, true
		}
		q.mu.Unlock()
		select {
		case <-q.ready:
		case <-ctx.Done():
			return item, false
		}
	}
}
