package discordtest

import (
	"fmt"
	"strings"
	"sync"
	"testing"
)

// Violation is one breach of the platform's documented rules by the bot.
type Violation struct {
	Where  string // "POST /channels/1/messages", "gateway IDENTIFY", "interaction /hold"
	Detail string // what was wrong: "embeds.0.title: Must be 256 or fewer in length."
}

// String is the violation on one line.
func (v Violation) String() string { return v.Where + ": " + v.Detail }

// violations keeps what the bot did wrong and what the test said to expect.
type violations struct {
	mu       sync.Mutex
	all      []Violation
	expected []string
	closed   bool
}

func (v *violations) add(where, format string, args ...any) Violation {
	v.mu.Lock()
	defer v.mu.Unlock()
	one := Violation{Where: where, Detail: fmt.Sprintf(format, args...)}
	if !v.closed {
		v.all = append(v.all, one)
	}
	return one
}

// ExpectViolation announces a breach: violations whose line contains text do
// not fail the test, and the test fails if none came.
func (s *Server) ExpectViolation(text string) {
	s.violations.mu.Lock()
	defer s.violations.mu.Unlock()
	s.violations.expected = append(s.violations.expected, text)
}

// Violations returns all breaches so far, expected ones included.
func (s *Server) Violations() []Violation {
	s.violations.mu.Lock()
	defer s.violations.mu.Unlock()
	return append([]Violation(nil), s.violations.all...)
}

// report fails the test for each violation nobody expected and for each
// expectation nothing met. It is called once, when the test ends.
func (v *violations) report(tb testing.TB) {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.closed = true
	met := make([]bool, len(v.expected))
	for _, one := range v.all {
		if !v.foreseen(one, met) {
			tb.Errorf("the bot broke a rule of the platform: %s", one)
		}
	}
	for i, text := range v.expected {
		if !met[i] {
			tb.Errorf("expected violation %q never came", text)
		}
	}
}

func (v *violations) foreseen(one Violation, met []bool) bool {
	found := false
	for i, text := range v.expected {
		if strings.Contains(one.String(), text) {
			met[i], found = true, true
		}
	}
	return found
}
