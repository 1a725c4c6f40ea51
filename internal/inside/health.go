package inside

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"time"
)

// How long a shard may hear nothing, or be without a connection, and still count as well. A sound connection hears
// something every 42 s. A lost one is tried again every 10 s or sooner, so several times before it is reported here.
// Both limits are below the minute that docs/operate.md promises.
const (
	silenceLimit = 55 * time.Second
	lostLimit    = 45 * time.Second
)

// part is one thing that has to be well, and what is said about it.
type part struct {
	well bool
	says string
}

// parts checks everything that has to be well.
func (s *Status) parts(ctx context.Context) []part {
	ctx, stop := context.WithTimeout(ctx, askLimit)
	defer stop()
	return append([]part{s.storePart(ctx)}, s.gatewayParts()...)
}

func (s *Status) storePart(ctx context.Context) part {
	if s.sources.Store(ctx) != nil {
		return part{false, "store: it does not answer; the log says why"}
	}
	return part{true, "store: it answers"}
}

// gatewayParts returns one part for each shard that is not well, or one for all if they are.
func (s *Status) gatewayParts() []part {
	shards := s.sources.Shards()
	if len(shards) == 0 {
		return []part{{false, "gateway: Discord has not been reached yet"}}
	}
	var parts []part
	for _, shard := range shards {
		silent := s.sources.Now().Sub(shard.Heard)
		switch {
		case shard.Heard.IsZero():
			parts = append(parts, part{false, fmt.Sprintf("gateway: shard %d has heard nothing yet", shard.ID) +
				waiting(shard)})
		case !shard.Connected && s.sources.Now().Sub(shard.Lost) > lostLimit:
			lost := s.sources.Now().Sub(shard.Lost).Round(time.Second)
			parts = append(parts, part{false, fmt.Sprintf("gateway: shard %d is not connected for %s", shard.ID, lost) +
				waiting(shard)})
		case silent > silenceLimit:
			parts = append(parts, part{false, fmt.Sprintf("gateway: shard %d has heard nothing for %s", shard.ID,
				silent.Round(time.Second))})
		}
	}
	if parts == nil {
		return []part{{true, fmt.Sprintf("gateway: heard on all of %d shard(s)", len(shards))}}
	}
	return parts
}

func (s *Status) warnings(ctx context.Context) []string {
	ctx, stop := context.WithTimeout(ctx, askLimit)
	defer stop()
	return s.sources.Warnings(ctx)
}

// waiting says what a shard waits for, as the end of a line.
func waiting(shard Shard) string {
	if shard.Waits == "" {
		return ""
	}
	return "; it waits " + shard.Waits
}

// health answers 200 if every part is well, else 503, with a line for each part. Warnings do not change the status.
func (s *Status) health(w http.ResponseWriter, r *http.Request) {
	status := http.StatusOK
	var page strings.Builder
	for _, p := range s.parts(r.Context()) {
		mark := "ok   "
		if !p.well {
			mark, status = "WRONG", http.StatusServiceUnavailable
		}
		fmt.Fprintln(&page, mark, p.says)
	}
	for _, warning := range s.warnings(r.Context()) {
		fmt.Fprintln(&page, "warn ", warning)
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(page.String())) // the client may have gone
}
