package discordtest_test

import (
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"

	"holdbench/internal/discord/discordtest"
)

func TestFaultsHitTheRequestsTheyAreMeantFor(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	channel := s.guild.Channel("general")
	s.srv.Fault(discordtest.Failing(500).On("POST", "/channels/*/messages").Times(2))
	for i := range 3 {
		_, err := s.dg.ChannelMessageSend(channel.ID, "x")
		if (err == nil) != (i == 2) {
			t.Errorf("attempt %d: %v", i, err)
		}
		if _, err := s.dg.Channel(channel.ID); err != nil {
			t.Errorf("another path was hit: %v", err)
		}
	}
	if got := len(channel.Messages(s.ada)); got != 1 {
		t.Errorf("%d messages: a failing request was carried out", got)
	}
	s.srv.Fault(discordtest.Failing(502).On("GET", "/channels/*").Times(2))
	if _, err := s.dg.Channel(channel.ID); err != nil {
		t.Errorf("the library tries a 502 again: %v", err)
	}
	s.srv.Fault(discordtest.Dropped().Times(-1))
	if _, err := s.dg.Channel(channel.ID); err == nil {
		t.Error("a dropped request was answered")
	}
	s.srv.ClearFaults()
	if _, err := s.dg.Channel(channel.ID); err != nil {
		t.Error(err)
	}
	if got := s.srv.Requests("GET", "/channels/*"); got[len(got)-2].Fault != "dropped" || got[len(got)-2].Status != 0 {
		t.Errorf("recorded %+v", got[len(got)-2])
	}
}

func TestARateLimitIsObeyedByTheLibrary(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	channel := s.guild.Channel("general")
	for _, f := range []discordtest.Fault{discordtest.RateLimited(200 * time.Millisecond),
		discordtest.GloballyRateLimited(200 * time.Millisecond)} {
		s.srv.Fault(f.On("POST", "/channels/*/messages"))
		begun := time.Now()
		if _, err := s.dg.ChannelMessageSend(channel.ID, "x"); err != nil {
			t.Error(err)
		}
		if took := time.Since(begun); took < 200*time.Millisecond {
			t.Errorf("it took %s", took)
		}
	}
	if got := s.srv.Refused(); got != 2 {
		t.Errorf("%d refused", got)
	}
}

func TestIgnoringRetryAfterIsAViolation(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	s.srv.ExpectViolation("before retry_after had passed")
	s.srv.Fault(discordtest.RateLimited(10*time.Second).On("GET", "/users/@me"))
	for i := range 2 {
		_, err := s.dg.User("@me", discordgo.WithRetryOnRatelimit(false))
		if err == nil {
			t.Errorf("attempt %d was answered", i)
		}
		s.srv.Clock.Advance(time.Second)
		s.dg.Ratelimiter = discordgo.NewRatelimiter() // forget what was told
	}
	s.srv.Clock.Advance(10 * time.Second)
	if _, err := s.dg.User("@me"); err != nil {
		t.Error(err)
	}
}

func TestSlowAnswersAndLateRequests(t *testing.T) {
	t.Parallel()
	got, handle := took()
	s := play(t, discordtest.Options{Deadline: 2 * time.Second}, handle)
	s.srv.ExpectViolation("no answer within")
	answer := &discordgo.InteractionResponse{Type: discordgo.InteractionResponseChannelMessageWithSource,
		Data: &discordgo.InteractionResponseData{Content: "x"}}

	s.srv.Fault(discordtest.Slow(2100*time.Millisecond).On("POST", "/interactions/*/*/callback"))
	a := s.ask()
	if err := s.dg.InteractionRespond(next(t, got).Interaction, answer); err != nil {
		t.Errorf("a slow answer is an answer: %v", err)
	}
	if _, err := a.Wait(10 * time.Second); err != nil {
		t.Error(err)
	}
	s.srv.Fault(discordtest.Late(2100*time.Millisecond).On("POST", "/interactions/*/*/callback"))
	a = s.ask()
	wantStatus(t, s.dg.InteractionRespond(next(t, got).Interaction, answer), 404, 10062)
	if _, err := a.Wait(10 * time.Second); err == nil {
		t.Error("a late request was an answer")
	}
}

func TestFiftyRequestsASecond(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{}, nil)
	s.srv.ExpectViolation("more than 50 requests in a second")
	s.srv.Clock.Advance(2 * time.Second)
	var refused atomic.Int64
	var all sync.WaitGroup
	for range 120 { // all at once: a busy machine takes its time
		all.Go(func() {
			resp, err := get(t, s, "/api/v9/users/@me", nil)
			if err != nil {
				t.Error(err)
				return
			}
			if resp.StatusCode == http.StatusTooManyRequests {
				refused.Add(1)
				if resp.Header.Get("X-RateLimit-Global") == "" || resp.Header.Get("X-RateLimit-Reset-After") != "" {
					t.Errorf("headers %v", resp.Header)
				}
			}
		})
	}
	all.Wait()
	if n := refused.Load(); n == 0 || int64(s.srv.Refused()) != n {
		t.Errorf("%d were refused", n)
	}
}

func TestRouteLimitsAreToldAndKept(t *testing.T) {
	t.Parallel()
	s := play(t, discordtest.Options{RouteLimit: 2, RouteWindow: time.Minute}, nil)
	var left []string
	for range 3 {
		resp, err := get(t, s, "/api/v10/users/@me", nil)
		if err != nil {
			t.Fatal(err)
		}
		left = append(left, resp.Status[:3]+" "+resp.Header.Get("X-RateLimit-Remaining"))
	}
	if got := strings.Join(left, ", "); got != "200 1, 200 0, 429 0" {
		t.Errorf("got %s", got)
	}
}
