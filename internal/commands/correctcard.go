package commands

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"holdbench/internal/commands/logline"
	"holdbench/internal/knowledge"
	"holdbench/internal/trade"
)

// differences are the parts in which two states of a test differ, before and after.
func differences(old, now knowledge.BenchTest) []Fact {
	var facts []Fact
	add := func(label, before, after string) {
		if before != after {
			facts = append(facts, Fact{label, cmp.Or(before, "–") + " → " + cmp.Or(after, "–")})
		}
	}
	add("Gel", old.Combination.Product.Name, now.Combination.Product.Name)
	add("Needle or cannula", old.Combination.Instrument.Name(), now.Combination.Instrument.Name())
	add("Syringe", old.Combination.Syringe.Name, now.Combination.Syringe.Name)
	before, after := resultWords(old), resultWords(now)
	if old.Outcome == now.Outcome && old.Seconds != now.Seconds { // finer than the timing shows
		before, after = exactSeconds(old.Seconds), exactSeconds(now.Seconds)
	}
	add("Result", before, after)
	if old.Outcome == knowledge.Flashback || now.Outcome == knowledge.Flashback { // a none says how long in its result
		add("Watched", exactSeconds(old.WatchedS), exactSeconds(now.WatchedS))
	}
	add("Timing", old.Timing, now.Timing)
	add("Pull", trimNumber(old.PullML)+" mL", trimNumber(now.PullML)+" mL")
	add("Liquid", old.Liquid, now.Liquid)
	add("Temperature", trimNumber(old.LiquidC)+" °C", trimNumber(now.LiquidC)+" °C")
	add("Day", old.TestedOn, now.TestedOn)
	add("Film", old.Film.Marks, now.Film.Marks)
	add("Link", old.Film.Link, now.Film.Link)
	add("On the box", old.Lot.String(), now.Lot.String())
	add("Note", old.Note, now.Note)
	return facts
}

// correctedBecause is the reason that is kept with a corrected test: what changed, and why where that was said.
func correctedBecause(changes []Fact, reason string) string {
	var words []string
	for _, f := range changes {
		words = append(words, f.Text)
	}
	text := strings.Join(words, ", ")
	if reason != "" {
		text = reason + " (" + text + ")"
	}
	if r := []rune(text); len(r) > trade.LongestNote {
		text = string(r[:trade.LongestNote-1]) + "…"
	}
	return text
}

// askToCorrect shows before and after and asks once.
func askToCorrect(ctx context.Context, env *Env, call *Call, line logline.Line, old,
	now knowledge.BenchTest) (Card, error) {
	c := Card{Title: fmt.Sprintf("Correct test %d, %s?", old.ID, stockWords(old.Combination)),
		Facts: differences(old, now)}
	if line.Note != "" {
		c.fact("Reason", "%s", line.Note)
	}
	c.line("Nothing changes until you say yes. The old test stays on record.")
	if old.Tester.ID != call.by.ID {
		c.line("%s made it and is told.", old.Tester.Name)
	}
	twin, err := twinOf(ctx, env, now)
	if err != nil {
		return Card{}, err
	}
	if twin != nil && twin.ID != old.ID {
		c.warn("Test %d of that day by the same tester says the same.", twin.ID)
	}
	c.Choices = []Choice{{Label: "yes, correct it", Request: call.replying("yes")}}
	env.awaitAnswer(call, line, c, true, old.ID)
	return c, nil
}

func correctedCard(ctx context.Context, env *Env, call *Call, old, now knowledge.BenchTest) Card {
	c := Card{Title: stockWords(now.Combination), Facts: differences(old, now)}
	c.Verdict = fmt.Sprintf("Corrected: test %d replaces test %d.", now.ID, old.ID)
	e := afterwards(ctx, env, now.Combination)
	c.sayNow(e)
	c.sayDoubt(e, now)
	c.Stored = Stored{What: fmt.Sprintf("correction of test %d", old.ID),
		How: fmt.Sprintf("was stored as test %d", now.ID), At: call.now}
	c.Actions = []Action{AsBeforeAction(old)}
	return c
}

// AsBeforeAction offers to count a corrected test as it was before.
func AsBeforeAction(old knowledge.BenchTest) Action {
	return onTest("as it was before", restoreName, old.ID)
}

// CorrectAction offers to correct a test.
func CorrectAction(t knowledge.BenchTest) Action {
	return onTest("correct it", correctName, t.ID)
}
