package groups

import (
	"sync"
	"time"

	"golang.org/x/time/rate"

	"holdbench/internal/cache"
)

// pacing is how much may be asked: a rate, and a burst.
type pacing struct {
	perSecond rate.Limit
	atOnce    int
}

// How much one member and one community may ask. All figures are the project's choice, far above real use. They bound
// what a flood costs; discord's workQueue keeps it from delaying the answers of others.
//
//   - Two hundred at once keep one core busy for about two seconds (an estimate, at 10 ms each). At the bench the
//     quickest hand logs a test every ten seconds and presses two buttons.
//   - At a congress of several hundred everybody asks at the same moment, and goes on.
//   - A chat client asks for suggestions at every pause in typing, two or three
//     times a second; they are cheaper than answers, and can be left out.
func memberAsks() pacing           { return pacing{5, 200} }
func communityAsks() pacing        { return pacing{100, 1000} }
func memberSuggestions() pacing    { return pacing{20, 300} }
func communitySuggestions() pacing { return pacing{300, 1500} }

// mostPaced is for how many members, and for how many communities, a bucket is kept: those who asked last. A bucket is
// some 200 bytes.
const mostPaced = 20_000

// Limits limits how much members and communities ask, so that one flood is not an outage for all. It is safe for use by
// many goroutines at once. A nil *Limits lets everything through.
type Limits struct {
	Now func() time.Time

	mu             sync.Mutex
	asks           buckets // by community
	ownAsks        buckets // by community and member
	suggestions    buckets
	ownSuggestions buckets
}

// NewLimits makes Limits that go by the clock now.
func NewLimits(now func() time.Time) *Limits {
	return &Limits{
		Now:  now,
		asks: newBuckets(communityAsks()), ownAsks: newBuckets(memberAsks()),
		suggestions: newBuckets(communitySuggestions()), ownSuggestions: newBuckets(memberSuggestions()),
	}
}

// Paced is whether something may be asked now.
type Paced struct {
	OK    bool
	Wait  time.Duration // until it may be asked again
	Group bool          // the whole community asks too much, not the member alone
	First bool          // the first refusal since something was let through: the member has not been told yet
}

// Ask counts one question of a member. Where community is "" only the member's own limit applies.
func (l *Limits) Ask(community, member string) Paced {
	if l == nil {
		return Paced{OK: true}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.take(l.ownAsks, l.asks, community, member)
}

// Suggest counts one request for suggestions, and reports whether it may be made.
func (l *Limits) Suggest(community, member string) bool {
	if l == nil {
		return true
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.take(l.ownSuggestions, l.suggestions, community, member).OK
}

// take takes from the member's bucket first, so that what a member is refused does not use up the community's.
func (l *Limits) take(own, all buckets, community, member string) Paced {
	now := l.Now()
	if p := own.take(community+"/"+member, now); !p.OK || community == "" {
		return p
	}
	p := all.take(community, now)
	p.Group = !p.OK
	return p
}

// buckets are the buckets of one kind, by owner.
type buckets struct {
	pacing
	kept *cache.Cache[string, *bucket]
}

type bucket struct {
	*rate.Limiter
	told bool
}

func newBuckets(p pacing) buckets {
	return buckets{p, cache.Counted[string, *bucket](mostPaced, 0, nil)}
}

func (b buckets) take(key string, now time.Time) Paced {
	one, known := b.kept.Get(key)
	if !known {
		one = &bucket{Limiter: rate.NewLimiter(b.perSecond, b.atOnce)}
		b.kept.Put(key, one)
	}
	next := one.ReserveN(now, 1)
	wait := next.DelayFrom(now)
	first := !one.told
	if one.told = wait > 0; one.told {
		next.CancelAt(now)
		return Paced{Wait: wait, First: first}
	}
	return Paced{OK: true}
}
