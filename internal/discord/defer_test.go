package discord

import (
	"context"
	"sync/atomic"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/knowledge"
)

func TestWorkThatTakesLongIsDeferred(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.bot.answerWork = newWorkQueue(room{1, 10}, room{1, 10})
	leave, err := s.bot.answerWork.enter(t.Context(), s.guild.ID)
	if err != nil {
		t.Fatal(err)
	}
	a := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm"))
	took, err := a.Acknowledged(3 * time.Second)
	if err != nil || !a.Deferred() || took > 2*time.Second {
		t.Fatalf("deferred %t after %s, %v", a.Deferred(), took, err)
	}
	leave()
	got := a.Message()
	wantHidden(t, got, true)
	wants(t, got.Text(), "HOLD")
	// In place of a list, too.
	question := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick 27g 13mm")).Message()
	leave, err = s.bot.answerWork.enter(t.Context(), s.guild.ID)
	if err != nil {
		t.Fatal(err)
	}
	pick := s.srv.Select(s.ada, question, "Orrick Mid, 27G 13 mm needle")
	time.Sleep(deferAfter + 300*time.Millisecond)
	leave()
	wants(t, pick.Message().Text(), "HOLD")
}

func TestAFormThatIsSlowToFillInOpensEmpty(t *testing.T) {
	s := stage(t, discordtest.Options{})
	found := s.bot.communities.Found
	var slow atomic.Bool
	s.bot.communities.Found = func(ctx context.Context, ref, name string) (*knowledge.Group, error) {
		if slow.Load() {
			time.Sleep(2200 * time.Millisecond)
		}
		return found(ctx, ref, name)
	}
	s.start(t)
	s.ready(t)
	slow.Store(true)
	north := s.srv.JoinGuild("North", s.tess)
	north.Join(s.ada)
	form := s.srv.Command(s.ada, north, "log").Modal()
	wants(t, form.Text(), "Gel *: ()", "On the bench: ()")
	wants(t, s.srv.SubmitModal(s.ada, form, discordtest.Opt("gel", "Orrick Mid"),
		discordtest.Opt("setup", "30G 13 mm needle"), discordtest.Opt("result", "4.2")).Message().Text(),
		"Logged as test ")

	// Suggestions cannot be deferred: what is typed is better than silence.
	south := s.srv.JoinGuild("South", s.tess)
	south.Join(s.ada)
	hints := s.srv.Autocomplete(s.ada, south, "hold", "product", "orrick")
	if got := hints.Choices(); len(got) != 1 || got[0].Name != "orrick" || hints.Latency() > answerWithin {
		t.Errorf("suggests %v after %s", got, hints.Latency())
	}
}

func TestTooManyAtOnceAreToldSo(t *testing.T) {
	s := play(t, discordtest.Options{})
	s.bot.answerWork = newWorkQueue(room{0, 0}, room{0, 0})
	got := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "orrick mid 27g 13mm")).Message()
	wantHidden(t, got, true)
	wants(t, got.Text(), "Too many questions at once.")
}
