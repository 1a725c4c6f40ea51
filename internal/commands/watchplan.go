package commands

import (
	"context"
	"slices"

	"holdbench/internal/commands/logline"
	"holdbench/internal/knowledge"
)

// next opens the next watch of the session: a label if one is named, else the same syringe while it has tests to do,
// else the next in the order of the run sheet. Where nothing is left the session ends with its summary.
func (s *session) next(ctx context.Context, label string) (Card, error) {
	rows, done, err := s.plan(ctx)
	if err != nil {
		return Card{}, err
	}
	pick := -1
	if label != "" {
		pick = slices.IndexFunc(rows, func(r sheetRow) bool { return isLabel(label, r.item) })
		if pick < 0 {
			return Card{}, refuse("/"+boxName+" lists what waits.", "Nothing of yours waits at %s.", echo(label))
		}
	}
	if pick < 0 && s.watch.Fate == knowledge.WatchLogged {
		pick = slices.IndexFunc(rows, func(r sheetRow) bool { return r.item.ID == s.watch.Item.ID && done.left(r) > 0 })
	}
	if pick < 0 {
		pick = slices.IndexFunc(rows, done.waits)
	}
	if pick < 0 && s.watch.ID == 0 {
		return Card{}, refuse("Put one aside first: "+asideCommand.Examples[0]+".",
			"Nothing of yours waits for the bench.")
	}
	if pick < 0 {
		if err := s.env.Group.EndSession(ctx, s.watch); err != nil {
			return Card{}, err
		}
		return s.summary(ctx)
	}
	next := s.watch
	next.Item = rows[pick].item
	if s.watch, err = s.env.Group.WatchNext(ctx, next); err != nil {
		return Card{}, err
	}
	return s.show(ctx)
}

// plan is what waits in the member's box, in the order of the run sheet, and what the session has done so far.
func (s *session) plan(ctx context.Context) ([]sheetRow, done, error) {
	items, err := s.env.Group.Box(ctx, s.by.ID)
	if err != nil {
		return nil, done{}, err
	}
	rows, err := sheetRows(ctx, s.env, items)
	if err != nil {
		return nil, done{}, err
	}
	soFar, err := s.done(ctx)
	return rows, soFar, err
}

// done is what a session has done so far.
type done struct {
	watches []knowledge.Watch
	tests   map[int64]knowledge.BenchTest // those that count, by watch
	made    map[int64]int                 // how many of them, by syringe
	back    []knowledge.BenchTest         // those taken back
}

func (s *session) done(ctx context.Context) (d done, err error) {
	d.tests, d.made = map[int64]knowledge.BenchTest{}, map[int64]int{}
	if s.watch.SessionAt.IsZero() {
		return d, nil
	}
	if d.watches, err = s.env.Group.Session(ctx, s.watch); err != nil {
		return d, err
	}
	all, err := s.env.Group.Tests(ctx, knowledge.TestFilter{TesterID: s.by.ID, LoggedSince: s.watch.SessionAt})
	if err != nil {
		return d, err
	}
	now := map[int64]knowledge.BenchTest{} // as corrected since, by the number first logged
	first := map[int64]int64{}
	slices.SortFunc(all, func(a, b knowledge.BenchTest) int { return int(a.ID - b.ID) })
	for _, t := range all {
		number := t.ID
		if was, corrects := first[t.Corrects]; corrects {
			number = was
		}
		first[t.ID], now[number] = number, t
	}
	for _, w := range d.watches {
		switch t, there := now[w.Test]; {
		case w.Fate != knowledge.WatchLogged || !there:
		case t.State == knowledge.Withdrawn:
			d.back = append(d.back, t)
		default:
			d.tests[w.ID] = t
			d.made[w.Item.ID]++
		}
	}
	return d, nil
}

// last is the latest test of the session that counts, nil if none does.
func (d done) last() *knowledge.BenchTest {
	for _, w := range slices.Backward(d.watches) {
		if t, counts := d.tests[w.ID]; counts {
			return &t
		}
	}
	return nil
}

// left is how many tests of a syringe are still to do in this session.
func (d done) left(r sheetRow) int {
	made, more := d.made[r.item.ID], r.repeats()
	if a := r.evidence.Advice; !r.settled && a.NeededMembers > 0 {
		more = min(more, a.NeededTests-a.NeededMembers) // other members make the rest
	}
	if r.settled || more < 1 {
		return max(1-made, 0)
	}
	return min(more, mostRepeats-made)
}

// waits reports whether a syringe is still to come in this session: it was not skipped and has tests to do.
func (d done) waits(r sheetRow) bool {
	skipped := slices.ContainsFunc(d.watches, func(w knowledge.Watch) bool {
		return w.Item.ID == r.item.ID && w.Fate == knowledge.WatchSkipped
	})
	return !skipped && d.left(r) > 0
}

// onBench is the bench of the session: as said when it was begun, otherwise as usual.
func (s *session) onBench() (t knowledge.BenchTest, err error) {
	t = sheetBench(s.call.settings.Ceiling)
	said, err := logline.ReadBench(s.watch.Bench, s.call.now)
	if err != nil {
		return t, err // cannot be: it was read before it was stored
	}
	saidOfBench(&t, said)
	t.TestedOn = s.call.today()
	return t, nil
}

// repeats is how often the run sheet asks for a syringe to be tested.
func (r sheetRow) repeats() int {
	e := r.evidence
	if r.settled {
		return 1
	}
	if e.Tested && e.Advice.Missing() > 0 {
		return min(e.Advice.Missing(), mostRepeats)
	}
	more, ok := e.Forecast.MoreTests(e.Ceiling)
	if !ok {
		return mostRepeats
	}
	return min(max((more+r.alike-1)/r.alike, 1), mostRepeats)
}
