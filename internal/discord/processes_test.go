package discord

import (
	"context"
	"sync"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

// turns keeps what several bots do apart, as a store that they share does.
type turns struct {
	mu   sync.Mutex
	last time.Time
	seen int
}

func (t *turns) introduce(ctx context.Context, _ int, apart time.Duration) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	select {
	case <-time.After(time.Until(t.last.Add(apart))):
	case <-ctx.Done():
		return ctx.Err()
	}
	t.last = time.Now()
	t.seen++
	return nil
}

// processes are two bots on one store, each with one of two shards, and a server of
// each shard.
func processes(t *testing.T) (s *scene, bots [2]*Bot, guilds [2]*discordtest.Guild, introduced *turns) {
	t.Helper()
	s = stage(t, discordtest.Options{Shards: 2, IdentifySpacing: 200 * time.Millisecond})
	guilds[shardOf(s.guild.ID, 2)] = s.guild
	for other := 1 - shardOf(s.guild.ID, 2); guilds[other] == nil; {
		if g := s.srv.AddGuild("Annex"); shardOf(g.ID, 2) == other {
			guilds[other] = g
		}
	}
	introduced = &turns{}
	for id := range bots {
		s.make(t, Settings{Shards: 2, ShardIDs: []int{id}, Introduce: introduced.introduce})
		s.bot.gateway.Settings.Patience.Spacing = 500 * time.Millisecond
		s.start(t)
		bots[id] = s.bot
	}
	s.wait(t, func(c discordtest.GatewayCounts) bool { return c.Sessions == 2 })
	s.ready(t)
	for id := range bots {
		until(t, "the servers are known", func() bool { return bots[id].Serves(guilds[id].ID) })
	}
	return s, bots, guilds, introduced
}

func TestProcessesWithAShardEachShareTheServers(t *testing.T) {
	s, bots, guilds, introduced := processes(t)
	for id, g := range guilds {
		if g != s.guild {
			g.Join(s.ada)
		}
		if !bots[id].Serves(g.ID) || bots[1-id].Serves(g.ID) {
			t.Errorf("server of shard %d: served by the first %t, by the second %t", id, bots[0].Serves(g.ID),
				bots[1].Serves(g.ID))
		}
		wants(t, s.srv.Command(s.ada, g, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message().Text(),
			"HOLD")
		if n := len(bots[id].Shards()); n != 1 || bots[id].Shards()[0].ID != id || bots[id].Alone(g.ID) {
			t.Errorf("process %d: %+v, alone %t", id, bots[id].Shards(), bots[id].Alone(g.ID))
		}
	}
	if introduced.seen < 2 {
		t.Errorf("the other process was waited for %d times", introduced.seen)
	}
}

// All direct messages come to the process with the first shard, whichever servers
// somebody is in.
func TestADirectMessageIsAnsweredForTheServersOfOtherProcesses(t *testing.T) {
	s, bots, guilds, _ := processes(t)
	far := guilds[1]
	bob, cleo, dora := s.srv.User("bob"), s.srv.User("cleo"), s.srv.User("dora")
	far.Join(bob)
	until(t, "its group is founded, demo and all", func() bool {
		g, err := s.store.Group(t.Context(), far.ID)
		if err != nil {
			return false
		}
		tested, err := g.Tested(t.Context())
		return err == nil && len(tested) > 0
	})
	if bots[0].Serves(far.ID) {
		t.Fatal("the server is not far at all")
	}
	wants(t, s.srv.DirectMessage(bob, "orrick mid 27g 13mm").Message().Text(), "HOLD")
	wants(t, s.srv.DirectMessage(cleo, "orrick mid 27g 13mm").Message().Text(), "server") // in none
	for _, g := range guilds {
		g.Join(dora)
	}
	asked := s.srv.DirectMessage(dora, "orrick mid 27g 13mm").Message()
	wants(t, asked.Text(), "Which group's log?", guilds[0].Name, guilds[1].Name)

	s.srv.LeaveGuild(far)
	until(t, "leaving is noted", func() bool {
		g, err := s.store.Group(t.Context(), far.ID)
		if err != nil {
			return false
		}
		left, err := g.Left(t.Context())
		return err == nil && !left.IsZero()
	})
	s.srv.DirectMessage(bob, "orrick mid 27g 13mm").Message()
	g, err := s.store.Group(t.Context(), far.ID)
	if err != nil {
		t.Fatal(err)
	}
	if left, err := g.Left(t.Context()); err != nil || left.IsZero() {
		t.Errorf("a question in private took it for there again: left %v, %v", left, err)
	}
}
