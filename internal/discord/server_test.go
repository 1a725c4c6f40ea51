package discord

import (
	"errors"
	"strings"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

// told is what somebody was told in private.
func told(u *discordtest.User) []discordtest.Message { return u.DM().Messages(u) }

func TestWhoeverBringsTheBotIsWelcomedInPrivateAndOnce(t *testing.T) {
	s := play(t, discordtest.Options{})
	zoe := s.srv.User("zoe")
	g := s.srv.JoinGuild("North", zoe)
	until(t, "the welcome is there", func() bool { return len(told(zoe)) == 1 })
	welcome := told(zoe)[0]
	wants(t, welcome.Text(), "Holdbench is in North", "Type /holdbench start in the server", "kept for 30 days")
	wantCaveats(t, welcome)
	if n := len(told(g.Owner)) + len(g.Channel("general").Messages(zoe)); n != 0 {
		t.Errorf("%d messages to others", n)
	}
	group, err := s.store.Group(t.Context(), g.ID)
	if err != nil {
		t.Fatal(err)
	}
	settings, err := group.Settings(t.Context())
	if err != nil || settings.Name != "North" || settings.Ceiling != 10 || settings.TrainerRole != "" ||
		settings.ReminderChannel != "" {
		t.Errorf("%+v, %v", settings, err)
	}
	// An outage, a return and a restart are no first sight.
	s.srv.Outage(g)
	s.srv.Recover(g)
	s.srv.LeaveGuild(g)
	until(t, "it has left", func() bool { return !s.bot.servers.here(g.ID) })
	s.srv.Rejoin(g)
	until(t, "it is back", func() bool { return s.bot.servers.here(g.ID) })
	time.Sleep(400 * time.Millisecond)
	if n := len(told(zoe)); n != 1 {
		t.Errorf("welcomed %d times", n)
	}
}

func TestTheOwnerIsWelcomedWhereNobodyIsNamed(t *testing.T) {
	s := play(t, discordtest.Options{}) // the server was there before
	until(t, "the owner is welcomed", func() bool { return len(told(s.guild.Owner)) == 1 })
}

// A welcome that did not come through is tried again and, after a day, said in the first
// channel where the bot may write; once, whatever happens later.
func TestAWelcomeThatWasNotDeliveredIsTriedAgain(t *testing.T) {
	s := stage(t, discordtest.Options{})
	s.bot.communities.Now = func() time.Time { return stopped().AddDate(0, 0, int(s.clock.Load())) }
	s.start(t)
	s.ready(t)
	zoe := s.srv.User("zoe")
	zoe.CloseDMs()
	g := s.srv.JoinGuild("North", zoe)
	g.Channel("general").DenyBot(discordtest.SendMessages)
	lobby := g.Channel("lobby")
	tried := func() int { return strings.Count(s.log.String(), "the welcome did not get through") }
	until(t, "it is told to the log", func() bool { return tried() == 1 })
	g.Join(s.ada)
	wants(t, s.srv.Command(s.ada, g, "holdbench start").Message().Text(), "Ask as you would ask a colleague")
	s.bot.welcomeOpen(t.Context())
	if n := len(lobby.Messages(zoe)); n != 0 || tried() != 2 {
		t.Errorf("%d messages to all, %d tries on the first day", n, tried())
	}
	s.clock.Store(1)
	for range 2 {
		s.bot.welcomeOpen(t.Context())
	}
	said := lobby.Messages(zoe)
	if len(said) != 1 || len(g.Channel("general").Messages(zoe)) != 0 {
		t.Fatalf("%d messages", len(said))
	}
	wants(t, said[0].Text(), "Holdbench is in North", "Whoever manages the server types /holdbench start")
	wantCaveats(t, said[0])
}

// Whoever opens their messages within the day is told there.
func TestAWelcomeIsTriedAgainAfterARestart(t *testing.T) {
	s := stage(t, discordtest.Options{IdentifySpacing: discordtest.Off})
	s.start(t)
	s.ready(t)
	until(t, "the owner is welcomed", func() bool { return len(told(s.guild.Owner)) == 1 })
	zoe := s.srv.User("zoe")
	zoe.CloseDMs()
	g := s.srv.JoinGuild("North", zoe)
	until(t, "it is told to the log", func() bool { return strings.Contains(s.log.String(), "the welcome did not get through") })
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	s.make(t, Settings{})
	s.start(t)
	s.ready(t)
	until(t, "the owner is told, who brought the bot is not known any more",
		func() bool { return len(told(g.Owner)) == 1 })
	wants(t, told(g.Owner)[0].Text(), "Holdbench is in North")
}

func TestWhatAServerKnewIsKeptForAWhileAfterLeaving(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.wantAnswers(t)
	group := s.group(t)
	s.srv.Outage(s.guild)
	time.Sleep(200 * time.Millisecond)
	if left, err := group.Left(t.Context()); err != nil || !left.IsZero() {
		t.Errorf("an outage counts as leaving: %v, %v", left, err)
	}
	s.srv.Recover(s.guild)
	s.srv.LeaveGuild(s.guild)
	until(t, "the leaving is noted", func() bool {
		left, err := group.Left(t.Context())
		return err == nil &&
			!left.IsZero()
	})
	s.srv.Rejoin(s.guild)
	until(t, "the return is noted", func() bool {
		left, err := group.Left(t.Context())
		return err == nil &&
			left.IsZero()
	})
	if n := s.tests(t); n != 144 {
		t.Errorf("%d tests", n)
	}
	s.srv.LeaveGuild(s.guild)
	until(t, "the leaving is noted", func() bool {
		left, err := group.Left(t.Context())
		return err == nil &&
			!left.IsZero()
	})
	for _, step := range []struct{ days, erased int }{{29, 0}, {31, 1}} {
		s.clock.Store(int64(step.days))
		erased := 0
		for range 6 { // looks, an hour apart: knowledge.EraseDue
			n, err := s.bot.communities.Erase(t.Context())
			if erased += n; err != nil {
				t.Error(err)
			}
		}
		if erased != step.erased {
			t.Errorf("after %d days %d are erased", step.days, erased)
		}
	}
	if _, err := s.store.Group(t.Context(), s.guild.ID); !errors.Is(err, knowledge.ErrNotFound) {
		t.Errorf("still there: %v", err)
	}
}

func TestAServerLeftWhileNobodyListenedIsNoticed(t *testing.T) {
	s := play(t, discordtest.Options{IdentifySpacing: discordtest.Off})
	north := s.srv.JoinGuild("North", s.tess)
	until(t, "the server is founded", func() bool { _, err := s.store.Group(t.Context(), north.ID); return err == nil })
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	s.srv.LeaveGuild(north)
	s.again(t)
	group, err := s.store.Group(t.Context(), north.ID)
	if err != nil {
		t.Fatal(err)
	}
	until(t, "the leaving is noted", func() bool {
		left, err := group.Left(t.Context())
		return err == nil &&
			!left.IsZero()
	})
	if left, err := s.group(t).Left(t.Context()); err != nil || !left.IsZero() {
		t.Errorf("the other server is taken for left, too: %v, %v", left, err)
	}
}

func TestServersAreKeptApart(t *testing.T) {
	s := stage(t, discordtest.Options{})
	north := s.srv.AddGuild("North")
	north.Join(s.ada)
	s.start(t)
	s.ready(t)
	wants(t, s.logged(s.ada).Message().Text(), "Logged as test ")
	there := s.srv.Command(s.ada, north, "record tests", discordtest.Opt("text", "dunmere deep 27g 13mm")).Message()
	wants(t, there.Text(), "2 tests by 2 members")
	wants(t, s.srv.Command(s.ada, s.guild, "record tests",
		discordtest.Opt("text", "dunmere deep 27g 13mm")).Message().Text(),
		"3 tests by 3 members")
	tests, err := s.group(t).Tests(t.Context(), knowledge.TestFilter{Limit: 1})
	if err != nil {
		t.Fatal(err)
	}
	wants(t, s.srv.Command(s.ada, north, "record withdraw", discordtest.Opt("test", int(tests[0].ID))).Message().Text(),
		"There is no test ")
}

func TestTheOnlyServerIsKnownToBeSo(t *testing.T) {
	s := play(t, discordtest.Options{})
	if !s.bot.Alone(s.guild.ID) || s.bot.Alone("5") {
		t.Error("one server is not the only one")
	}
	north := s.srv.JoinGuild("North", s.tess)
	until(t, "the second is known", func() bool { return s.bot.servers.here(north.ID) })
	if s.bot.Alone(s.guild.ID) || s.bot.Alone(north.ID) {
		t.Error("one of two servers is the only one")
	}
}
