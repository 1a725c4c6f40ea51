package main

import (
	"context"
	"fmt"
	"log/slog"
	"time"
)

// introduceWithin is how long the other processes are waited for: a few dozen
// shards, five seconds each.
const introduceWithin = 5 * time.Minute

// introduce is how shards of several processes keep the distance that Discord asks
// for between two that introduce themselves: by the store that they share. nil
// where there is one process. What goes wrong there does not keep the bot offline:
// Discord sends a shard that comes too early away, and it tries again.
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
