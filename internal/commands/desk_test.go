package commands

import (
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"holdbench/internal/calc"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// With something of every kind waiting the desk fits one screen of a phone, the needles
// first; those whose wall class is on record do not wait.
func TestTheDeskIsOneScreenWithTheNeedlesFirst(t *testing.T) {
	env := demoEnv(t)
	ctx := t.Context()
	for _, size := range []string{"33G 25 mm needle", "32G 13 mm thin wall needle", "28G 19 mm needle",
		"22G 70 mm cannula", "23G 50 mm cannula"} {
		i, err := trade.ReadInstrument(size)
		if err == nil {
			if strings.Contains(size, "thin") {
				i.Wall = calc.Thin
			}
			_, err = env.Group.AddInstrument(ctx, i)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, gel := range []string{"Dunmere  Deeep", "Orick Mid"} {
		if _, err := env.Group.AddProduct(ctx, trade.Product{Name: gel}); err != nil {
			t.Fatal(err)
		}
	}
	says(t, env, Belonging("zoe", "zoe", false), "log dunmere deep 28G 19 mm 6.1")
	card := says(t, env, askingTrainer, "/trainer desk")
	for _, want := range []string{"No wall class", "Flagged", "Look alike", "Nearly settled", "Backup"} {
		if !strings.Contains(card.Text(), want+": ") {
			t.Errorf("%s is not in\n%s", want, card.Text())
		}
	}
	if first := card.Facts[0].Text; !strings.HasPrefix(first, "28G 19 mm needle, ") || strings.Contains(first, "32G") {
		t.Errorf("first of all stands %q: what was tested on comes first", first)
	}
	if lines := glance(card); len(lines) > otherLines {
		t.Errorf("%d lines\n%s", len(lines), strings.Join(lines, "\n"))
	}
	if buttons := len(card.Actions) + len(card.Picks); buttons < len(card.Facts) {
		t.Errorf("%d lines and %d buttons", len(card.Facts), buttons)
	}
}

// A nightly backup is told by its age, one that is too old as such.
func TestTheDeskTellsTheAgeOfTheBackup(t *testing.T) {
	now := stopped()
	clock := func() time.Time { return now }
	store, err := knowledge.Open(t.Context(), filepath.Join(t.TempDir(), "bot.db"), knowledge.WithClock(clock))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	group, err := store.Found(t.Context(), knowledge.NewCommunity{Ref: "123", Name: "North Room"})
	if err != nil {
		t.Fatal(err)
	}
	env := &Env{Group: group, Now: clock, Log: slog.New(slog.DiscardHandler)}
	if _, err := store.ClaimBackup(t.Context(), "2026-11-24"); err != nil {
		t.Fatal(err)
	}
	wants(t, says(t, env, askingTrainer, "/trainer desk").Text(), "First steps: Gels: none on the list",
		"no nightly backup is known")
	if err := store.BackupMade(t.Context(), "2026-11-24", "a.db", 1); err != nil {
		t.Fatal(err)
	}
	for after, want := range map[time.Duration]string{7 * time.Hour: "Backup: 7 hours old\n",
		50 * time.Hour: "Backup: 2 days old: a night was missed"} {
		now = stopped().Add(after)
		wants(t, says(t, env, askingTrainer, "/trainer desk").Text(), want)
	}
}
