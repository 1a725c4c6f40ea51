package jobs

import (
	"database/sql"
	"testing"
	"time"

	"holdbench/internal/knowledge"
)

// A community from before is told once that the method has changed, a new one never.
func TestTheMethodIsNewsOnceAndToThoseWhoKnewAnother(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 24, 12, 0, 0, 0, time.UTC) // a Tuesday
	b := newBench(t, now)
	g := b.small(t, "older", "UTC", time.Monday, 8)
	fresh := b.small(t, "fresh", "UTC", time.Monday, 8)
	must(g.LogTest(t.Context(), shown(orrick(27), osier, "2026-11-20", 3)))(t)
	must(fresh.LogTest(t.Context(), shown(orrick(27), osier, "2026-11-20", 3)))(t)
	b.tick(t, now)
	if len(b.platform.seen) != 0 {
		t.Fatalf("a community that began so is told: %+v", b.platform.seen)
	}
	db := must(sql.Open("sqlite3", b.path))(t)
	defer db.Close()
	must(db.Exec(`UPDATE communities SET first_method = 1 WHERE ref = 'older'`))(t)
	for range 2 {
		b.tick(t, now.Add(time.Hour))
		b.tick(t, now.AddDate(0, 0, 1))
	}
	if len(b.platform.seen) != 1 || b.platform.seen[0].Community != "older" ||
		b.platform.seen[0].Card.Title != "The way holds are advised has changed" {
		t.Errorf("told %d times: %+v", len(b.platform.seen), b.platform.seen)
	}
}

// Where no channel is set, the trainers read it in private, once each.
func TestTheMethodIsNewsToTheTrainersWhereNoChannelIsSet(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 24, 12, 0, 0, 0, time.UTC) // a Tuesday
	b := newBench(t, now)
	g := b.small(t, "older", "UTC", time.Monday, 8)
	must(g.LogTest(t.Context(), shown(orrick(27), osier, "2026-11-20", 3)))(t)
	if err := g.UpdateSettings(t.Context(), func(to *knowledge.Settings) error { to.ReminderChannel = ""; return nil }); err != nil {
		t.Fatal(err)
	}
	db := must(sql.Open("sqlite3", b.path))(t)
	defer db.Close()
	must(db.Exec(`UPDATE communities SET first_method = 1 WHERE ref = 'older'`))(t)
	b.tick(t, now)
	b.tick(t, now.AddDate(0, 0, 1))
	if len(b.platform.seen) != 1 || b.platform.seen[0].Member != "lantern" || b.platform.seen[0].Channel != "" {
		t.Errorf("told %d times: %+v", len(b.platform.seen), b.platform.seen)
	}
}
