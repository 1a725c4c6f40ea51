package discord

import (
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/discord/discordtest"
)

// tally is what whoever keeps count was told.
type tally struct {
	mu   sync.Mutex
	told []Observed
}

func (y *tally) note(o Observed) {
	y.mu.Lock()
	defer y.mu.Unlock()
	y.told = append(y.told, o)
}

// next waits for one more to be told and returns it.
func (y *tally) next(t *testing.T, seen int) Observed {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		y.mu.Lock()
		if len(y.told) > seen {
			defer y.mu.Unlock()
			if len(y.told) > seen+1 {
				t.Errorf("told more than once: %+v", y.told[seen:])
			}
			return y.told[seen]
		}
		y.mu.Unlock()
		if time.Now().After(end) {
			t.Fatalf("told of %d", seen)
		}
	}
}

// counted is a scene whose answers are counted.
func counted(t *testing.T) (*scene, *tally) {
	t.Helper()
	s, y := stage(t, discordtest.Options{}), &tally{}
	s.make(t, Settings{Observe: y.note})
	s.start(t)
	s.ready(t)
	return s, y
}

func TestEveryAnswerIsCountedOnceByCommandAndOutcome(t *testing.T) {
	s, y := counted(t)
	seen := 0
	want := func(command string, outcome Outcome) {
		t.Helper()
		o := y.next(t, seen)
		seen++
		if o.Command != command || o.Outcome != outcome || o.Took <= 0 || o.Took > 30*time.Second {
			t.Errorf("told %+v, want %s %s", o, command, outcome)
		}
	}
	held := s.held(s.ada)
	want("hold", Answered)
	s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text", "a gel that nobody has")).Message()
	want("hold", Refused)
	s.srv.Mention(s.ada, s.guild, "orrick mid 27g 13mm").Message()
	want("hold", Answered)
	s.srv.Mention(s.ada, s.guild, "/mrs-smith").Message()
	want("", Refused)
	s.srv.Press(s.ada, held, showLabel).Message()
	want("hold", Answered)
	s.srv.Command(s.ada, s.guild, "log").Modal()
	want("log", Answered)
}

func TestAFaultOfOursIsCountedAndToldToTheLogWithoutWhatWasTyped(t *testing.T) {
	s, y := counted(t)
	until(t, "the group is there", func() bool { _, err := s.store.Group(t.Context(), s.guild.ID); return err == nil })
	if err := s.store.Close(); err != nil {
		t.Fatal(err)
	}
	said := s.srv.Command(s.ada, s.guild, "hold", discordtest.Opt("text",
		"zebrafinch orrick mid 27g 13mm")).Message().Text()
	if o := y.next(t, 0); o.Command != "hold" || o.Outcome != Failed {
		t.Errorf("told %+v", o)
	}
	wants(t, said, "Reference ")
	_, after, _ := strings.Cut(said, "Reference ")
	reference, _, _ := strings.Cut(after, ":")
	log := s.log.String()
	line := ""
	for _, l := range strings.Split(log, "\n") {
		if strings.Contains(l, reference) {
			line = l
		}
	}
	wants(t, line, "level=ERROR", "community="+s.guild.ID)
	said = s.srv.Mention(s.ada, s.guild, "/totest take zebrafinch on 27g 13mm").Message().Text()
	wants(t, said, "Reference ")
	if o := y.next(t, 1); o.Outcome != Failed {
		t.Errorf("told %+v", o)
	}
	for _, secret := range []string{"zebrafinch", s.srv.Token()} {
		if strings.Contains(s.log.String(), secret) {
			t.Errorf("%q is in the log\n%s", secret, s.log)
		}
	}
}

func TestAnAnswerThatDiscordDoesNotWaitForIsLate(t *testing.T) {
	s, y := counted(t)
	due := y // an interaction whose three seconds are over before it is handled
	turn := &turn{bot: s.bot, received: time.Now().Add(-answerWithin), command: "hold"}
	turn.ix.id, turn.ix.token, turn.ix.app = "1", "unknown-token", s.srv.ApplicationID()
	turn.respond(t.Context(), message{outcome: Answered})
	if o := due.next(t, 0); o.Outcome != Late || o.Took < answerWithin {
		t.Errorf("told %+v", o)
	}
}

func TestShardsAndLanesSayHowTheyAre(t *testing.T) {
	s := quick(t, discordtest.Options{Shards: 1})
	if got := s.bot.Shards(); got != nil {
		t.Errorf("before the start: %+v", got)
	}
	s.start(t)
	s.ready(t)
	connected := func(want bool) {
		t.Helper()
		for end := time.Now().Add(slowness * 10 * time.Second); ; time.Sleep(5 * time.Millisecond) {
			shards := s.bot.Shards()
			if len(shards) == 1 && shards[0].ID == 0 && shards[0].Connected == want {
				if shards[0].Lost.IsZero() != want || time.Since(shards[0].Lost) > time.Minute && !want {
					t.Errorf("%+v", shards)
				}
				if shards[0].Heard.IsZero() || time.Since(shards[0].Heard) > time.Minute {
					t.Errorf("%+v", shards)
				}
				return
			}
			if time.Now().After(end) {
				t.Fatalf("%+v, want connected %v", shards, want)
			}
		}
	}
	connected(true)
	s.srv.Down()
	connected(false)
	s.srv.Up()
	connected(true)
	for _, queue := range s.bot.Queues() {
		if queue.AtHand != 0 || queue.Waiting != 0 || queue.TurnedAway != 0 {
			t.Errorf("%+v", queue)
		}
	}
}

func TestALaneCountsWhatIsAtHandWaitingAndTurnedAway(t *testing.T) {
	l := newWorkQueue(room{1, 1}, room{1, 1})
	leave, err := l.enter(t.Context(), "a")
	if err != nil {
		t.Fatal(err)
	}
	entered := make(chan func(), 1)
	go func() {
		if leave, err := l.enter(t.Context(), "a"); err == nil {
			entered <- leave
		}
	}()
	for end := time.Now().Add(5 * time.Second); l.state("x").Waiting != 1; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%+v", l.state("x"))
		}
	}
	if _, err := l.enter(t.Context(), "a"); err != errFull {
		t.Errorf("%v", err)
	}
	if got := l.state("x"); got != (Queue{Name: "x", AtHand: 1, Waiting: 1, TurnedAway: 1}) {
		t.Errorf("%+v", got)
	}
	leave()
	(<-entered)()
	if got := l.state("x"); got.AtHand != 0 || got.Waiting != 0 {
		t.Errorf("%+v", got)
	}
}
