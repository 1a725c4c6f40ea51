package discord

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"time"
)

// Discord takes 50 requests a second from a bot (topics/rate-limits). The library
// counts none; a few are left for clocks that differ.
const requestsPerSecond = 45

// pace is a client's way out that keeps to the limit over all requests, and
// stands still when Discord says that it was passed.
type pace struct {
	next http.RoundTripper

	mu     sync.Mutex
	sent   [requestsPerSecond]time.Time // the latest, as a ring
	oldest int
	until  time.Time // nothing goes before
}

// errNotSent says that a request never went out.
var errNotSent = errors.New("not sent")

// RoundTrip sends a request when it may go.
func (p *pace) RoundTrip(req *http.Request) (*http.Response, error) {
	if err := p.wait(req.Context()); err != nil {
		return nil, fmt.Errorf("%w: %w", errNotSent, err)
	}
	resp, err := p.next.RoundTrip(req)
	if err == nil && resp.StatusCode == http.StatusTooManyRequests && forAll(resp.Header) {
		if after, err := time.ParseDuration(resp.Header.Get("Retry-After") + "s"); err == nil {
			p.stand(after)
		}
	}
	return resp, err
}

// forAll reports whether a 429 bears on every request: a global one, or one from
// in front of the API, which says nothing of a scope.
func forAll(h http.Header) bool {
	return h.Get("X-RateLimit-Global") == "true" || h.Get("X-RateLimit-Scope") == "global" || h.Get("X-RateLimit-Scope") == ""
}

func (p *pace) stand(after time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if until := time.Now().Add(after); until.After(p.until) {
		p.until = until
	}
}

// wait waits for a turn.
func (p *pace) wait(ctx context.Context) error {
	for {
		pause := p.take(time.Now())
		if pause <= 0 {
			return nil
		}
		select {
		case <-time.After(pause):
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// take takes a turn if there is one, and otherwise says when to ask again.
func (p *pace) take(now time.Time) time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	if now.Before(p.until) {
		return p.until.Sub(now)
	}
	if next := p.sent[p.oldest].Add(time.Second); now.Before(next) {
		return next.Sub(now)
	}
	p.sent[p.oldest] = now
	p.oldest = (p.oldest + 1) % len(p.sent)
	return 0
}
