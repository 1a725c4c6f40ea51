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
	others  func(ctx context.Context, bucket int, apart time.Duration) error // waits for other processes; nil for none

	mu    sync.Mutex
	next  map[int]time.Time     // by bucket
	front map[int]chan struct{} // by bucket: has room for the one shard that waits in front
}

func newGate(buckets int, spacing time.Duration) *gate {
	return &gate{buckets: max(1, buckets), spacing: spacing, next: map[int]time.Time{}, front: map[int]chan struct{}{}}
}

// pass waits for the shard's turn and takes it.
func (g *gate) pass(ctx context.Context, shard int) error {
	leave, err := g.step(ctx, shard%g.buckets)
	if err != nil {
		return err
	}
	defer leave()
	for wait := g.take(shard, time.Now()); wait > 0; wait = g.take(shard, time.Now()) {
		select {
		case <-time.After(wait):
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	if g.others == nil {
		return nil
	}
	return g.others(ctx, shard%g.buckets, g.spacing)
}

// step waits until no other shard of this process is in front of a bucket.
func (g *gate) step(ctx context.Context, bucket int) (leave func(), err error) {
	g.mu.Lock()
	if g.front[bucket] == nil {
		g.front[bucket] = make(chan struct{}, 1)
	}
	front := g.front[bucket]
	g.mu.Unlock()
	select {
	case front <- struct{}{}:
		return func() { <-front }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
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
