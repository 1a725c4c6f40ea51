package commands

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"holdbench/internal/knowledge"
)

// stopped is the clock of the tests.
func stopped() time.Time { return time.Date(2026, 11, 24, 9, 30, 0, 0, time.UTC) }

// The people who ask in the tests. The outsider belongs to no group.
var (
	askingMember   = Asker{Ref: "quayside", Name: "quayside", Role: knowledge.MemberRole}
	askingTrainer  = Asker{Ref: "lantern", Name: "lantern", Role: knowledge.TrainerRole}
	askingOutsider = Asker{Ref: "passer-by", Name: "passer-by"}
)

// demoEnv is a store of its own with the demo community in it.
func demoEnv(t testing.TB) *Env { return demoEnvAt(t, stopped) }

// demoEnvAt is demoEnv with another clock.
func demoEnvAt(t testing.TB, now func() time.Time) *Env {
	t.Helper()
	env, end := openDemo(t, now)
	t.Cleanup(end)
	return env
}

// openDemo is demoEnvAt for a test that opens many: a server takes only so many
// connections, so each is ended once it is done with.
func openDemo(t testing.TB, now func() time.Time, others ...knowledge.Option) (env *Env, end func()) {
	t.Helper()
	ctx := context.Background()
	store, err := knowledge.Open(ctx, demoAddress(t),
		append([]knowledge.Option{knowledge.WithClock(now), knowledge.WithPatience(time.Hour)}, others...)...)
	if err != nil {
		t.Fatal(err)
	}
	group, err := store.Group(ctx, "demo")
	if err != nil {
		t.Fatal(err)
	}
	return &Env{Group: group, Now: now, Log: slog.New(slog.DiscardHandler)}, func() {
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	}
}

// demoStore is the file of a store with the demo community in it and its
// estimates worked out, made once and copied for every test.
var demoStore = sync.OnceValues(func() (bytes []byte, err error) {
	folder, err := os.MkdirTemp("", "demo")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	path := filepath.Join(folder, "bot.db")
	if err := fillDemo(context.Background(), path); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
})

func fillDemo(ctx context.Context, path string) (err error) {
	store, err := knowledge.Open(ctx, path, knowledge.WithClock(stopped), knowledge.WithPatience(time.Hour))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	group, err := store.Found(ctx, knowledge.NewCommunity{Ref: "demo", Name: "Saltmarsh Lane Study Circle",
		Zone: "Europe/London", Ceiling: 10})
	if err != nil {
		return err
	}
	for _, kind := range []knowledge.FileKind{knowledge.ProductFile, knowledge.InstrumentFile, knowledge.MemberFile,
		knowledge.StockFile, knowledge.TestFile} {
		if err := importDemo(ctx, group, kind); err != nil {
			return err
		}
	}
	tested, err := group.Tested(ctx)
	for _, c := range tested {
		if _, err := group.Evidence(ctx, c.Combination, 0); err != nil {
			return err
		}
	}
	return err
}

func importDemo(ctx context.Context, group *knowledge.Group, kind knowledge.FileKind) error {
	file, err := os.Open(filepath.Join("..", "..", "config", "demo", string(kind)+".csv"))
	if err != nil {
		return err
	}
	defer file.Close()
	report, err := group.Import(ctx, kind, knowledge.RowsOf(file), knowledge.Importing{})
	if err == nil && (len(report.Faults) > 0 || report.Added == 0) {
		err = fmt.Errorf("%s: %+v", kind, report)
	}
	return err
}

// says is the card of a typed line.
func says(t testing.TB, env *Env, asker Asker, line string) Card {
	t.Helper()
	return Answer(context.Background(), env, Typed(line, asker))
}

// wants fails the test unless text holds every part.
func wants(t testing.TB, text string, parts ...string) {
	t.Helper()
	for _, part := range parts {
		if !strings.Contains(text, part) {
			t.Errorf("%q is not in\n%s", part, text)
		}
	}
}
