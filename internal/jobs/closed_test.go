package jobs

import (
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"holdbench/internal/knowledge"
)

// The channel is deleted or closed for two weeks: both trainers are told once, in
// private, and the log once; what is due comes when it is open again.
func TestAChannelThatIsClosedIsToldToTheTrainersOnceInPrivate(t *testing.T) {
	t.Parallel()
	b := newBench(t, monday.Add(-time.Hour))
	g := b.small(t, "local", "UTC", time.Monday, 9)
	must(g.Admit(t.Context(), knowledge.Member{Ref: "second", Role: knowledge.TrainerRole}))(t)
	b.platform.fault = func(p Post, _ bool) error {
		if p.Channel != "" {
			return fmt.Errorf("%w: deleted", ErrClosed)
		}
		return nil
	}
	r := b.runner(b.store)
	r.Log = slog.New(slog.NewTextHandler(b.log, nil))
	tick := func(now time.Time) {
		b.clock.set(now)
		r.Tick(t.Context())
	}
	for _, week := range []int{0, 7} {
		for minutes := 0; minutes < 60; minutes += 5 {
			tick(monday.AddDate(0, 0, week).Add(time.Duration(minutes) * time.Minute))
		}
	}
	told := map[string]int{}
	for _, p := range b.platform.seen {
		told[p.Member]++
		if !strings.Contains(p.Text(), "cannot be posted") {
			t.Errorf("said:\n%s", p.Text())
		}
	}
	if len(told) != 2 || told["lantern"] != 1 || told["second"] != 1 {
		t.Errorf("told %v", told)
	}
	if log := b.log.String(); strings.Count(log, "\n") != 1 || !strings.Contains(log, "deleted") ||
		!strings.Contains(log, "400000000000000001") {
		t.Errorf("logged:\n%s", log)
	}
	shut := b.platform.fault
	b.platform.fault = nil
	tick(monday.AddDate(0, 0, 7).Add(2 * time.Hour))
	if last := b.platform.seen[len(b.platform.seen)-1]; last.Channel == "" || len(b.platform.seen) != 3 {
		t.Errorf("opened again, %d posts: %+v", len(b.platform.seen), last)
	}
	b.platform.fault = shut
	tick(monday.AddDate(0, 0, 14))
	if told := len(b.platform.seen); told != 5 {
		t.Errorf("closed again: %d posts", told)
	}
}
