package discord

import (
	"context"
	"sync"
	"time"
)

// identifySpacing is how far apart two shards of a bucket may introduce
// themselves (events/gateway, sharding).
const identifySpacing = 5 * time.Second

// spacingMargin is added to it, for clocks and networks that differ.
const spacingMargin = 250 * time.Millisecond

// gate lets shards introduce themselves one after the other in each of the
// buckets that Discord allows at once.
type gate struct {
	buckets int // max_concurrency
	spacing time.Duration

	mu   sync.Mutex
	next map[int]time.Time // by bucket
}

func newGate(buckets int, spacing time.Duration) *gate {
	return &gate{buckets: max(1, buckets), spacing: spacing, next: map[int]time.Time{}}
}

// pass waits for the shard's turn and takes it.
func (g *gate) pass(ctx context.Context, shard int) error {
	for {
		wait := g.take(shard, time.Now())
		if wait <= 0 {
			return nil
		}
		select {
		case <-time.After(wait):
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// take takes the turn if it is free, and otherwise says when it will be.
func (g *gate) take(shard int, now time.Time) time.Duration {
	g.mu.Lock()
	defer g.mu.Unlock()
	bucket := shard % g.buckets
	if next := g.next[bucket]; now.Before(next) {
		return next.Sub(now)
	}
	g.next[bucket] = now.Add(g.spacing)
	return 0
}

// taken notes that a shard has introduced itself without waiting: the library
// does when a session cannot be resumed.
func (g *gate) taken(shard int, now time.Time) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.next[shard%g.buckets] = now.Add(g.spacing)
}
