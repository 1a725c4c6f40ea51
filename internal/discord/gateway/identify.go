package gateway

import (
	"context"
	"sync"
	"time"
)

// identifySpacing is how far apart two shards of a bucket must identify (events/gateway, sharding).
const identifySpacing = 5 * time.Second

// spacingMargin is added to it, because clocks and networks vary.
const spacingMargin = 250 * time.Millisecond

// identifyQueue lets the shards of each bucket identify one after the other.
type identifyQueue struct {
	buckets int // max_concurrency
	spacing time.Duration
	others  func(ctx context.Context, bucket int, apart time.Duration) error // waits for other processes; nil for none

	mu    sync.Mutex
	next  map[int]time.Time     // by bucket: when the next shard may identify
	front map[int]chan struct{} // by bucket: has room for the shard that waits in front
}

func newIdentifyQueue(buckets int, spacing time.Duration) *identifyQueue {
	return &identifyQueue{buckets: max(1, buckets), spacing: spacing, next: map[int]time.Time{},
		front: map[int]chan struct{}{}}
}

// pass waits for the shard's turn and takes it.
func (q *identifyQueue) pass(ctx context.Context, shard int) error {
	leave, err := q.step(ctx, shard%q.buckets)
	if err != nil {
		return err
	}
	defer leave()
	for wait := q.take(shard, time.Now()); wait > 0; wait = q.take(shard, time.Now()) {
		select {
		case <-time.After(wait):
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	if q.others == nil {
		return nil
	}
	return q.others(ctx, shard%q.buckets, q.spacing)
}

// step waits until no other shard of this process is in front of the bucket.
func (q *identifyQueue) step(ctx context.Context, bucket int) (leave func(), err error) {
	q.mu.Lock()
	if q.front[bucket] == nil {
		q.front[bucket] = make(chan struct{}, 1)
	}
	front := q.front[bucket]
	q.mu.Unlock()
	select {
	case front <- struct{}{}:
		return func() { <-front }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// take takes the turn if it is free, and otherwise returns how long it will not be.
func (q *identifyQueue) take(shard int, now time.Time) time.Duration {
	q.mu.Lock()
	defer q.mu.Unlock()
	bucket := shard % q.buckets
	if next := q.next[bucket]; now.Before(next) {
		return next.Sub(now)
	}
	q.next[bucket] = now.Add(q.spacing)
	return 0
}

// taken notes that a shard has identified without waiting, as discordgo does if a session cannot be resumed.
func (q *identifyQueue) taken(shard int, now time.Time) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.next[shard%q.buckets] = now.Add(q.spacing)
}
