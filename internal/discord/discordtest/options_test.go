package discordtest

import (
	"testing"
	"time"
)

// The numbers of the platform's documentation (August 2026), as the notes on
// it give them: interactions/receiving-and-responding, events/gateway,
// topics/rate-limits.
func TestTheDefaultsAreTheDocumentedLimits(t *testing.T) {
	t.Parallel()
	o := Options{}.withDefaults()
	if o.Deadline != 3*time.Second || documentedTokenLife != 15*time.Minute {
		t.Errorf("deadline %s, token life %s", o.Deadline, documentedTokenLife)
	}
	if o.IdentifyLimit != 1000 || o.IdentifySpacing != 5*time.Second || o.MaxConcurrency != 1 ||
		o.GuildsPerShard != 2500 {
		t.Errorf("gateway: %+v", o)
	}
	if o.GlobalLimit != 50 || o.InvalidLimit != 10000 {
		t.Errorf("rate limits: %+v", o)
	}
	if eventsPerWindow != 120 || eventWindow != time.Minute || largestPayload != 4096 {
		t.Error("gateway payload limits")
	}
}

// The platform's own example (reference, snowflakes): 175928847299117063 was
// made on 2016-04-30 at 11:18:25.796 UTC.
func TestSnowflakesCarryTheirTime(t *testing.T) {
	t.Parallel()
	made := time.Date(2016, 4, 30, 11, 18, 25, 796_000_000, time.UTC)
	var ids snowflakes
	first, second := ids.next(made), ids.next(made)
	n, ok := wholeNumber(first)
	if !ok || n>>22 != 175928847299117063>>22 || second <= first {
		t.Errorf("made %s and %s", first, second)
	}
	var guilds snowflakes
	a, _ := wholeNumber(guilds.nextGuild(made))
	b, _ := wholeNumber(guilds.nextGuild(made))
	if a>>22 == b>>22 {
		t.Errorf("guilds %d and %d fall on the same shard", a, b)
	}
}
