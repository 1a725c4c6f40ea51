package inside

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"
)

var stopped = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// house is what a Status looks at, to be changed by a test.
type house struct {
	mu     sync.Mutex
	store  error
	shards []Shard
	lanes  []Lane
	backup time.Time
	prompt time.Time
}

func (h *house) change(do func(*house)) {
	h.mu.Lock()
	defer h.mu.Unlock()
	do(h)
}

func (h *house) sources() Sources {
	locked := func() func() {
		h.mu.Lock()
		return h.mu.Unlock
	}
	return Sources{
		Version: "abc go1", Commands: []string{"hold", "log"}, Outcomes: []string{"answered", "refused", "failed",
			"late"},
		Store:      func(context.Context) error { defer locked()(); return h.store },
		Shards:     func() []Shard { defer locked()(); return h.shards },
		Lanes:      func() []Lane { defer locked()(); return h.lanes },
		LastBackup: func(context.Context) (time.Time, error) { defer locked()(); return h.backup, h.store },
		LastPrompt: func(context.Context) (time.Time, error) { defer locked()(); return h.prompt, h.store },
		Warnings:   func(context.Context) []string { return nil },
		Now:        func() time.Time { return stopped },
	}
}

// wellHouse has nothing wrong with it.
func wellHouse() *house {
	return &house{
		shards: []Shard{{ID: 0, Connected: true, Heard: stopped.Add(-4 * time.Second)},
			{ID: 1, Connected: true, Heard: stopped}},
		lanes:  []Lane{{Name: "answers", AtHand: 2, Waiting: 3, TurnedAway: 5}},
		backup: stopped.Add(-9 * time.Hour), prompt: stopped.Add(-48 * time.Hour),
	}
}

