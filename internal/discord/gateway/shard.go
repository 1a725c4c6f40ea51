package gateway

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"sync/atomic"
	"time"

	"github.com/bwmarrin/discordgo"
	"github.com/gorilla/websocket"

	"holdbench/internal/discord/api"
)

// shard keeps one connection to the gateway. discordgo could reconnect by itself, but it would also do so where Discord
// forbids it, and not at all once it is deadlocked.
type shard struct {
	Source
	gateway    *Gateway
	identify   *identifyQueue
	connection *connection
	resume     *resumePoint
	later      *queue[*discordgo.Event]

	begun atomic.Bool  // discordgo has a session that it would resume
	lost  atomic.Int64 // since when it is not connected, in Unix nanoseconds; 0 while it is
	waits atomic.Value // string: what it waits for before it tries again
}

func (g *Gateway) newShard(id, count int, q *identifyQueue) *shard {
	address := func() string { said, _ := g.address.Load().(string); return said }
	s := &shard{
		Source: Source{id, count}, gateway: g, identify: q, connection: &connection{},
		resume: &resumePoint{address: address}, later: newQueue[*discordgo.Event](),
	}
	s.lost.Store(time.Now().UnixNano())
	return s
}

// mostStuck is how many sessions may deadlock before the process ends to be started afresh: each leaves a goroutine
// behind.
const mostStuck = 60

var (
	errStuck = errors.New("the session is deadlocked")
	errSlow  = errors.New("the gateway did not answer in time")
)

// run stays connected until ctx ends. It returns an error only if trying again is of no use.
func (s *shard) run(ctx context.Context) error {
	go s.inOrder(ctx)
	session, gone := s.session()
	stuck, failures := 0, 0
	for ctx.Err() == nil {
		err := s.open(ctx, session, failures)
		opened := time.Now()
		switch {
		case err == nil:
			err = s.serve(ctx, session, gone)
		case forGood(err):
			return s.gateway.client.Token.Redacted(fatal(err))
		}
		s.lost.CompareAndSwap(0, time.Now().UnixNano())
		if ctx.Err() != nil {
			break
		}
		if errors.Is(err, errStuck) {
			if stuck++; stuck > mostStuck {
				return fmt.Errorf("shard %d: %w %d times; a fresh start is needed", s.ID, errStuck, stuck)
			}
			session, gone = s.session()
		}
		if time.Since(opened) > s.patience().Settled {
			stuck, failures = 0, 0
		}
		s.gateway.log.WarnContext(ctx, "connection lost", "shard", s.ID, "error", s.gateway.client.Token.Redacted(err),
			"in_a_row", failures)
		s.pause(ctx, failures)
		failures++
	}
	s.close(session)
	return nil
}

// pause waits before another try: not at all at first, then longer each time up to Longest, and not in step with other
// shards.
func (s *shard) pause(ctx context.Context, failures int) {
	if failures == 0 {
		return
	}
	wait := min(time.Second<<min(failures-1, 10), s.patience().Longest*4/5)
	_ = sleep(ctx, wait+rand.N(wait/4+1)) // the caller checks ctx
}

// event handles an event. READY says where a lost session can be resumed.
func (s *shard) event(e *discordgo.Event) {
	switch e.Type {
	case "READY":
		s.resume.set(api.Read(e.RawData).At("resume_gateway_url").Text())
		s.identify.taken(s.ID, time.Now())
		s.begun.Store(true)
		s.online()
	case "RESUMED":
		s.online()
	}
	if s.gateway.handler.Now(s.Source, e) {
		s.later.put(e)
	}
}

// online notes that the gateway has accepted the session.
func (s *shard) online() {
	s.lost.Store(0)
	s.gateway.log.Info("connected", "shard", s.ID, "of", s.Count)
}

// inOrder calls Later for one event after the other, until ctx ends.
func (s *shard) inOrder(ctx context.Context) {
	for {
		e, ok := s.later.take(ctx)
		if !ok {
			return
		}
		s.gateway.handler.Later(s.Source, e)
	}
}

func (s *shard) patience() Patience { return s.gateway.Settings.Patience }

