package discord

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
	"holdbench/internal/groups"
)

// flooded has people flood the scene's server while a group asks in another, a
// tenth of a second after each answer, and returns how long that group's first
// answers took, shortest first, how many commands the flood was, and how many of them
// were told to wait.
func flooded(t testing.TB, s *scene, people, perSecond int, lasting time.Duration) (south []time.Duration, sent,
	refused int) {
	t.Helper()
	quiet := s.srv.JoinGuild("South", s.tess)
	group := make([]*discordtest.User, 30) // none of them asks too much
	for i := range group {
		group[i] = s.srv.User(fmt.Sprintf("south-%02d", i))
		quiet.Join(group[i])
	}
	ask := func() {
		answer := s.srv.Command(group[len(south)%len(group)], quiet, "hold",
			discordtest.Opt("text", "orrick mid 27g 13mm"))
		took, err := answer.Acknowledged(10 * time.Second)
		if err != nil {
			t.Error(err)
		}
		south = append(south, took)
		wants(t, answer.Message().Text(), "HOLD")
	}
	ask() // its estimate is worked out
	south = nil
	crowd := make([]*discordtest.User, people)
	for i := range crowd {
		crowd[i] = s.srv.User(fmt.Sprintf("crowd-%02d", i))
		s.guild.Join(crowd[i])
	}
	// what a community has at once is used up
	for i := range atOnceBy(func(i int) string { return fmt.Sprint("before ", i) }) {
		s.bot.limits.Ask(s.guild.ID, fmt.Sprint("before ", i))
	}
	var all sync.WaitGroup
	var told sync.Mutex
	over := time.After(lasting)
	beat := time.NewTicker(time.Second / time.Duration(perSecond))
	defer beat.Stop()
	all.Go(func() {
		for i := 0; ; i++ {
			select {
			case <-over:
				return
			case <-beat.C:
			}
			answer := s.pesters(crowd[i%people], i)
			sent++
			all.Go(func() {
				if _, err := answer.Acknowledged(20 * time.Second); err == nil &&
					strings.Contains(answer.Message().Text(), "Please ask again in") {
					told.Lock()
					refused++
					told.Unlock()
				}
			})
		}
	})
	for end := time.Now().Add(lasting); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		ask()
	}
	all.Wait()
	slices.Sort(south)
	return south, sent, refused
}

// atOnceBy is how many questions a community may ask at once, each by the member
// of that number.
func atOnceBy(member func(i int) string) (n int) {
	for l := groups.NewLimits(stopped); l.Ask("community", member(n)).OK; n++ {
	}
	return n
}

// memberAtOnce is how many one member may ask.
func memberAtOnce() int { return atOnceBy(func(int) string { return "member" }) }

// pesters asks for what costs most.
func (s *scene) pesters(u *discordtest.User, i int) *discordtest.Answer {
	switch i % 3 {
	case 0:
		return s.srv.Command(u, s.guild, "totest list")
	case 1:
		return s.srv.Command(u, s.guild, "group compare", discordtest.Opt("product", "Orrick Mid"))
	}
	return s.srv.Command(u, s.guild, "hold", discordtest.Opt("text", fmt.Sprintf("dunmere deep %dg 13mm", 25+i%6)))
}

// floodScene is a scene whose server is not limited as one, or not at all: the
// sharing of the work queue must do alone.
func floodScene(t testing.TB, limits *groups.Limits) *scene {
	t.Helper()
	s := stage(t, discordtest.Options{})
	s.bot.limits = limits
	s.start(t)
	s.ready(t)
	return s
}

func TestAFloodInOneServerDoesNotSlowAnother(t *testing.T) {
	// Limited by a clock that stands still, nothing is given back however slow the machine.
	for name, limits := range map[string]*groups.Limits{"limited": groups.NewLimits(stopped), "not limited": nil} {
		t.Run(name, func(t *testing.T) {
			s := floodScene(t, limits)
			south, sent, refused := flooded(t, s, 40, 100/slowness, 4*time.Second)
			if len(south) < 3 || south[len(south)-1] > answerWithin {
				t.Errorf("%d answers, the slowest after %s", len(south), south[len(south)-1])
			}
			if (refused > 0) != (limits != nil) {
				t.Errorf("%d of %d of the flood were told to wait", refused, sent)
			}
		})
	}
}

// BenchmarkFlood is how long another server waits for its first answers while one
// is flooded by sixty people: 200 expensive commands a second for five seconds.
func BenchmarkFlood(b *testing.B) {
	for _, flood := range []struct {
		name      string
		limits    *groups.Limits
		perSecond int
	}{{"quiet", groups.NewLimits(time.Now), 1}, {"limited", groups.NewLimits(time.Now), 200},
		{"unlimited", nil, 200}} {
		b.Run(flood.name, func(b *testing.B) {
			s := floodScene(b, flood.limits)
			for b.Loop() {
				south, sent, refused := flooded(b, s, 60, flood.perSecond, 5*time.Second)
				b.ReportMetric(float64(percentile(south, 0.5).Microseconds())/1000, "p50-ms")
				b.ReportMetric(float64(south[len(south)-1].Microseconds())/1000, "max-ms")
				b.ReportMetric(float64(sent), "sent")
				b.ReportMetric(float64(refused), "told-to-wait")
			}
		})
	}
}

func TestWhoAsksTooMuchIsToldToWait(t *testing.T) {
	s := floodScene(t, groups.NewLimits(stopped)) // nothing is given back
	for range memberAtOnce() - 1 {
		s.bot.limits.Ask(s.guild.ID, s.ada.ID)
	}
	wants(t, s.srv.Command(s.ada, s.guild, "me choices").Message().Text(), "What you agree to")
	last := s.srv.Command(s.ada, s.guild, "me choices").Message()
	wantHidden(t, last, true)
	wants(t, last.Text(), "That was a lot at once.", "Please ask again in 1 second. Nothing was stored.")
	wants(t, s.srv.Command(s.tess, s.guild, "me choices").Message().Text(), "What you agree to")
	// In the open it is said once: not at all here, for it was said.
	mention := s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm")
	north := s.srv.JoinGuild("North", s.tess)
	north.Join(s.ada)
	for range memberAtOnce() {
		s.bot.limits.Ask(north.ID, s.ada.ID)
	}
	wants(t, s.srv.Mention(s.ada, north, "orrick mid 27g 13mm").Message().Text(), "That was a lot at once.")
	mention.Silence(300 * time.Millisecond)
}

func TestAFilledInFormIsNotThrownAwayForHaste(t *testing.T) {
	s := play(t, discordtest.Options{})
	form := s.srv.Command(s.ada, s.guild, "log").Modal()
	for range memberAtOnce() + 10 {
		s.bot.limits.Ask(s.guild.ID, s.ada.ID)
	}
	wants(t, s.srv.SubmitModal(s.ada, form, discordtest.Opt("gel", "Orrick Mid"),
		discordtest.Opt("setup", "30G 13 mm needle"), discordtest.Opt("result", "4.2")).Message().Text(),
		"Logged as test ")
}

func TestSuggestionsThatComeTooFastAreShorter(t *testing.T) {
	s := floodScene(t, groups.NewLimits(stopped)) // nothing is given back
	s.srv.Autocomplete(s.ada, s.guild, "hold", "product", "orr").Choices()
	for s.bot.limits.Suggest(s.guild.ID, s.ada.ID) {
	}
	got := s.srv.Autocomplete(s.ada, s.guild, "hold", "product", "orrick f").Choices()
	if len(got) != 1 || got[0].Name != "Orrick Firm" {
		t.Errorf("%v", got)
	}
}