// served is a Status at an address, until the test ends.
func served(t *testing.T, sources Sources) (*Status, string) {
	t.Helper()
	l, err := Listen("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s := New(sources)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, l) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return s, "http://" + l.Addr().String()
}

func get(t *testing.T, address string) (int, string) {
	t.Helper()
	resp, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	page, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return resp.StatusCode, string(page)
}

// figures are the lines of /metrics by name and labels.
func figures(t *testing.T, address string) map[string]string {
	t.Helper()
	status, page := get(t, address+"/metrics")
	if status != http.StatusOK {
		t.Fatalf("/metrics answers %d\n%s", status, page)
	}
	found := map[string]string{}
	for _, line := range strings.Split(page, "\n") {
		if i := strings.LastIndexByte(line, ' '); i > 0 && line[0] != '#' {
			found[line[:i]] = line[i+1:]
		}
	}
	return found
}

func TestHealthSaysWhichPartIsNotWell(t *testing.T) {
	for scene, c := range map[string]struct {
		change func(*house)
		status int
		says   string
	}{
		"all well": {func(*house) {}, 200, "ok    store: it answers\nok    gateway: heard on all of 2 " +
			"shard(s)\n"},
		"no store": {func(h *house) { h.store = errors.New("the secret cause") }, 503,
			"WRONG store: it does not answer; the log says why\nok    gateway: heard on all of 2 shard(s)\n"},
		"not connected yet": {func(h *house) { h.shards = nil }, 503, "ok    store: it answers\nWRONG gateway: " +
			"Discord has not been reached yet\n"},
		"one deaf": {func(h *house) { h.shards[1].Heard = stopped.Add(-time.Minute) }, 503,
			"ok    store: it answers\nWRONG gateway: shard 1 has heard nothing for 1m0s\n"},
		"one lost": {func(h *house) { h.shards[1] = Shard{ID: 1, Heard: stopped, Lost: stopped.Add(-time.Minute)} },
			503, "ok    store: it answers\nWRONG gateway: shard 1 is not connected for 1m0s\n"},
		"one that waits": {func(h *house) {
			h.shards[1] = Shard{ID: 1, Heard: stopped, Lost: stopped.Add(-time.Minute), Waits: "until ten"}
		}, 503, "ok    store: it answers\nWRONG gateway: shard 1 is not connected for 1m0s; it waits until ten\n"},
		"one never heard": {func(h *house) { h.shards[0].Heard = time.Time{} }, 503,
			"ok    store: it answers\nWRONG gateway: shard 0 has heard nothing yet\n"},
		"just within bounds": {func(h *house) { h.shards[1].Heard = stopped.Add(-silenceLimit) }, 200,
			"ok    store: it answers\nok    gateway: heard on all of 2 shard(s)\n"},
		"between connections": {func(h *house) { h.shards[1].Connected, h.shards[1].Lost = false, stopped.Add(-lostLimit) }, 200, "ok    store: it answers\nok    gateway: heard on all of 2 shard(s)\n"},
	} {
		t.Run(scene, func(t *testing.T) {
			h := wellHouse()
			h.change(c.change)
			_, address := served(t, h.sources())
			if status, page := get(t, address+"/healthz"); status != c.status || page != c.says {
				t.Errorf("%d\n%s", status, page)
			}
		})
	}
}

func TestHealthComesBackWhenTheCauseIsGone(t *testing.T) {
	h := wellHouse()
	_, address := served(t, h.sources())
	h.change(func(h *house) { h.store = errors.New("away") })
	if status, _ := get(t, address+"/healthz"); status != 503 {
		t.Errorf("%d", status)
	}
	h.change(func(h *house) { h.store = nil })
	if status, _ := get(t, address+"/healthz"); status != 200 {
		t.Errorf("%d", status)
	}
}

func TestWhatIsOnlyToBeLookedAtIsSaidAndAllIsWell(t *testing.T) {
	sources := wellHouse().sources()
	sources.Warnings = func(context.Context) []string { return []string{"clock: it was put back"} }
	_, address := served(t, sources)
	if status, page := get(t, address+"/healthz"); status != 200 ||
		!strings.HasSuffix(page, "\nwarn  clock: it was put back\n") {
		t.Errorf("%d\n%s", status, page)
	}
}

func TestAStoreThatHangsIsNotWaitedFor(t *testing.T) {
	sources := wellHouse().sources()
	sources.Store = func(ctx context.Context) error { <-ctx.Done(); return ctx.Err() }
	_, address := served(t, sources)
	if status, page := get(t, address+"/healthz"); status != 503 || !strings.Contains(page, "WRONG store") {
		t.Errorf("%d\n%s", status, page)
	}
}

func TestMetricsShowWhatIsAsked(t *testing.T) {
	h := wellHouse()
	s, address := served(t, h.sources())
	s.Answer("hold", "answered", 70*time.Millisecond)
	s.Answer("hold", "answered", 4*time.Second)
	s.Answer("log", "failed", time.Second)
	want := map[string]string{
		`holdbench_answers_total{command="hold",outcome="answered"}`: "2",
		`holdbench_answers_total{command="hold",outcome="late"}`:     "0",
		`holdbench_answers_total{command="log",outcome="failed"}`:    "1",
		`holdbench_answer_seconds_bucket{command="hold",le="0.1"}`:   "1",
		`holdbench_answer_seconds_bucket{command="hold",le="3"}`:     "1",
		`holdbench_answer_seconds_bucket{command="hold",le="5"}`:     "2",
		`holdbench_answer_seconds_count{command="hold"}`:             "2",
		`holdbench_answer_seconds_sum{command="hold"}`:               "4.07",
		`holdbench_gateway_connected{shard="0"}`:                     "1",
		`holdbench_gateway_silence_seconds{shard="0"}`:               "4",
		`holdbench_gateway_silence_seconds{shard="1"}`:               "0",
		`holdbench_work_at_hand{lane="answers"}`:                     "2",
		`holdbench_work_waiting{lane="answers"}`:                     "3",
		`holdbench_work_turned_away_total{lane="answers"}`:           "5",
		`holdbench_backup_wanted`:                                    "1",
		`holdbench_backup_age_seconds`:                               "32400",
		`holdbench_prompt_age_seconds`:                               "172800",
		`holdbench_store_up`:                                         "1",
		`holdbench_build_info{version="abc go1"}`:                    "1",
	}
	got := figures(t, address)
	for name, value := range want {
		if got[name] != value {
			t.Errorf("%s is %q, want %s", name, got[name], value)
		}
	}
	for _, name := range []string{"go_goroutines", "process_resident_memory_bytes"} {
		if got[name] == "" {
			t.Errorf("no %s", name)
		}
	}
}

func TestWhatCannotBeToldHasNoFigure(t *testing.T) {
	h := wellHouse()
	h.store, h.shards[0].Heard, h.shards[0].Connected = errors.New("away"), time.Time{}, false
	sources := h.sources()
	_, address := served(t, sources)
	got := figures(t, address)
	for _, name := range []string{"holdbench_backup_age_seconds", "holdbench_prompt_age_seconds", `holdbench_gateway_silence_seconds{shard="0"}`} {
		if value, there := got[name]; there {
			t.Errorf("%s is %s", name, value)
		}
	}
	if got["holdbench_store_up"] != "0" || got[`holdbench_gateway_connected{shard="0"}`] != "0" || got["holdbench_backup_wanted"] != "1" {
		t.Errorf("%v", got)
	}
	sources.LastBackup = nil
	_, address = served(t, sources)
	if got := figures(t, address); got["holdbench_backup_wanted"] != "0" {
		t.Errorf("%v", got)
	}
}

func TestLabelsDoNotGrowWithWhatIsTyped(t *testing.T) {
	s, address := served(t, wellHouse().sources())
	before := len(figures(t, address))
	for i := range 500 {
		s.Answer(fmt.Sprintf("mrs smith %d", i), "answered", time.Second)
		s.Answer("hold", fmt.Sprintf("outcome %d", i), time.Second)
	}
	got := figures(t, address)
	if len(got) > before+1 { // one for hold with another outcome
		t.Errorf("%d figures, %d before", len(got), before)
	}
	if got[`holdbench_answers_total{command="other",outcome="answered"}`] != "500" || got[`holdbench_answers_total{command="hold",outcome="other"}`] != "500" {
		t.Error("not counted as other")
	}
	if _, page := get(t, address+"/metrics"); strings.Contains(page, "smith") {
		t.Error("what was typed is on the page")
	}
}

func TestOnlyThisMachineIsListenedTo(t *testing.T) {
	for _, address := range []string{"0.0.0.0:0", "[::]:0", ":0"} {
		l, err := Listen(address)
		if err == nil {
			l.Close()
			t.Errorf("%s was opened", address)
		} else if !strings.Contains(err.Error(), "inside.listen") || !strings.Contains(err.Error(), "127.0.0.1:9464") {
			t.Errorf("%s: %v", address, err)
		}
	}
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	if l, err := Listen(taken.Addr().String()); err == nil || !strings.Contains(err.Error(), "inside.listen") {
		t.Errorf("a taken address: %v, %v", l, err)
	}
}

func TestOtherPagesAndWaysAreRefused(t *testing.T) {
	_, address := served(t, wellHouse().sources())
	if status, _ := get(t, address+"/"); status != http.StatusNotFound {
		t.Errorf("/: %d", status)
	}
	resp, err := http.Post(address+"/healthz", "text/plain", strings.NewReader("x"))
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if resp.StatusCode != http.StatusMethodNotAllowed {
		t.Errorf("POST: %d", resp.StatusCode)
	}
}
