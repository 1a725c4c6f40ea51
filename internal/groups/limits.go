package groups

import (
	"sync"
	"time"

	"golang.org/x/time/rate"

	"holdbench/internal/cache"
)

// pacing is how much may be asked.
type pacing struct {
	perSecond rate.Limit
	atOnce    int
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
func memberAsks() pacing           { return pacing{5, 200} }
func communityAsks() pacing        { return pacing{100, 1000} }
func memberSuggestions() pacing    { return pacing{20, 300} }
func communitySuggestions() pacing { return pacing{300, 1500} }

// mostPaced is of how many members, and of how many communities, it is kept what they
// asked: of those who asked last. A bucket is some 200 bytes.
const mostPaced = 20_000

// Limits holds what members and communities ask to a measure, so that nobody's
// flood is everybody's outage. It is safe for use by many goroutines at once. A
// nil *Limits lets everything through.
type Limits struct {
	Now func() time.Time

	mu             sync.Mutex
	asks           buckets // by community
	ownAsks        buckets // by community and member
	suggestions    buckets
	ownSuggestions buckets
}

// NewLimits makes Limits by a clock.
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
	return l.take(l.ownAsks, l.asks, community, member)
}

// Suggest takes one request for suggestions.
func (l *Limits) Suggest(community, member string) bool {
	if l == nil {
		return true
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.take(l.ownSuggestions, l.suggestions, community, member).OK
}

// take takes from the member's bucket first: what one member is refused does not
// use up what the others have together.
func (l *Limits) take(own, all buckets, community, member string) Paced {
	now := l.Now()
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
