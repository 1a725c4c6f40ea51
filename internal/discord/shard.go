package discord

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
)

// shard keeps one connection to the gateway. The library could reconnect by
// itself, but it would do so for ever even where Discord says never again, and
// not at all once it has locked itself out.
type shard struct {
	bot       *Bot
	id, count int
	gate      *gate
	line      *line
	resume    *resumePoint
	changes   *queue[*discordgo.Event]

	connected atomic.Bool
}

func (b *Bot) newShard(id, count int, g *gate) *shard {
	return &shard{bot: b, id: id, count: count, gate: g, line: &line{}, resume: &resumePoint{next: b.paced}, changes: newQueue[*discordgo.Event]()}
}

// patience is how long the gateway may keep silent. Discord sends a sign of life
// at least each 45 s or so (events/gateway); two and a half of these are more
// than a hiccup. The library waits for five, and says goodbye in a way that ends
// the session.
type patience struct {
	silence time.Duration // of a connection
	opening time.Duration // of a connection that is being made
	settled time.Duration // how long one must last to count as sound
	longest time.Duration // between two tries

	// Discord tells who installed the bot about when it tells of the server; the
	// owner stands in where nobody is named in this time.
	installer time.Duration
}

func usualPatience() patience {
	return patience{silence: 110 * time.Second, opening: 40 * time.Second, settled: time.Minute, longest: 5 * time.Minute, installer: 3 * time.Second}
}

// mostStuck is how many sessions may lock themselves out before the process
// gives up its place to a fresh one: each leaves a goroutine behind.
const mostStuck = 10

var (
	errStuck = errors.New("the session has locked itself out")
	errSlow  = errors.New("the gateway did not answer in time")
)

// run stays connected until ctx ends, and returns an error only where trying on
// is of no use.
func (s *shard) run(ctx context.Context) error {
	go s.keepUp(ctx)
	session, gone := s.session()
	stuck, failures := 0, 0
	for ctx.Err() == nil {
		err := s.open(ctx, session)
		opened := time.Now()
		switch {
		case err == nil:
			s.bot.log.InfoContext(ctx, "connected", "shard", s.id, "of", s.count)
			s.connected.Store(true)
			err = s.serve(ctx, session, gone)
			s.connected.Store(false)
		case forGood(err):
			return s.bot.hush(fatal(err))
		}
		if ctx.Err() != nil {
			break
		}
		if errors.Is(err, errStuck) {
			if stuck++; stuck > mostStuck {
				return fmt.Errorf("shard %d: %w %d times; a fresh start is needed", s.id, errStuck, stuck)
			}
			session, gone = s.session()
		}
		if time.Since(opened) > s.bot.patience.settled {
			failures = 0
		}
		s.bot.log.WarnContext(ctx, "connection lost", "shard", s.id, "error", s.bot.hush(err), "in_a_row", failures)
		s.pause(ctx, failures)
		failures++
	}
	s.close(session)
	return nil
}

// pause waits before another try: not at all at first, then longer each time,
// and not in step with other shards.
func (s *shard) pause(ctx context.Context, failures int) {
	if failures == 0 {
		return
	}
	wait := min(time.Second<<min(failures-1, 10), s.bot.patience.longest)
	wait += rand.N(wait/4 + 1)
	select {
	case <-time.After(wait):
	case <-ctx.Done():
	}
}

// session makes a fresh session of the library's, and a channel that tells when
// its connection has ended.
func (s *shard) session() (*discordgo.Session, <-chan struct{}) {
	session := s.bot.newSession(&http.Client{Transport: s.resume, Timeout: dialLimit})
	session.ShardID, session.ShardCount = s.id, s.count
	session.Identify.Intents = intents
	s.resume.set("")
	dialer := *websocket.DefaultDialer
	dialer.NetDialContext = s.line.dial
	session.Dialer = &dialer
	gone := make(chan struct{}, 1)
	session.AddHandler(func(*discordgo.Session, *discordgo.Disconnect) {
		select {
		case gone <- struct{}{}:
		default: // told already
		}
	})
	session.AddHandler(func(_ *discordgo.Session, e *discordgo.Event) { s.bot.event(s, e) })
	return session, gone
}

// open connects, and takes up the session again if there was one. It comes back
// in time whatever the library does.
func (s *shard) open(ctx context.Context, session *discordgo.Session) error {
	if s.resume.get() == "" {
		if err := s.gate.pass(ctx, s.id); err != nil {
			return err
		}
	} else {
		// The library remembers where the gateway was; once it got no line there
		// it asks again, and is told where to resume.
		s.line.hangUp(true)
		err := s.attempt(ctx, session)
		s.line.hangUp(false)
		if errors.Is(err, errStuck) {
			return err
		}
	}
	err := s.attempt(ctx, session)
	if err != nil && !errors.Is(err, discordgo.ErrWSAlreadyOpen) {
		s.resume.set("") // next time by the front door
		return err
	}
	return nil
}

func (s *shard) attempt(ctx context.Context, session *discordgo.Session) error {
	done := make(chan error, 1)
	go func() { done <- session.Open() }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	case <-time.After(s.bot.patience.opening):
	}
	s.line.cut()
	select {
	case <-done:
		return errSlow
	case <-time.After(3 * time.Second):
		return errStuck // an order to reconnect where READY was due: it waits for its own lock
	}
}

// serve waits until the connection ends or goes silent.
func (s *shard) serve(ctx context.Context, session *discordgo.Session, gone <-chan struct{}) error {
	look := time.NewTicker(s.bot.patience.silence / 10)
	defer look.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-gone:
			return errors.New("the gateway hung up")
		case <-look.C:
			if s.line.silence() < s.bot.patience.silence {
				continue
			}
			s.bot.log.WarnContext(ctx, "nothing heard of the gateway", "shard", s.id, "for", s.line.silence().Round(time.Second))
			s.line.cut()
			select {
			case <-gone:
				return errSlow
			case <-time.After(5 * time.Second):
				return errStuck
			case <-ctx.Done():
				return nil
			}
		}
	}
}

// close says goodbye, unless the library cannot.
func (s *shard) close(session *discordgo.Session) {
	done := make(chan struct{})
	go func() {
		defer close(done)
		if err := session.Close(); err != nil {
			s.bot.log.Info("closing", "shard", s.id, "error", s.bot.hush(err))
		}
	}()
	select {
	case <-done:
	case <-time.After(3 * time.Second):
	}
	s.line.cut()
}
