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

// Discord takes 50 requests a second from a bot (topics/rate-limits), which discordgo does not look after. Discord
// counts on arrival: requests sent over 1.3 s may arrive within one second if the network or the machine is slow.
// Rate and burst stay under the limit even then.
const (
	requestsPerSecond = 30
	requestsAtOnce    = 10
)

type limited struct {
	next http.RoundTripper
	rate *rate.Limiter

	mu    sync.Mutex
	until time.Time // nothing is sent before
}

// Limited returns a transport that keeps to Discord's limit over all requests of a bot, and sends nothing for as long
// as Discord says after a 429. A request that could not be sent before its context ended returns ErrNotSent.
func Limited(next http.RoundTripper) http.RoundTripper {
	return &limited{next: next, rate: rate.NewLimiter(requestsPerSecond, requestsAtOnce)}
}

// ErrNotSent says that a request was not sent.
var ErrNotSent = errors.New("not sent")

// RoundTrip implements http.RoundTripper.
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

// forAll reports whether a 429 applies to every request: it is global, or comes from a server in front of the API,
// which names no scope.
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

// wait waits until a request may be sent.
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
