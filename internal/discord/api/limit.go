package api

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Discord takes 50 requests a second from a bot (topics/rate-limits). The library
// counts none. Discord counts on arrival: requests that left over 1.3 s may arrive
// within one second when the network or the machine is slow. Rate and burst stay
// under the limit then too.
const (
	requestsPerSecond = 30
	requestsAtOnce    = 10
)

// limited is a client's way out that keeps to the limit over all requests, and
// sends nothing for as long as Discord says when the limit was passed.
type limited struct {
	next http.RoundTripper
	rate *rate.Limiter

	mu    sync.Mutex
	until time.Time // nothing goes before
}

// Limited is a transport that keeps to Discord's limit over all requests of a bot.
// A request that could not go before its context ended is ErrNotSent.
func Limited(next http.RoundTripper) http.RoundTripper {
	return &limited{next: next, rate: rate.NewLimiter(requestsPerSecond, requestsAtOnce)}
}

// ErrNotSent says that a request never went out.
var ErrNotSent = errors.New("not sent")

// RoundTrip sends a request when it may go.
func (l *limited) RoundTrip(req *http.Request) (*http.Response, error) {
	if err := l.wait(req.Context()); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotSent, err)
	}
	resp, err := l.next.RoundTrip(req)
	if err == nil && resp.StatusCode == http.StatusTooManyRequests && forAll(resp.Header) {
		if after, err := time.ParseDuration(resp.Header.Get("Retry-After") + "s"); err == nil {
			l.pause(after)
		}
	}
	return resp, err
}

// forAll reports whether a 429 bears on every request: a global one, or one from
// in front of the API, which says nothing of a scope.
func forAll(h http.Header) bool {
	scope := h.Get("X-RateLimit-Scope")
	return h.Get("X-RateLimit-Global") == "true" || scope == "global" || scope == ""
}

func (l *limited) pause(after time.Duration) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if until := time.Now().Add(after); until.After(l.until) {
		l.until = until
	}
}

// wait waits until a request may go.
func (l *limited) wait(ctx context.Context) error {
	for {
		l.mu.Lock()
		pause := time.Until(l.until)
		l.mu.Unlock()
		if pause <= 0 {
			return l.rate.Wait(ctx)
		}
		select {
		case <-time.After(pause):
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}
