package discordtest

import (
	"fmt"
	"net"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Fault is something that goes wrong with requests. Make one with RateLimited,
// Failing, Slow, Late, Dropped or AnswerLost, say with On and Times what it
// hits, and hand it to [Server.Fault].
type Fault struct {
	method, pattern string
	times           int // left; below 0 = for ever
	status          int
	retryAfter      time.Duration
	global          bool
	hold, delay     time.Duration
	drop, lost      bool
}

// RateLimited answers 429 and blocks the route for after.
func RateLimited(after time.Duration) Fault { return Fault{times: 1, status: 429, retryAfter: after} }

// GloballyRateLimited answers 429 with the global flag and blocks every route
// but those of interactions for after.
func GloballyRateLimited(after time.Duration) Fault {
	return Fault{times: 1, status: 429, retryAfter: after, global: true}
}

// Failing answers with a server error (500, 502, 503, 504); nothing is done.
func Failing(status int) Fault { return Fault{times: 1, status: status} }

// Slow does what was asked at once and answers after d.
func Slow(d time.Duration) Fault { return Fault{times: 1, delay: d} }

// Late lets the request reach the platform after d: an interaction's deadline
// may pass meanwhile.
func Late(d time.Duration) Fault { return Fault{times: 1, hold: d} }

// Dropped cuts the connection before anything is done.
func Dropped() Fault { return Fault{times: 1, drop: true} }

// AnswerLost does what was asked and cuts the connection instead of answering.
func AnswerLost() Fault { return Fault{times: 1, lost: true} }

// On limits the fault to a method ("" = any) and a path without /api/vN, where
// * stands for one segment: On("POST", "/channels/*/messages").
func (f Fault) On(method, pattern string) Fault {
	f.method, f.pattern = method, pattern
	return f
}

// Times is how many requests the fault hits (1 unless said); below 0 = all,
// until [Server.ClearFaults].
func (f Fault) Times(n int) Fault {
	f.times = n
	return f
}

// Fault makes the next fitting requests go wrong. Faults are tried in the
// order they were made.
func (s *Server) Fault(f Fault) {
	s.faults.mu.Lock()
	defer s.faults.mu.Unlock()
	s.faults.all = append(s.faults.all, &f)
}

// ClearFaults lets everything go well again, blocked routes included.
func (s *Server) ClearFaults() {
	s.faults.mu.Lock()
	s.faults.all = nil
	s.faults.mu.Unlock()
	s.limiter.unblock()
}

type faults struct {
	mu  sync.Mutex
	all []*Fault
}

// take returns the fault that hits this request, the zero Fault if none.
func (fs *faults) take(method, path string) Fault {
	fs.mu.Lock()
	defer fs.mu.Unlock()
	for _, f := range fs.all {
		if f.times != 0 && (f.method == "" || f.method == method) && (f.pattern == "" || pathFits(f.pattern, path)) {
			f.times--
			return *f
		}
	}
	return Fault{}
}

// pathFits matches a path against a pattern whose * stand for one segment.
func pathFits(pattern, path string) bool {
	want, got := strings.Split(pattern, "/"), strings.Split(path, "/")
	if len(want) != len(got) {
		return false
	}
	for i := range want {
		if want[i] != "*" && want[i] != got[i] {
			return false
		}
	}
	return true
}

func (f Fault) describe() string {
	switch {
	case f.status != 0:
		return strconv.Itoa(f.status)
	case f.drop:
		return "dropped"
	case f.lost:
		return "answer lost"
	case f.hold > 0:
		return fmt.Sprintf("late by %s", f.hold)
	case f.delay > 0:
		return fmt.Sprintf("answered after %s", f.delay)
	}
	return ""
}

// cut ends the connection if the fault says so.
func (f Fault) cut(w http.ResponseWriter) bool {
	if f.drop {
		hangUp(w)
	}
	return f.drop
}

// answer is the fault's own answer, the zero reply if it has none.
func (f Fault) answer(s *Server, c *call) reply {
	switch {
	case f.status == http.StatusTooManyRequests:
		return s.limiter.block(c, f.retryAfter, f.global)
	case f.status != 0:
		return plain(f.status)
	}
	return reply{}
}

// hangUp cuts the connection with a reset, as a broken network does.
func hangUp(w http.ResponseWriter) {
	hijacker, ok := w.(http.Hijacker)
	if !ok {
		return
	}
	conn, _, err := hijacker.Hijack()
	if err != nil {
		return
	}
	if tcp, ok := conn.(*net.TCPConn); ok {
		_ = tcp.SetLinger(0)
	}
	_ = conn.Close() // cut either way
}
