package discord

import (
	"context"
	"encoding/json"
	"errors"
	"net"
	"net/http"
	"sync/atomic"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"
)

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
			discordgo.EndpointGateway, discordgo.EndpointGatewayBot, discordgo.EndpointChannelMessages("5"), discordgo.EndpointUserChannels("5"),
			discordgo.EndpointGuildMember("5", "6"), discordgo.EndpointApplication("@me"), discordgo.EndpointApplicationGlobalCommands("5"),
			discordgo.EndpointUserGuilds("@me"), discordgo.EndpointWebhooks, discordgo.EndpointVoice, discordgo.EndpointStickers, callbackURL("1", "t"), originalURL("1", "t"),
		} {
			if len(got) < len(want) || got[:len(want)] != want || got[len(want):len(want)+8] != "api/v10/" {
				t.Errorf("%s: %s", base, got)
			}
		}
	}
}

func TestShardsOfABucketTakeTurns(t *testing.T) {
	g := newGate(2, 5*time.Second)
	now := time.Now()
	for shard, want := range []time.Duration{0, 0, 5 * time.Second, 5 * time.Second} {
		if got := g.take(shard, now); got != want {
			t.Errorf("shard %d waits %s, want %s", shard, got, want)
		}
	}
	if got := g.take(2, now.Add(5*time.Second)); got != 0 {
		t.Errorf("its turn has come, and it waits %s", got)
	}
	g.taken(1, now.Add(4*time.Second))
	if got := g.take(3, now.Add(5*time.Second)); got != 4*time.Second {
		t.Errorf("after one that did not wait: %s", got)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if err := newGate(0, time.Hour).pass(t.Context(), 0); err != nil {
		t.Error(err) // the first need not wait
	}
	blocked := newGate(1, time.Hour)
	blocked.taken(0, time.Now())
	if err := blocked.pass(ctx, 0); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

func TestTheShardOfAServer(t *testing.T) {
	// 197038439483310086 / 4194304 = 46977624770.9: even, so shard 0 of 2; one
	// step on is odd (by hand).
	for id, want := range map[string]int{"197038439483310086": 0, "197038439487504390": 1, "4194304": 1, "8388608": 0, "local": 0, "": 0} {
		if got := shardOf(id, 2); got != want {
			t.Errorf("%s: %d, want %d", id, got, want)
		}
	}
}

func TestALaneBoundsWhatRunsAndWhatWaits(t *testing.T) {
	l := newLane(2, 1)
	leave1, err1 := l.enter(t.Context(), "a")
	_, err2 := l.enter(t.Context(), "a")
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	var entered atomic.Bool
	done := make(chan struct{})
	go func() {
		defer close(done)
		if _, err := l.enter(t.Context(), "a"); err == nil {
			entered.Store(true)
		}
	}()
	until(t, "one waits", func() bool { return l.state("x").Waiting == 1 })
	if _, err := l.enter(t.Context(), "a"); !errors.Is(err, errFull) {
		t.Errorf("a second one may wait: %v", err)
	}
	if entered.Load() {
		t.Error("a third one runs")
	}
	leave1()
	<-done
	if !entered.Load() {
		t.Error("the one that waited does not run")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := l.enter(ctx, "a"); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

func TestHandsAreEmptyWhenAllIsPutAway(t *testing.T) {
	h := newHands()
	if !h.take() || !h.take() {
		t.Fatal("takes no work")
	}
	done := h.close()
	if h.take() {
		t.Error("takes work after the end")
	}
	h.put()
	select {
	case <-done:
		t.Error("done with work in hand")
	default:
	}
	h.put()
	<-done
	<-newHands().close()
}

func TestALineKnowsWhenItWasHeardAndCanBeCut(t *testing.T) {
	server, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer server.Close()
	go func() {
		for {
			conn, err := server.Accept()
			if err != nil {
				return
			}
			time.Sleep(50 * time.Millisecond)
			conn.Write([]byte("x"))
		}
	}()
	var l line
	conn, err := l.dial(t.Context(), "tcp", server.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	time.Sleep(20 * time.Millisecond)
	before := l.silence()
	if _, err := conn.Read(make([]byte, 1)); err != nil {
		t.Fatal(err)
	}
	if before < 20*time.Millisecond || l.silence() > before {
		t.Errorf("silent for %s, then for %s", before, l.silence())
	}
	l.cut()
	l.cut()
	if _, err := conn.Read(make([]byte, 1)); !errors.Is(err, net.ErrClosed) {
		t.Errorf("a cut line: %v", err)
	}
	l.hangUp(true)
	if _, err := l.dial(t.Context(), "tcp", server.Addr().String()); !errors.Is(err, errNoLine) {
		t.Errorf("%v", err)
	}
}

func TestTheResumeAddressIsAnsweredWithoutAsking(t *testing.T) {
	asked := 0
	r := &resumePoint{next: trip(func(*http.Request) (*http.Response, error) {
		asked++
		return says(200, `{"url":"wss://front.example"}`), nil
	})}
	client := &http.Client{Transport: r}
	where := func(path string) string {
		resp, err := client.Get("https://chat.example/api/v10" + path)
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		var said struct{ URL string }
		if err := json.NewDecoder(resp.Body).Decode(&said); err != nil {
			t.Fatal(err)
		}
		return said.URL
	}
	if got := where("/gateway"); got != "wss://front.example" {
		t.Errorf("without a point: %s", got)
	}
	r.set("wss://resume.example/")
	if got := where("/gateway"); got != "wss://resume.example/" || asked != 1 {
		t.Errorf("%s, asked %d times", got, asked)
	}
	if where("/gateway/bot"); asked != 2 {
		t.Error("another question was not asked")
	}
}

func TestJSONOfAnyKindIsRead(t *testing.T) {
	n := parse([]byte(`{"a":{"b":["x",5,true,null,{"c":"7"}]},"n":12345678901234567890,"f":1.5}`))
	items := n.at("a").at("b").items()
	if len(items) != 5 || items[0].text() != "x" || items[1].text() != "5" || items[2].text() != "yes" || items[3].there() || items[4].at("c").whole() != 7 {
		t.Errorf("%+v", items)
	}
	if n.at("n").text() != "12345678901234567890" || n.at("f").text() != "1.5" || n.at("n").whole() != 0 || n.at("none").at("deeper").text() != "" {
		t.Errorf("%+v", n)
	}
	if parse([]byte("{")).there() || len(parse([]byte("[1]")).items()) != 1 || parse(nil).yes() {
		t.Error("what is no JSON")
	}
}
