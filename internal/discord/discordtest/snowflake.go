package discordtest

import (
	"strconv"
	"sync"
	"time"
)

// platformEpoch is the zero of the platform's ids: 2015-01-01 in milliseconds
// (reference, snowflakes).
const platformEpoch = 1420070400000

// snowflakes makes the platform's ids: milliseconds since its epoch in the
// upper 42 bits, so that they sort by age.
type snowflakes struct {
	mu   sync.Mutex
	last int64
}

// next returns a new id for something made at t.
func (s *snowflakes) next(t time.Time) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.last = max(s.last+1, (t.UnixMilli()-platformEpoch)<<22)
	return strconv.FormatInt(s.last, 10)
}

// nextGuild returns an id whose time differs from all before it, so that
// guilds made at once still fall on different shards.
func (s *snowflakes) nextGuild(t time.Time) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.last = max((s.last>>22+1)<<22, (t.UnixMilli()-platformEpoch)<<22)
	return strconv.FormatInt(s.last, 10)
}

// shardOf returns the shard of n that gets the guild's events (events/gateway,
// sharding); direct messages (no guild) go to shard 0.
func shardOf(guild string, n int) int {
	id, err := strconv.ParseInt(guild, 10, 64)
	if err != nil || n < 1 {
		return 0
	}
	return int((id >> 22) % int64(n))
}

// snowflake tells whether text looks like an id.
func snowflake(text string) bool {
	_, err := strconv.ParseUint(text, 10, 64)
	return err == nil
}
