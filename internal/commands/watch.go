package commands

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"holdbench/internal/knowledge"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

const (
	watchName   = "bench watch"
	labelOption = "label"
	pressOption = "press"
)

// What a button of a watch says was pressed. The number of the watch follows it.
const (
	pressBack    = "back"    // the plunger is at its mark
	pressShows   = "shows"   // liquid in the hub
	pressNone    = "none"    // no flashback, watching is over
	pressAgain   = "anew"    // pulled again, or pressed by mistake
	pressSkip    = "skip"    // another syringe first
	pressBlocked = "blocked" // nothing comes through the needle
	pressUndo    = "undo"    // take the last test back
	pressTyped   = "typed"   // the result is typed, as read off a film
	pressDone    = "done"    // no more today
)

// sessionLasts is how long an interrupted session can be continued: a bench day (project's choice).
const sessionLasts = 12 * time.Hour

// surelyTwice is the time between two presses of "plunger back" above which they may have been two pulls: no finger
// bounces for so long (assumption, no source).
const surelyTwice = time.Second

// Quick although it stores: a press counts whether or not its answer gets through, and is stored once
// however often it comes.
var watchCommand = &Command{
	Name:    watchName,
	Short:   "time your box label by label, by pressing",
	Summary: "Time what waits in your box by pressing: plunger back, then blood shows, or none",
	Help: "One message leads from label to label. The seconds are those between your presses, by the chat's own " +
		"clock, ± 0.5 s; a time from a film is better and can replace one later. If a press fails, start over: " +
		"push back, pull again.",
	Options: []Option{
		{Name: labelOption, Help: "the label to begin with, as in B-3", Suggest: suggestLabels},
		liquidChoice(), temperatureNumber(),
		pullNumber("how far the plunger is drawn", trade.LargestTestedPullML),
		{Name: pressOption, Help: "what was pressed, and on which watch", Unlisted: true},
		{Name: resultField, Help: "the result as typed", Unlisted: true},
	},
	Who:      anyMember,
	Quick:    true,
	Admits:   true,
	Bearing:  Bearing{Bench: true},
	Private:  true,
	Form:     watchForm(),
	Examples: []string{"/bench watch", "/bench watch label:B-3 liquid:water temperature:21"},
	Run:      runWatch,
}

func runWatch(ctx context.Context, env *Env, call *Call) (Card, error) {
	if call.At.IsZero() {
		return Card{}, refuse("Here, use a stopwatch or a film; /"+batchName+" logs all results in one line.",
			"Timing by presses works only in the group's chat.")
	}
	s := &session{env: env, call: call, by: call.by}
	pressed, number, _ := strings.Cut(call.value(pressOption), " ")
	if pressed == "" {
		return s.begin(ctx)
	}
	id, err := strconv.ParseInt(number, 10, 64)
	if err != nil {
		return Card{}, refuse("/"+watchName+" begins one.", "That is no button of a watch.")
	}
	if s.watch, err = env.Group.Watch(ctx, id, call.by); err != nil {
		return Card{}, told(err, knowledge.ErrNotFound, "/"+watchName+" begins one.", "That watch is no longer there.")
	}
	return s.press(ctx, pressed)
}

// session is a member's bench session while a request about it is answered.
type session struct {
	env   *Env
	call  *Call
	by    knowledge.Member
	watch knowledge.Watch // the one whose button was pressed, or the open one
}

// begin continues the open session, or begins one.
func (s *session) begin(ctx context.Context) (Card, error) {
	open, err := s.env.Group.OpenWatch(ctx, s.by)
	if err != nil && !isNotFound(err) {
		return Card{}, err
	}
	label := s.call.value(labelOption)
	bench, benchErr := s.bench()
	if benchErr != nil {
		return Card{}, benchErr
	}
	if err == nil && s.env.Now().Sub(open.SessionAt) < sessionLasts && bench == "" &&
		(label == "" || isLabel(label, open.Item)) {
		s.watch = open
		return s.show(ctx)
	}
	s.watch = knowledge.Watch{Member: s.by, Bench: bench}
	return s.next(ctx, label)
}

// bench is what the options say about the bench, in the words of a log line.
//
// Errors: *UserError where it cannot be read.
func (s *session) bench() (string, error) {
	parts := []string{s.call.value("liquid")}
	if v, given := s.call.number("temperature"); given {
		parts = append(parts, trimNumber(v)+" °C")
	}
	if v, given := s.call.number("pull"); given {
		parts = append(parts, "pull "+trimNumber(v)+" mL")
	}
	line := strings.Trim(strings.Join(parts, ", "), ", ")
	if line == "" {
		return "", nil
	}
	_, err := readBench(line, s.call.now)
	return line, err
}

