package discordtest

import (
	"fmt"
	"hash/fnv"
	"strconv"
	"strings"
	"sync"
	"time"
)

// blockTolerance is how long after a 429 further requests on the route may
// still be under way from before; later ones ignored retry_after. Assumption.
const blockTolerance = 250 * time.Millisecond

// limiter is the platform's rate limits (topics/rate-limits): 50 requests a
// second for a bot, a window per route and top-level id, and the ban of
// addresses that collect too many 401, 403 and 429.
type limiter struct {
	mu      sync.Mutex
	recent  []time.Time // of requests that count to the global limit
	windows map[string]*window
	blocked map[string]block // by route key; "" = global
	invalid []time.Time
	refused int
}

type window struct {
	ends time.Time
	used int
}

type block struct{ since, until time.Time }

// key names the bucket of a call: method, route and top-level id.
func (c *call) key() string {
	return c.method + " " + c.route.pattern + " " + c.params["channel"] + c.params["guild"] + c.params["token"]
}

// pass returns the 429 answer if a limit is reached, the zero reply if not.
func (l *limiter) pass(c *call) reply {
	l.mu.Lock()
	defer l.mu.Unlock()
	now := c.srv.Clock.Now()
	for _, key := range []string{"", c.key()} {
		b, there := l.blocked[key]
		if !there || key == "" && c.route.exempt || !now.Before(b.until) {
			continue
		}
		if now.Sub(b.since) > blockTolerance {
			c.violate("came %s before retry_after had passed", b.until.Sub(now).Round(time.Millisecond))
		}
		return tooMany(b.until.Sub(now), key == "", "user")
	}
	if wait := l.global(c, now); wait > 0 {
		c.violate("more than %d requests in a second", c.srv.opts.GlobalLimit)
		return tooMany(wait, true, "global")
	}
	if wait := l.spend(c, now); wait > 0 {
		return tooMany(wait, false, "user")
	}
	return reply{}
}

// global counts the request; the wait is above 0 when it is one too many.
func (l *limiter) global(c *call, now time.Time) time.Duration {
	if c.route.exempt || c.srv.opts.GlobalLimit < 0 {
		return 0
	}
	l.recent = since(l.recent, now.Add(-time.Second))
	if len(l.recent) >= c.srv.opts.GlobalLimit {
		return time.Second - now.Sub(l.recent[0])
	}
	l.recent = append(l.recent, now)
	return 0
}

// spend takes one request from the route's window.
func (l *limiter) spend(c *call, now time.Time) time.Duration {
	if l.windows == nil {
		l.windows = map[string]*window{}
	}
	w := l.windows[c.key()]
	if w == nil || !now.Before(w.ends) {
		w = &window{ends: now.Add(c.srv.opts.RouteWindow)}
		l.windows[c.key()] = w
	}
	if w.used >= c.srv.opts.RouteLimit {
		return w.ends.Sub(now)
	}
	w.used++
	return 0
}

// block answers 429 now and to all that come on the route until after is over.
func (l *limiter) block(c *call, after time.Duration, global bool) reply {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.blocked == nil {
		l.blocked = map[string]block{}
	}
	key := ""
	if !global {
		if c.route == nil {
			return tooMany(after, false, "user")
		}
		key = c.key()
	}
	now := c.srv.Clock.Now()
	l.blocked[key] = block{now, now.Add(after)}
	return tooMany(after, global, "user")
}

func (l *limiter) unblock() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.blocked = nil
}

// tooMany is the documented 429: a global one carries no Reset-After.
func tooMany(wait time.Duration, global bool, scope string) reply {
	seconds := strconv.FormatFloat(wait.Seconds(), 'f', 3, 64)
	whole := strconv.Itoa(int(wait/time.Second) + 1)
	r := reply{status: 429, body: object{
		"message": "You are being rate limited.", "retry_after": wait.Seconds(), "global": global,
	}}
	r.header = map[string]string{"Retry-After": whole, "X-RateLimit-Scope": scope}
	if global {
		r.header["X-RateLimit-Global"], r.header["X-RateLimit-Scope"] = "true", "global"
		return r
	}
	r.header["X-RateLimit-Remaining"], r.header["X-RateLimit-Reset-After"] = "0", seconds
	return r
}

// label adds the rate limit headers to an answer.
func (l *limiter) label(r reply, c *call, s *Server) reply {
	l.mu.Lock()
	defer l.mu.Unlock()
	w := l.windows[c.key()]
	if w == nil {
		return r
	}
	h := fnv.New32a()
	_, _ = h.Write([]byte(c.method + c.route.pattern)) // a hash takes all
	header := map[string]string{
		"X-RateLimit-Limit":       strconv.Itoa(s.opts.RouteLimit),
		"X-RateLimit-Remaining":   strconv.Itoa(s.opts.RouteLimit - w.used),
		"X-RateLimit-Reset":       strconv.FormatFloat(float64(w.ends.UnixMilli())/1000, 'f', 3, 64),
		"X-RateLimit-Reset-After": strconv.FormatFloat(max(0, w.ends.Sub(s.Clock.Now()).Seconds()), 'f', 3, 64),
		"X-RateLimit-Bucket":      fmt.Sprintf("%08x", h.Sum32()),
	}
	for key, value := range r.header {
		header[key] = value
	}
	r.header = header
	return r
}

// count notes answers that count towards the ban of the address.
func (l *limiter) count(r reply, now time.Time) {
	if r.status != 401 && r.status != 403 && r.status != 429 ||
		strings.Contains(r.header["X-RateLimit-Scope"], "shared") {
		return
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.refused++
	l.invalid = append(l.invalid, now)
}

func (l *limiter) banned(limit int, now time.Time) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.invalid = since(l.invalid, now.Add(-invalidWindow))
	return limit > 0 && len(l.invalid) >= limit
}

// Refused is the number of answers 401, 403 and 429 so far: a storm of retries
// shows here.
func (s *Server) Refused() int {
	s.limiter.mu.Lock()
	defer s.limiter.mu.Unlock()
	return s.limiter.refused
}

// since drops the times before t; times ascend.
func since(times []time.Time, t time.Time) []time.Time {
	i := 0
	for i < len(times) && times[i].Before(t) {
		i++
	}
	return times[i:]
}
