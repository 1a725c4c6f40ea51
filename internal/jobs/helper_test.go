package jobs

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/outputtest"
	"holdbench/internal/trade"
)

// movable is a clock that stands still until it is set.
type movable struct {
	mu  sync.Mutex
	now time.Time
}

func (c *movable) set(now time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = now
}

func (c *movable) read() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

// platform stands for a chat platform: a second post with a nonce makes no
// second message.
type platform struct {
	mu    sync.Mutex
	calls []Post
	seen  []Post                 // what can be read there
	at    []time.Time            // when each was posted
	fault func(Post, bool) error // what goes wrong; the bool says whether the post is there already
	clock *movable
}

func (p *platform) Post(_ context.Context, post Post) (string, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.calls = append(p.calls, post)
	if p.fault != nil {
		if err := p.fault(post, false); err != nil {
			return "", err
		}
	}
	there := false
	for _, s := range p.seen {
		there = there || s.Key == post.Key
	}
	if !there {
		p.seen, p.at = append(p.seen, post), append(p.at, p.clock.read())
	}
	if p.fault != nil {
		if err := p.fault(post, true); err != nil {
			return "", err
		}
	}
	return "message " + post.Key, nil
}

// bench is a store in a file, a clock and a platform.
type bench struct {
	path     string
	clock    *movable
	platform *platform
	store    *knowledge.Store
	log      *record
}

// record is what the runners logged as errors.
type record struct{ outputtest.Text }

// quiet fails the test if anything was logged as an error.
func (r *record) quiet(t testing.TB) {
	t.Helper()
	if said := r.String(); said != "" {
		t.Errorf("logged: %.1000s", said)
	}
}

func newBench(t testing.TB, now time.Time) *bench {
	t.Helper()
	clock := &movable{now: now}
	b := &bench{path: filepath.Join(t.TempDir(), "bench.db"), clock: clock, platform: &platform{clock: clock},
		log: &record{}}
	if err := os.WriteFile(b.path, must(emptyFile())(t), 0o600); err != nil {
		t.Fatal(err)
	}
	b.store = b.open(t)
	return b
}

// emptyFile is a file with a new store in it, of which each bench gets a copy: that
// is faster than to make each anew.
var emptyFile = sync.OnceValues(func() ([]byte, error) {
	folder, err := os.MkdirTemp("", "")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, "empty.db")
	s, err := knowledge.Open(context.Background(), path)
	if err != nil {
		return nil, err
	}
	if err := s.Close(); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
})

func (b *bench) open(t testing.TB) *knowledge.Store {
	t.Helper()
	s := must(knowledge.Open(t.Context(), b.path, knowledge.WithClock(b.clock.read),
		knowledge.WithPatience(time.Hour)))(t)
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// runner is a program of its own on the file.
func (b *bench) runner(s *knowledge.Store) *Runner {
	return &Runner{Store: s, Poster: b.platform, Now: b.clock.read,
		Log: slog.New(slog.NewTextHandler(b.log, &slog.HandlerOptions{Level: slog.LevelError}))}
}

// tick does what is due at a time.
func (b *bench) tick(t testing.TB, now time.Time) {
	t.Helper()
	b.clock.set(now)
	b.runner(b.store).Tick(t.Context())
}

// small founds a community with a gel, two needles and three members; osier uses
// the gel with the thicker needle, which nobody has tested.
func (b *bench) small(t testing.TB, ref, zone string, day time.Weekday, hour int) *knowledge.Group {
	t.Helper()
	ctx := t.Context()
	g := must(b.store.Found(ctx, knowledge.NewCommunity{Ref: ref, Name: "Circle " + ref, Zone: zone}))(t)
	must(g.AddProduct(ctx, trade.Product{Name: "Orrick Mid", Class: calc.MediumHA}))(t)
	must(g.AddInstrument(ctx, needle(27)))(t)
	must(g.AddInstrument(ctx, needle(30)))(t)
	for _, name := range []string{"osier", "millbrook"} {
		must(g.Admit(ctx, knowledge.Member{Ref: name}))(t)
	}
	must(g.Admit(ctx, knowledge.Member{Ref: "lantern", Role: knowledge.TrainerRole}))(t)
	must(g.AddStock(ctx, knowledge.StockItem{Member: osier, Combination: orrick(27)}))(t)
	if err := errors.Join(g.UpdateSettings(ctx, func(to *knowledge.Settings) error { to.ReminderChannel = "400000000000000001"; return nil }), g.UpdateSettings(ctx, func(to *knowledge.Settings) error { to.ReminderWeekday, to.ReminderHour = day, hour; return nil })); err != nil {
		t.Fatal(err)
	}
	return g
}

var (
	osier     = knowledge.Member{Ref: "osier"}
	millbrook = knowledge.Member{Ref: "millbrook"}
)

func needle(gauge int) trade.Instrument {
	return trade.Instrument{Kind: trade.Needle, Gauge: gauge, LengthMM: 13, Wall: calc.Thin}
}

func orrick(gauge int) trade.Combination {
	return trade.Combination{Product: trade.Product{Name: "Orrick Mid"}, Instrument: needle(gauge)}
}

// shown is a test of a combination by a member.
func shown(c trade.Combination, by knowledge.Member, day string, seconds float64) knowledge.BenchTest {
	return knowledge.BenchTest{
		Combination: c, TestedOn: day, Tester: by, Liquid: "whole milk", LiquidC: 21, PullML: 0.1, WatchedS: 30,
		Outcome: knowledge.Flashback, Seconds: seconds, Timing: "video 30 fps",
	}
}

// demo founds the demo community from its files.
func (b *bench) demo(t testing.TB) *knowledge.Group {
	t.Helper()
	g := must(b.store.Found(t.Context(), knowledge.NewCommunity{Ref: "300000000000000001",
		Name: "Saltmarsh Lane Study Circle", Zone: "Europe/London"}))(t)
	for _, kind := range []knowledge.FileKind{knowledge.ProductFile, knowledge.InstrumentFile, knowledge.MemberFile,
		knowledge.StockFile, knowledge.TestFile} {
		text := must(os.ReadFile(filepath.Join("..", "..", "config", "demo", string(kind)+".csv")))(t)
		report := must(g.Import(t.Context(), kind, knowledge.RowsOf(bytes.NewReader(text)), knowledge.Importing{}))(t)
		if len(report.Faults) > 0 || report.Added == 0 {
			t.Fatalf("%s: %+v", kind, report)
		}
	}
	if err := g.UpdateSettings(t.Context(), func(to *knowledge.Settings) error { to.ReminderChannel = "400000000000000001"; return nil }); err != nil {
		t.Fatal(err)
	}
	return g
}

// must returns v or ends the test.
func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}
