package discord

import (
	"flag"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

var (
	forgeries = flag.Int("forgeries", 1000, "how many forged interactions and messages "+
		"TestForgeriesAreAnsweredInWords sends")
	forgerSeed = flag.Uint64("forger-seed", 1, "the seed of the forgeries")
)

// inTheAir is how many forgeries wait for their answer at once.
const inTheAir = 16

// alone is a test that is not run beside others: it counts goroutines.
type alone struct{ testing.TB }

func TestForgeriesAreAnsweredInWords(t *testing.T) {
	if slowness > 3 && *forgeries == 1000 {
		*forgeries = 300 // each takes several times as long under the race detector
	}
	s := stage(alone{t}, discordtest.Options{})
	var became [4]atomic.Int64 // by Outcomes
	s.make(t, Settings{Observe: func(o Observed) {
		for i, outcome := range Outcomes() {
			if o.Outcome == outcome {
				became[i].Add(1)
			}
		}
	}})
	s.bot.limits = nil
	s.start(t)
	s.ready(t)
	on := s.srv.Mention(s.ada, s.guild, "orrick 27g 13mm").Message()

	f, began := newForger(*forgerSeed), time.Now()
	room, all := make(chan struct{}, inTheAir), sync.WaitGroup{}
	for range *forgeries {
		room <- struct{}{}
		answer := f.send(s, on)
		all.Go(func() {
			defer func() { <-room }()
			if answer != nil {
				if _, err := answer.Acknowledged(10 * time.Second); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	until(t, "nothing is in hand", s.idle)
	t.Logf("%d forgeries in %s: answered %d, refused %d, failed %d, late %d", *forgeries,
		time.Since(began).Round(time.Millisecond),
		became[0].Load(), became[1].Load(), became[2].Load(), became[3].Load())
	if became[2].Load()+became[3].Load() > 0 || became[0].Load() < int64(*forgeries)/20 ||
		became[1].Load() < int64(*forgeries)/5 {
		t.Errorf("failed %d, late %d", became[2].Load(), became[3].Load())
	}
	for _, line := range strings.Split(s.log.String(), "\n") {
		if strings.Contains(line, "level=ERROR") {
			t.Errorf("%.600s", line)
		}
	}
	s.bot.limits = nil
	s.wantAnswers(t)
	if err := s.leave(); err != nil {
		t.Fatal(err)
	}
	var left []string
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		if left = ours(); len(left) == 0 || time.Now().After(end) {
			break
		}
	}
	for _, stack := range left {
		t.Errorf("still running:\n%s", stack)
	}
}

// ours are the goroutines that work for a Bot.
func ours() (stacks []string) {
	buffer := make([]byte, 4<<20)
	for _, stack := range strings.Split(string(buffer[:runtime.Stack(buffer, true)]), "\n\n") {
		if strings.Contains(stack, "internal/discord.(*") && !strings.Contains(stack, "testing.tRunner") {
			stacks = append(stacks, stack)
		}
	}
	return stacks
}
