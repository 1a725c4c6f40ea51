package commands

import (
	"context"
	"fmt"
	"strings"

	"holdbench/internal/knowledge"
)

// show is the card of the open watch, or the summary where none is open.
func (s *session) show(ctx context.Context) (Card, error) {
	open, err := s.env.Group.OpenWatch(ctx, s.by)
	if isNotFound(err) {
		return s.summary(ctx)
	}
	if err != nil {
		return Card{}, err
	}
	s.watch = open
	if open.BeganAt.IsZero() {
		return s.ready(ctx)
	}
	return s.running()
}

// running is shown while the hub is watched: little more than what to press.
func (s *session) running() (Card, error) {
	bench, err := s.onBench()
	if err != nil {
		return Card{}, err
	}
	w := s.watch
	c := Card{Title: w.Item.Label() + ": watch the hub", Verdict: stockWords(w.Item.Combination), Since: w.BeganAt,
		Bare: true}
	c.line("%s without flashback is none: watching longer would tell no more.", exactSeconds(bench.WatchedS))
	if again := s.call.At.Sub(w.BeganAt); s.pressed(pressBack) && again > surelyTwice {
		c.warn("That was pressed twice: the first press counts. If you pulled again, start over.")
	}
	c.Actions = []Action{
		s.button("blood shows", pressShows, true), s.button("none, stop", pressNone, false),
		s.button("start over", pressAgain, false),
	}
	return c, nil
}

// ready shows the next label with what is still to do, and the last test.
func (s *session) ready(ctx context.Context) (Card, error) {
	rows, done, err := s.plan(ctx)
	if err != nil {
		return Card{}, err
	}
	bench, err := s.onBench()
	if err != nil {
		return Card{}, err
	}
	w := s.watch
	c := Card{Title: w.Item.Label() + ": " + stockWords(w.Item.Combination),
		Verdict: "Press when the plunger is at its mark."}
	var then []string
	for _, r := range rows {
		switch {
		case r.item.ID == w.Item.ID:
			why, err := r.why()
			if err != nil {
				return Card{}, err
			}
			c.line("Test %d of this syringe, %d to do%s.", done.made[r.item.ID]+1, max(done.left(r), 1), why)
			c.sayBehind(r.evidence)
		case done.waits(r):
			then = append(then, r.item.Label())
		}
	}
	c.fact("On the bench", "pull %s mL, %s, %s °C; watch %s", trimNumber(bench.PullML), bench.Liquid,
		trimNumber(bench.LiquidC), exactSeconds(bench.WatchedS))
	c.fact("Then", "%s", strings.Join(then, ", "))
	c.Actions = []Action{
		s.button("plunger back", pressBack, true), s.button("type it", pressTyped, false),
		s.button("skip", pressSkip, false), s.button("blocked needle", pressBlocked, false),
		s.button("done for today", pressDone, false),
	}
	if last := done.last(); last != nil {
		c.fact("Logged", "%s %s, test %d", done.label(last.ID), resultWords(*last), last.ID)
		if e := afterwards(ctx, s.env, last.Combination); e != nil && e.Flagged.Has(last.ID) {
			c.warn("Test %d is unlike the others. If it was a slip, take it back.", last.ID)
		}
		c.Actions = append(append(c.Actions, correctParts(*last)...), s.button("take it back", pressUndo, false))
	}
	return c, nil
}

// label is the label of the syringe that a test was made of.
func (d done) label(test int64) string {
	for _, w := range d.watches {
		if d.tests[w.ID].ID == test {
			return w.Item.Label()
		}
	}
	return ""
}

// summary is the results of the session, label by label.
func (s *session) summary(ctx context.Context) (Card, error) {
	done, err := s.done(ctx)
	if err != nil {
		return Card{}, err
	}
	var order []knowledge.BoxItem
	of := map[int64][]knowledge.BoxOutcome{}
	var blocked []string
	for _, w := range done.watches {
		if t, counts := done.tests[w.ID]; counts {
			if of[w.Item.ID] == nil {
				order = append(order, w.Item)
			}
			of[w.Item.ID] = append(of[w.Item.ID], knowledge.BoxOutcome{Number: w.Item.Number, Test: t})
		}
		if w.Fate == knowledge.WatchBlocked {
			blocked = append(blocked, w.Item.Label())
		}
	}
	c := Card{Title: "Bench session: nothing was logged"}
	if len(order) > 0 {
		c.Title = fmt.Sprintf("Bench session: %s of %s", count(len(done.tests), "test"), count(len(order), "syringe"))
		c.Share = new(s.button("", pressDone, false).Request)
	}
	for _, item := range order {
		c.fact(item.Label(), "%s", batchRow(ctx, s.env, of[item.ID]))
	}
	if len(done.back) > 0 {
		c.line("%s taken back.", count(len(done.back), "test"))
	}
	if len(blocked) > 0 {
		c.line("Needle blocked, out of the box: %s.", strings.Join(blocked, ", "))
	}
	waiting, err := s.env.Group.Box(ctx, s.by.ID)
	if err != nil {
		return Card{}, err
	}
	if len(waiting) > 0 {
		c.Actions = []Action{toAsk("what waits", boxName)}
	}
	return c, nil
}

// pressed reports whether the request is a press of this button.
func (s *session) pressed(what string) bool {
	return strings.HasPrefix(s.call.value(pressOption), what+" ")
}

// button is one thing to press on the open watch.
func (s *session) button(label, what string, big bool) Action {
	return Action{Label: label, Tap: true, Big: big, Here: true,
		Request: Request{Command: watchName}.with(pressOption, fmt.Sprint(what, " ", s.watch.ID))}
}