// press does what a button says. A watch that has ended takes no more presses: a button that was pressed twice, or in
// an older message, shows the present state.
func (s *session) press(ctx context.Context, pressed string) (Card, error) {
	g, w := s.env.Group, s.watch
	var err error
	switch pressed {
	case pressDone:
		return s.over(ctx)
	case pressUndo:
		return s.takeBackLast(ctx)
	case pressShows, pressNone:
		return s.stop(ctx, pressed == pressShows)
	}
	if w.Fate != knowledge.WatchOpen {
		return s.show(ctx)
	}
	switch pressed {
	case pressBack:
		if s.watch, err = g.PlungerBack(ctx, w.ID, s.by, s.call.At); err != nil {
			return Card{}, err
		}
		return s.show(ctx)
	case pressAgain:
		return s.startOver(ctx, "")
	case pressTyped:
		return s.typed(ctx, s.call.value(resultField))
	case pressSkip, pressBlocked:
		fate := map[string]knowledge.WatchFate{pressSkip: knowledge.WatchSkipped,
			pressBlocked: knowledge.WatchBlocked}[pressed]
		if s.watch, err = g.EndWatch(ctx, w.ID, s.by, fate); err != nil {
			return Card{}, err
		}
		return s.next(ctx, "")
	}
	return s.show(ctx)
}

// over ends the session of the watch that was pressed on.
func (s *session) over(ctx context.Context) (Card, error) {
	open, err := s.env.Group.OpenWatch(ctx, s.by)
	if err == nil && open.SessionAt.Equal(s.watch.SessionAt) {
		_, err = s.env.Group.EndWatch(ctx, open.ID, s.by, knowledge.WatchOver)
	}
	if err != nil && !isNotFound(err) {
		return Card{}, err
	}
	return s.summary(ctx)
}

// startOver opens another watch of the same syringe. Presses on the old one no longer count. why warns on its card,
// "" for none.
func (s *session) startOver(ctx context.Context, why string) (Card, error) {
	w, err := s.env.Group.EndWatch(ctx, s.watch.ID, s.by, knowledge.WatchAnew)
	if err != nil {
		return Card{}, err
	}
	if s.watch, err = s.env.Group.WatchNext(ctx, w); err != nil {
		return Card{}, err
	}
	c, err := s.show(ctx)
	if why != "" {
		c.warn("%s", why)
	}
	return c, err
}

// stop ends the watch and logs its test.
func (s *session) stop(ctx context.Context, shows bool) (Card, error) {
	w := s.watch
	took := s.call.At.Sub(w.BeganAt).Seconds()
	switch {
	case w.Fate != knowledge.WatchOpen && w.Fate != knowledge.WatchLogged:
		return s.show(ctx)
	case w.BeganAt.IsZero() || took <= 0:
		c, err := s.show(ctx)
		c.warn("Nothing was stored: the plunger was not back yet.")
		return c, err
	case w.Fate == knowledge.WatchOpen && took > trade.LongestWatchS:
		return s.startOver(ctx, "Nothing was stored: "+exactSeconds(math.Floor(took))+" is longer than can be logged.")
	}
	t, err := s.test(took, shows)
	if err != nil {
		return Card{}, err
	}
	logged, err := s.env.Group.LogWatch(ctx, w.ID, s.by, t)
	if err != nil {
		return Card{}, err
	}
	if earlier := logged.Outcome == knowledge.Flashback && shows && t.Seconds < logged.Seconds; earlier &&
		logged.State == knowledge.Kept {
		// Two presses arrived in the wrong order: the earlier counts.
		t.RequestKey = fmt.Sprint("watch ", w.ID, ", the earlier press")
		if logged, err = s.env.Group.CorrectTest(ctx, logged.ID, t, s.by,
			"the earlier of two presses came in later"); err != nil {
			return Card{}, err
		}
	}
	if w.Fate == knowledge.WatchLogged {
		return s.show(ctx)
	}
	return s.after(ctx, logged)
}

// after shows the next label once a test was logged.
func (s *session) after(ctx context.Context, logged knowledge.BenchTest) (Card, error) {
	s.watch.Fate = knowledge.WatchLogged
	c, err := s.next(ctx, "")
	c.Stored = storedTests(s.call.now, []knowledge.BenchTest{logged})
	return c, err
}

// test is the test that a watch made. Its time is kept in tenths of a second: presses are no more exact. One without
// flashback counts as watched for the whole seconds that are certain.
func (s *session) test(took float64, shows bool) (knowledge.BenchTest, error) {
	t, err := s.onBench()
	if err != nil {
		return t, err
	}
	t.Combination, t.Tester, t.Timing = s.watch.Item.Combination, s.by, quantity.ByTaps
	if !shows {
		t.Outcome, t.WatchedS = knowledge.None, max(math.Floor(took), 0.5)
		return t, nil
	}
	t.Outcome, t.Seconds = knowledge.Flashback, math.Round(took*10)/10
	t.WatchedS = max(t.WatchedS, math.Ceil(t.Seconds))
	return t, nil
}

// takeBackLast withdraws the last test of the session that counts.
func (s *session) takeBackLast(ctx context.Context) (Card, error) {
	done, err := s.done(ctx)
	if err != nil {
		return Card{}, err
	}
	if last := done.last(); last != nil {
		if _, err := s.env.Group.WithdrawTest(ctx, last.ID, s.by, takenBack); err != nil {
			return Card{}, err
		}
	}
	return s.show(ctx)
}
