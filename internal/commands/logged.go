package commands

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"holdbench/internal/commands/logline"
	"holdbench/internal/knowledge"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// usualFPS is assumed for a film whose frames a second are not given: what phones film at unless set otherwise
// (practice). The confirmation says so.
const usualFPS = 30

// testsOf are the tests of a line, with the usual values where it says nothing; assumed names those.
func testsOf(call *Call, line logline.Line) (tests []knowledge.BenchTest, assumed []string, err error) {
	assume := func(words string) { assumed = append(assumed, words) }
	t := usualBench()
	t.Combination, t.RequestKey, t.Note, t.Lot = line.Setup.Combination(), call.Key, line.Note, line.Lot
	t.Film = knowledge.Film{Marks: line.Film.Marks, Link: cmp.Or(call.Link, line.Link)}
	saidOfBench(&t, line)
	if t.Combination.Syringe.Name == trade.Supplied && call.cmd.option(syringeOption) != nil &&
		!call.given(syringeOption) {
		assume(usualSyringe + " syringe")
	}
	watched := usualWatched(line.Outcomes)
	if o := line.Outcomes[0]; o.Flashback && o.WatchedS == 0 {
		assume("watched for " + exactSeconds(watched))
	}
	if line.Liquid == "" {
		assume(usualLiquid)
	}
	if line.LiquidC == nil {
		assume(trimNumber(usualLiquidC) + " °C")
	}
	if line.PullML == 0 {
		assume("pull " + trimNumber(usualPullML) + " mL")
	}
	rate := ""
	if t.Timing, rate, err = timedBy(line, assume); err != nil {
		return nil, nil, err
	}
	if line.Day.IsZero() {
		line.Day = call.now
		assume("tested today")
	}
	if t.TestedOn = line.Day.Format(dateForm); rate != "" {
		assume(rate)
	}
	return testOfEach(t, line.Outcomes, watched), assumed, nil
}

// testOfEach is the test with each of the outcomes. Each has a key of its own, so that a repeated request stores
// nothing twice.
func testOfEach(t knowledge.BenchTest, outcomes []logline.Outcome, watched float64) (tests []knowledge.BenchTest) {
	for i, o := range outcomes {
		one := t
		endedAs(&one, o)
		one.WatchedS = cmp.Or(o.WatchedS, watched)
		if i > 0 && t.RequestKey != "" {
			one.RequestKey = fmt.Sprintf("%s/%d", t.RequestKey, i+1)
		}
		tests = append(tests, one)
	}
	return tests
}

// endedAs puts into a test how it ended.
func endedAs(t *knowledge.BenchTest, o logline.Outcome) {
	t.Outcome, t.Seconds, t.SecondsTyped = knowledge.None, 0, ""
	if o.Flashback {
		t.Outcome, t.Seconds, t.SecondsTyped = knowledge.Flashback, o.Seconds, o.Typed
	}
}

// saidOfBench puts what a line says of liquid and pull into a test.
func saidOfBench(t *knowledge.BenchTest, line logline.Line) {
	t.Liquid, t.PullML = cmp.Or(line.Liquid, t.Liquid), cmp.Or(line.PullML, t.PullML)
	if line.LiquidC != nil {
		t.LiquidC = *line.LiquidC
	}
}

// usualWatched is how long a test is assumed to have been watched, in seconds.
func usualWatched(outcomes []logline.Outcome) float64 {
	longest := float64(usualWatchedS)
	for _, o := range outcomes {
		longest = max(longest, math.Ceil(o.Seconds))
	}
	return longest
}

// timedBy is how the test was timed; rate names the film's frames a second where they were assumed.
//
// Errors: *UserError.
func timedBy(line logline.Line, assume func(string)) (timing, rate string, err error) {
	switch film := line.Film.Marks != ""; {
	case film && line.Timing != nil && line.Timing.FPS == 0:
		return "", "", refuse("Give the seconds as read, or as the timing video and its frames a second.",
			"Only a film has a start and end to read off.")
	case line.Timing != nil:
		return line.Timing.String(), "", nil
	case film:
		return quantity.Timing{FPS: usualFPS}.String(), trimNumber(usualFPS) + " frames a second", nil
	}
	assume(usualTiming)
	return usualTiming, "", nil
}

// askAboutTwin is the *questionBack whether this is another test, where the tester has one of that day with the same
// set-up, pull, liquid and seconds; nil where there is none.
func askAboutTwin(ctx context.Context, env *Env, call *Call, line logline.Line, tests []knowledge.BenchTest) error {
	for _, t := range tests {
		twin, err := twinOf(ctx, env, t)
		if err != nil {
			return err
		}
		if twin == nil {
			continue
		}
		c := replyCard(call, fmt.Sprintf("Your test %d of that day has the same %s. Is this another one?", twin.ID,
			resultWords(t)), line,
			[]logline.Answer{{Label: "yes, log it, too", Say: "yes"}})
		c.fact("Test "+fmt.Sprint(twin.ID), "%s", testWords(*twin))
		env.awaitAnswer(call, line, c, true, 0)
		return &questionBack{c}
	}
	return nil
}

// twinOf is an earlier test by the same tester with the same day, combination, liquid, pull and seconds, nil if there
// is none. The new one may be another test all the same, or the same one sent again because its confirmation never
// arrived. A none has no twin: any two watched to the end look the same.
func twinOf(ctx context.Context, env *Env, t knowledge.BenchTest) (*knowledge.BenchTest, error) {
	if t.Outcome != knowledge.Flashback || t.Tester.ID == 0 {
		return nil, nil
	}
	own, err := env.Group.Tests(ctx, knowledge.TestFilter{TesterID: t.Tester.ID, ProductID: t.Combination.Product.ID,
		From: t.TestedOn, To: t.TestedOn, State: knowledge.Kept})
	for i, other := range own {
		if other.Outcome == t.Outcome && other.Seconds == t.Seconds && other.Liquid == t.Liquid &&
			other.PullML == t.PullML &&
			other.Combination.String() == t.Combination.String() &&
			(t.RequestKey == "" || other.RequestKey != t.RequestKey) {
			return &own[i], nil
		}
	}
	return nil, err
}
