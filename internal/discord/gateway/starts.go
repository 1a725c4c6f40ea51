package gateway

import (
	"context"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"
)

// starts is how many IDENTIFYs Discord takes from all processes of the bot within a period of 24 h (events/gateway,
// session start limit). After one too many Discord resets the token.
type starts struct {
	mu          sync.Mutex
	total, left int
	resets      time.Time
}

// told notes what Discord says.
func (s *starts) told(limit discordgo.SessionInformation, now time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.total, s.left = limit.Total, limit.Remaining
	s.resets = now.Add(time.Duration(limit.ResetAfter) * time.Millisecond)
}

// take takes a start if one is left, and returns how long to wait before identifying. A start after a failure waits
// longer once half of the starts are used up, so that the rest last for the rest of the period.
func (s *starts) take(now time.Time, failed bool) (wait time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.total == 0 {
		return 0 // Discord has named no limit
	}
	if !now.Before(s.resets) {
		s.left, s.resets = s.total, now.Add(24*time.Hour)
	}
	if s.left <= 0 {
		return s.resets.Sub(now)
	}
	if failed && s.left < s.total/2 {
		wait = s.resets.Sub(now) / time.Duration(s.left)
	}
	s.left--
	return wait
}

// start waits until the shard may identify: until there is a start left, and until it is its turn in its bucket.
func (s *shard) start(ctx context.Context, failures int) error {
	defer s.waits.Store("")
	if failures > 0 {
		s.gateway.ask(ctx) // other processes may have used up starts
	}
	if wait := s.gateway.starts.take(time.Now(), failures > 0); wait > 0 {
		until := time.Now().Add(wait).UTC().Format("15:04:05")
		s.gateway.log.WarnContext(ctx, "no starts left for today; waiting", "shard", s.ID, "for",
			wait.Round(time.Second))
		s.waits.Store("until " + until + " UTC: Discord allows so many starts a day")
		if err := sleep(ctx, wait); err != nil {
			return err
		}
	}
	s.waits.Store("for its turn: Discord lets shards start one after the other")
	return s.identify.pass(ctx, s.ID)
}
