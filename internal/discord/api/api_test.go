package api

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"
)

// trip answers requests in a test's own way.
type trip func(*http.Request) (*http.Response, error)

func (f trip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

// says is what a platform answers.
func says(status int, body string) *http.Response {
	return &http.Response{StatusCode: status, Header: http.Header{}, Body: io.NopCloser(strings.NewReader(body))}
}

func TestWhatIsNoAddressIsNotAimedAt(t *testing.T) {
	for _, base := range []string{"", "discord.com", "ftp://x", "http://", "://"} {
		if err := Aim(base); err == nil {
			t.Errorf("%q is taken", base)
		}
	}
}

// Aim changes variables of the process, so this test is alone in not running
// beside others, and puts them back.
func TestEveryAddressIsAimed(t *testing.T) {
	defer func() {
		if err := Aim("https://discord.com"); err != nil {
			t.Error(err)
		}
	}()
	for base, want := range map[string]string{
		"http://127.0.0.1:81":              "http://127.0.0.1:81/",
		"http://127.0.0.1:81/":             "http://127.0.0.1:81/",
		"http://127.0.0.1:81/api/v10":      "http://127.0.0.1:81/",
		"http://127.0.0.1:81/api":          "http://127.0.0.1:81/",
		"https://proxy.example/to/api/v9/": "https://proxy.example/to/",
		"https://discord.com/api/v10":      "https://discord.com/",
	} {
		if err := Aim(base); err != nil {
			t.Errorf("%s: %v", base, err)
		}
		for _, got := range []string{
			discordgo.EndpointGateway, discordgo.EndpointGatewayBot, discordgo.EndpointChannelMessages("5"),
			discordgo.EndpointUserChannels("5"),
			discordgo.EndpointGuildMember("5", "6"), discordgo.EndpointApplication("@me"),
			discordgo.EndpointApplicationGlobalCommands("5"),
			discordgo.EndpointUserGuilds("@me"), discordgo.EndpointWebhooks, discordgo.EndpointVoice,
			discordgo.EndpointStickers, callbackURL("1", "t"), originalURL("1", "t"),
		} {
			if len(got) < len(want) || got[:len(want)] != want || got[len(want):len(want)+8] != "api/v10/" {
				t.Errorf("%s: %s", base, got)
			}
		}
	}
}

func TestJSONOfAnyKindIsRead(t *testing.T) {
	n := Read([]byte(`{"a":{"b":["x",5,true,null,{"c":"7"}]},"n":12345678901234567890,"f":1.5}`))
	items := n.At("a").At("b").Items()
	if len(items) != 5 || items[0].Text() != "x" || items[1].Text() != "5" || items[2].Text() != "yes" ||
		items[3].There() || items[4].At("c").Whole() != 7 {
		t.Errorf("%+v", items)
	}
	if n.At("n").Text() != "12345678901234567890" || n.At("f").Text() != "1.5" || n.At("n").Whole() != 0 ||
		n.At("none").At("deeper").Text() != "" {
		t.Errorf("%+v", n)
	}
	if Read([]byte("{")).There() || len(Read([]byte("[1]")).Items()) != 1 || Read(nil).Yes() {
		t.Error("what is no JSON")
	}
}

func TestARefusalIsReadWhoeverItComesFrom(t *testing.T) {
	cases := map[string]struct {
		resp  *http.Response
		body  string
		code  int
		after time.Duration
	}{
		"the API": {says(429, ""), `{"code":0,"message":"slow","retry_after":0.25,"global":false}`, 0,
			250 * time.Millisecond},
		"a server before": {says(502, ""), "<html>bad gateway</html>", 0, 0},
		"a form":          {says(400, ""), `{"code":50035,"message":"Invalid Form Body"}`, 50035, 0},
		"nothing":         {says(500, ""), "", 0, 0},
	}
	for scene, c := range cases {
		got := readRefusal(c.resp, []byte(c.body))
		if got.Status != c.resp.StatusCode || got.Code != c.code || got.After != c.after || got.Error() == "" {
			t.Errorf("%s: %+v", scene, got)
		}
	}
	limited := says(429, "")
	limited.Header.Set("Retry-After", "2")
	if got := readRefusal(limited, []byte("<html>")); got.After != 2*time.Second {
		t.Errorf("by the header: %s", got.After)
	}
}

func TestTheLimitKeepsAnySecondBelowWhatDiscordTakes(t *testing.T) {
	const (
		taken   = 50  // requests a second (topics/rate-limits)
		delayed = 1.3 // seconds of requests that may arrive within one; common practice, no source
	)
	if requestsPerSecond*delayed+requestsAtOnce > taken {
		t.Errorf("%d a second and %d at once", requestsPerSecond, requestsAtOnce)
	}
	var sent int
	l := Limited(trip(func(*http.Request) (*http.Response, error) { sent++; return says(200, ""), nil }))
	get := func(ctx context.Context) error {
		req, err := http.NewRequestWithContext(ctx, http.MethodGet, "https://chat.example", nil)
		if err != nil {
			t.Fatal(err)
		}
		resp, err := l.RoundTrip(req)
		if err == nil {
			resp.Body.Close()
		}
		return err
	}
	ctx, stop := context.WithTimeout(t.Context(), 500*time.Millisecond)
	defer stop()
	for get(ctx) == nil {
	}
	if sent < requestsAtOnce || sent > requestsAtOnce+requestsPerSecond/2+1 {
		t.Errorf("%d requests in half a second", sent)
	}
}

// A 429 that bears on all requests holds the next one back; one of a single route does not.
func TestAGlobalLimitHoldsAllRequestsBack(t *testing.T) {
	for scope, held := range map[string]bool{"global": true, "": true, "user": false, "shared": false} {
		l := Limited(trip(func(*http.Request) (*http.Response, error) {
			resp := says(429, "")
			resp.Header.Set("Retry-After", "60")
			resp.Header.Set("X-RateLimit-Scope", scope)
			return resp, nil
		}))
		ctx, stop := context.WithTimeout(t.Context(), 50*time.Millisecond)
		req, err := http.NewRequestWithContext(ctx, http.MethodGet, "https://chat.example", nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := l.RoundTrip(req); err != nil {
			t.Errorf("%q: %v", scope, err)
		}
		if _, err := l.RoundTrip(req); errors.Is(err, ErrNotSent) != held {
			t.Errorf("%q: the next one: %v", scope, err)
		}
		stop()
	}
}
