package discordtest

import (
	"fmt"
	"time"
)

// Welcome is what the next connection of the bot meets instead of HELLO, READY
// or RESUMED; see [Server.NextConnection].
type Welcome struct {
	noHello, insteadOfHello        bool
	insteadOfReady, beforeReady    bool
	invalid, resumable, silent     bool
	noAcknowledgement, dropInstead bool
	code                           int
}

// NoHello accepts the connection and says nothing.
func NoHello() Welcome { return Welcome{noHello: true} }

// ReconnectInsteadOfHello sends op 7 where HELLO is due.
func ReconnectInsteadOfHello() Welcome { return Welcome{insteadOfHello: true} }

// ReconnectInsteadOfReady sends op 7 where READY or RESUMED is due.
func ReconnectInsteadOfReady() Welcome { return Welcome{insteadOfReady: true} }

// ReconnectBeforeReady sends op 7 and then READY or RESUMED.
func ReconnectBeforeReady() Welcome { return Welcome{beforeReady: true} }

// InvalidInsteadOfReady sends op 9 where READY or RESUMED is due.
func InvalidInsteadOfReady(resumable bool) Welcome {
	return Welcome{invalid: true, resumable: resumable}
}

// CloseInsteadOfReady closes with the code where READY or RESUMED is due.
func CloseInsteadOfReady(code int) Welcome { return Welcome{code: code} }

// SilentInsteadOfReady never answers IDENTIFY or RESUME, nor heartbeats.
func SilentInsteadOfReady() Welcome { return Welcome{silent: true} }

// DropInsteadOfReady cuts the connection where READY or RESUMED is due.
func DropInsteadOfReady() Welcome { return Welcome{dropInstead: true} }

// WithoutAcknowledgements is normal but for heartbeats, which are not
// acknowledged.
func WithoutAcknowledgements() Welcome { return Welcome{noAcknowledgement: true} }

// NextConnection says what the next connections meet, one each, in order;
// those after them are met normally.
func (s *Server) NextConnection(w ...Welcome) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gateway.welcomes = append(s.gateway.welcomes, w...)
}

// welcomed carries out the welcome at IDENTIFY or RESUME and tells whether it
// takes the place of READY or RESUMED. It happens once a connection.
func (c *conn) welcomed(ss *session) bool {
	w := c.welcome
	c.welcome = Welcome{}
	switch {
	case w.insteadOfReady:
		c.tell(opReconnect, nil)
	case w.invalid:
		if ss != nil && !w.resumable {
			ss.ended = true
		}
		c.invalid = true
		c.tell(opInvalid, w.resumable)
	case w.code != 0:
		c.session = ss
		c.end(w.code, "as the test says")
	case w.silent:
		c.silent = true
	case w.dropInstead:
		c.cut()
	default:
		if w.beforeReady {
			c.tell(opReconnect, nil)
		}
		c.deaf = w.noAcknowledgement
		return false
	}
	return true
}

// Reconnect tells all connections to reconnect (op 7).
func (s *Server) Reconnect() { s.everyConn(func(c *conn) { c.tell(opReconnect, nil) }) }

// InvalidateSession sends op 9 to all connections; unless resumable their
// sessions are gone.
func (s *Server) InvalidateSession(resumable bool) {
	s.everyConn(func(c *conn) {
		if c.session != nil && !resumable {
			c.session.ended = true
		}
		c.ready, c.invalid = false, true
		c.tell(opInvalid, resumable)
	})
}

// CloseGateway closes all connections with the code.
func (s *Server) CloseGateway(code int) {
	s.everyConn(func(c *conn) { c.end(code, "as the test says") })
}

// DropGateway cuts all connections without a close frame.
func (s *Server) DropGateway() { s.everyConn(func(c *conn) { c.cut() }) }

// SilenceGateway makes all open connections zombies: they stay open and
// nothing comes any more, events and acknowledgements alike. Events are kept
// for a resume.
func (s *Server) SilenceGateway() { s.everyConn(func(c *conn) { c.silent = true }) }

func (s *Server) everyConn(do func(*conn)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for c := range s.gateway.conns {
		do(c)
	}
}

// GatewayCounts tells what the gateway has seen so far.
type GatewayCounts struct {
	Opened     int // connections ever
	Open       int // connections now
	Sessions   int // sessions with a connection now
	Identifies int
	Resumes    int // that were granted
	Refusals   int // 4004 and 4014
	Heartbeats int
}

// Gateway returns the counts.
func (s *Server) Gateway() GatewayCounts {
	s.mu.Lock()
	defer s.mu.Unlock()
	g := &s.gateway
	return GatewayCounts{g.opened, len(g.conns), g.live(), g.identifies, g.resumes, g.refusals, g.beats}
}

// Ready waits until a bot is connected (READY or RESUMED sent) and fails the
// test after a while.
func (s *Server) Ready() {
	s.tb.Helper()
	if err := s.WaitGateway(patience, func(c GatewayCounts) bool { return c.Sessions > 0 }); err != nil {
		s.tb.Fatal(err)
	}
}

// WaitGateway waits until the counts are as wanted.
func (s *Server) WaitGateway(limit time.Duration, wanted func(GatewayCounts) bool) error {
	end := time.Now().Add(limit)
	for {
		s.mu.Lock()
		changed := s.gateway.changed
		s.mu.Unlock()
		counts := s.Gateway()
		if wanted(counts) {
			return nil
		}
		if time.Now().After(end) {
			return fmt.Errorf("after %s the gateway is not as waited for: %+v", limit, counts)
		}
		select {
		case <-changed:
		case <-time.After(20 * time.Millisecond): // heartbeats make no step
		}
	}
}
