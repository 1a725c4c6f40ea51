package discord

import (
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

func TestTheBotWantsNoPrivilegedIntent(t *testing.T) {
	const privileged = 1<<1 | 1<<8 | 1<<15 // members, presences, message content (events/gateway)
	if intents&privileged != 0 {
		t.Errorf("asks for %b", intents&privileged)
	}
}

func TestShardsAreAsManyAsAdvisedAndKeepTheirDistance(t *testing.T) {
	s := stage(t, discordtest.Options{Shards: 2, MaxConcurrency: 2})
	s.bot.gateway.Settings.Patience.Spacing = 0
	s.start(t)
	s.wait(t, func(c discordtest.GatewayCounts) bool { return c.Sessions == 2 })
	s.ready(t)
	for i := range 4 { // servers of both shards
		g := s.srv.JoinGuild("more", s.tess)
		g.Join(s.ada)
		until(t, "the server is known", func() bool { return s.bot.servers.here(g.ID) })
		wants(t, s.srv.Command(s.ada, g, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message().Text(),
			"HOLD")
		_ = i
	}
	wants(t, s.srv.DirectMessage(s.ada, "orrick mid 27g 13mm").Message().Text(), "HOLD")
}

func TestShardsOfOneBucketWaitForOneAnother(t *testing.T) {
	// The stand-in measures when they arrive, and on a busy machine two arrive together that began apart: it is not asked.
	s := stage(t, discordtest.Options{IdentifySpacing: discordtest.Off})
	s.make(t, Settings{Shards: 3})
	s.bot.gateway.Settings.Patience.Spacing = 700 * time.Millisecond
	began := time.Now()
	s.start(t)
	s.wait(t, func(c discordtest.GatewayCounts) bool { return c.Sessions == 3 })
	if took := time.Since(began); took < 1400*time.Millisecond {
		t.Errorf("three shards in %s", took)
	}
}

func TestAllStartsOfTheDaySpentIsWaitedOut(t *testing.T) {
	s := stage(t, discordtest.Options{IdentifyLimit: 1})
	s.start(t)
	s.ready(t)
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	s.make(t, Settings{})
	s.start(t)
	until(t, "it says what it waits for", func() bool {
		shards := s.bot.Shards()
		return len(shards) == 1 && strings.Contains(shards[0].Waits, "Discord allows so many starts a day")
	})
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	if c := s.srv.Gateway(); c.Identifies != 1 {
		t.Errorf("%+v", c)
	}
	wants(t, s.log.String(), "no starts left for today")
}
