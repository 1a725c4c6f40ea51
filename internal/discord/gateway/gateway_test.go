package gateway

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"
)

// trip answers requests in a test's own way.
type trip func(*http.Request) (*http.Response, error)

func (f trip) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

// says is what a platform answers.
func says(status int, body string) *http.Response {
	return &http.Response{StatusCode: status, Header: http.Header{}, Body: io.NopCloser(strings.NewReader(body))}
}

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
