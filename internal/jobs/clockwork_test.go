package jobs

import (
	"context"
	"database/sql"
	"log/slog"
	"os"
	"strings"
	"testing"
	"time"
)

func TestRunTicksAtOnceAndEndsWithItsContext(t *testing.T) {
	t.Parallel()
	b := newBench(t, monday)
	b.small(t, "local", "UTC", time.Monday, 9)
	ctx, stop := context.WithCancel(t.Context())
	b.platform.fault = func(_ Post, there bool) error {
		if there {
			stop() // the program is asked to end while the post is on its way
		}
		return nil
	}
	b.runner(b.store).Run(ctx)
	b.platform.fault = nil
	b.tick(t, monday.Add(time.Hour))
	if len(b.platform.calls) != 1 {
		t.Errorf("called %d times: what was posted while ending was not noted", len(b.platform.calls))
	}
}

func TestAPanicCostsOneTickAndNotTheRest(t *testing.T) {
	t.Parallel()
	b := newBench(t, monday)
	b.small(t, "local", "UTC", time.Monday, 9)
	r, ticks := b.runner(b.store), 0
	r.Serves = func(string) bool { ticks++; panic("outside of any job") }
	r.wait = func(context.Context, time.Duration) bool { return ticks < 3 }
	r.Run(t.Context())
	if ticks != 3 || strings.Count(b.log.String(), "outside of any job") != 3 {
		t.Errorf("%d ticks, logged %.1000s", ticks, b.log.String())
	}
}

// A clock that is put back by a year must not put the next look off by a year.
func TestTheNextLookIsWithinFiveMinutesWhateverTheClockDoes(t *testing.T) {
	t.Parallel()
	b := newBench(t, monday)
	r, looks := b.runner(b.store), 0
	r.wait = func(_ context.Context, d time.Duration) bool {
		if d <= 0 || d > tickInterval {
			t.Errorf("waits %s at %s", d, b.clock.read())
		}
		jump := []time.Duration{0, 365 * 24 * time.Hour, -2 * 365 * 24 * time.Hour, -time.Minute, 0}[looks]
		b.clock.set(b.clock.read().Add(d + jump))
		looks++
		return looks < 5
	}
	r.Run(t.Context())
	if looks != 5 {
		t.Errorf("%d looks", looks)
	}
	if got := untilNext(monday.Add(90 * time.Second)); got != 3*time.Minute+30*time.Second {
		t.Errorf("%s to the next five minutes", got)
	}
}

// Somebody reads the store for long while a member is erased: the log says what that
// prevents, and no more once it is done.
func TestAnErasureThatAReaderHoldsUpIsToldAndDoneLater(t *testing.T) {
	t.Parallel()
	b := newBench(t, monday)
	g := b.small(t, "local", "UTC", time.Tuesday, 9)
	r := b.runner(b.store)
	r.Log = slog.New(slog.NewTextHandler(b.log, &slog.HandlerOptions{Level: slog.LevelWarn}))
	reader := must(sql.Open("sqlite3", b.path))(t)
	defer reader.Close()
	tx := must(reader.Begin())(t)
	defer tx.Rollback()
	var n int
	if err := tx.QueryRow(`SELECT COUNT(*) FROM members`).Scan(&n); err != nil {
		t.Fatal(err)
	}
	must(g.EraseMember(t.Context(), millbrook))(t)
	r.Tick(t.Context())
	if said := b.log.String(); strings.Count(said, "still readable") != 1 {
		t.Errorf("logged %s", said)
	}
	if err := tx.Rollback(); err != nil {
		t.Fatal(err)
	}
	r.Tick(t.Context())
	r.Tick(t.Context())
	if said := b.log.String(); strings.Count(said, "\n") != 1 {
		t.Errorf("logged afterwards, too: %s", said)
	}
	if info := must(os.Stat(b.path + "-wal"))(t); info.Size() != 0 {
		t.Errorf("%d bytes are left in the write-ahead log", info.Size())
	}
}
