package discordtest_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

// notebook is a test that notes its failures instead of failing.
type notebook struct {
	testing.TB
	failures []string
	cleanups []func()
}

func (n *notebook) Helper()          {}
func (n *notebook) Cleanup(f func()) { n.cleanups = append(n.cleanups, f) }
func (n *notebook) Errorf(format string, args ...any) {
	n.failures = append(n.failures, fmt.Sprintf(format, args...))
}

// end runs the cleanups as the end of a test does, last first.
func (n *notebook) end() {
	for i := len(n.cleanups) - 1; i >= 0; i-- {
		n.cleanups[i]()
	}
}

func TestAViolationFailsTheTest(t *testing.T) {
	t.Parallel()
	n := &notebook{TB: t}
	srv := discordtest.New(n)
	guild := srv.AddGuild("Bench")
	dg := client(t, srv)
	_, err := dg.ChannelMessageSend(guild.Channel("general").ID, long(2001))
	wantForm(t, "too long", err, "content")
	n.end()
	if len(n.failures) != 1 || !strings.Contains(n.failures[0], "content: Must be 2000 or fewer in length.") {
		t.Errorf("the test fails with %q", n.failures)
	}
}

func TestAnExpectedViolationDoesNot(t *testing.T) {
	t.Parallel()
	n := &notebook{TB: t}
	srv := discordtest.New(n)
	guild := srv.AddGuild("Bench")
	srv.ExpectViolation("content: Must be 2000")
	_, err := client(t, srv).ChannelMessageSend(guild.Channel("general").ID, long(2001))
	wantForm(t, "too long", err, "content")
	n.end()
	if len(n.failures) != 0 {
		t.Errorf("the test fails with %q", n.failures)
	}
}

func TestAnExpectedViolationThatNeverCameFailsTheTest(t *testing.T) {
	t.Parallel()
	n := &notebook{TB: t}
	discordtest.New(n).ExpectViolation("content")
	n.end()
	if len(n.failures) != 1 || !strings.Contains(n.failures[0], "never came") {
		t.Errorf("the test fails with %q", n.failures)
	}
}

// A second of the rate a bot is to stand. How fast the answers are depends on
// what else the machine does, so only their coming is checked here.
func TestTheStandInKeepsUpWithManyInteractions(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	s.dg.AddHandler(func(dg *discordgo.Session, i *discordgo.InteractionCreate) {
		respond(t, dg, i, discordgo.InteractionResponseChannelMessageWithSource,
			&discordgo.InteractionResponseData{Content: "x"})
	})
	const n = 200
	var answers []*discordtest.Answer
	tick := time.NewTicker(5 * time.Millisecond) // 200 a second
	defer tick.Stop()
	for range n {
		<-tick.C
		answers = append(answers, s.ask())
	}
	var worst time.Duration
	for _, a := range answers {
		if _, err := a.Wait(time.Minute); err != nil {
			t.Fatal(err)
		}
		worst = max(worst, a.Latency())
	}
	t.Logf("%d interactions, slowest answer %s", n, worst)
}
