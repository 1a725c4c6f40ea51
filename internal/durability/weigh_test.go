package durability

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/groups"
	"holdbench/internal/knowledge"
)

// weighed is what a separate process took to answer in many communities.
type weighed struct {
	start, warm, cold time.Duration
	memory, peak      int64 // resident, bytes
}

func (w weighed) String() string {
	return fmt.Sprintf("open and answered after %s; a warm question %s, in a community not asked before %s; memory "+
		"%d MB, at most %d MB",
		w.start.Round(time.Millisecond), w.warm.Round(time.Microsecond), w.cold.Round(time.Microsecond), w.memory>>20,
		w.peak>>20)
}

// weigh has a child answer in so many communities of a store, and then so many questions with
// everything in memory.
func weigh(t *testing.T, path string, communities, warm int) (w weighed) {
	t.Helper()
	began := time.Now()
	c := startChild(t, "weigh", path, fmt.Sprint(communities, " ", warm))
	for c.lines.Scan() {
		var what string
		var value int64
		if _, err := fmt.Sscan(c.lines.Text(), &what, &value); err != nil {
			t.Fatalf("said %q: %v", c.lines.Text(), err)
		}
		switch what {
		case "ready":
			w.start = time.Since(began)
		case "warm":
			w.warm = time.Duration(value)
		case "cold":
			w.cold = time.Duration(value)
			w.memory, w.peak = resident(t, c.cmd.Process.Pid)
			c.in.Close()
		}
	}
	if err := c.cmd.Wait(); err != nil || w.peak == 0 {
		t.Fatalf("%v: %s", err, c.stderr)
	}
	return w
}

// resident is the memory that a process has now, and the most it has had, in bytes.
func resident(t testing.TB, pid int) (now, most int64) {
	t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if errors.Is(err, os.ErrNotExist) {
		t.Skip("this system does not tell a process's memory in /proc")
	}
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(status)) {
		var kilobytes int64
		if n, _ := fmt.Sscanf(line, "VmRSS: %d kB", &kilobytes); n == 1 {
			now = kilobytes << 10
		}
		if n, _ := fmt.Sscanf(line, "VmHWM: %d kB", &kilobytes); n == 1 {
			most = kilobytes << 10
		}
	}
	return now, most
}

// The questions of the child: gels asked about in each community, and questions with
// everything in memory.
const (
	askedGels = 3
	warmAsked = 2000
)

// weighSelf opens the store as the program does, answers in each of so many communities and
// prints what that took.
func weighSelf(ctx context.Context, path, numbers string) error {
	var many, warm int
	if _, err := fmt.Sscan(numbers, &many, &warm); err != nil {
		return err
	}
	store, err := knowledge.Open(ctx, path)
	if err != nil {
		return err
	}
	defer store.Close()
	all := &groups.All{Store: store, Now: time.Now, Log: slog.New(slog.DiscardHandler)}
	if err := askIn(ctx, all, 0, 0); err != nil {
		return err
	}
	say("ready 0")
	began := time.Now()
	for n := range many {
		for g := range askedGels {
			if err := askIn(ctx, all, n, askedGel(n, g)); err != nil {
				return err
			}
		}
		if err := suggestIn(ctx, all, n); err != nil {
			return err
		}
	}
	cold := time.Since(began) / time.Duration(many*askedGels)
	took := make([]time.Duration, warm)
	for i := range took {
		began := time.Now()
		if err := askIn(ctx, all, many/2, askedGel(many/2, i%askedGels)); err != nil {
			return err
		}
		took[i] = time.Since(began)
	}
	slices.Sort(took)
	say("warm %d", int64(took[len(took)/2]))
	say("cold %d", int64(cold))
	_, err = io.Copy(io.Discard, os.Stdin) // whoever measures looks first
	runtime.KeepAlive(all)
	return err
}

// askedGel is one of the gels that are asked about in a community.
func askedGel(community, n int) int { return n*7 + community }

// askIn asks a question in one community, as members do.
func askIn(ctx context.Context, all *groups.All, community, gel int) error {
	env, _, err := all.Env(ctx, ref(community), "")
	if err != nil {
		return err
	}
	req := question(bigGel(gel), needles[0])
	req.Asker = asker
	if card := commands.Answer(ctx, env, req); card.Failed || card.Refused || card.Untested {
		return fmt.Errorf("community %d: %s", community, card.Text())
	}
	return nil
}

// suggestIn types the beginning of a gel's name in one community.
func suggestIn(ctx context.Context, all *groups.All, community int) error {
	env, _, err := all.Env(ctx, ref(community), "")
	if err != nil {
		return err
	}
	names, err := commands.Suggest(ctx, env, commands.Request{Command: "hold", Asker: asker}, "product", "ald")
	if err == nil && len(names) == 0 {
		err = errors.New("nothing was suggested")
	}
	return err
}
