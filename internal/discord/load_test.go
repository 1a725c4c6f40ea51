package discord

import (
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

// How a busy group uses the bot: mostly questions and the suggestions before
// them, now and then a list, a comparison, a logged test.
func (s *scene) busily(i int) (first func() (time.Duration, error)) {
	command := func(name string, options ...discordtest.Option) func() (time.Duration, error) {
		a := s.srv.Command(s.ada, s.guild, name, options...)
		return func() (time.Duration, error) { return a.Acknowledged(10 * time.Second) }
	}
	switch i % 10 {
	case 0, 1, 2, 3:
		return command("hold", discordtest.Opt("text", "orrick mid 27g 13mm"))
	case 4, 5, 6:
		suggestions := s.srv.Autocomplete(s.ada, s.guild, "hold", "product", "orr")
		return func() (time.Duration, error) {
			_, err := suggestions.Wait(10 * time.Second)
			return suggestions.Latency(), err
		}
	case 7:
		return command("record tests", discordtest.Opt("text", "tamsel soft 30g 13mm"))
	case 8:
		return command("group compare", discordtest.Opt("product", "Orrick Mid"))
	}
	return command("log", discordtest.Opt("product", "Orrick Mid"), discordtest.Opt("instrument", "30G 13 mm needle"),
		discordtest.Opt("seconds", fmt.Sprintf("%d.%03d", 2+i%8, i)))
}

// storm sends n interactions, each when pace lets it, and returns how long each
// took to its first answer, shortest first. What got none is an error.
func (s *scene) storm(t testing.TB, n int, pace func(i int)) []time.Duration {
	t.Helper()
	s.bot.limits = nil // one member asks for a whole community
	took := make([]time.Duration, n)
	var all sync.WaitGroup
	var missed atomic.Int64
	for i := range n {
		pace(i)
		wait := s.busily(i)
		all.Go(func() {
			var err error
			if took[i], err = wait(); err != nil {
				missed.Add(1)
			}
		})
	}
	all.Wait()
	if n := missed.Load(); n > 0 {
		t.Errorf("%d got no answer in time", n)
	}
	slices.Sort(took)
	return took
}

// leisurely is so many a second, or as many as the machine gets out: what is late
// is not made up for.
func leisurely(t testing.TB, perSecond int) func(int) {
	beat := time.NewTicker(time.Second / time.Duration(perSecond))
	t.Cleanup(beat.Stop)
	return func(int) { <-beat.C }
}

// punctually is so many a second by the clock: what is late makes up for it.
func punctually(perSecond int) func(int) {
	began := time.Now()
	return func(i int) {
		time.Sleep(time.Until(began.Add(time.Duration(i) * time.Second / time.Duration(perSecond))))
	}
}

// percentile is the element at floor(p·(n−1)) of the sorted list.
func percentile(sorted []time.Duration, p float64) time.Duration {
	return sorted[int(p*float64(len(sorted)-1))]
}

func TestNoneOfManyAtOnceMissesTheThreeSeconds(t *testing.T) {
	s := stage(alone{t}, discordtest.Options{}) // it is about time: nothing runs beside it
	s.bot.limits = nil                          // one member asks for a whole group
	s.start(t)
	s.ready(t)
	took := s.storm(t, 200, leisurely(t, 100/slowness))
	if last := took[len(took)-1]; last > answerWithin {
		t.Errorf("the slowest first answer took %s", last)
	}
	until(t, "all 20 tests are logged", func() bool { return s.tests(t) == 144+20 })
}

// BenchmarkInteractions is 1 000 interactions at 200 a second, from the gateway
// to the first answer over HTTP, with the platform's stand-in on the same cores.
// It fails where one comes too late: beside much other work a machine does not get
// 200 a second through.
func BenchmarkInteractions(b *testing.B) {
	s := stage(b, discordtest.Options{})
	s.bot.limits = nil // one member asks for a whole group
	s.start(b)
	s.ready(b)
	s.held(s.ada) // its estimate is read once
	for b.Loop() {
		began := time.Now()
		took := s.storm(b, 1000, punctually(200))
		b.ReportMetric(float64(len(took))/time.Since(began).Seconds(), "per-s")
		b.ReportMetric(float64(percentile(took, 0.5).Microseconds())/1000, "p50-ms")
		b.ReportMetric(float64(percentile(took, 0.99).Microseconds())/1000, "p99-ms")
		b.ReportMetric(float64(took[len(took)-1].Microseconds())/1000, "max-ms")
		late := 0
		for _, d := range took {
			if d > answerWithin {
				late++
			}
		}
		b.ReportMetric(float64(late), "late")
		if late > 0 {
			b.Errorf("%d of %d first answers came after %s", late, len(took), answerWithin)
		}
	}
}