// session makes a new discordgo session, and a channel that signals when its connection has ended.
func (s *shard) session() (*discordgo.Session, <-chan struct{}) {
	session := api.NewSession(s.gateway.client.Token, &http.Client{Transport: s.resume, Timeout: dialLimit})
	session.ShardID, session.ShardCount = s.ID, s.Count
	session.Identify.Intents = s.gateway.Settings.Intents
	s.resume.set("")
	s.begun.Store(false)
	dialer := *websocket.DefaultDialer
	dialer.NetDialContext = s.connection.dial
	session.Dialer = &dialer
	gone := make(chan struct{}, 1)
	session.AddHandler(func(*discordgo.Session, *discordgo.Disconnect) {
		select {
		case gone <- struct{}{}:
		default: // already signalled
		}
	})
	session.AddHandler(func(_ *discordgo.Session, e *discordgo.Event) { s.event(e) })
	return session, gone
}

// open connects, and resumes the session if there is one. It returns in time whatever discordgo does.
func (s *shard) open(ctx context.Context, session *discordgo.Session, failures int) error {
	if !s.begun.Load() {
		if err := s.start(ctx, failures); err != nil {
			return err
		}
	} else {
		// discordgo remembers the gateway's address. Once a dial there has failed it asks for the address again, and
		// resumePoint tells it where to resume.
		s.connection.refuseDials(true)
		err := s.attempt(ctx, session)
		s.connection.refuseDials(false)
		if errors.Is(err, errStuck) {
			return err
		}
	}
	err := s.attempt(ctx, session)
	if err != nil && !errors.Is(err, discordgo.ErrWSAlreadyOpen) {
		s.resume.set("") // the next try goes to the gateway's own address
		return err
	}
	return nil
}

func (s *shard) attempt(ctx context.Context, session *discordgo.Session) error {
	done := make(chan error, 1)
	go func() { done <- session.Open() }()
	began, opening := time.Now(), s.patience().Opening
	look := time.NewTicker(opening / 20)
	defer look.Stop()
	for {
		select {
		case err := <-done:
			return err
		case <-ctx.Done():
		case <-look.C:
			if min(time.Since(began), s.connection.silence()) < opening {
				continue
			}
		}
		s.connection.cut()
		select {
		case <-done:
			return errSlow
		case <-time.After(s.patience().Stuck):
			return errStuck // the gateway asked to reconnect where READY was due: discordgo waits for its own lock
		}
	}
}

// serve waits until the connection ends or goes silent.
func (s *shard) serve(ctx context.Context, session *discordgo.Session, gone <-chan struct{}) error {
	opened := time.Now()
	look := time.NewTicker(s.patience().Answer / 20)
	defer look.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-gone:
			return errors.New("the gateway closed the connection")
		case <-look.C:
			if !s.silent(opened) {
				continue
			}
			s.gateway.log.WarnContext(ctx, "nothing heard from the gateway", "shard", s.ID, "for",
				s.connection.silence().Round(time.Second))
			s.connection.cut()
			select {
			case <-gone:
				return errSlow
			case <-time.After(s.patience().Stuck):
				return errStuck
			case <-ctx.Done():
				return nil
			}
		}
	}
}

// silent reports whether the gateway has taken too long: to answer a heartbeat, to accept the session, or to send
// anything at all.
func (s *shard) silent(opened time.Time) bool {
	p := s.patience()
	noSession := s.lost.Load() != 0 && time.Since(opened) > p.Opening
	return noSession || s.connection.unanswered() > p.Answer || s.connection.silence() > p.Silence
}

// close ends the session with a close frame, unless discordgo hangs. Once Discord has answered, it does not wait for
// discordgo, which would sleep for 1 s.
func (s *shard) close(session *discordgo.Session) {
	done, heard := make(chan struct{}), s.connection.heard.Load()
	go func() {
		defer close(done)
		if err := session.Close(); err != nil {
			s.gateway.log.Info("closing", "shard", s.ID, "error", s.gateway.client.Token.Redacted(err))
		}
	}()
	defer s.connection.cut()
	look := time.NewTicker(5 * time.Millisecond)
	defer look.Stop()
	for end := time.After(s.patience().Stuck); ; {
		select {
		case <-done:
			return
		case <-end:
			return
		case <-look.C:
			if s.connection.heard.Load() != heard {
				return
			}
		}
	}
}
