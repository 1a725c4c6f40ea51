package gateway

import (
	"context"
	"encoding/json"
	"errors"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"
)

func TestShardsOfABucketTakeTurns(t *testing.T) {
	g := newIdentifyQueue(2, 5*time.Second)
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
	if err := newIdentifyQueue(0, time.Hour).pass(t.Context(), 0); err != nil {
		t.Error(err) // the first need not wait
	}
	blocked := newIdentifyQueue(1, time.Hour)
	blocked.taken(0, time.Now())
	if err := blocked.pass(ctx, 0); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

func TestAConnectionKnowsWhenItWasHeardAndCanBeCut(t *testing.T) {
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
	var l connection
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
	if l.unanswered() != 0 {
		t.Errorf("unanswered for %s with nothing sent", l.unanswered())
	}
	if _, err := conn.Write([]byte("beat")); err != nil {
		t.Fatal(err)
	}
	time.Sleep(20 * time.Millisecond)
	if got := l.unanswered(); got < 20*time.Millisecond {
		t.Errorf("unanswered for %s", got)
	}
	if l.note(); l.unanswered() != 0 {
		t.Errorf("answered, and unanswered for %s", l.unanswered())
	}
	l.cut()
	l.cut()
	if _, err := conn.Read(make([]byte, 1)); !errors.Is(err, net.ErrClosed) {
		t.Errorf("a cut connection: %v", err)
	}
	l.refuseDials(true)
	if _, err := l.dial(t.Context(), "tcp", server.Addr().String()); !errors.Is(err, errRefused) {
		t.Errorf("%v", err)
	}
}

func TestTheResumeAddressIsAnsweredWithoutAsking(t *testing.T) {
	r := &resumePoint{address: func() string { return "wss://front.example" }}
	client := &http.Client{Transport: r}
	where := func(path string) string {
		resp, err := client.Get("https://chat.example/api/v10" + path)
		if err != nil {
			return err.Error()
		}
		defer resp.Body.Close()
		var said struct{ URL string }
		if err := json.NewDecoder(resp.Body).Decode(&said); err != nil {
			t.Fatal(err)
		}
		return said.URL
	}
	if got := where("/gateway"); got != "wss://front.example/" {
		t.Errorf("without a point: %s", got)
	}
	r.set("wss://resume.example/")
	if got := where("/gateway"); got != "wss://resume.example/" {
		t.Errorf("with a point: %s", got)
	}
	if got := where("/gateway/bot"); !strings.Contains(got, errNotAsked.Error()) {
		t.Errorf("another question: %s", got)
	}
}

// Discord asks for a heartbeat each 41.25 s and takes 1000 starts a day (events/gateway).
func TestThePatienceIsThatOfTheGateway(t *testing.T) {
	const heartbeat, longest = 41250 * time.Millisecond, 10 * time.Second
	p := UsualPatience()
	if notices := heartbeat + p.Answer + p.Answer/20; notices > heartbeat*3/2 {
		t.Errorf("silence is noticed after %s", notices)
	}
	if p.Silence <= heartbeat+p.Answer {
		t.Errorf("a sound connection is silent for up to %s, and cut after %s", heartbeat, p.Silence)
	}
	for what, limit := range map[string]time.Duration{
		"a try": p.Opening + p.Opening/20 + p.Stuck, "a pause": p.Longest, "a dial": dialLimit, "an answer": p.Answer,
	} {
		if limit > longest {
			t.Errorf("%s takes up to %s", what, limit)
		}
	}
}

func TestStartsAreSpreadOverTheDayWhenHalfAreUsed(t *testing.T) {
	now := time.Date(2026, 11, 24, 9, 30, 0, 0, time.UTC)
	var s starts
	if s.take(now, true) != 0 {
		t.Error("waits for a limit that Discord has not told")
	}
	s.told(discordgo.SessionInformation{Total: 1000, Remaining: 1000, ResetAfter: 24 * 60 * 60 * 1000}, now)
	used := 0
	for at := now; at.Before(now.Add(24 * time.Hour)); at = at.Add(10 * time.Second) { // as quick as tries may follow
		if wait := s.take(at, true); wait > 0 {
			at = at.Add(wait)
		}
		used++
	}
	if used < 900 || used > 1000 {
		t.Errorf("%d starts in a day of failures", used)
	}
	s.told(discordgo.SessionInformation{Total: 1000, Remaining: 3, ResetAfter: 3600 * 1000}, now)
	for i, want := range []time.Duration{0, 0, 0, time.Hour} {
		if got := s.take(now, false); got != want {
			t.Errorf("start %d, without a failure before: %s, want %s", i, got, want)
		}
	}
	if got := s.take(now.Add(time.Hour), false); got != 0 {
		t.Errorf("on the next day: %s", got)
	}
}

func TestShardsOfABucketGoOneByOneWhileOtherProcessesAreWaitedFor(t *testing.T) {
	g := newIdentifyQueue(1, 0)
	ctx, stop := context.WithCancel(t.Context())
	var mu sync.Mutex
	in, most := 0, 0
	g.others = func(context.Context, int, time.Duration) error {
		mu.Lock()
		in++
		most = max(most, in)
		mu.Unlock()
		time.Sleep(5 * time.Millisecond)
		mu.Lock()
		in--
		mu.Unlock()
		return nil
	}
	var all sync.WaitGroup
	for id := range 8 {
		all.Go(func() {
			if err := g.pass(ctx, id); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if most != 1 {
		t.Errorf("%d waited at once", most)
	}
	g.others = func(ctx context.Context, _ int, _ time.Duration) error { <-ctx.Done(); return ctx.Err() }
	go g.pass(ctx, 0)
	time.AfterFunc(50*time.Millisecond, stop)
	if err := g.pass(ctx, 1); err == nil {
		t.Error("passed though the program ends")
	}
}
