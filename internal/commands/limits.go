package commands

import (
	"context"
	"fmt"
	"math"
	"sync"
	"time"
)

// pacing is a bucket of permissions that fills at an even rate.
type pacing struct {
	burst     float64 // so many at once
	perSecond float64 // and so many a second for ever
}

// What one member and one community may ask. All are the project's choice, far
// above what people do in earnest. What a flood may cost is bounded here; that it
// costs nobody else's answers is the work of the lane, which takes turns.
//
//   - Two hundred at once keep one core busy for two seconds or so (an estimate, at 10 ms each). At the bench the
//     quickest hand logs a test every ten seconds and presses two buttons.
//   - At a congress of several hundred everybody asks at the same moment, and goes on.
//   - A chat client asks for suggestions at every pause in typing, two or three
//     times a second; they are cheaper than answers, and can be left out.
func memberAsks() pacing     { return pacing{burst: 200, perSecond: 5} }
func communityAsks() pacing  { return pacing{burst: 1000, perSecond: 100} }
func memberHints() pacing    { return pacing{burst: 300, perSecond: 20} }
func communityHints() pacing { return pacing{burst: 1500, perSecond: 300} }

// How much is kept of who asked: a bucket is some 150 bytes. One that is full
// again says nothing and is dropped within keptIdle.
const (
	mostPaced = 20_000
	keptIdle  = time.Minute
)

// Limits holds what members and communities ask to a measure, so that nobody's
// flood is everybody's outage. It is safe for use by many goroutines at once. A
// nil *Limits lets everything through.
type Limits struct {
	Now func() time.Time

	mu        sync.Mutex
	asks      buckets // by community
	ownAsks   buckets // by community and member
	hints     buckets
	ownHints  buckets
	lastSwept time.Time
}

// NewLimits makes Limits by a clock.
func NewLimits(now func() time.Time) *Limits {
	return &Limits{
		Now: now, lastSwept: now(),
		asks: newBuckets(communityAsks()), ownAsks: newBuckets(memberAsks()),
		hints: newBuckets(communityHints()), ownHints: newBuckets(memberHints()),
	}
}

// Paced is whether something may be asked now.
type Paced struct {
	OK    bool
	Wait  time.Duration // until it may be asked again
	Group bool          // it is the whole community that asks too much
	First bool          // nobody was told yet: the first refusal since something was let through
}

// Ask takes one question of a member's. The community is "" where none is known
// yet: then the member's measure alone holds.
func (l *Limits) Ask(community, member string) Paced {
	if l == nil {
		return Paced{OK: true}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.take(&l.ownAsks, &l.asks, community, member)
}

// Hint takes one request for suggestions.
func (l *Limits) Hint(community, member string) bool {
	if l == nil {
		return true
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.take(&l.ownHints, &l.hints, community, member).OK
}

// take takes from the member's bucket first: what one member is refused does not
// use up what the others have together.
func (l *Limits) take(own, all *buckets, community, member string) Paced {
	now := l.Now()
	if now.Sub(l.lastSwept) >= keptIdle {
		for _, b := range []*buckets{&l.asks, &l.ownAsks, &l.hints, &l.ownHints} {
			b.sweep(now)
		}
		l.lastSwept = now
	}
	if p := own.take(community+"/"+member, now); !p.OK || community == "" {
		return p
	}
	p := all.take(community, now)
	p.Group = !p.OK
	return p
}

// buckets are those of one kind, by whose they are.
type buckets struct {
	pacing
	kept map[string]*bucket
}

type bucket struct {
	left float64 // permissions, as of then
	at   time.Time
	told bool
}

func newBuckets(p pacing) buckets { return buckets{pacing: p, kept: map[string]*bucket{}} }

func (b *buckets) take(key string, now time.Time) Paced {
	one := b.kept[key]
	if one == nil {
		if len(b.kept) >= mostPaced {
			b.sweep(now)
		}
		if len(b.kept) >= mostPaced {
			clear(b.kept) // whoever floods under so many names is held by the community's measure
		}
		one = &bucket{left: b.burst, at: now}
		b.kept[key] = one
	}
	one.left, one.at = b.now(one, now), now
	if one.left >= 1 {
		one.left--
		one.told = false
		return Paced{OK: true}
	}
	first := !one.told
	one.told = true
	return Paced{Wait: time.Duration((1 - one.left) / b.perSecond * float64(time.Second)), First: first}
}

// now is what a bucket holds by now. A clock that goes back takes nothing away.
func (b *buckets) now(one *bucket, now time.Time) float64 {
	return math.Min(b.burst, one.left+math.Max(0, now.Sub(one.at).Seconds())*b.perSecond)
}

// sweep drops the buckets that are full again.
func (b *buckets) sweep(now time.Time) {
	for key, one := range b.kept {
		if b.now(one, now) >= b.burst {
			delete(b.kept, key)
		}
	}
}

// Slowly is for a question that comes too soon after many others.
func Slowly(ctx context.Context, env *Env, p Paced) Card {
	problem := "That was a lot at once."
	if p.Group {
		problem = "Your group asks a lot just now."
	}
	return notice(ctx, env, Card{}, refuse(fmt.Sprintf("Please ask again in %s. Nothing was stored.", count(int(math.Ceil(p.Wait.Seconds())), "second")), "%s", problem))
}
