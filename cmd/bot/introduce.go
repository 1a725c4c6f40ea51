package main

import (
	"context"
	"fmt"
	"log/slog"
	"time"
)

// introduceWithin is how long to wait for the shards of other processes: a few dozen, five seconds each.
const introduceWithin = 5 * time.Minute

// introduce keeps the shards of several processes as far apart as Discord asks when they identify, by the store that
// the processes share; nil where there is one process. A failure of the store does not keep the bot offline: Discord
// turns away a shard that identifies too early, and the shard tries again.
func (s *servers) introduce(log *slog.Logger) func(ctx context.Context, bucket int, apart time.Duration) error {
	if len(s.settings.Discord.ShardIDs) == 0 {
		return nil
	}
	return func(ctx context.Context, bucket int, apart time.Duration) error {
		waiting, stop := context.WithTimeout(ctx, introduceWithin)
		defer stop()
		err := s.store.Spaced(waiting, fmt.Sprintf("introduce a shard of bucket %d", bucket), apart)
		if err != nil && ctx.Err() == nil {
			log.WarnContext(ctx, "other processes' shards were not waited for", "error", err)
			return nil
		}
		return ctx.Err()
	}
}
